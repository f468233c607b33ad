//! What lots are like: Brix, temperature, colour, taste, and pH and smell of juice that had waited.

use crate::store::Question;
use crate::store::question::question;
use crate::store::{Conn, Stored, one_row};
use crate::units::{BoilId, BrixRead, Celsius, MemberId, MemberName, UtcSecond};

/// What was found when a lot was looked at.
#[derive(Debug, Clone, PartialEq)]
pub struct Look {
    /// Brix of the syrup as the instrument showed; `None`: not read.
    pub brix: Option<BrixRead>,
    /// Temperature of the syrup when it was looked at; `None`: not read.
    pub temp: Option<Celsius>,
    /// Colour, by the co-op's own card; empty: not looked at.
    pub colour: String,
    /// Taste; empty: not tasted.
    pub taste: String,
    /// pH of the juice, where it had waited; `None`: not read.
    pub ph: Option<f64>,
    /// Smell of the juice, where it had waited; empty: nothing was said.
    pub smell: String,
}

/// A look at a lot.
#[derive(Debug, Clone)]
pub struct LookRow {
    /// Number in its lot, from 1.
    pub number: i64,
    /// What was found.
    pub look: Look,
    /// Name of who looked.
    pub by_name: MemberName,
    /// When it was looked at.
    pub at: UtcSecond,
}

/// The looks at a lot, in order.
pub fn of_boil(boil: BoilId) -> Question<Vec<LookRow>> {
    question!(r#"select l.number as "number!", l.brix as "brix: BrixRead", l.temp_c as "temp: Celsius", l.colour, l.taste,
        l.ph, l.smell, m.name as "by_name: MemberName", l.at as "at: UtcSecond"
        from lot_looks l join members m on m.id = l.by_id where l.boil_id = ?1 order by l.number"#,
        boil).map(|rows| rows
        .into_iter()
        .map(|r| LookRow {
            number: r.number,
            look: Look {
                brix: r.brix,
                temp: r.temp,
                colour: r.colour,
                taste: r.taste,
                ph: r.ph,
                smell: r.smell,
            },
            by_name: r.by_name,
            at: r.at,
        })
        .collect())
}

/// A colour of the co-op's own card.
#[derive(Debug, Clone)]
pub struct Colour {
    /// Number on the card, from 1.
    pub number: i64,
    /// Name of the colour.
    pub name: String,
    /// Its shade on a screen: "#c07a1e".
    pub shade: String,
    /// Whether a look can name it.
    pub in_use: bool,
}

/// The co-op's colour card, in its order.
pub fn colours() -> Question<Vec<Colour>> {
    question!(
        Colour,
        r#"select number, name, shade, retired_at is null as "in_use: bool" from colours order by number"#
    )
}

/// Adds a colour to the card, under the next number.
pub async fn insert_colour(conn: &mut Conn, name: &str, shade: &str) -> Stored<()> {
    sqlx::query!(
        "insert into colours (number, name, shade) select 1 + coalesce(max(number), 0), ?1, ?2 from colours",
        name,
        shade
    )
    .execute(conn)
    .await?;
    Ok(())
}

/// Takes a colour out of use; `None`: back into it.
pub async fn retire_colour(conn: &mut Conn, number: i64, at: Option<UtcSecond>) -> Stored<()> {
    let done = sqlx::query!(
        "update colours set retired_at = ?2 where number = ?1",
        number,
        at
    )
    .execute(conn)
    .await?;
    one_row(&done, "retire a colour")
}

/// Writes a look down, under the lot's next number.
pub async fn insert(
    conn: &mut Conn,
    boil: BoilId,
    look: &Look,
    (by, at): (MemberId, UtcSecond),
) -> Stored<()> {
    sqlx::query!(
        r#"insert into lot_looks (boil_id, number, brix, temp_c, colour, taste, ph, smell, by_id, at)
        select ?1, 1 + coalesce(max(number), 0), ?2, ?3, ?4, ?5, ?6, ?7, ?8, ?9 from lot_looks where boil_id = ?1"#,
        boil,
        look.brix,
        look.temp,
        look.colour,
        look.taste,
        look.ph,
        look.smell,
        by,
        at
    )
    .execute(conn)
    .await?;
    Ok(())
}
