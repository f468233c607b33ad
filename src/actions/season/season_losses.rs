//! Boils lost, or parts of them: written down, taken back, and borne by the season before its close, over all who pressed. Writes
//! ledger lines and changes none.

use super::season_close::{all_closed, all_days_closed, units};
use crate::actions::shares::lines::{line, write};
use crate::actions::shares::not_locked::not_locked;
use crate::actions::shares::statements;
use crate::actions::{Act, Done, ReadBefore, Stop, begin};
use crate::calc::RuleRefusal;
use crate::calc::shares::ledger::Entry;
use crate::calc::shares::losses::{LossBound, LossRule};
use crate::calc::shares::split::Sharer;
use crate::facts::season::losses_borne::parts;
use crate::facts::season::season_close::season_solids;
use crate::facts::shares::division_inputs::DivisionInputs;
use crate::facts::shares::syrup_lost::SyrupLost;
use crate::store::boil::boils::{self, BoilRow};
use crate::store::people::coop;
use crate::store::people::members::Member;
use crate::store::season::season_close::{self as close, LossRow};
use crate::store::shares::ledger::NewLine;
use crate::store::shares::lot_losses;
use crate::store::{Question, WriteTx, in_json};
use crate::units::{BoilId, Grams, LotCode, SeasonId, Units};
use std::collections::BTreeMap;

/// Syrup of a boil that was lost.
#[derive(Debug, Clone)]
pub struct NewLoss {
    /// How it was lost: `scorched`, `spilled` or `other`.
    pub what: &'static str,
    /// Syrup lost; `None`: what the whole boil would have given.
    pub lost: Option<Grams>,
    /// Whether nothing is left to put in jars, so that the boil is closed.
    pub whole: bool,
    /// Why it was lost.
    pub why: String,
}

/// Writes down that a boil, or part of it, was lost. A boil lost altogether is closed without a
/// division: no jars, no fees.
pub async fn note_loss(act: &Act, lot: &LotCode, new: NewLoss) -> Done<BoilId> {
    act.steward()?;
    let mut tx = begin!(act, "note_loss");
    let boil = boils::find(lot).ask(&mut tx).await?.ok_or(Stop::Missing)?;
    let laid = DivisionInputs::measured(&mut tx, boil).await?;
    let id = laid.boil.id;
    if new.why.trim().is_empty() {
        return Err(
            RuleRefusal::beside("why", "why-missing", "Please say how it happened.").into(),
        );
    }
    not_locked(&mut tx, laid.boil.season_id).await?;
    if close::loss(id).ask(&mut tx).await?.is_some() {
        return Err(RuleRefusal::new(
            "lost-before",
            "The loss of this boil is written down already.",
        )
        .into());
    }
    let jars = laid.filled.iter().any(|f| f.count > 0);
    if new.whole && (jars || laid.boil.divided_at.is_some()) {
        return Err(RuleRefusal::beside(
            "whole",
            "jars-are-there",
            "Jars were filled from this boil, so not all of it was lost. Please write how much was.",
        )
        .into());
    }
    let bound = laid.loss_bound();
    let syrup = match new.lost {
        Some(grams) => grams,
        None if new.whole => bound.expected,
        None => Grams::ZERO,
    };
    let units = act.units(&mut tx).await?;
    can_be(&laid, (syrup, new.whole), bound, units)?;
    let by = (act.actor.id, act.at);
    let loss = (new.what, syrup, new.whole);
    if close::loss_lines(id).ask(&mut tx).await?.is_empty() {
        close::insert_loss(&mut tx, id, loss, &new.why, by).await?;
    } else {
        close::insert_loss_change(&mut tx, id, loss, &new.why, by).await?;
    }
    tell_lost(act, &mut tx, &laid.boil).await?;
    act.finish(tx, "note_loss", id).await
}

/// Refuses a loss of nothing, and of more than can be missing: what is in jars was not lost, and who wrote so would tell its members of
/// syrup that they have.
fn can_be(
    laid: &DivisionInputs,
    (lost, whole): (Grams, bool),
    bound: LossBound,
    units: Units,
) -> Result<(), RuleRefusal> {
    let most = bound.most(whole);
    if lost > Grams::ZERO && lost <= most {
        return Ok(());
    }
    let says = if whole || bound.weighed.is_none() {
        format!(
            "Please write how much syrup was lost, at most the {} that this boil was expected to give.",
            most.booked(units)
        )
    } else {
        let jars = if bound.in_jars == Grams::ZERO {
            ""
        } else if laid.boil.divided_at.is_some() {
            " If jars broke, please note them where the jars on the shelf are counted."
        } else {
            " If jars broke, please first put right how many there are, on the boil’s page."
        };
        format!(
            "Please write how much syrup was lost: {}.{jars}",
            bound.says(units)
        )
    };
    Err(RuleRefusal::beside("lost", "loss-amiss", says))
}

/// Tells those whose juice was in a boil what was lost of it, as that counts now.
async fn tell_lost(act: &Act, tx: &mut WriteTx, boil: &BoilRow) -> Done<()> {
    let losses = lot_losses::of_boils(&in_json([boil.id])).ask(tx).await?;
    let lost = SyrupLost::written_down(boil, &losses).ok_or(Stop::Missing)?;
    let zone = coop::find().ask(tx).await?.ok_or(Stop::Missing)?.zone;
    let nth = close::loss_lines(boil.id).ask(tx).await?.len();
    let subject = format!("Syrup of lot {} was lost", boil.lot);
    let words = |member: &Member| {
        format!(
            "{} Your statement says what your part of it would have been.",
            lost.says(member.units, &zone)
        )
    };
    statements::syrup_lost(act, tx, (boil, nth), (&subject, words)).await
}

/// Takes a loss back: nothing of the boil counts as lost any more. What was written down stays to be read. Once the season
/// bears it, it stands.
pub async fn take_loss_back(act: &Act, lot: &LotCode, why: &str) -> Done<()> {
    act.steward()?;
    let mut tx = begin!(act, "take_loss_back");
    let boil = boils::find(lot).ask(&mut tx).await?.ok_or(Stop::Missing)?;
    not_locked(&mut tx, boil.season_id).await?;
    let Some(loss) = close::loss(boil.id).ask(&mut tx).await? else {
        return Err(RuleRefusal::new(
            "nothing-lost",
            "No loss of this boil stands, so there is nothing to take back.",
        )
        .into());
    };
    if loss.borne {
        return Err(RuleRefusal::new(
            "borne-before",
            "The season bears this loss already: it was shared out at its close, and stands.",
        )
        .into());
    }
    if why.is_empty() {
        return Err(RuleRefusal::beside(
            "why_back",
            "why-missing",
            "Please say why it is taken back.",
        )
        .into());
    }
    let none = (loss.what.as_str(), Grams::ZERO, false);
    let by = (act.actor.id, act.at);
    close::insert_loss_change(&mut tx, boil.id, none, why, by).await?;
    let nth = close::loss_lines(boil.id).ask(&mut tx).await?.len();
    let lot = &boil.lot;
    let words = |_: &Member| {
        format!(
            "That syrup of lot {lot} was lost does not stand any more. Why: {}.",
            why.trim_end_matches('.')
        )
    };
    let subject = format!("The loss of lot {lot} was taken back");
    statements::syrup_lost(act, &mut tx, (&boil, nth), (&subject, words)).await?;
    act.finish(tx, "take_loss_back", ()).await
}

/// Lets the season bear a lost boil, as the rules it was lit under say: its sharers are made good in
/// carried grams, and everybody who brought solids that season bears the loss by them, as they stand at that moment: a boil put
/// right afterwards moves nothing of it.
pub async fn share_loss(act: &Act, lot: &LotCode) -> Done<()> {
    act.steward()?;
    let mut moment = act.reader.snapshot().await?;
    let boil = boils::find(lot)
        .ask(&mut moment)
        .await?
        .ok_or(Stop::Missing)?;
    let solids = season_solids(&mut moment, boil.season_id).await?;
    let solids = ReadBefore::new(solids, &mut moment).await?;
    drop(moment);
    let mut tx = begin!(act, "share_loss");
    let boil = boils::find(lot).ask(&mut tx).await?.ok_or(Stop::Missing)?;
    let season = boil.season_id;
    not_locked(&mut tx, season).await?;
    let laid = DivisionInputs::measured(&mut tx, boil).await?;
    let loss = close::loss(laid.boil.id)
        .ask(&mut tx)
        .await?
        .ok_or(Stop::Missing)?;
    if laid.rules.loss != LossRule::Pool {
        return Err(RuleRefusal::new(
            "own-loss",
            "By the rules this boil was lit under, its own members bear its loss.",
        )
        .into());
    }
    if loss.borne {
        return Err(RuleRefusal::new("borne-before", "The season bears this loss already.").into());
    }
    all_closed(&mut tx, season).await?;
    all_days_closed(act, &mut tx, season).await?;
    let solids = match solids.if_it_stands(&tx) {
        Some(solids) => solids,
        None => season_solids(&mut tx, season).await?,
    };
    bear(act, &mut tx, &laid, &loss, &solids).await?;
    let subject = format!("The season has borne the loss of lot {lot}");
    let words = |_: &Member| {
        format!(
            "Syrup of lot {lot} was lost. {} What that moved for you stands on your statement.",
            LossRule::Pool.who_bears(true)
        )
    };
    // After the lines of its loss, of which there are no more.
    let nth = close::loss_lines(laid.boil.id).ask(&mut tx).await?.len() + 1;
    statements::syrup_lost(act, &mut tx, (&laid.boil, nth), (&subject, words)).await?;
    act.finish(tx, "share_loss", ()).await
}

/// Refuses cane and boils in a season whose losses were shared out over all who pressed in it: who brings it would not bear them. Its days
/// are closed by then, but for those of a file in which losses could be shared out before they were.
pub(in crate::actions) fn still_pressed(season: SeasonId) -> Question<Done<()>> {
    close::losses_borne(season).map(|borne| {
        if !borne {
            return Ok(());
        }
        Err(RuleRefusal::new(
            "losses-borne",
            "The losses of this season were shared out over all who pressed in it, so no further cane is pressed in it. It belongs \
             into the next season.",
        )
        .into())
    })
}

/// The lines of one loss that the season bears.
async fn bear(
    act: &Act,
    tx: &mut WriteTx,
    laid: &DivisionInputs,
    loss: &LossRow,
    solids: &BTreeMap<Sharer, Grams>,
) -> Done<()> {
    let (lot, season) = (&laid.boil.lot, laid.boil.season_id);
    let all: Grams = solids.values().copied().sum();
    let units = units(tx).await?;
    let mut lines = Vec::new();
    for part in parts(laid, loss.lost, solids)? {
        let good = format!(
            "lot {lot}, {}: made good of the {} lost",
            loss.what,
            loss.lost.booked(units)
        );
        let own = solids.get(&part.sharer).copied().unwrap_or(Grams::ZERO);
        let bears = format!(
            "lot {lot}, {}: part of the {} lost, × {} ÷ {} of the season’s solids, cut to the gram, and \
             odd grams to those of whom most was cut off",
            loss.what,
            loss.lost.grams_text(units),
            own.grams_text(units),
            all.grams_text(units)
        );
        for (grams, says) in [(part.made_good, good), (-part.borne, bears)] {
            if grams != Grams::ZERO {
                lines.push(NewLine {
                    grams,
                    boil_id: Some(laid.boil.id),
                    ..line(act, season, part.sharer, Entry::Loss, says)
                });
            }
        }
    }
    write(tx, lines).await?;
    Ok(())
}
