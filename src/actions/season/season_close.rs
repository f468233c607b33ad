//! The season's close: hours credited, carried syrup settled, the margin going back. Each writes ledger lines in one transaction and changes none.

use crate::actions::season::seasons::confirmed_on;
use crate::actions::shares::lines::{line, write};
use crate::actions::shares::not_locked::not_locked;
use crate::actions::shares::statements;
use crate::actions::{Act, Done, ReadBefore, Stop, begin};
use crate::calc::RuleRefusal;
use crate::calc::season::settle;
use crate::calc::shares::ledger::Entry;
use crate::calc::shares::split::Sharer;
use crate::facts::season::season_close::{Refund, refunds, rules_beforehand};
use crate::store::people::{coop, members};
use crate::store::season::season_close as close;
use crate::store::season::seasons::{self, Rules};
use crate::store::shares::ledger::{self, NewLine};
use crate::store::turns::press_days::{self, PressDay};
use crate::store::{Stored, WriteTx};
use crate::units::{Cents, Grams, Measured, MemberId, PressDate, RateUnit, SeasonId, Units};

/// Carried syrup to be settled.
#[derive(Debug, Clone)]
pub struct NewSettlement {
    /// The season whose price holds, and whose statement it stands on.
    pub season: SeasonId,
    /// Syrup to be settled; `None`: all of it.
    pub part: Option<Grams>,
}

/// The rules of a season that money of a day is worked by: confirmed, and in force on that day.
pub(super) async fn rules(tx: &mut WriteTx, season: SeasonId, on: PressDate) -> Done<Rules> {
    if seasons::find(season).ask(tx).await?.is_none() {
        return Err(RuleRefusal::beside("season", "no-season", "Please choose a season.").into());
    }
    not_locked(tx, season).await?;
    confirmed_on(tx, season, on).await
}

/// The day at the co-op.
pub(super) async fn today(act: &Act, tx: &mut WriteTx) -> Done<PressDate> {
    let coop = coop::find().ask(tx).await?.ok_or(Stop::Missing)?;
    Ok(coop.zone.local(act.at).0)
}

pub(super) async fn units(tx: &mut WriteTx) -> Stored<Units> {
    Ok(coop::find().ask(tx).await?.map_or(Units::Us, |c| c.units))
}

/// Settles what is carried for a member with the mill in money, at the price that the season's rules name today.
/// A line on each side, so that all balances together stay what they were.
pub async fn settle_carry(act: &Act, member: MemberId, new: NewSettlement) -> Done<()> {
    act.steward()?;
    let mut tx = begin!(act, "settle_carry");
    let card = members::find(member)
        .ask(&mut tx)
        .await?
        .ok_or(Stop::Missing)?;
    let today = today(act, &mut tx).await?;
    let rules = rules(&mut tx, new.season, today).await?;
    let units = units(&mut tx).await?;
    let (balance, _) = ledger::balance_of(member).ask(&mut tx).await?;
    let price = (rules.syrup_rate, rules.rates_in);
    let reads = act.units(&mut tx).await?;
    let moved = settle::settle(balance, new.part, price, reads)?;
    let grams = Grams::new(moved.grams.get().abs());
    let how = format!(
        "{} settled in money: {} × {} per {}, to the nearest cent",
        grams.grams_text(units),
        Measured::mass(grams, rules.rates_in).show(units),
        rules.syrup_rate.show(),
        RateUnit::of_mass(rules.rates_in).sign()
    );
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

/// Refuses while a boil of the season is neither divided nor lost: what all brought is not known.
pub(super) async fn all_closed(tx: &mut WriteTx, season: SeasonId) -> Done<()> {
    let open = close::open_lots(season).ask(tx).await?;
    let [first, rest @ ..] = open.as_slice() else {
        return Ok(());
    };
    let lots = rest
        .iter()
        .fold(first.to_string(), |all, lot| format!("{all}, {lot}"));
    let (s, is) = if rest.is_empty() {
        ("", "is")
    } else {
        ("s", "are")
    };
    Err(RuleRefusal::new(
        "boils-open",
        format!(
            "Lot{s} {lots} {is} not divided yet. What everybody brought this season is known once every \
             boil is divided."
        ),
    )
    .into())
}

/// Refuses while a press day of the season is not closed, also one that is past: cane of that day may still be written down.
pub(super) async fn all_days_closed(act: &Act, tx: &mut WriteTx, season: SeasonId) -> Done<()> {
    let today = today(act, tx).await?;
    let days = press_days::of_season(season).ask(tx).await?;
    let open: Vec<PressDay> = days.into_iter().filter(|d| d.closed_at.is_none()).collect();
    none_open(&open, today)
}

fn none_open(open: &[PressDay], today: PressDate) -> Done<()> {
    let named: Vec<String> = open
        .iter()
        .map(|day| {
            let is = if day.date <= today {
                "is not closed yet"
            } else {
                "is still to come"
            };
            format!("{} {is}", day.date.show())
        })
        .collect();
    if named.is_empty() {
        return Ok(());
    }
    Err(RuleRefusal::new(
        "days-to-come",
        format!(
            "{}. What is shared over all who pressed this season waits until every press day is closed.",
            named.join("; ")
        ),
    )
    .into())
}

/// Gives the season's margin back by solids brought, as the rules fixed before its first boil.
pub async fn give_back(act: &Act, season: SeasonId, margin: Cents) -> Done<()> {
    act.steward()?;
    let mut moment = act.reader.snapshot().await?;
    let found = seasons::find(season)
        .ask(&mut moment)
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
        return Err(RuleRefusal::new(
            "no-patronage",
            "The rules before this season’s first boil did not say that the margin goes back, and a rule \
             made afterwards does not count. It can be voted for the next season.",
        )
        .into());
    }
    if close::margin_returned(season).ask(&mut tx).await? {
        return Err(RuleRefusal::new(
            "gone-back-before",
            "This season’s margin went back already.",
        )
        .into());
    }
    not_locked(&mut tx, season).await?;
    all_days_closed(act, &mut tx, season).await?;
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
        statements::return_margin(act, &mut tx, of, (part.member, part.cents)).await?;
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
