//! What goes into the division of a boil: everything measured that it goes by, and, when the boil is
//! open for a correction, the division that is corrected.

use super::poured_juice::{Behind, PouredJuice};
use crate::calc::RuleRefusal;
use crate::calc::shares::correction::{self, Held, HeldJars};
use crate::calc::shares::division::{self, Brought, Carried, Division, DivisionCase, Filled};
use crate::calc::shares::fees::FeeRates;
use crate::calc::shares::split::Sharer;
use crate::facts::boil::boil_sums;
use crate::store::boil::boils::{self, BoilRow};
use crate::store::people::members;
use crate::store::season::seasons::{self, Rules};
use crate::store::shares::divisions::{self, CorrectionRow};
use crate::store::shares::{hand_overs, ledger};
use crate::store::{Conn, Question, StoreError, Stored, Together, in_json};
use crate::units::{BoilId, BrixAt20C, Grams, LotCode, RulesId, SeasonId, Units};
use std::collections::{BTreeMap, BTreeSet};

/// All that the division of a boil is worked out from.
#[derive(Debug, Clone)]
pub struct DivisionInputs {
    /// The boil and its finish.
    pub boil: BoilRow,
    /// The rules in force when it was lit.
    pub rules: Rules,
    /// Its juices, by ticket.
    pub pours: Vec<PouredJuice>,
    /// Its jars.
    pub filled: Vec<Filled>,
    /// Syrup carried by everybody, and when each was last favoured.
    pub carried: Vec<Carried>,
    /// The sizes that everybody wishes for, by net weight.
    pub wishes: Vec<(Sharer, Grams)>,
    /// The division to be corrected, when the boil is open for a correction.
    pub correction: Option<ToCorrect>,
}

/// A division that is to be corrected.
#[derive(Debug, Clone)]
pub struct ToCorrect {
    /// The correction: the version to be made, why, by whom.
    pub opened: CorrectionRow,
    /// The shares and jars of the version before, and what was handed over.
    pub held: Vec<Held>,
    /// The balances before the boil was first divided.
    pub before: BTreeMap<Sharer, Grams>,
}

/// The divided boils of a season as they were measured, with nothing carried and no wishes.
///
/// # Errors
/// The store failed.
pub async fn divided_of_season(conn: &mut Conn, season: SeasonId) -> Stored<Vec<DivisionInputs>> {
    let mut all = boils::of_season(season).ask(conn).await?;
    let divided = divisions::of_boils(&in_json(all.iter().map(|boil| boil.id)))
        .ask(conn)
        .await?;
    all.retain(|boil| divided.iter().any(|row| row.boil_id == boil.id));
    DivisionInputs::all_measured(conn, all).await
}

/// The division that a correction is to correct.
async fn to_correct(conn: &mut Conn, boil: &BoilRow, opened: CorrectionRow) -> Stored<ToCorrect> {
    let versions = divisions::versions(boil.id).ask(conn).await?;
    let (Some(last), Some(first)) = (versions.first(), versions.last()) else {
        return Err(StoreError::Corrupt {
            what: "corrections",
            found: format!("{} was never divided", boil.lot),
        });
    };
    let found = (
        hand_overs::gone_of_boil(boil.id),
        divisions::share_jars(last.id),
        divisions::shares(last.id),
        ledger::carries_until(first.after_line),
    );
    let (handed, jars, shares, before) = found.together().ask(conn).await?;
    let number = |n: i64| u32::try_from(n).unwrap_or(0);
    let held_jars = |place, member| {
        let own = jars.iter().filter(move |j| j.place == place);
        own.map(|j| {
            let same = handed.iter().filter(|t| {
                t.member_id == member
                    && t.size_name == j.size_name
                    && t.net == j.net
                    && t.part == j.part
            });
            HeldJars {
                name: j.size_name.clone(),
                net: j.net,
                part: j.part,
                count: number(j.count),
                handed: number(same.map(|t| t.count).sum()),
            }
        })
        .collect()
    };
    let held = shares
        .into_iter()
        .map(|share| Held {
            sharer: Sharer::of(share.member_id),
            entitled: share.entitled,
            favoured_at: share.favoured_at,
            jars: held_jars(share.place, share.member_id),
        })
        .collect();
    Ok(ToCorrect {
        opened,
        held,
        before: before
            .into_iter()
            .map(|(member, grams)| (Sharer::of(member), grams))
            .collect(),
    })
}

fn no_rules(boil: &BoilRow) -> StoreError {
    StoreError::Corrupt {
        what: "boils.rules_id",
        found: boil.rules_id.to_string(),
    }
}

/// The rules that some boils are divided by: a few versions of a season's.
pub fn rules_of(boils: &[BoilRow]) -> Question<BTreeMap<RulesId, Rules>> {
    let ids: BTreeSet<RulesId> = boils.iter().map(|boil| boil.rules_id).collect();
    let found = Question::all(ids.into_iter().map(seasons::rules));
    found.map(|all| all.into_iter().flatten().map(|r| (r.id, r)).collect())
}

/// Balances of syrup, and when each sharer was last favoured: of everybody who has either.
fn carried() -> Question<Vec<Carried>> {
    let blank = |sharer| Carried {
        sharer,
        carried: Grams::ZERO,
        favoured_at: None,
    };
    let found = (ledger::carries(), divisions::favoured()).together();
    found.map(move |(carries, favoured)| {
        let mut out: BTreeMap<Sharer, Carried> = BTreeMap::new();
        for (member, grams) in carries {
            let who = Sharer::of(member);
            out.entry(who).or_insert_with(|| blank(who)).carried = grams;
        }
        for (member, at) in favoured {
            let who = Sharer::of(member);
            out.entry(who).or_insert_with(|| blank(who)).favoured_at = Some(at);
        }
        out.into_values().collect()
    })
}

impl DivisionInputs {
    /// Reads everything that the division of a boil goes by. `None`: no such lot.
    ///
    /// # Errors
    /// The store failed.
    pub async fn read(conn: &mut Conn, lot: &LotCode) -> Stored<Option<Self>> {
        let Some(boil) = boils::find(lot).ask(conn).await? else {
            return Ok(None);
        };
        let beside = (
            carried(),
            members::all_wishes(),
            divisions::open_correction(boil.id),
        );
        let (carried, wishes, opened) = beside.together().ask(conn).await?;
        let mut inputs = Self::measured(conn, boil).await?;
        inputs.carried = carried;
        inputs.wishes = wishes
            .into_iter()
            .map(|(id, net)| (Sharer::Member(id), net))
            .collect();
        if let Some(opened) = opened {
            inputs.correction = Some(to_correct(conn, &inputs.boil, opened).await?);
        }
        Ok(Some(inputs))
    }

    /// What was measured of a boil, with nothing carried and no wishes.
    ///
    /// # Errors
    /// The store failed.
    pub async fn measured(conn: &mut Conn, boil: BoilRow) -> Stored<Self> {
        let found = Self::all_measured(conn, vec![boil]).await?;
        found.into_iter().next().ok_or(StoreError::Corrupt {
            what: "boils.id",
            found: "a boil that was just read".to_owned(),
        })
    }

    /// As [`Self::measured`], for many boils at once, in their order.
    ///
    /// # Errors
    /// The store failed.
    pub async fn all_measured(conn: &mut Conn, boils: Vec<BoilRow>) -> Stored<Vec<Self>> {
        let ids: Vec<BoilId> = boils.iter().map(|boil| boil.id).collect();
        let found = (
            rules_of(&boils),
            boil_sums::in_pans(&ids),
            boils::fills_of(&in_json(&ids)),
        );
        let (rules, pans, filled) = found.together().ask(conn).await?;
        let off = |boil: &BoilRow| rules.get(&boil.rules_id).is_some_and(|r| r.trash_off);
        let wanted: Vec<(BoilId, bool)> = boils.iter().map(|b| (b.id, off(b))).collect();
        let behind = Behind::of(pans.values().flatten()).ask(conn).await?;
        let mut pours = behind.pours(pans, &wanted)?;
        let mut fills: BTreeMap<BoilId, Vec<Filled>> = BTreeMap::new();
        for (boil, fill) in filled {
            fills.entry(boil).or_default().push(Filled {
                name: fill.size_name,
                net: fill.net,
                part: fill.part,
                count: u32::try_from(fill.count).unwrap_or(0),
                price: fill.price,
            });
        }
        let mut out = Vec::with_capacity(boils.len());
        for boil in boils {
            let own = rules.get(&boil.rules_id).cloned();
            out.push(Self {
                rules: own.ok_or_else(|| no_rules(&boil))?,
                pours: pours.remove(&boil.id).unwrap_or_default(),
                filled: fills.remove(&boil.id).unwrap_or_default(),
                carried: Vec::new(),
                wishes: Vec::new(),
                correction: None,
                boil,
            });
        }
        Ok(out)
    }

    /// Syrup out of the pan and its Brix, once it is finished.
    pub fn finish(&self) -> Option<(Grams, BrixAt20C)> {
        self.boil.finish.as_ref().map(|f| (f.syrup, f.brix_20))
    }

    /// The division as it would be frozen at this moment.
    ///
    /// # Errors
    /// What cannot be divided, with what to mend.
    pub fn propose(&self, units: Units) -> Result<Division, RuleRefusal> {
        let old = self.correction.as_ref();
        self.reckon(old.map(|o| (o.held.as_slice(), &o.before)), units)
    }

    /// Works out the division; or works it out again over the one that is `held`, if there is one.
    ///
    /// # Errors
    /// As [`Self::propose`].
    pub(in crate::facts) fn reckon(
        &self,
        held: Option<(&[Held], &BTreeMap<Sharer, Grams>)>,
        units: Units,
    ) -> Result<Division, RuleRefusal> {
        self.check_pours()?;
        let brought: Vec<Brought> = self.pours.iter().map(|p| p.brought).collect();
        let case = DivisionCase {
            lot: self.boil.lot.as_str(),
            basis: self.rules.basis,
            toll: self.rules.toll,
            rates: FeeRates {
                per: self.rules.rates_in,
                cane: self.rules.cane_rate,
                juice: self.rules.juice_rate,
                boil: self.rules.boil_fee,
                jar: self.rules.jar_fee,
                least: self.rules.least,
            },
            finish: self.finish(),
            brought: &brought,
            filled: &self.filled,
            carried: &self.carried,
            wishes: &self.wishes,
            lots_repay_pct: self.rules.lots_repay_pct,
            units,
        };
        match held {
            Some((held, before)) => correction::divide_again(&case, held, before),
            None => division::divide(&case),
        }
    }

    /// Refuses while more was poured out of a juice than there is, or a juice in the boil is crossed out.
    fn check_pours(&self) -> Result<(), RuleRefusal> {
        if let Some(pour) = self.pours.iter().find(|p| p.over > Grams::ZERO) {
            return Err(RuleRefusal::new(
                "over-poured",
                format!(
                    "Of the juice of ticket {} in {}, {} g more was poured than there is. Please \
                     correct the juice or what was poured.",
                    pour.draw.ticket,
                    pour.draw.vessel,
                    pour.over.get()
                ),
            ));
        }
        if let Some(pour) = self.pours.iter().find(|p| p.juice.void) {
            return Err(RuleRefusal::new(
                "crossed-out-juice",
                format!(
                    "The juice of ticket {} in {} is crossed out but stands in this boil. Please \
                     take it out of the boil or correct the juice.",
                    pour.draw.ticket, pour.draw.vessel
                ),
            ));
        }
        Ok(())
    }
}
