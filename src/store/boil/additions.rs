//! What was added to a boil beside juice.

use crate::calc::boil::additions::{Dose, Noted, What};
use crate::store::Question;
use crate::store::question::question;
use crate::store::{Conn, StoreError, Stored};
use crate::units::{BoilId, Celsius, MemberId, MemberName, UtcSecond};

/// An addition to be kept.
#[derive(Debug, Clone)]
pub struct NewAddition {
    /// Kind of the addition.
    pub what: What,
    /// Product and maker, as on the pack.
    pub maker: String,
    /// Lot number on the pack.
    pub its_lot: String,
    /// Dose as it was measured out.
    pub dose: Dose,
    /// Temperature of the juice or syrup it went into, if read.
    pub temp: Option<Celsius>,
    /// Whether it is void: it never went in, and crosses out the one it replaces.
    pub void: bool,
    /// The number of the addition it puts right; `None`: a new one.
    pub replaces: Option<i64>,
    /// Why it puts another right; empty for a new one.
    pub why: String,
}

/// An addition as it is kept.
#[derive(Debug, Clone)]
pub struct Addition {
    /// Number in its boil, from 1.
    pub number: i64,
    /// What was added.
    pub what: NewAddition,
    /// Name of who noted it.
    pub by_name: MemberName,
    /// When it was noted.
    pub at: UtcSecond,
}

impl Addition {
    /// Those facts that decide whether it counts.
    pub fn noted(&self) -> Noted {
        Noted {
            number: self.number,
            replaces: self.what.replaces,
            void: self.what.void,
        }
    }
}

struct AdditionColumns {
    number: i64,
    what: String,
    maker: String,
    its_lot: String,
    dose: String,
    temp: Option<Celsius>,
    void: bool,
    replaces: Option<i64>,
    why: String,
    by_name: MemberName,
    at: UtcSecond,
}

impl AdditionColumns {
    fn read(self) -> Stored<Addition> {
        let corrupt = |what, found: &str| StoreError::Corrupt {
            what,
            found: found.to_owned(),
        };
        let what = What::parse(&self.what).ok_or_else(|| corrupt("additions.what", &self.what))?;
        let dose = Dose::parse(&self.dose).map_err(|_| corrupt("additions.dose", &self.dose))?;
        Ok(Addition {
            number: self.number,
            what: NewAddition {
                what,
                maker: self.maker,
                its_lot: self.its_lot,
                dose,
                temp: self.temp,
                void: self.void,
                replaces: self.replaces,
                why: self.why,
            },
            by_name: self.by_name,
            at: self.at,
        })
    }
}

/// Everything added to a boil, in order, with what was put right.
pub fn of_boil(boil: BoilId) -> Question<Vec<Addition>> {
    question!(AdditionColumns,
        r#"select a.number as "number!", a.what, a.maker, a.its_lot, a.dose, a.temp_c as "temp: Celsius",
        a.void as "void: bool", a.replaces, a.why, m.name as "by_name: MemberName", a.at as "at: UtcSecond"
        from additions a join members m on m.id = a.by_id where a.boil_id = ?1 order by a.number"#,
        boil).try_map(|rows| rows.into_iter().map(AdditionColumns::read).collect())
}

/// Adds one, under a number the caller has found free.
pub async fn insert(
    conn: &mut Conn,
    boil: BoilId,
    number: i64,
    new: &NewAddition,
    by: MemberId,
    at: UtcSecond,
) -> Stored<()> {
    let (what, dose) = (new.what.word(), new.dose.as_str());
    sqlx::query!(
        r#"insert into additions (boil_id, number, what, maker, its_lot, dose, temp_c, void, replaces, why,
        by_id, at) values (?1, ?2, ?3, ?4, ?5, ?6, ?7, ?8, ?9, ?10, ?11, ?12)"#,
        boil,
        number,
        what,
        new.maker,
        new.its_lot,
        dose,
        new.temp,
        new.void,
        new.replaces,
        new.why,
        by,
        at
    )
    .execute(conn)
    .await?;
    Ok(())
}
