//! Full jars weighed, and what an empty one weighs.

use crate::actions::{Act, Done, Stop, begin};
use crate::calc::RuleRefusal;
use crate::facts::boil::jar_checks::LotWeights;
use crate::store::boil::boils;
use crate::store::boil::jar_checks::{self, NewCheckRow};
use crate::units::{Grams, LotCode};

/// Jars weighed, as the form has it.
#[derive(Debug, Clone)]
pub struct NewWeights {
    /// Name of the size.
    pub size_name: String,
    /// Syrup in each, as the season's rules have it.
    pub net: Grams,
    /// Weight of an empty jar, g; `None`: as noted before, else the scale was set to zero with one on it.
    pub tare_g: Option<f64>,
    /// Weights that the scale showed, one for each jar, g.
    pub gross_g: Vec<f64>,
}

/// Keeps the weights of some jars of a lot, and the tare if it is another than was noted.
pub async fn weigh_jars(act: &Act, lot: &LotCode, new: NewWeights) -> Done<()> {
    act.crew()?;
    let mut tx = begin!(act, "weigh_jars");
    let boil = boils::find(lot).ask(&mut tx).await?.ok_or(Stop::Missing)?;
    let lot = LotWeights::of(&mut tx, boil).await?;
    let (_, d) = lot.scale.as_ref().ok_or_else(no_scale)?;
    let same = |k: &&_| is_kind(k, &new);
    let kind = lot.kinds.iter().find(same).ok_or(Stop::Missing)?;
    let most = usize::try_from(kind.count).unwrap_or(usize::MAX);
    if new.gross_g.len() > most {
        let words = format!(
            "The lot has {} of these jars; please count again.",
            kind.count
        );
        return Err(RuleRefusal::beside("weights", "more-than-filled", words).into());
    }
    let tare_g = new.tare_g.or(kind.tare_g).unwrap_or(0.0);
    let odd = |g: &&f64| {
        let net = **g - tare_g;
        net < kind.declared.as_f64() / 2.0 || net > kind.declared.as_f64() * 1.5
    };
    if let Some(far) = new.gross_g.iter().find(odd) {
        let words = format!(
            "{far:.0} g less {tare_g:.0} g for the empty jar is far from a jar of {} g. Please look at the scale and at the weight \
             of the empty jar.",
            kind.declared.get()
        );
        return Err(RuleRefusal::beside("weights", "far-off", words).into());
    }
    if let Some(tare) = new.tare_g.filter(|t| *t > 0.0 && Some(*t) != kind.tare_g) {
        jar_checks::insert_tare(&mut tx, &kind.size_name, tare, act.actor.id, act.at).await?;
    }
    let before = jar_checks::of_boil(lot.boil.id).ask(&mut tx).await?;
    let row = NewCheckRow {
        boil: lot.boil.id,
        number: before.last().map_or(1, |c| c.number + 1),
        size_name: &kind.size_name,
        declared: kind.declared,
        tare_g,
        graduation_g: d.get(),
        by: act.actor.id,
        at: act.at,
    };
    jar_checks::insert(&mut tx, &row).await?;
    for (place, gross) in (1..).zip(&new.gross_g) {
        jar_checks::insert_weight(&mut tx, &row, place, *gross).await?;
    }
    act.finish(tx, "weigh_jars", ()).await
}

fn is_kind(kind: &crate::facts::boil::jar_checks::KindOfLot, new: &NewWeights) -> bool {
    kind.size_name == new.size_name && kind.net == new.net
}

fn no_scale() -> RuleRefusal {
    RuleRefusal::new(
        "no-jar-scale",
        "There is no scale for jars here: a steward adds one with steps of 10 g or less.",
    )
}
