//! What goes into the division of a boil: everything measured that it goes by, and, when the boil is
//! open for a correction, the division that is corrected.

use super::poured_juice::{Behind, PouredJuice};
use crate::calc::RuleRefusal;
use crate::calc::shares::correction::{self, HeldJars, Noted, ShareBefore};
use crate::calc::shares::division::{self, Brought, Carried, Division, DivisionCase, Filled, Way};
use crate::calc::shares::fees::FeeRates;
use crate::calc::shares::jar_places::Became;
use crate::calc::shares::losses::{LossBound, expected_syrup};
use crate::calc::shares::split::Sharer;
use crate::facts::boil::boil_sums::{self, InPan};
use crate::store::boil::boils::{self, BoilRow};
use crate::store::people::{coop, members};
use crate::store::season::seasons::{self, Rules};
use crate::store::shares::divisions::{self, CorrectionRow, DivisionRow, ShareJarRow, ShareRow};
use crate::store::shares::hand_overs::{self, GoneRow};
use crate::store::shares::jar_moves::{self, JarMove};
use crate::store::shares::ledger;
use crate::store::{Conn, Question, StoreError, Stored, Together, in_json};
use crate::units::{BoilId, BrixAt20C, Grams, LotCode, PressDate, RulesId, Units, Zone};
use std::collections::{BTreeMap, BTreeSet, HashMap};
use std::slice;

/// All that the division of a boil is worked out from.
#[derive(Debug, Clone)]
pub struct DivisionInputs {
    /// The boil and its finish.
    pub boil: BoilRow,
    /// The rules that it is divided by.
    pub rules: Rules,
    /// Its juices, by ticket.
    pub pours: Vec<PouredJuice>,
    /// Its jars.
    pub filled: Vec<Filled>,
    /// Syrup carried by everybody, and when each was last favoured.
    pub carried: Vec<Carried>,
    /// The sizes that everybody wishes for, by net weight.
    pub wishes: Vec<(Sharer, Grams)>,
    /// Every version of its division, the latest first.
    pub versions: Vec<DivisionRow>,
    /// The division to be corrected, when the boil is open for a correction.
    pub correction: Option<ToCorrect>,
}

/// A division that is to be corrected.
#[derive(Debug, Clone)]
pub struct ToCorrect {
    /// The correction: the version to be made, why, by whom.
    pub opened: CorrectionRow,
    /// The shares and jars of the version before, and what is no longer on the shelf.
    pub held: Vec<ShareBefore>,
    /// The balances before the boil was first divided.
    pub before: BTreeMap<Sharer, Grams>,
}

/// The division that a correction is to correct: the latest of these versions.
fn to_correct(
    boil: &BoilRow,
    versions: &[DivisionRow],
    opened: CorrectionRow,
) -> Stored<Question<ToCorrect>> {
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
        jar_moves::of_lots(&in_json([boil.id])),
        coop::find(),
    );
    let found = found
        .together()
        .map(|(gone, jars, shares, before, moves, coop)| {
            let moves = match coop {
                Some(coop) => dated(moves, &coop.zone),
                None => Vec::new(),
            };
            let held = shares.into_iter().map(|share| ShareBefore {
                sharer: Sharer::of(share.member_id),
                entitled: share.entitled,
                favoured_at: share.favoured_at,
                jars: held_jars(&share, &jars, (&gone, &moves)),
            });
            let before = before.into_iter();
            ToCorrect {
                opened,
                held: held.collect(),
                before: before
                    .map(|(member, grams)| (Sharer::of(member), grams))
                    .collect(),
            }
        });
    Ok(found)
}

/// What became of jars, each with the day on which it was written.
fn dated(moves: Vec<JarMove>, zone: &Zone) -> Vec<(JarMove, PressDate)> {
    let all = moves.into_iter();
    all.map(|one| {
        let on = zone.local(one.at).0;
        (one, on)
    })
    .collect()
}

/// The jars of a share, with how many of each kind are no longer on the shelf, and what was noted of those that broke or are missing.
fn held_jars(
    share: &ShareRow,
    jars: &[ShareJarRow],
    (gone, moves): (&[GoneRow], &[(JarMove, PressDate)]),
) -> Vec<HeldJars> {
    let number = |n: i64| u32::try_from(n).unwrap_or(0);
    let own = jars.iter().filter(|j| j.place == share.place);
    own.map(|j| {
        let same = gone.iter().filter(|t| {
            t.member_id == share.member_id
                && t.size_name == j.size_name
                && t.net == j.net
                && t.part == j.part
        });
        let of_kind = moves.iter().filter(|(one, _)| {
            one.jars.member == share.member_id
                && one.jars.size_name == j.size_name
                && (one.jars.net, one.jars.part) == (j.net, j.part)
        });
        HeldJars {
            name: j.size_name.clone(),
            net: j.net,
            part: j.part,
            count: number(j.count),
            gone: number(same.map(|t| t.count).sum()),
            noted: noted(of_kind),
        }
    })
    .collect()
}

/// What was noted of jars of one kind that broke, entry by entry, and of those that are missing and were not found since.
fn noted<'a>(moves: impl Iterator<Item = &'a (JarMove, PressDate)>) -> Vec<Noted> {
    let mut out: Vec<Noted> = Vec::new();
    for (one, on) in moves {
        let count = u32::try_from(one.jars.count).unwrap_or(0);
        match one.became {
            Became::Broken | Became::Missing => out.push(Noted {
                count,
                missing: one.became == Became::Missing,
                by: one.by_name.to_string(),
                on: *on,
            }),
            Became::Found | Became::NotBroken => {
                // Who found some is taken to have found those that were missed last. What is over, of entries that did not say which jars
                // were meant, was noted as broken by mistake.
                let mut found = count;
                let kinds: &[bool] = if one.became == Became::Found {
                    &[true, false]
                } else {
                    &[false]
                };
                for &missing in kinds {
                    for last in out.iter_mut().rev().filter(|n| n.missing == missing) {
                        let of_these = found.min(last.count);
                        last.count -= of_these;
                        found -= of_these;
                    }
                }
            }
            Became::Returned | Became::Miscounted => {}
        }
    }
    out.retain(|noted| noted.count > 0);
    out
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

/// What was measured of some boils, by itself.
struct Measured {
    rules: BTreeMap<RulesId, Rules>,
    pans: HashMap<BoilId, Vec<InPan>>,
    filled: BTreeMap<BoilId, Vec<Filled>>,
}

impl Measured {
    fn of(boils: &[BoilRow]) -> Question<Self> {
        let ids: Vec<BoilId> = boils.iter().map(|boil| boil.id).collect();
        let found = (
            rules_of(boils),
            boil_sums::in_pans(&ids),
            boils::fills_of(&in_json(&ids)),
        );
        found.together().map(|(rules, pans, fills)| {
            let mut filled: BTreeMap<BoilId, Vec<Filled>> = BTreeMap::new();
            for (boil, fill) in fills {
                filled.entry(boil).or_default().push(Filled {
                    name: fill.size_name,
                    net: fill.net,
                    part: fill.part,
                    count: u32::try_from(fill.count).unwrap_or(0),
                    price: fill.price,
                });
            }
            Self {
                rules,
                pans,
                filled,
            }
        })
    }

    /// What stands behind it.
    fn behind(&self) -> Question<Behind> {
        Behind::of(self.pans.values().flatten())
    }

    /// The boils with both, in their order.
    fn inputs(mut self, boils: Vec<BoilRow>, behind: &Behind) -> Stored<Vec<DivisionInputs>> {
        let off = |boil: &BoilRow| self.rules.get(&boil.rules_id).is_some_and(|r| r.trash_off);
        let wanted: Vec<(BoilId, bool)> = boils.iter().map(|b| (b.id, off(b))).collect();
        let mut pours = behind.pours(self.pans, &wanted)?;
        let mut out = Vec::with_capacity(boils.len());
        for boil in boils {
            let own = self.rules.get(&boil.rules_id).cloned();
            out.push(DivisionInputs {
                rules: own.ok_or_else(|| no_rules(&boil))?,
                pours: pours.remove(&boil.id).unwrap_or_default(),
                filled: self.filled.remove(&boil.id).unwrap_or_default(),
                carried: Vec::new(),
                wishes: Vec::new(),
                versions: Vec::new(),
                correction: None,
                boil,
            });
        }
        Ok(out)
    }
}

/// The inputs of the one boil that was asked for.
fn only(all: Vec<DivisionInputs>) -> Stored<DivisionInputs> {
    all.into_iter().next().ok_or(StoreError::Corrupt {
        what: "boils.id",
        found: "a boil that was just read".to_owned(),
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
        let found = (
            carried(),
            members::all_wishes(),
            divisions::open_correction(boil.id),
            divisions::versions(boil.id),
            Measured::of(slice::from_ref(&boil)),
        );
        let (carried, wishes, opened, versions, measured) = found.together().ask(conn).await?;
        let opened = opened.map(|opened| to_correct(&boil, &versions, opened));
        let found = (measured.behind(), Question::when(opened.transpose()?));
        let (behind, correction) = found.together().ask(conn).await?;
        let wishes = wishes.into_iter();
        Ok(Some(Self {
            carried,
            wishes: wishes.map(|(id, net)| (Sharer::Member(id), net)).collect(),
            versions,
            correction,
            ..only(measured.inputs(vec![boil], &behind)?)?
        }))
    }

    /// What was measured of a boil, with nothing carried, no wishes and no division.
    ///
    /// # Errors
    /// The store failed.
    pub async fn measured(conn: &mut Conn, boil: BoilRow) -> Stored<Self> {
        only(Self::all_measured(conn, vec![boil]).await?)
    }

    /// As [`Self::measured`], for many boils at once, in their order.
    ///
    /// # Errors
    /// The store failed.
    pub async fn all_measured(conn: &mut Conn, boils: Vec<BoilRow>) -> Stored<Vec<Self>> {
        let measured = Measured::of(&boils).ask(conn).await?;
        let behind = measured.behind().ask(conn).await?;
        measured.inputs(boils, &behind)
    }

    /// Syrup out of the pan and its Brix, once it is finished.
    pub fn finish(&self) -> Option<(Grams, BrixAt20C)> {
        self.boil.finish.as_ref().map(|f| (f.syrup, f.brix_20))
    }

    /// What bounds how much of its syrup can have been lost.
    pub fn loss_bound(&self) -> LossBound {
        let solids: Grams = self.pours.iter().map(|p| p.part.solids).sum();
        let in_jars = self.filled.iter();
        let in_jars = in_jars.map(|f| Grams::new(f.net.get() * i64::from(f.count)));
        LossBound {
            weighed: self.finish().map(|(syrup, _)| syrup),
            in_jars: in_jars.sum(),
            expected: expected_syrup(solids, self.rules.recovery_pct, self.boil.target),
        }
    }

    /// The division as it would be frozen at this moment.
    ///
    /// # Errors
    /// What cannot be divided, with what to mend.
    pub fn propose(&self, units: Units) -> Result<Division, RuleRefusal> {
        let old = self.correction.as_ref();
        self.reckon(old.map(|o| (o.held.as_slice(), &o.before)), Way::NOW, units)
    }

    /// Works out the division; or works it out again over the one that is `held`, if there is one.
    ///
    /// # Errors
    /// As [`Self::propose`].
    pub(in crate::facts) fn reckon(
        &self,
        held: Option<(&[ShareBefore], &BTreeMap<Sharer, Grams>)>,
        way: Way,
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
            way,
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
