//! The season's close: hours credited, carried syrup settled, lost boils borne by the season, the
//! margin going back. Each writes ledger lines in one transaction and changes none.

use crate::actions::shares::statements;
use crate::actions::{Act, Done, ReadBefore, Stop, begin};
use crate::calc::Unmet;
use crate::calc::season::settle;
use crate::calc::shares::ledger::Entry;
use crate::calc::shares::losses::{self, LossRule};
use crate::calc::shares::split::{self, Pour, Sharer};
use crate::facts::season::season_close::{Refund, refunds, rules_beforehand, season_solids};
use crate::facts::shares::division_inputs::DivisionInputs;
use crate::store::boil::boils;
use crate::store::people::{coop, members};
use crate::store::season::season_close as close;
use crate::store::season::seasons::{self, Rules};
use crate::store::shares::ledger::{self, NewLine};
use crate::store::turns::press_days;
use crate::store::{Stored, WriteTx};
use crate::units::{BoilId, Cents, Grams, LotCode, Measured, MemberId, RateUnit, SeasonId, Units};

/// Carried syrup to be settled.
#[derive(Debug, Clone)]
pub struct NewSettlement {
    /// The season whose price holds, and whose statement it stands on.
    pub season: SeasonId,
    /// How much; `None`: all of it.
    pub part: Option<Grams>,
    /// In syrup, from or to the mill's own; else in money.
    pub in_syrup: bool,
}

/// Syrup of a boil that was lost.
#[derive(Debug, Clone)]
pub struct NewLoss {
    /// `scorched`, `spilled` or `other`.
    pub what: &'static str,
    /// How much; `None`: what the whole boil would have given.
    pub lost: Option<Grams>,
    /// Nothing is left to put in jars: the boil is closed.
    pub whole: bool,
    /// Why.
    pub why: String,
}

/// A line of the ledger without a boil; its number is given on writing.
pub(super) fn line(act: &Act, season: SeasonId, who: Sharer, kind: Entry, says: String) -> NewLine {
    NewLine {
        number: 0,
        season_id: season,
        member_id: who.member(),
        kind,
        grams: Grams::ZERO,
        cents: Cents::ZERO,
        boil_id: None,
        division_id: None,
        says,
        answers: None,
        by_id: act.actor.id,
        at: act.at,
    }
}

/// Writes lines with the next numbers and gives the first.
pub(super) async fn write(tx: &mut WriteTx, lines: Vec<NewLine>) -> Stored<i64> {
    let first = ledger::next_number(tx).await?;
    for (number, line) in (first..).zip(lines) {
        ledger::insert(tx, &NewLine { number, ..line }).await?;
    }
    Ok(first)
}

pub(super) async fn rules(tx: &mut WriteTx, season: SeasonId) -> Done<Rules> {
    if seasons::find(tx, season).await?.is_none() {
        return Err(Unmet::beside("season", "no-season", "Please choose a season.").into());
    }
    let rules = seasons::rules_in_force(tx, season).await?;
    if rules.holds_from.is_none() {
        return Err(Unmet::beside(
            "season",
            "rules-draft",
            "The rules of that season are not confirmed yet. A steward confirms them on the season’s page.",
        )
        .into());
    }
    Ok(rules)
}

async fn units(tx: &mut WriteTx) -> Stored<Units> {
    Ok(coop::find(tx).await?.map_or(Units::Us, |c| c.units))
}

/// Settles what is carried for a member with the mill: in money at the season's price, or in syrup.
/// A line on each side, so that all balances together stay what they were.
pub async fn settle_carry(act: &Act, member: MemberId, new: NewSettlement) -> Done<()> {
    act.steward()?;
    let mut tx = begin!(act, "settle_carry");
    let card = members::find(&mut tx, member).await?.ok_or(Stop::Missing)?;
    let rules = rules(&mut tx, new.season).await?;
    let units = units(&mut tx).await?;
    let (balance, _) = ledger::balance_of(&mut tx, member).await?;
    let price = (!new.in_syrup).then_some((rules.syrup_rate, rules.rates_in));
    let moved = settle::settle(balance, new.part, price)?;
    let grams = Grams::new(moved.grams.get().abs());
    let how = if new.in_syrup {
        format!("{} settled in syrup", grams.grams_text(units))
    } else {
        format!(
            "{} settled in money: {} × {} per {}, to the nearest cent",
            grams.grams_text(units),
            Measured::mass(grams, rules.rates_in).show(units),
            rules.syrup_rate.show(),
            RateUnit::of_mass(rules.rates_in).sign()
        )
    };
    let own = line(
        act,
        new.season,
        Sharer::Member(member),
        Entry::Settled,
        how.clone(),
    );
    let says = format!("{how}, with {}", card.name);
    let mill = line(act, new.season, Sharer::Mill, Entry::Settled, says);
    let lines = vec![
        NewLine {
            grams: moved.grams,
            cents: moved.cents,
            ..own
        },
        NewLine {
            grams: -moved.grams,
            cents: -moved.cents,
            ..mill
        },
    ];
    write(&mut tx, lines).await?;
    act.finish(tx, "settle_carry", ()).await
}

/// Writes down that a boil, or part of it, was lost. A boil lost altogether is closed without a
/// division: no jars, no fees.
pub async fn note_loss(act: &Act, lot: &LotCode, new: NewLoss) -> Done<BoilId> {
    act.steward()?;
    let mut tx = begin!(act, "note_loss");
    let boil = boils::find(&mut tx, lot).await?.ok_or(Stop::Missing)?;
    let laid = DivisionInputs::measured(&mut tx, boil).await?;
    let id = laid.boil.id;
    if new.why.trim().is_empty() {
        return Err(Unmet::beside("why", "why-missing", "Please say how it happened.").into());
    }
    if close::loss(&mut tx, id).await?.is_some() {
        return Err(Unmet::new(
            "lost-before",
            "The loss of this boil is written down already.",
        )
        .into());
    }
    let jars = laid.filled.iter().any(|f| f.count > 0);
    if new.whole && (jars || laid.boil.divided_at.is_some()) {
        return Err(Unmet::beside(
            "whole",
            "jars-are-there",
            "Jars were filled from this boil, so not all of it was lost. Please write how much was.",
        )
        .into());
    }
    let solids: Grams = laid.pours.iter().map(|p| p.part.solids).sum();
    let expected = losses::expected_syrup(solids, laid.rules.recovery_pct, laid.boil.target);
    let syrup = match new.lost {
        Some(grams) => grams,
        None if new.whole => expected,
        None => Grams::ZERO,
    };
    if syrup <= Grams::ZERO || syrup > expected {
        return Err(Unmet::beside(
            "lost",
            "loss-amiss",
            format!(
                "Please write how much syrup was lost, from 1 g to the {} g that this boil was expected \
                 to give.",
                expected.get()
            ),
        )
        .into());
    }
    let by = (act.actor.id, act.at);
    close::insert_loss(&mut tx, (id, new.what), (syrup, new.whole), &new.why, by).await?;
    act.finish(tx, "note_loss", id).await
}

/// Refuses while a boil of the season is neither divided nor lost: what all brought is not known.
pub(super) async fn all_closed(tx: &mut WriteTx, season: SeasonId) -> Done<()> {
    match close::open_lots(tx, season).await?.first() {
        None => Ok(()),
        Some(lot) => Err(Unmet::new(
            "boils-open",
            format!(
                "Lot {lot} is not divided yet. What everybody brought this season is known once every \
                 boil is divided."
            ),
        )
        .into()),
    }
}

/// Refuses while a press day of the season is to come: who presses in it is not known.
pub(super) async fn all_pressed(act: &Act, tx: &mut WriteTx, season: SeasonId) -> Done<()> {
    let zone = coop::find(tx).await?.ok_or(Stop::Missing)?.zone;
    let today = zone.local(act.at).0;
    let days = press_days::of_season(tx, season).await?;
    match days.iter().find(|d| d.date > today && d.closed_at.is_none()) {
        None => Ok(()),
        Some(day) => Err(Unmet::new(
            "days-to-come",
            format!(
                "{} is still to come. What the season bears is shared over all who pressed in it, once its last press day is \
                 over or called off.",
                day.date.show()
            ),
        )
        .into()),
    }
}

/// Lets the season bear a lost boil, as the rules it was lit under say: its sharers are made good in
/// carried grams, and everybody who brought solids that season bears the loss by them.
pub async fn share_loss(act: &Act, lot: &LotCode) -> Done<()> {
    act.steward()?;
    let mut moment = act.reader.snapshot().await?;
    let boil = boils::find(&mut moment, lot).await?.ok_or(Stop::Missing)?;
    let solids = season_solids(&mut moment, boil.season_id).await?;
    let solids = ReadBefore::new(solids, &mut moment).await?;
    drop(moment);
    let mut tx = begin!(act, "share_loss");
    let boil = boils::find(&mut tx, lot).await?.ok_or(Stop::Missing)?;
    let laid = DivisionInputs::measured(&mut tx, boil).await?;
    let season = laid.boil.season_id;
    let loss = close::loss(&mut tx, laid.boil.id)
        .await?
        .ok_or(Stop::Missing)?;
    if laid.rules.loss != LossRule::Pool {
        return Err(Unmet::new(
            "own-loss",
            "By the rules this boil was lit under, its own members bear its loss.",
        )
        .into());
    }
    if loss.borne {
        return Err(Unmet::new("borne-before", "The season bears this loss already.").into());
    }
    all_closed(&mut tx, season).await?;
    all_pressed(act, &mut tx, season).await?;
    let pours: Vec<Pour> = laid
        .pours
        .iter()
        .map(|p| Pour {
            sharer: p.brought.sharer,
            weight: p.brought.weight(laid.rules.basis),
        })
        .collect();
    let entitled = split::entitle(lot.as_str(), loss.lost, laid.rules.toll, &pours)?;
    let solids = match solids.if_it_stands(&tx) {
        Some(solids) => solids,
        None => season_solids(&mut tx, season).await?,
    };
    let all: Grams = solids.values().copied().sum();
    let units = units(&mut tx).await?;
    let mut lines = Vec::new();
    for part in losses::spread(lot.as_str(), loss.lost, &entitled, &solids)? {
        let of = loss.lost.grams_text(units);
        let good = format!("lot {lot}, {}: made good of the {of} lost", loss.what);
        let own = solids.get(&part.sharer).copied().unwrap_or(Grams::ZERO);
        let bears = format!(
            "lot {lot}, {}: part of the {of} lost, × {} ÷ {} of the season’s solids, cut to the gram, and \
             odd grams to those of whom most was cut off",
            loss.what,
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
    write(&mut tx, lines).await?;
    act.finish(tx, "share_loss", ()).await
}

/// Gives the season's margin back by solids brought, as the rules fixed before its first boil.
pub async fn give_back(act: &Act, season: SeasonId, margin: Cents) -> Done<()> {
    act.steward()?;
    let mut moment = act.reader.snapshot().await?;
    let found = seasons::find(&mut moment, season)
        .await?
        .ok_or(Stop::Missing)?;
    let patronage = rules_beforehand(&mut moment, season).await?.patronage;
    let parts = refunds(&mut moment, season, found.year, margin).await?;
    let before = ReadBefore::new((patronage, parts), &mut moment).await?;
    drop(moment);
    let mut tx = begin!(act, "give_back");
    let (patronage, parts) = match before.if_it_stands(&tx) {
        Some(before) => before,
        None => (
            rules_beforehand(&mut tx, season).await?.patronage,
            refunds(&mut tx, season, found.year, margin).await?,
        ),
    };
    if !patronage {
        return Err(Unmet::new(
            "no-patronage",
            "The rules before this season’s first boil did not say that the margin goes back, and a rule \
             made afterwards does not count. It can be voted for the next season.",
        )
        .into());
    }
    if close::gone_back(&mut tx, season).await? {
        return Err(Unmet::new(
            "gone-back-before",
            "This season’s margin went back already.",
        )
        .into());
    }
    all_closed(&mut tx, season).await?;
    let units = units(&mut tx).await?;
    let parts = parts?;
    let all: Grams = parts.iter().map(|part| part.solids).sum();
    let given: Vec<Refund> = parts
        .into_iter()
        .filter(|part| part.cents > Cents::ZERO)
        .collect();
    for part in &given {
        let of = (season, found.year);
        statements::gone_back(act, &mut tx, of, (part.member, part.cents)).await?;
    }
    let lines = given
        .into_iter()
        .map(|part| {
            let says = format!(
                "margin of {} × {} ÷ {} of solids, cut to the cent, and odd cents to those of whom most \
                 was cut off",
                margin.show(),
                part.solids.grams_text(units),
                all.grams_text(units)
            );
            NewLine {
                cents: -part.cents,
                ..line(act, season, Sharer::Member(part.member), Entry::Patronage, says)
            }
        })
        .collect();
    write(&mut tx, lines).await?;
    act.finish(tx, "give_back", ()).await
}
