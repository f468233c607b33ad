//! What a season's close goes by: solids brought, what a margin would give back, the rules that promised it,
//! and the records that its pages show.

use super::seasons::SeasonRules;
use crate::calc::RuleRefusal;
use crate::calc::season::settle;
use crate::calc::shares::losses::{LossBound, LossRule};
use crate::calc::shares::split::Sharer;
use crate::facts::rules_versions;
use crate::facts::shares::division_inputs::DivisionInputs;
use crate::facts::shares::poured_juice;
use crate::store::boil::boils::{self, BoilRow};
use crate::store::people::members;
use crate::store::season::season_close::{self as close, HoursRow, LossLine, LossRow};
use crate::store::season::seasons::{self, Rules};
use crate::store::shares::ledger::{self, Balance};
use crate::store::{Conn, StoreError, Stored, Together};
use crate::units::{Cents, Grams, LotCode, MemberId, MemberName, PressDate, SeasonId};
use std::collections::BTreeMap;

/// All that the close of a season is made of.
#[derive(Debug)]
pub struct SeasonClose {
    /// The season with its rules.
    pub season: SeasonRules,
    /// The rules before the first boil promise that the margin goes back.
    pub promised: bool,
    /// Whether the margin was given back.
    pub margin_returned: bool,
    /// Lots that are neither divided nor lost.
    pub open: Vec<LotCode>,
    /// The balances on the books, by name.
    pub balances: Vec<Balance>,
    /// Fees and glass, and the credit for hours.
    pub charged: (Cents, Cents),
    /// Hours worked, latest first.
    pub hours: Vec<HoursRow>,
    /// Boils lost, in the order they were lit.
    pub losses: Vec<LossRow>,
    /// Those of them that the season is to bear and does not yet.
    pub to_bear: Vec<LotCode>,
    /// What each would get of the margin that was asked about, with the name; or why nobody gets anything.
    pub refunds: Option<Result<Vec<(MemberName, Refund)>, RuleRefusal>>,
}

impl SeasonClose {
    /// The close of a year as it stands today, with what `margin` would give back; `None`: the season was not opened.
    ///
    /// # Errors
    /// The store failed.
    pub async fn of_year(
        conn: &mut Conn,
        (year, today): (i64, PressDate),
        margin: Option<Cents>,
    ) -> Stored<Option<Self>> {
        let Some(season) = SeasonRules::of_year(conn, year, today).await? else {
            return Ok(None);
        };
        let id = season.season.id;
        let refunds = match margin {
            Some(margin) => match refunds(conn, id, year, margin).await? {
                Ok(refunds) => Some(Ok(named(conn, refunds).await?)),
                Err(refusal) => Some(Err(refusal)),
            },
            None => None,
        };
        let found = (
            close::margin_returned(id),
            close::open_lots(id),
            ledger::balances(id),
            close::charged(id),
            close::hours(id),
            close::losses(id),
        );
        let (margin_returned, open, balances, charged, hours, losses) =
            found.together().ask(conn).await?;
        Ok(Some(Self {
            promised: rules_beforehand(conn, id).await?.patronage,
            margin_returned,
            open,
            balances,
            charged,
            hours,
            losses,
            to_bear: to_bear(conn, id)
                .await?
                .into_iter()
                .map(|loss| loss.lot)
                .collect(),
            season,
            refunds,
        }))
    }
}

async fn named(conn: &mut Conn, refunds: Vec<Refund>) -> Stored<Vec<(MemberName, Refund)>> {
    let cards = members::list().ask(conn).await?;
    let named = refunds.into_iter().filter_map(|refund| {
        let card = cards.iter().find(|card| card.id == refund.member)?;
        Some((card.name.clone(), refund))
    });
    Ok(named.collect())
}

/// Solids of a season by member: divided boils, and those lost altogether.
///
/// # Errors
/// The store failed.
pub async fn season_solids(conn: &mut Conn, season: SeasonId) -> Stored<BTreeMap<Sharer, Grams>> {
    let mut solids: BTreeMap<Sharer, Grams> = BTreeMap::new();
    for (member, grams) in close::solids(season).ask(conn).await? {
        *solids.entry(Sharer::Member(member)).or_default() += grams;
    }
    for loss in close::losses(season).ask(conn).await? {
        if !loss.whole {
            continue;
        }
        for pour in poured_juice::poured(conn, loss.boil_id).await? {
            *solids
                .entry(Sharer::Member(pour.draw.member_id))
                .or_default() += pour.part.solids;
        }
    }
    Ok(solids)
}

/// One member's part of the season's margin.
#[derive(Debug, Clone, Copy)]
pub struct Refund {
    /// The member.
    pub member: MemberId,
    /// Solids that the member brought.
    pub solids: Grams,
    /// Money that the member gets of the margin.
    pub cents: Cents,
}

/// Reckons how a margin goes back, before anything is written.
///
/// # Errors
/// The store failed. Inside: nothing to give back, or nobody brought anything.
pub async fn refunds(
    conn: &mut Conn,
    season: SeasonId,
    year: i64,
    margin: Cents,
) -> Stored<Result<Vec<Refund>, RuleRefusal>> {
    let solids: Vec<(Sharer, Grams)> = season_solids(conn, season).await?.into_iter().collect();
    let parts = settle::give_back(&year.to_string(), margin, &solids);
    Ok(parts.map(|parts| {
        let parts = solids.iter().zip(parts);
        let refund = |((_, solids), (who, cents)): (&(Sharer, Grams), (Sharer, Cents))| {
            Some(Refund {
                member: who.member()?,
                solids: *solids,
                cents,
            })
        };
        parts.filter_map(refund).collect()
    }))
}

/// The rules that stood before the season's first boil: only they can have promised a refund.
///
/// # Errors
/// The store failed.
pub async fn rules_beforehand(conn: &mut Conn, season: SeasonId) -> Stored<Rules> {
    let Some(first) = boils::of_season(season).ask(conn).await?.into_iter().next() else {
        // No boil was lit: what is confirmed by now would stand before the first.
        return rules_versions::at_the_end(season).ask(conn).await;
    };
    seasons::rules(first.rules_id)
        .ask(conn)
        .await?
        .ok_or(StoreError::Corrupt {
            what: "boils.rules_id",
            found: first.rules_id.to_string(),
        })
}

/// A boil with the rules it was lit under, and what was lost of it.
#[derive(Debug, Clone)]
pub struct BoilLoss {
    /// The boil that was lost, or is to be.
    pub boil: BoilRow,
    /// The rules it was lit under.
    pub rules: Rules,
    /// The loss as it counts now, if there is one.
    pub loss: Option<LossRow>,
    /// All that was written of it, in order.
    pub lines: Vec<LossLine>,
    /// The year of its season, where that is closed and locked.
    pub locked: Option<i64>,
    /// Year of the boil's season.
    pub year: i64,
    /// What bounds how much can be written down as lost; `None`: a loss counts already.
    pub bound: Option<LossBound>,
}

impl BoilLoss {
    /// The boil of that lot; `None`: there is none.
    ///
    /// # Errors
    /// The store failed.
    pub async fn of_lot(conn: &mut Conn, lot: &LotCode) -> Stored<Option<Self>> {
        let Some(boil) = boils::find(lot).ask(conn).await? else {
            return Ok(None);
        };
        let rules = seasons::rules(boil.rules_id)
            .ask(conn)
            .await?
            .ok_or(StoreError::Corrupt {
                what: "boils.rules_id",
                found: boil.rules_id.to_string(),
            })?;
        let loss = close::loss(boil.id).ask(conn).await?;
        let lines = close::loss_lines(boil.id).ask(conn).await?;
        let year = seasons::find(boil.season_id)
            .ask(conn)
            .await?
            .map_or(0, |s| s.year);
        let locked = close::is_locked(boil.season_id).ask(conn).await?;
        let locked = locked.then_some(year);
        let bound = match &loss {
            Some(_) => None,
            None => Some(
                DivisionInputs::measured(conn, boil.clone())
                    .await?
                    .loss_bound(),
            ),
        };
        Ok(Some(Self {
            boil,
            rules,
            loss,
            lines,
            locked,
            year,
            bound,
        }))
    }
}

/// The losses of a season that it is to bear, by the rules each boil was lit under, and does not bear yet.
///
/// # Errors
/// The store failed.
pub async fn to_bear(conn: &mut Conn, season: SeasonId) -> Stored<Vec<LossRow>> {
    let mut out = Vec::new();
    for loss in close::losses(season).ask(conn).await? {
        if loss.borne {
            continue;
        }
        let Some(boil) = boils::find(&loss.lot).ask(conn).await? else {
            continue;
        };
        let rules = seasons::rules(boil.rules_id).ask(conn).await?;
        if rules.is_some_and(|rules| rules.loss == LossRule::Pool) {
            out.push(loss);
        }
    }
    Ok(out)
}
