//! Full jars on the scale: what to fill each size of a lot to, what was weighed and what it says, and the season's lots.

use crate::calc::boil::full_jars::{FillTarget, Weighed, fill_target, judge};
use crate::calc::cane::scale::Graduation;
use crate::calc::paper::label::NetContents;
use crate::store::boil::boils::{self, BoilRow};
use crate::store::boil::jar_checks::{self, CheckRow, WeightRow};
use crate::store::cane::mill::{self, Scale};
use crate::store::{Conn, Question, Stored};
use crate::units::Grams;

/// One step of a scale that weighs jars is no more than this, g: about a hundredth of a small jar (common practice).
pub const COARSEST_G: f64 = 10.0;

/// The finest scale in use that weighs jars. `None`: there is none, they are all for cane.
///
/// # Errors
/// The store failed.
pub fn jar_scale() -> Question<Option<(Scale, Graduation)>> {
    mill::scales().map(|mut scales| {
        scales.retain(|s| s.retired_at.is_none() && s.graduation_g <= COARSEST_G);
        scales.sort_by(|a, b| a.graduation_g.total_cmp(&b.graduation_g));
        let finest = scales.into_iter().next();
        finest.and_then(|s| Graduation::new(s.graduation_g).ok().map(|d| (s, d)))
    })
}

/// What a jar of so much net has to hold for its label to be true.
pub fn declared(net: Grams) -> Grams {
    NetContents::of(net).map_or(net, NetContents::fill)
}

/// One kind of jar of a lot: what it should weigh, and what was weighed last.
#[derive(Debug)]
pub struct KindOfLot {
    /// Name of the size.
    pub size_name: String,
    /// Syrup in each, as the season's rules have it.
    pub net: Grams,
    /// Weight that its label declares.
    pub declared: Grams,
    /// How many such jars the lot has.
    pub count: i64,
    /// Weight to fill it to; `None`: there is no scale for jars.
    pub target: Option<FillTarget>,
    /// Weight of an empty jar, g; `None`: nobody weighed one.
    pub tare_g: Option<f64>,
    /// The check weights weighed last; `None`: none were.
    pub check: Option<CheckRow>,
    /// What those check weights say.
    pub judged: Weighed,
}

/// A lot whose jars are weighed.
#[derive(Debug)]
pub struct LotWeights {
    /// The boil.
    pub boil: BoilRow,
    /// The scale for jars; `None`: there is none.
    pub scale: Option<(Scale, Graduation)>,
    /// Its whole jars by kind.
    pub kinds: Vec<KindOfLot>,
    /// The season's lots, weighed last of each kind, in the order they were lit.
    pub season: Vec<(CheckRow, Weighed)>,
}

/// What one weighing says of a kind of which there are `lot` jars in the lot.
fn judged(check: &CheckRow, weights: &[WeightRow], lot: i64) -> Weighed {
    let own = weights
        .iter()
        .filter(|w| (w.boil_id, w.number) == (check.boil_id, check.number));
    let net: Vec<f64> = own.map(|w| w.gross_g - check.tare_g).collect();
    judge(&net, check.declared, lot)
}

impl LotWeights {
    /// Reads a lot with what was weighed of it.
    ///
    /// # Errors
    /// The store failed.
    pub async fn of(conn: &mut Conn, boil: BoilRow) -> Stored<Self> {
        let scale = jar_scale().ask(conn).await?;
        let tares = jar_checks::tares().ask(conn).await?;
        let all = jar_checks::of_season(boil.season_id).ask(conn).await?;
        let weights = jar_checks::weights(boil.season_id).ask(conn).await?;
        let last = |c: &CheckRow| {
            let same = |o: &&CheckRow| {
                (o.boil_id, &o.size_name, o.declared) == (c.boil_id, &c.size_name, c.declared)
            };
            all.iter().filter(same).all(|o| o.number <= c.number)
        };
        let latest: Vec<CheckRow> = all.iter().filter(|c| last(c)).cloned().collect();
        let mut kinds: Vec<KindOfLot> = Vec::new();
        for fill in boils::fills(boil.id).ask(conn).await? {
            if fill.count == 0 || fill.part {
                continue;
            }
            let same = |k: &&mut KindOfLot| k.size_name == fill.size_name && k.net == fill.net;
            if let Some(kind) = kinds.iter_mut().find(same) {
                kind.count += fill.count;
                continue;
            }
            let declared = declared(fill.net);
            kinds.push(KindOfLot {
                target: scale.as_ref().map(|(_, d)| fill_target(declared, *d)),
                tare_g: tares
                    .iter()
                    .find(|t| t.size_name == fill.size_name)
                    .map(|t| t.tare_g),
                check: None,
                judged: judge(&[], declared, 0),
                net: fill.net,
                declared,
                count: fill.count,
                size_name: fill.size_name,
            });
        }
        for kind in &mut kinds {
            let of = |c: &&CheckRow| {
                c.boil_id == boil.id && c.size_name == kind.size_name && c.declared == kind.declared
            };
            kind.check = latest.iter().find(of).cloned();
            kind.judged = match &kind.check {
                Some(check) => judged(check, &weights, kind.count),
                None => judge(&[], kind.declared, kind.count),
            };
        }
        let season = latest.into_iter().map(|c| {
            // How many jars the lot has does not matter to where its mean lies.
            let said = judged(&c, &weights, i64::MAX);
            (c, said)
        });
        Ok(Self {
            season: season.collect(),
            boil,
            scale,
            kinds,
        })
    }

    /// The kinds that do not hold what their label says.
    pub fn short(&self) -> impl Iterator<Item = &KindOfLot> {
        self.kinds.iter().filter(|k| k.judged.holds.asks())
    }
}
