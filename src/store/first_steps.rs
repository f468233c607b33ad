//! How far a new co-op has come, from set-up to its first statement.

use crate::store::Question;
use crate::store::question::question;

/// The first steps of a co-op, and which of them are done.
#[derive(Debug, Clone)]
#[expect(
    clippy::struct_excessive_bools,
    reason = "each step is done or not, by itself"
)]
pub struct FirstSteps {
    /// Whether a scale and a vessel are in use.
    pub mill: bool,
    /// Whether a pan is in use.
    pub pan: bool,
    /// Whether somebody is a member beside the first steward.
    pub members: bool,
    /// Whether somebody beside the first steward was invited.
    pub invited: bool,
    /// The year of the season that is nearest to today; `None`: none is open.
    pub year: Option<i64>,
    /// Whether that season's rules are confirmed.
    pub confirmed: bool,
    /// Whether a press day is planned.
    pub day: bool,
    /// Whether cane was weighed in.
    pub ticket: bool,
    /// Whether a boil was lit.
    pub boil: bool,
    /// Whether a boil is divided: every member in it has a statement then.
    pub divided: bool,
}

/// The first steps of a co-op, and which of them are done in a year.
pub fn read(this_year: i64) -> Question<FirstSteps> {
    question!(FirstSteps,
        r#"select exists (select 1 from scales where retired_at is null)
          and exists (select 1 from vessels where retired_at is null) as "mill!: bool",
        exists (select 1 from pans where retired_at is null) as "pan!: bool",
        (select count(*) from members) > 1 as "members!: bool",
        exists (select 1 from invites where member_id <> (select id from members order by number limit 1)) as "invited!: bool",
        (select year from seasons order by abs(year - ?1), year desc limit 1) as "year: i64",
        exists (select 1 from rules_confirmed c join season_rules r on r.id = c.rules_id
          join seasons s on s.id = r.season_id where s.year = (select year from seasons order by abs(year - ?1), year desc limit 1)) as "confirmed!: bool",
        exists (select 1 from press_days) as "day!: bool", exists (select 1 from tickets) as "ticket!: bool",
        exists (select 1 from boils) as "boil!: bool", exists (select 1 from divisions) as "divided!: bool""#,
        this_year).one()
}
