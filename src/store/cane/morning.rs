//! The morning's opening checks, every time they were made.

use crate::calc::cane::morning::{CheckWeight, Found, Item, WaterBrix};
use crate::calc::cane::scale::Graduation;
use crate::store::Question;
use crate::store::question::question;
use crate::store::{Conn, StoreError, Stored};
use crate::units::{
    Celsius, Grams, MemberId, MemberName, PressDayId, ScaleId, SeasonId, UtcSecond,
};

/// One check of one item.
#[derive(Debug, Clone)]
pub struct OpeningCheck {
    /// Version, from 1; the highest of an item counts.
    pub version: i64,
    /// What was found.
    pub found: Found,
    /// The scale's name, where one was checked.
    pub scale_name: Option<String>,
    /// Whether the person said that the figure is right, though it looked wrong.
    pub sure: bool,
    /// Why it was waived, or a remark.
    pub note: String,
    /// Name of who checked or waived it.
    pub by_name: MemberName,
    /// When it was checked or waived.
    pub at: UtcSecond,
}

struct CheckColumns {
    item: String,
    version: i64,
    outcome: String,
    figure: Option<f64>,
    against: Option<f64>,
    scale_id: Option<ScaleId>,
    scale_name: Option<String>,
    graduation_g: Option<f64>,
    capacity: Option<Grams>,
    sure: bool,
    note: String,
    by_name: MemberName,
    at: UtcSecond,
}

fn corrupt(found: &str) -> StoreError {
    StoreError::Corrupt {
        what: "opening_checks",
        found: found.to_owned(),
    }
}

impl CheckColumns {
    fn found(&self) -> Stored<Found> {
        let item = Item::parse(&self.item).ok_or_else(|| corrupt(&self.item))?;
        if self.outcome == "waived" {
            return Ok(Found::Waived(item));
        }
        let figure = self.figure.ok_or_else(|| corrupt(&self.item));
        Ok(match item {
            Item::Weight => {
                let half = || corrupt("half a weighing");
                let graduation = self.graduation_g.ok_or_else(half)?;
                Found::Weight(CheckWeight {
                    scale: self.scale_id.ok_or_else(half)?,
                    graduation: Graduation::new(graduation).map_err(|u| corrupt(&u.sentence))?,
                    capacity: self.capacity.ok_or_else(half)?,
                    known: Grams::nearest(self.against.ok_or_else(half)?),
                    reading: Grams::nearest(figure?),
                })
            }
            Item::Refractometer => {
                Found::Zero(WaterBrix::new(figure?).map_err(|r| corrupt(r.sentence()))?)
            }
            Item::WaterBoil => {
                Found::WaterBoil(Celsius::new(figure?).map_err(|r| corrupt(r.sentence()))?)
            }
            _ => Found::Seen(item),
        })
    }

    fn read(self) -> Stored<OpeningCheck> {
        Ok(OpeningCheck {
            found: self.found()?,
            version: self.version,
            scale_name: self.scale_name,
            sure: self.sure,
            note: self.note,
            by_name: self.by_name,
            at: self.at,
        })
    }
}

/// The figures of a check as they are kept: figure, its unit, the check weight, the scale.
fn kept(found: &Found) -> (Option<f64>, &'static str, Option<f64>, Option<ScaleId>) {
    match found {
        Found::Weight(w) => (
            Some(w.reading.as_f64()),
            "g",
            Some(w.known.as_f64()),
            Some(w.scale),
        ),
        Found::Zero(read) => (Some(read.get()), "Bx", None, None),
        Found::WaterBoil(read) => (Some(read.get()), "C", None, None),
        Found::Seen(_) | Found::Waived(_) => (None, "", None, None),
    }
}

/// Every check of a press day, the latest first.
pub fn of_day(day: PressDayId) -> Question<Vec<OpeningCheck>> {
    question!(CheckColumns,
        r#"select c.item, c.version, c.outcome, c.figure, c.against, c.scale_id as "scale_id: ScaleId",
        s.name as "scale_name?", s.graduation_g as "graduation_g?", s.capacity_g as "capacity?: Grams",
        c.sure as "sure: bool", c.note, m.name as "by_name: MemberName", c.at as "at: UtcSecond"
        from opening_checks c join members m on m.id = c.by_id left join scales s on s.id = c.scale_id
        where c.press_day_id = ?1 order by c.item, c.version desc"#,
        day).try_map(|rows| rows.into_iter().map(CheckColumns::read).collect())
}

/// The items of a press day that are done or waived.
pub fn done_or_waived(day: PressDayId) -> Question<Vec<Item>> {
    question!(
        "select distinct item from opening_checks where press_day_id = ?1",
        day
    )
    .try_map(|rows| {
        let item = |word: &str| Item::parse(word).ok_or_else(|| corrupt(word));
        rows.iter().map(|row| item(&row.item)).collect()
    })
}

/// Where water boiled, as the morning read it, on every press day of a season that has a reading.
pub fn water_boils_of_season(season: SeasonId) -> Question<Vec<(PressDayId, Celsius)>> {
    question!(r#"select c.press_day_id as "day: PressDayId", c.figure as "figure!: Celsius" from opening_checks c
        join press_days p on p.id = c.press_day_id
        where p.season_id = ?1 and c.item = 'water_boil' and c.outcome = 'done' and c.version =
          (select max(v.version) from opening_checks v where v.press_day_id = c.press_day_id
            and v.item = c.item and v.outcome = 'done')"#,
        season).map(|rows| rows.into_iter().map(|r| (r.day, r.figure)).collect())
}

/// Adds a check, with the next version of its item.
pub async fn insert(
    conn: &mut Conn,
    day: PressDayId,
    (found, sure, note): (&Found, bool, &str),
    by: MemberId,
    at: UtcSecond,
) -> Stored<()> {
    let item = found.item().word();
    let outcome = match found {
        Found::Waived(_) => "waived",
        _ => "done",
    };
    let (figure, unit, against, scale) = kept(found);
    sqlx::query!(
        r#"insert into opening_checks (press_day_id, item, version, outcome, figure, unit, against, scale_id,
        sure, note, by_id, at)
        select ?1, ?2, coalesce(max(version), 0) + 1, ?3, ?4, ?5, ?6, ?7, ?8, ?9, ?10, ?11
        from opening_checks where press_day_id = ?1 and item = ?2"#,
        day,
        item,
        outcome,
        figure,
        unit,
        against,
        scale,
        sure,
        note,
        by,
        at
    )
    .execute(conn)
    .await?;
    Ok(())
}
