//! The fields of a season's proposal: cane that waits for its day, cane that has one, and what a day off costs it.

use super::plantings::planned;
use super::seasons::SeasonRules;
use crate::calc::season::plantings::Ready;
use crate::calc::season::proposal::LEAST_PIECE_KG;
use crate::calc::season::ripeness::{FARTHEST_DAYS, PressedTurn, Steepness, learned};
use crate::calc::season::weights::Weights;
use crate::calc::turns::turn_habit::TurnHabit;
use crate::facts::cane::yields::TicketJuice;
use crate::facts::turns::turn_habit;
use crate::store::season::plantings::{self, Planting};
use crate::store::season::seasons::Rules;
use crate::store::turns::spoken::{self, HeldTurn, MadeOffer, NamedPlanting};
use crate::store::{Conn, Question, Stored, Together};
use crate::units::{
    ClockTime, Grams, MemberId, MemberName, Minutes, PlantingId, PressDate, SeasonId, TicketId,
    UtcSecond, Zone,
};
use std::collections::HashMap;

/// How far cane that was given a day has come.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum How {
    /// The cane has its turn.
    Booked,
    /// The member has been asked, and may answer until this moment.
    Asked(UtcSecond),
    /// The member did not answer in time: the cane waits for a day again.
    RanOut,
    /// The member did not want that turn.
    Declined,
}

/// Cane that has its turn, or whose member has been asked.
#[derive(Debug, Clone)]
pub struct Spoken {
    /// How far it has come.
    pub how: How,
    /// The press day.
    pub date: PressDate,
    /// The member whose cane it is.
    pub member_id: MemberId,
    /// That member's name.
    pub member: MemberName,
    /// When the turn starts.
    pub start: ClockTime,
    /// Minutes for pressing and change-over.
    pub minutes: Minutes,
    /// Cane of the turn.
    pub cane: Grams,
    /// The plantings it was offered for, with the cane of each where that was kept; empty: the member booked it without naming any.
    pub named: Vec<(PlantingId, Option<Grams>)>,
}

impl Spoken {
    /// Whether its cane has a day, as it stands.
    pub const fn counts(&self) -> bool {
        matches!(self.how, How::Booked | How::Asked(_))
    }
}

/// A planting as the proposal sees it, with its cane.
#[derive(Debug, Clone)]
pub struct Field {
    /// The planting.
    pub planting: Planting,
    /// The days on which it is ready.
    pub ready: Ready,
    /// All the cane expected of it.
    pub whole: Grams,
    /// The part of that cane that still waits for its day.
    pub cane: Grams,
    /// The rest: places of turns and offers among those of the season, with the cane of each.
    pub spoken: Vec<(usize, Grams)>,
}

impl Field {
    fn take(&mut self, from: usize, cane: Grams) -> Grams {
        let taken = self.cane.min(cane);
        if taken > Grams::ZERO {
            self.cane -= taken;
            self.spoken.push((from, taken));
        }
        taken
    }

    /// The part of its cane that has a day, booked or asked.
    pub fn with_a_day(&self) -> Grams {
        self.spoken.iter().map(|(_, cane)| *cane).sum()
    }
}

/// What a day off costs, by the Brix of the season's juice and how far from ready each member's nearest planting was.
pub(super) fn steepness(
    planted: &[Planting],
    juices: &HashMap<TicketId, TicketJuice>,
    (weights, zone): (&Weights, &Zone),
) -> Steepness {
    let mut turns = Vec::new();
    for juice in juices.values() {
        let date = zone.local(juice.pressed_at).0;
        let own = planted.iter().filter(|p| p.member_id == juice.member_id);
        let nearest = own
            .map(|p| planned(p).ready().days_out(date))
            .min_by(|a, b| a.abs().total_cmp(&b.abs()));
        let brix = 100.0 * juice.solids.as_f64() / juice.mass.as_f64().max(1.0);
        // Whoever has no planting near that day brought other cane.
        if let Some(off) = nearest.filter(|off| off.abs() <= days_most()) {
            turns.push((juice.number, PressedTurn { off, brix }));
        }
    }
    // In the order of tickets, so that the same season gives the same figures to the last digit.
    turns.sort_by_key(|(number, _)| *number);
    let turns: Vec<PressedTurn> = turns
        .into_iter()
        .map(|(_, turn)| turn)
        .filter(|turn| turn.brix > 1.0)
        .collect();
    learned(&turns, Steepness::of(weights))
}

#[expect(clippy::cast_precision_loss, reason = "a few weeks")]
fn days_most() -> f64 {
    FARTHEST_DAYS as f64
}

/// Turns held, offers that stand, and turns of the proposal that nobody took.
pub(super) fn spoken(season: SeasonId) -> Question<Vec<Spoken>> {
    let read = (
        spoken::turns(season),
        spoken::offers(season),
        spoken::plantings(season),
    );
    let read = read.together();
    read.map(|(turns, offers, named)| in_order(turns, offers, &named))
}

fn in_order(turns: Vec<HeldTurn>, offers: Vec<MadeOffer>, named: &[NamedPlanting]) -> Vec<Spoken> {
    let those = |of: &dyn Fn(&NamedPlanting) -> bool| -> Vec<(PlantingId, Option<Grams>)> {
        let own = named.iter().filter(|n| of(n));
        own.map(|n| (n.planting_id, n.cane)).collect()
    };
    let of_turn = |turn: HeldTurn| Spoken {
        named: those(&|n| n.turn_id == Some(turn.id)),
        how: How::Booked,
        date: turn.date,
        member_id: turn.member_id,
        member: turn.member,
        start: turn.start,
        minutes: turn.minutes,
        cane: turn.cane,
    };
    let of_offer = |offer: MadeOffer| Spoken {
        named: those(&|n| n.offer_id == offer.id),
        how: match offer.answer.as_deref() {
            None => How::Asked(offer.ends_at),
            Some("lapsed") => How::RanOut,
            Some(_) => How::Declined,
        },
        date: offer.date,
        member_id: offer.member_id,
        member: offer.member,
        start: offer.start,
        minutes: offer.minutes,
        cane: offer.cane,
    };
    let mut all: Vec<Spoken> = turns.into_iter().map(of_turn).collect();
    all.extend(offers.into_iter().map(of_offer));
    // Of offers that were not taken, only those of the proposal are shown.
    all.retain(|one| one.counts() || !one.named.is_empty());
    all.sort_by_key(|one| (one.date, one.start.minute(), one.start.again()));
    all
}

/// All plantings of a season with what of each waits for a day.
///
/// # Errors
/// The store failed.
pub async fn fields(conn: &mut Conn, season: &SeasonRules) -> Stored<Vec<Field>> {
    let id = season.season.id;
    let found = (plantings::of_season(id), spoken(id)).together();
    let (planted, spoken) = found.ask(conn).await?;
    let habit = turn_habit::of_season(conn, id).await?;
    Ok(fields_of(planted, &spoken, (&season.rules, &habit)))
}

/// Plantings with what of each waits for a day, and the turns and offers that the rest has.
pub(super) fn fields_of(
    planted: Vec<Planting>,
    spoken: &[Spoken],
    (rules, habit): (&Rules, &TurnHabit),
) -> Vec<Field> {
    let kg_per_m = turn_habit::yields_now(rules, habit).row_kg_per_m;
    let mut fields: Vec<Field> = planted
        .into_iter()
        .map(|planting| {
            let whole = Grams::nearest(planting.row.get() * kg_per_m * 1000.0);
            Field {
                ready: planned(&planting).ready(),
                whole,
                cane: whole,
                planting,
                spoken: Vec::new(),
            }
        })
        .collect();
    fields.sort_by_key(|f| (f.ready.best, f.planting.id));
    take_off(&mut fields, spoken);
    fields
}

/// Takes off each planting what has its turn or is asked about: what was offered for plantings that are named from those and no
/// other; the rest, of whom we know only the member, from the plantings that are nearest to being ready then.
fn take_off(fields: &mut [Field], spoken: &[Spoken]) {
    let counting = || spoken.iter().enumerate().filter(|(_, one)| one.counts());
    for (n, one) in counting().filter(|(_, one)| !one.named.is_empty()) {
        let all: f64 = one
            .named
            .iter()
            .filter_map(|(_, cane)| *cane)
            .map(Grams::as_f64)
            .sum();
        for (id, cane) in &one.named {
            // A turn whose cane was changed since counts with what it has now.
            let part = match cane {
                Some(cane) => Grams::nearest(one.cane.as_f64() * cane.as_f64() / all.max(1.0)),
                None => one.cane,
            };
            if let Some(field) = fields.iter_mut().find(|f| f.planting.id == *id) {
                let _ = field.take(n, part);
            }
        }
    }
    for (n, one) in counting().filter(|(_, one)| one.named.is_empty()) {
        let mut rest = one.cane;
        let mut own: Vec<&mut Field> = fields
            .iter_mut()
            .filter(|f| f.planting.member_id == one.member_id)
            .collect();
        own.sort_by_key(|f| f.ready.days_off(one.date));
        for field in own {
            rest -= field.take(n, rest);
        }
    }
}

/// Whether so much of a planting waits that it is worth a turn.
pub(super) fn waits(field: &Field) -> bool {
    field.cane.kg() >= LEAST_PIECE_KG
}
