//! What is left of juices and what is in a boil: rows of the store, summed by `calc::boil`.

use crate::calc::boil::sums::{Draw, Poured, pour, total, warmth};
use crate::calc::cane::juice::{Juice, Portion, Stock};
use crate::store::boil::boils::{self, DrawRow};
use crate::store::cane::juice::{self, JuiceRow};
use crate::store::cane::yard::{self, LostPart};
use crate::store::{Question, Stored, Together, in_json};
use crate::units::{
    BoilId, Celsius, Grams, JuiceId, MemberId, Millilitres, PressDayId, SeasonId, UtcSecond,
};
use std::collections::HashMap;

/// A juice, all that was drawn of it, and what is left.
#[derive(Debug, Clone)]
pub struct Stocked {
    /// The juice in its latest version.
    pub row: JuiceRow,
    /// The juice in figures; `None` when it was crossed out and counts nothing.
    pub juice: Option<Juice>,
    /// The draws from it, in the order the boils were lit.
    pub draws: Vec<DrawRow>,
    /// The part of each draw, and what is left once losses are off, too.
    pub poured: Poured,
    /// What of it was spilt, spoilt, or measured twice.
    pub lost: Portion,
    /// Mass of that which was never there, since it was measured twice.
    pub twice: Grams,
}

/// One juice's part in a boil.
#[derive(Debug, Clone)]
pub struct InPan {
    /// What was written of the draw.
    pub draw: DrawRow,
    /// The juice in its latest version.
    pub row: JuiceRow,
    /// The juice in figures; `None` when it was crossed out since.
    pub juice: Option<Juice>,
    /// The part of the juice that this draw is.
    pub part: Portion,
    /// How much more was written down, over all boils, than the juice holds; nought when all is well.
    pub over: Grams,
}

/// A draw as the sums take it.
pub fn as_draw(row: &DrawRow) -> Draw {
    Draw {
        amount: row.amount,
        whole: row.whole,
    }
}

impl Stocked {
    /// A loss runs out of the vessel like a draw, at its time: whoever takes all that is left afterwards takes none
    /// of it.
    fn new(row: JuiceRow, draws: Vec<DrawRow>, losses: &[LostPart]) -> Stored<Self> {
        let juice = if row.void { None } else { Some(row.reckon()?) };
        let mut listed: Vec<(UtcSecond, bool, Draw)> = draws
            .iter()
            .map(|draw| (draw.lit_at, true, as_draw(draw)))
            .collect();
        for loss in losses {
            let gone = Draw {
                amount: loss.amount,
                whole: false,
            };
            let place = listed.partition_point(|(at, ..)| *at < loss.lost_at);
            listed.insert(place, (loss.lost_at, false, gone));
        }
        let all: Vec<Draw> = listed.iter().map(|(.., draw)| *draw).collect();
        let mut poured = pour(stock_of(juice.as_ref()), &all);
        let (mut kept, mut lost) = (Vec::new(), Vec::new());
        for (part, (_, drawn, _)) in poured.parts.drain(..).zip(&listed) {
            if *drawn {
                kept.push(part);
            } else {
                lost.push(part);
            }
        }
        poured.parts = kept;
        Ok(Self {
            row,
            juice,
            draws,
            poured,
            lost: total(lost),
            twice: losses.iter().filter(|l| l.twice).map(|l| l.amount).sum(),
        })
    }

    /// Whether it was ever there: not crossed out, and not all of it measured twice.
    pub fn was_there(&self) -> bool {
        self.juice.as_ref().is_some_and(|j| j.mass > self.twice)
    }

    /// The juice as it was before anything was drawn.
    pub fn stock(&self) -> Stock {
        stock_of(self.juice.as_ref())
    }
}

fn stock_of(juice: Option<&Juice>) -> Stock {
    juice.map_or(
        Stock {
            volume: Millilitres::ZERO,
            mass: Grams::ZERO,
            solids: Grams::ZERO,
        },
        |j| Stock {
            volume: j.volume_20c,
            mass: j.mass,
            solids: j.solids,
        },
    )
}

/// A juice with what is left of it.
pub fn stocked(juice: JuiceId) -> Question<Option<Stocked>> {
    let found = (
        juice::find(juice),
        boils::draws_of_juice(juice),
        yard::lost_of_juice(juice),
    );
    found.together().try_map(|(row, draws, losses)| {
        row.map(|row| Stocked::new(row, draws, &losses)).transpose()
    })
}

/// Each of some juices with its own part of the draws and losses, in the order of the juices.
fn each(
    rows: Vec<JuiceRow>,
    draws: Vec<DrawRow>,
    mut losses: Vec<LostPart>,
) -> Stored<Vec<Stocked>> {
    let mut by_juice: HashMap<JuiceId, Vec<DrawRow>> = HashMap::new();
    for draw in draws {
        by_juice.entry(draw.juice_id).or_default().push(draw);
    }
    rows.into_iter()
        .map(|row| {
            let own = by_juice.remove(&row.id).unwrap_or_default();
            let gone: Vec<LostPart> = losses
                .extract_if(.., |loss| loss.juice_id == row.id)
                .collect();
            Stocked::new(row, own, &gone)
        })
        .collect()
}

/// Some juices with what is left of each, in their order.
pub fn stocked_each(rows: Vec<JuiceRow>) -> Question<Vec<Stocked>> {
    let ids = in_json(rows.iter().map(|row| row.id));
    let found = (boils::draws_of_juices(&ids), yard::lost_of_juices(&ids));
    found
        .together()
        .try_map(|(draws, losses)| each(rows, draws, losses))
}

/// A member's juices of a season with what is left of each, in order of pressing, none crossed out; and all draws of the
/// boils that hold any of them.
pub fn stocked_of_member(
    season: SeasonId,
    member: MemberId,
) -> Question<(Vec<Stocked>, Vec<DrawRow>)> {
    let found = (
        juice::of_season_member(season, member),
        boils::draws_beside(season, member),
        yard::lost_of_member(season, member),
    );
    found
        .together()
        .try_map(|(rows, draws, losses)| Ok((each(rows, draws.clone(), losses)?, draws)))
}

/// The juices pressed on a day with what is left of each, in order of pressing; none crossed out.
pub fn stocked_of_day(day: PressDayId) -> Question<Vec<Stocked>> {
    let found = (
        juice::of_day(day),
        boils::draws_of_day(day),
        yard::lost_of_day(day),
    );
    found
        .together()
        .try_map(|(rows, draws, losses)| each(rows, draws, losses))
}

/// The juices pressed in a season with what is left of each, in order of pressing; none crossed out.
pub fn stocked_of_season(season: SeasonId) -> Question<Vec<Stocked>> {
    let found = (
        juice::of_season(season),
        boils::draws_of_season(season),
        yard::lost_of_season(season),
    );
    found
        .together()
        .try_map(|(rows, draws, losses)| each(rows, draws, losses))
}

/// What each boil holds of these juices.
pub fn by_boil(stocked: &[Stocked]) -> HashMap<BoilId, Portion> {
    let mut sums: HashMap<BoilId, Vec<Portion>> = HashMap::new();
    for juice in stocked {
        for (draw, part) in juice.draws.iter().zip(&juice.poured.parts) {
            sums.entry(draw.boil_id).or_default().push(*part);
        }
    }
    sums.into_iter()
        .map(|(boil, parts)| (boil, total(parts)))
        .collect()
}

/// Temperature of what went into each boil: the mean by mass of its juices as measured.
pub fn warmth_by_boil(stocked: &[Stocked]) -> HashMap<BoilId, Celsius> {
    let mut parts: HashMap<BoilId, Vec<(Celsius, Grams)>> = HashMap::new();
    for juice in stocked {
        for (draw, part) in juice.draws.iter().zip(&juice.poured.parts) {
            let of = (juice.row.temp, part.mass);
            parts.entry(draw.boil_id).or_default().push(of);
        }
    }
    parts
        .into_iter()
        .filter_map(|(boil, parts)| Some((boil, warmth(parts)?)))
        .collect()
}

/// What is in a boil, juice by juice, by ticket.
pub fn in_pan(boil: BoilId) -> Question<Vec<InPan>> {
    in_pans(&[boil]).map(move |mut all| all.remove(&boil).unwrap_or_default())
}

/// What is in each of some boils, juice by juice, by ticket; a boil that nothing was poured into is left out.
pub fn in_pans(ids: &[BoilId]) -> Question<HashMap<BoilId, Vec<InPan>>> {
    let (boils, ids) = (in_json(ids), ids.to_vec());
    let found = (
        juice::of_boils(&boils),
        boils::draws_with(&boils),
        yard::lost_of_boils(&boils),
    );
    found
        .together()
        .try_map(move |(rows, draws, losses)| Ok(poured_into(&ids, &each(rows, draws, losses)?)))
}

/// The part of some juices, with all their draws, that each of some boils holds.
fn poured_into(ids: &[BoilId], stocked: &[Stocked]) -> HashMap<BoilId, Vec<InPan>> {
    let all = stocked.iter().flat_map(|juice| &juice.draws);
    let mut inside: Vec<DrawRow> = all
        .filter(|draw| ids.contains(&draw.boil_id))
        .cloned()
        .collect();
    inside.sort_by(|a, b| {
        let order = |d: &DrawRow| (d.ticket, d.vessel.clone(), d.juice_id);
        order(a).cmp(&order(b))
    });
    let by_id: HashMap<JuiceId, &Stocked> = stocked.iter().map(|all| (all.row.id, all)).collect();
    let mut out: HashMap<BoilId, Vec<InPan>> = HashMap::new();
    for draw in inside {
        let Some(all) = by_id.get(&draw.juice_id) else {
            continue;
        };
        let place = all.draws.iter().position(|d| d.boil_id == draw.boil_id);
        if let Some(part) = place.and_then(|place| all.poured.parts.get(place).copied()) {
            out.entry(draw.boil_id).or_default().push(InPan {
                draw,
                row: all.row.clone(),
                juice: all.juice.clone(),
                part,
                over: all.poured.over,
            });
        }
    }
    out
}
