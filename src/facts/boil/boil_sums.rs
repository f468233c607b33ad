//! What is left of juices and what is in a boil: rows of the store, summed by `calc::boil`.

use crate::calc::boil::sums::{Draw, Poured, pour, total, warmth};
use crate::calc::cane::juice::{Juice, Portion, Stock};
use crate::store::boil::boils::{self, DrawRow};
use crate::store::cane::juice::{self, JuiceRow};
use crate::store::cane::yard::{self, LostPart};
use crate::store::{Conn, Stored, in_json};
use crate::units::{BoilId, Celsius, Grams, JuiceId, Millilitres, PressDayId, SeasonId, UtcSecond};
use std::collections::{BTreeSet, HashMap};

/// A juice, all that was drawn of it, and what is left.
#[derive(Debug, Clone)]
pub struct Stocked {
    /// The juice in its latest version.
    pub row: JuiceRow,
    /// What it comes to; `None` when it was crossed out and counts nothing.
    pub juice: Option<Juice>,
    /// What was drawn of it, in the order the boils were lit.
    pub draws: Vec<DrawRow>,
    /// The part of each draw, and what is left after what was lost as well.
    pub poured: Poured,
    /// What was spilt, spoilt, or measured twice.
    pub lost: Portion,
}

/// One juice's part in a boil.
#[derive(Debug, Clone)]
pub struct InPan {
    /// The draw.
    pub draw: DrawRow,
    /// The juice in its latest version.
    pub row: JuiceRow,
    /// What the juice comes to; `None` when it was crossed out since.
    pub juice: Option<Juice>,
    /// This draw's part of it.
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
    /// What is lost runs out of the vessel like a draw, at its time: whoever takes all that is left afterwards
    /// takes none of it.
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
        })
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
pub async fn stocked(conn: &mut Conn, juice: JuiceId) -> Stored<Option<Stocked>> {
    let Some(row) = juice::find(conn, juice).await? else {
        return Ok(None);
    };
    let draws = boils::draws_of_juice(conn, juice).await?;
    let losses = yard::lost_of_juice(conn, juice).await?;
    Stocked::new(row, draws, &losses).map(Some)
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

/// The juices of these rows with what is left of each, and all draws of the boils that hold any of them.
pub async fn stocked_beside(
    conn: &mut Conn,
    rows: Vec<JuiceRow>,
) -> Stored<(Vec<Stocked>, Vec<DrawRow>)> {
    let ids = in_json(rows.iter().map(|row| row.id));
    let beside = boils::draws_beside(conn, &ids).await?;
    let losses = yard::lost_of_juices(conn, &ids).await?;
    Ok((each(rows, beside.clone(), losses)?, beside))
}

/// The juices pressed on a day with what is left of each, in order of pressing; none crossed out.
pub async fn stocked_of_day(conn: &mut Conn, day: PressDayId) -> Stored<Vec<Stocked>> {
    let draws = boils::draws_of_day(conn, day).await?;
    let losses = yard::lost_of_day(conn, day).await?;
    each(juice::of_day(conn, day).await?, draws, losses)
}

/// The juices pressed in a season with what is left of each, in order of pressing; none crossed out.
pub async fn stocked_of_season(conn: &mut Conn, season: SeasonId) -> Stored<Vec<Stocked>> {
    let draws = boils::draws_of_season(conn, season).await?;
    let losses = yard::lost_of_season(conn, season).await?;
    each(juice::of_season(conn, season).await?, draws, losses)
}

/// What each boil of some juices holds of them.
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
pub async fn in_pan(conn: &mut Conn, boil: BoilId) -> Stored<Vec<InPan>> {
    let mut all = in_pans(conn, &[boil]).await?;
    Ok(all.remove(&boil).unwrap_or_default())
}

/// What is in each of some boils, juice by juice, by ticket; a boil that nothing was poured into is left out.
pub async fn in_pans(conn: &mut Conn, ids: &[BoilId]) -> Stored<HashMap<BoilId, Vec<InPan>>> {
    let inside = boils::draws_of_boils(conn, &in_json(ids)).await?;
    if inside.is_empty() {
        return Ok(HashMap::new());
    }
    let juices: BTreeSet<JuiceId> = inside.iter().map(|draw| draw.juice_id).collect();
    let juices = in_json(juices);
    let draws = boils::draws_of_juices(conn, &juices).await?;
    let losses = yard::lost_of_juices(conn, &juices).await?;
    let stocked = each(juice::of_ids(conn, &juices).await?, draws, losses)?;
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
    Ok(out)
}
