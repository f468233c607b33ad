//! How far a new co-op has come, from set-up to its first statement.

use crate::store::Question;
use crate::store::question::question;

/// What is there already.
#[derive(Debug, Clone)]
#[expect(
    clippy::struct_excessive_bools,
    reason = "each step is done or not, by itself"
)]
pub struct FirstSteps {
    /// A scale and a vessel are in use.
    pub mill: bool,
    /// A pan is in use.
    pub pan: bool,
    /// Somebody is a member beside the first steward.
    pub members: bool,
    /// Somebody beside the first steward was invited.
    pub invited: bool,
    /// The year of the latest season; `None`: none is open.
    pub year: Option<i64>,
    /// Its rules are confirmed.
    pub confirmed: bool,
    /// A press day is planned.
    pub day: bool,
    /// Cane was weighed in.
    pub ticket: bool,
    /// A boil was lit.
    pub boil: bool,
    /// A boil is divided: every member in it has a statement.
    pub divided: bool,
}

/// What is there already.
pub fn read() -> Question<FirstSteps> {
    question!(FirstSteps,
        r#"select exists (select 1 from scales where retired_at is null)
          and exists (select 1 from vessels where retired_at is null) as "mill!: bool",
        exists (select 1 from pans where retired_at is null) as "pan!: bool",
        (select count(*) from members) > 1 as "members!: bool",
        exists (select 1 from invites) as "invited!: bool",
        (select max(year) from seasons) as "year: i64",
        exists (select 1 from rules_confirmed c join season_rules r on r.id = c.rules_id
          join seasons s on s.id = r.season_id where s.year = (select max(year) from seasons)) as "confirmed!: bool",
        exists (select 1 from press_days) as "day!: bool", exists (select 1 from tickets) as "ticket!: bool",
        exists (select 1 from boils) as "boil!: bool", exists (select 1 from divisions) as "divided!: bool""#).one()
}
