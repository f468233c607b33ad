//! What goes into the division of a boil: everything measured that it goes by, and, when the boil is
//! open for a correction, the division that is corrected.

use crate::calc::RuleRefusal;
use crate::calc::cane::juice::{Juice, Portion};
use crate::calc::cane::trash::{Sample, counts};
use crate::calc::shares::correction::{self, Held, HeldJars};
use crate::calc::shares::division::{
    self, Brought, Carried, Division, DivisionCase, Filled, cane_behind, pounds_behind,
};
use crate::calc::shares::fees::FeeRates;
use crate::calc::shares::split::Sharer;
use crate::facts::boil::boil_sums::{self, InPan};
use crate::facts::cane::juices::juice_of_tickets;
use crate::store::boil::boils::{self, BoilRow, DrawRow};
use crate::store::cane::juice::JuiceRow;
use crate::store::cane::trash;
use crate::store::people::members;
use crate::store::season::seasons::{self, Rules};
use crate::store::shares::divisions::{self, CorrectionRow};
use crate::store::shares::{hand_overs, ledger};
use crate::store::{Conn, Question, StoreError, Stored, Together, in_json};
use crate::units::{BoilId, BrixAt20C, Grams, LotCode, Pounds, RulesId, SeasonId, TicketId, Units};
use std::collections::{BTreeMap, BTreeSet, HashMap};

/// One juice of a boil with all that its sum needs.
#[derive(Debug, Clone)]
pub struct PouredJuice {
    /// What was poured, with the member whose juice it is.
    pub draw: DrawRow,
    /// The juice as measured.
    pub juice: JuiceRow,
    /// The whole juice in figures.
    pub whole: Juice,
    /// The part of the juice that is in this boil.
    pub part: Portion,
    /// How much more was poured out of this juice than there is.
    pub over: Grams,
    /// Cane of its ticket that counts: net, less the trash where the rules take it off.
    pub cane: Grams,
    /// What that came from, where trash was taken off: the net cane, and the sample.
    pub cleaned: Option<(Grams, Sample)>,
    /// The cane in pounds: as the scale showed it, or worked out from the grams.
    pub cane_lb: Pounds,
    /// Juice of that ticket, in all its vessels.
    pub ticket_juice: Grams,
    /// What the juice brings to the division.
    pub brought: Brought,
}

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

/// The juices of a boil, by ticket.
///
/// # Errors
/// The store failed.
pub async fn poured(conn: &mut Conn, boil: BoilId) -> Stored<Vec<PouredJuice>> {
    let off = trash::taken_off(boil).ask(conn).await?;
    let mut all = poured_into(conn, &[(boil, off)]).await?;
    Ok(all.remove(&boil).unwrap_or_default())
}

/// The juices of some boils, by ticket; of each boil is said whether its rules take trash off the cane.
///
/// # Errors
/// The store failed.
pub async fn poured_into(conn: &mut Conn, boils: &[(BoilId, bool)]) -> Stored<Pours> {
    let ids: Vec<BoilId> = boils.iter().map(|(id, _)| *id).collect();
    let pans = boil_sums::in_pans(&ids).ask(conn).await?;
    let behind = Behind::of(pans.values().flatten()).ask(conn).await?;
    behind.pours(pans, boils)
}

/// The juices of each boil, by ticket.
type Pours = BTreeMap<BoilId, Vec<PouredJuice>>;

/// Cane and juice of the tickets that the juices of some boils come from.
pub(super) struct Behind {
    cane: BTreeMap<TicketId, trash::Counted>,
    juice: BTreeMap<TicketId, Grams>,
}

impl Behind {
    pub(super) fn of<'a>(pans: impl Iterator<Item = &'a InPan>) -> Question<Self> {
        let ids: BTreeSet<TicketId> = pans.map(|pan| pan.draw.ticket_id).collect();
        let ids = in_json(ids);
        let found = (trash::counted(&ids), juice_of_tickets(&ids)).together();
        found.map(|(cane, juice)| Self {
            cane: cane.into_iter().map(|row| (row.ticket_id, row)).collect(),
            juice,
        })
    }

    /// What is in some boils, with the cane that stands behind it; of each boil is said whether its rules take trash off.
    pub(super) fn pours(
        &self,
        mut pans: HashMap<BoilId, Vec<InPan>>,
        boils: &[(BoilId, bool)],
    ) -> Stored<Pours> {
        let mut out = BTreeMap::new();
        for (id, trash_off) in boils {
            let mut juices = Vec::new();
            for pan in pans.remove(id).unwrap_or_default() {
                juices.push(poured_juice(self, pan, *trash_off)?);
            }
            out.insert(*id, juices);
        }
        Ok(out)
    }
}

fn poured_juice(behind: &Behind, pan: InPan, trash_off: bool) -> Stored<PouredJuice> {
    let whole = match pan.juice {
        Some(juice) => juice,
        None => pan.row.reckon()?,
    };
    let counted = behind.cane.get(&pan.draw.ticket_id);
    let net = counted.map_or(Grams::ZERO, |row| row.net);
    let sample = counted.and_then(trash::Counted::sample);
    let cane = counts(net, sample, trash_off);
    // What is left after taking off trash was never read off a scale: its pounds are worked out from the grams.
    let read = counted.filter(|_| cane == net).and_then(|row| row.net_lb);
    let cane_lb = read.unwrap_or_else(|| Pounds::of(cane));
    let ticket_juice = behind.juice.get(&pan.draw.ticket_id).copied();
    let ticket_juice = ticket_juice.unwrap_or_default();
    let brought = Brought {
        sharer: Sharer::Member(pan.draw.member_id),
        cane: cane_behind(cane, pan.part.mass, ticket_juice),
        cane_lb: pounds_behind(cane_lb, pan.part.mass, ticket_juice),
        volume: pan.part.volume,
        mass: pan.part.mass,
        solids: pan.part.solids,
    };
    Ok(PouredJuice {
        draw: pan.draw,
        juice: pan.row,
        whole,
        part: pan.part,
        over: pan.over,
        cane,
        cleaned: sample.filter(|_| trash_off).map(|sample| (net, sample)),
        cane_lb,
        ticket_juice,
        brought,
    })
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
