//! Dividing a finished boil: laying out what was measured, and freezing shares, jars and ledger
//! lines in one transaction.

use super::{Act, Done, Stop, begin};
use crate::calc::Unmet;
use crate::calc::division::{self, Asked, Brought, Division, Filled, Standing, cane_behind};
use crate::calc::fees::FeeRates;
use crate::calc::frozen::{self, FrozenJars, FrozenShare};
use crate::calc::juice::{Juice, Portion};
use crate::calc::ledger::{self as words, Entry};
use crate::calc::split::Sharer;
use crate::store::boil_sums::{self, InPan};
use crate::store::boils::{self, BoilRow, DrawRow};
use crate::store::divisions::{self, DivisionRow, NewDivision, ShareJarRow, ShareRow};
use crate::store::juices::{self, JuiceRow};
use crate::store::ledger::{self, NewLine};
use crate::store::seasons::{self, Rules};
use crate::store::{Conn, StoreError, Stored, WriteTx, coop, deliveries};
use crate::units::{BoilId, Cents, DivisionId, Grams, LotCode, MemberId, Units};
use std::collections::BTreeMap;

/// One juice of a boil with all that its sum needs.
#[derive(Debug, Clone)]
pub struct PourRow {
    /// What was poured, and whose it is.
    pub draw: DrawRow,
    /// The juice as measured.
    pub juice: JuiceRow,
    /// The whole juice, reckoned.
    pub whole: Juice,
    /// The part in this boil.
    pub part: Portion,
    /// How much more was poured out of this juice than there is.
    pub over: Grams,
    /// Net cane of its delivery.
    pub cane: Grams,
    /// Juice of that delivery, in all its vessels.
    pub delivery_juice: Grams,
    /// What it brings to the division.
    pub brought: Brought,
}

/// A boil laid out for dividing.
#[derive(Debug, Clone)]
pub struct Laid {
    /// The boil and its finish.
    pub boil: BoilRow,
    /// The rules in force when it was lit.
    pub rules: Rules,
    /// Its juices, by ticket.
    pub pours: Vec<PourRow>,
    /// Its jars.
    pub filled: Vec<Filled>,
    /// What stands on the books.
    pub standings: Vec<Standing>,
}

/// Whose a record is: a member's, or the mill's.
pub fn sharer(member: Option<MemberId>) -> Sharer {
    member.map_or(Sharer::Mill, Sharer::Member)
}

/// The other way round.
pub fn member_of(sharer: Sharer) -> Option<MemberId> {
    match sharer {
        Sharer::Mill => None,
        Sharer::Member(id) => Some(id),
    }
}

/// Lays out a boil: everything measured that its division goes by. `None`: no such lot.
pub async fn lay_out(conn: &mut Conn, lot: &LotCode) -> Stored<Option<Laid>> {
    let Some(boil) = boils::find(conn, lot).await? else {
        return Ok(None);
    };
    let rules = seasons::rules(conn, boil.rules_id)
        .await?
        .ok_or(StoreError::Corrupt {
            what: "boils.rules_id",
            found: boil.rules_id.to_string(),
        })?;
    let pours = pours(conn, boil.id, None).await?;
    let fills = boils::fills(conn, boil.id).await?;
    let filled = fills
        .into_iter()
        .map(|f| Filled {
            name: f.size_name,
            net: f.net,
            part: f.part,
            count: u32::try_from(f.count).unwrap_or(0),
            price: f.price,
        })
        .collect();
    let standings = standings(conn).await?;
    Ok(Some(Laid {
        boil,
        rules,
        pours,
        filled,
        standings,
    }))
}

/// The juices of a boil, by ticket; those of one member alone if one is named.
pub async fn pours(conn: &mut Conn, boil: BoilId, only: Option<MemberId>) -> Stored<Vec<PourRow>> {
    let mut pours = Vec::new();
    for pan in boil_sums::in_pan(conn, boil).await? {
        if only.is_none_or(|member| member == pan.draw.member_id) {
            pours.push(pour(conn, pan).await?);
        }
    }
    Ok(pours)
}

async fn pour(conn: &mut Conn, pan: InPan) -> Stored<PourRow> {
    let whole = match pan.juice {
        Some(juice) => juice,
        None => pan.row.reckon()?,
    };
    let cane = deliveries::net(conn, pan.draw.delivery_id).await?;
    let mut delivery_juice = Grams::ZERO;
    for sister in juices::of_delivery(conn, pan.draw.delivery_id).await? {
        delivery_juice += sister.reckon()?.mass;
    }
    let brought = Brought {
        sharer: Sharer::Member(pan.draw.member_id),
        cane: cane_behind(cane, pan.part.mass, delivery_juice),
        volume: pan.part.volume,
        mass: pan.part.mass,
        solids: pan.part.solids,
    };
    Ok(PourRow {
        draw: pan.draw,
        juice: pan.row,
        whole,
        part: pan.part,
        over: pan.over,
        cane,
        delivery_juice,
        brought,
    })
}

/// Balances, and when each sharer was last favoured: of everybody who has either.
async fn standings(conn: &mut Conn) -> Stored<Vec<Standing>> {
    let mut out: BTreeMap<Sharer, Standing> = BTreeMap::new();
    let blank = |sharer| Standing {
        sharer,
        carried: Grams::ZERO,
        favoured_at: None,
    };
    for (member, grams) in ledger::carries(conn).await? {
        let who = sharer(member);
        out.entry(who).or_insert_with(|| blank(who)).carried = grams;
    }
    for (member, at) in divisions::favoured(conn).await? {
        let who = sharer(member);
        out.entry(who).or_insert_with(|| blank(who)).favoured_at = Some(at);
    }
    Ok(out.into_values().collect())
}

impl Laid {
    /// The division as it would be frozen at this moment.
    ///
    /// # Errors
    /// What cannot be divided, with what to mend.
    pub fn propose(&self, units: Units) -> Result<Division, Unmet> {
        if let Some(pour) = self.pours.iter().find(|p| p.over > Grams::ZERO) {
            return Err(Unmet::new(
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
            return Err(Unmet::new(
                "crossed-out-juice",
                format!(
                    "The juice of ticket {} in {} is crossed out but stands in this boil. Please \
                     take it out of the boil or correct the juice.",
                    pour.draw.ticket, pour.draw.vessel
                ),
            ));
        }
        let brought: Vec<Brought> = self.pours.iter().map(|p| p.brought).collect();
        let finish = self.boil.finish.as_ref();
        division::divide(&Asked {
            lot: self.boil.lot.as_str(),
            basis: self.rules.basis,
            toll: self.rules.toll,
            rates: FeeRates {
                cane: self.rules.cane_per_kg,
                juice: self.rules.juice_per_l,
                jar: self.rules.jar_fee,
                least: self.rules.least,
            },
            finish: finish.map(|f| (f.syrup, f.brix_20)),
            brought: &brought,
            filled: &self.filled,
            standings: &self.standings,
            units,
        })
    }
}

/// Divides a boil and freezes it. `seen` is the mark of the proposal that was shown
/// ([`Division::mark`]); `ticked` are the questions' boxes that were ticked.
pub async fn divide(act: &Act, lot: &LotCode, seen: &str, ticked: &[&str]) -> Done<DivisionId> {
    act.crew()?;
    let mut tx = begin!(act, "divide");
    let laid = lay_out(&mut tx, lot).await?.ok_or(Stop::Missing)?;
    let coop = coop::find(&mut tx).await?.ok_or(Stop::Missing)?;
    if let Some(before) = divisions::of_boil(&mut tx, laid.boil.id).await? {
        return Err(Unmet::new(
            "divided-before",
            format!(
                "Lot {lot} was divided on {} by {}. What is divided stands.",
                coop.zone.show(before.at),
                before.by_name
            ),
        )
        .into());
    }
    let division = laid.propose(coop.units)?;
    if division.mark() != seen {
        return Err(Unmet::new(
            "changed-meanwhile",
            "The figures of this boil, or what is carried from other boils, changed while you had \
             this page open. Please look at the new figures below and send it again.",
        )
        .into());
    }
    division.sure(ticked)?;
    let id = DivisionId::new(act.id());
    freeze(act, &mut tx, id, &laid, &division).await?;
    for line in lines(act, &laid, &division, coop.units) {
        let number = ledger::next_number(&mut tx).await?;
        ledger::insert(&mut tx, &NewLine { number, ..line }).await?;
    }
    act.finish(tx, "divide", id).await
}

/// A division as it was frozen, with its sums redone from the frozen weights.
///
/// # Errors
/// The store failed.
pub async fn recall(conn: &mut Conn, boil: &BoilRow, row: &DivisionRow) -> Stored<Division> {
    let jars = divisions::share_jars(conn, row.id).await?;
    let shares = divisions::shares(conn, row.id).await?;
    let frozen: Vec<FrozenShare> = shares
        .into_iter()
        .map(|share| FrozenShare {
            sharer: sharer(share.member_id),
            weight: u64::try_from(share.weight).unwrap_or(0),
            solids: share.solids,
            carried: share.carried,
            entitled: share.entitled,
            jarred: share.jarred,
            carry: share.carry,
            jars: jars
                .iter()
                .filter(|j| j.place == share.place)
                .map(|j| FrozenJars {
                    name: j.size_name.clone(),
                    net: j.net,
                    part: j.part,
                    count: u32::try_from(j.count).unwrap_or(0),
                })
                .collect(),
        })
        .collect();
    let finish = boil.finish.as_ref().map(|f| (f.syrup, f.brix_20));
    Ok(frozen::recall(
        boil.lot.as_str(),
        (row.basis, row.toll),
        finish,
        &frozen,
    ))
}

async fn freeze(
    act: &Act,
    tx: &mut WriteTx,
    id: DivisionId,
    laid: &Laid,
    division: &Division,
) -> Done<()> {
    let row = NewDivision {
        id,
        boil_id: laid.boil.id,
        basis: division.basis,
        toll: division.toll,
        jarred: division.jarred,
        by_id: act.actor.id,
        at: act.at,
    };
    divisions::insert(tx, &row).await?;
    for (place, part) in (1..).zip(&division.parts) {
        let share = ShareRow {
            place,
            member_id: member_of(part.sharer),
            name: None,
            named: None,
            weight: i64::try_from(part.weight).unwrap_or(i64::MAX),
            solids: part.solids,
            carried: part.carried,
            entitled: part.entitled,
            jarred: part.jarred,
            carry: part.carry,
        };
        divisions::insert_share(tx, id, &share).await?;
        let given = part.jars.iter().zip(&division.kinds);
        for (count, kind) in given.filter(|(count, _)| **count > 0) {
            let jars = ShareJarRow {
                place,
                size_name: kind.name.clone(),
                net: kind.net,
                part: kind.part,
                count: i64::from(*count),
            };
            divisions::insert_jar(tx, id, &jars).await?;
        }
    }
    Ok(())
}

/// The ledger's lines of a division, sharer by sharer; none of nothing. Numbers come later.
fn lines(act: &Act, laid: &Laid, division: &Division, units: Units) -> Vec<NewLine> {
    let mut out = Vec::new();
    for part in &division.parts {
        let line = |kind, grams, cents, says| NewLine {
            number: 0,
            season_id: laid.boil.season_id,
            member_id: member_of(part.sharer),
            kind,
            grams,
            cents,
            boil_id: Some(laid.boil.id),
            says,
            answers: None,
            by_id: act.actor.id,
            at: act.at,
        };
        if part.entitled > Grams::ZERO {
            let says = words::entitled_says(part.entitled, division.jarred, units);
            out.push(line(Entry::Entitled, part.entitled, Cents::ZERO, says));
        }
        if part.jarred > Grams::ZERO {
            let says = words::jarred_says(part, division, units);
            out.push(line(Entry::Jarred, -part.jarred, Cents::ZERO, says));
        }
        for fee in &part.bill.lines {
            let says = words::fee_says(fee, units);
            out.push(line(Entry::of_fee(fee), Grams::ZERO, fee.cents(), says));
        }
    }
    out
}
