//! What was written down of a member's tickets and of the boils that hold their juice, many at a time.

use crate::store::Question;
use crate::store::question::question;
use crate::units::{BoilId, ClockTime, Grams, MemberId, SeasonId, TicketId, UtcSecond};

/// Times and weights written down of one ticket.
#[derive(Debug, Clone, Copy)]
pub struct TicketMarks {
    /// The ticket.
    pub ticket_id: TicketId,
    /// When its turn was to start, if it came by a turn.
    pub turn_start: Option<ClockTime>,
    /// When the first of its loads was on the scale, crossed out or not; none: no load was weighed.
    pub first_weighed: Option<UtcSecond>,
    /// Net cane of the loads that count.
    pub net: Grams,
    /// Whether its cane went home unpressed.
    pub went_home: bool,
}

/// What was written down of each of a member's tickets in a season.
pub fn tickets(season: SeasonId, member: MemberId) -> Question<Vec<TicketMarks>> {
    question!(
        TicketMarks,
        r#"select d.id as "ticket_id: TicketId",
        (select b.start_min + 1440 * b.start_again from turns b where b.id = d.turn_id) as "turn_start?: ClockTime",
        (select min(coalesce(l.weighed_at, l.at)) from loads l where l.ticket_id = d.id) as "first_weighed?: UtcSecond",
        (select coalesce(sum(coalesce(l.net_g, l.gross_g - l.tare_g)), 0) from loads l
          where l.ticket_id = d.id and l.void = 0 and l.version = (select max(x.version) from loads x
          where x.ticket_id = l.ticket_id and x.number = l.number)) as "net!: Grams",
        exists (select 1 from ticket_ends e where e.ticket_id = d.id and e.unpressed = 1 and e.version =
          (select max(y.version) from ticket_ends y where y.ticket_id = d.id)) as "went_home!: bool"
        from tickets d where d.season_id = ?1 and d.member_id = ?2"#,
        season,
        member
    )
}

/// Times written down of one boil.
#[derive(Debug, Clone, Copy)]
pub struct BoilMarks {
    /// The boil.
    pub boil_id: BoilId,
    /// When it was last divided, if it was, opened to be put right since or not.
    pub divided_at: Option<UtcSecond>,
    /// When the last of it that is in jars was filled; none: nothing is in jars.
    pub filled_at: Option<UtcSecond>,
    /// What is in jars of it.
    pub jarred: Grams,
}

macro_rules! marks {
    ($which:literal, $($bound:expr),*) => {
        question!(
            BoilMarks,
            r#"select b.id as "boil_id: BoilId",
            (select v.at from divisions v where v.boil_id = b.id order by v.version desc limit 1) as "divided_at?: UtcSecond",
            (select max(coalesce(w.filled_at, w.at)) from fills f
              join fills w on w.boil_id = f.boil_id and w.number = f.number and w.version = 1
              where f.boil_id = b.id and f.count > 0 and f.version =
              (select max(v.version) from fills v where v.boil_id = f.boil_id and v.number = f.number)) as "filled_at?: UtcSecond",
            (select coalesce(sum(f.net_g * f.count), 0) from fills f where f.boil_id = b.id and f.version =
              (select max(v.version) from fills v where v.boil_id = f.boil_id and v.number = f.number)) as "jarred!: Grams"
            from boils b where "#
                + $which,
            $($bound),*
        )
    };
}

/// What was written down of several boils; `ids`: a JSON array of their ids.
pub fn boils(ids: &str) -> Question<Vec<BoilMarks>> {
    marks!("b.id in (select value from json_each(?1))", ids)
}

/// What was written down of the boils that hold, or held, any of a member's juices of a season.
pub fn boils_of_member(season: SeasonId, member: MemberId) -> Question<Vec<BoilMarks>> {
    marks!(
        "b.id in (select y.boil_id from draws y join juices i on i.id = y.juice_id
        join tickets k on k.id = i.ticket_id where k.season_id = ?1 and k.member_id = ?2)",
        season,
        member
    )
}
