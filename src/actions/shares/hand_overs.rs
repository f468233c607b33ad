//! Handing jars over: never more than was set aside and is still there.

use crate::actions::{Act, Answer, Done, Stop, begin};
use crate::calc::RuleRefusal;
use crate::calc::shares::ledger::jar_says;
use crate::calc::shares::split::Sharer;
use crate::facts::boil::jar_checks::LotWeights;
use crate::store::WriteTx;
use crate::store::boil::boils;
use crate::store::people::{coop, members};
use crate::store::shares::hand_overs::{self, AsideRow, NewHandOverRow};
use crate::store::shares::holds::{self, HeldLot};
use crate::units::{BoilId, Grams, HandOverId, MemberName, Units};
use std::collections::BTreeSet;

/// Jars of one lot and kind to hand over.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct JarsOut {
    /// The boil they were filled from.
    pub boil: BoilId,
    /// Name of the size.
    pub size_name: String,
    /// Net weight of syrup in each jar.
    pub net: Grams,
    /// Whether it is a part-jar.
    pub part: bool,
    /// How many jars; 0: none of these.
    pub count: i64,
}

impl JarsOut {
    pub(super) fn is_of(&self, aside: &AsideRow) -> bool {
        self.boil == aside.boil_id
            && self.size_name == aside.size_name
            && self.net == aside.net
            && self.part == aside.part
    }
}

/// Jars handed over as the form has it.
#[derive(Debug, Clone)]
pub struct NewHandOver {
    /// The jars to hand over, by kind.
    pub jars: Vec<JarsOut>,
    /// The person at the door, as typed: nobody signs with it.
    pub given_to: MemberName,
    /// Remark.
    pub note: String,
    /// Whether whoever hands over knows that a lot does not hold what its label says.
    pub short: bool,
}

/// The number of a receipt, from 1.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct ReceiptNumber(pub i64);

impl Answer for ReceiptNumber {
    fn keep(&self) -> String {
        self.0.to_string()
    }
    fn read(text: &str) -> Option<Self> {
        text.parse().ok().map(Self)
    }
}

/// Hands jars over to a member, or the mill's own to whoever takes them.
pub async fn hand_over(act: &Act, to: Sharer, new: NewHandOver) -> Done<ReceiptNumber> {
    act.crew()?;
    let mut tx = begin!(act, "hand_over");
    let number = hand(act, &mut tx, to, new).await?;
    act.finish(tx, "hand_over", ReceiptNumber(number)).await
}

/// Writes the receipt of jars that leave the shelf of whose they are, and gives its number.
pub(super) async fn hand(act: &Act, tx: &mut WriteTx, to: Sharer, new: NewHandOver) -> Done<i64> {
    let member = to.member();
    if let Some(id) = member {
        members::find(id).ask(tx).await?.ok_or(Stop::Missing)?;
    }
    if act.said_at() > act.at {
        return Err(RuleRefusal::beside(
            "at",
            "hand-over-later",
            "That is still to come. Please write when the jars were handed over.",
        )
        .into());
    }
    let units = coop::find().ask(tx).await?.map_or(Units::Us, |c| c.units);
    let aside = hand_overs::jars_set_aside(member).ask(tx).await?;
    let jars = still_here(&new.jars, &aside, units)?;
    none_held(&holds::held().ask(tx).await?, &jars)?;
    if !new.short {
        none_short(tx, &jars).await?;
    }
    let row = NewHandOverRow {
        id: HandOverId::new(act.id()),
        number: hand_overs::next_number().ask(tx).await?,
        member_id: member,
        given_to: new.given_to,
        note: new.note,
        by_id: act.measured_by(),
        at: act.said_at(),
    };
    hand_overs::insert(tx, &row).await?;
    for (of, count) in jars {
        hand_overs::insert_jar(tx, row.id, of, count).await?;
    }
    Ok(row.number)
}

/// Jars of a lot that does not hold what its label says are asked about.
async fn none_short(tx: &mut WriteTx, jars: &[(&AsideRow, i64)]) -> Done<()> {
    let lots: BTreeSet<BoilId> = jars.iter().map(|(row, _)| row.boil_id).collect();
    for id in lots {
        let Some(boil) = boils::of_id(id).ask(tx).await? else {
            continue;
        };
        let lot = LotWeights::of(tx, boil).await?;
        if let Some(kind) = lot.short().next() {
            return Err(RuleRefusal::beside(
                "short",
                "lot-short",
                format!(
                    "By the check weights, {} jars of lot {} do not hold what their label says. Top them up first, or say that you know.",
                    kind.size_name, lot.boil.lot
                ),
            )
            .into());
        }
    }
    Ok(())
}

/// Jars of a lot that is held stay at the mill.
fn none_held(held: &[HeldLot], jars: &[(&AsideRow, i64)]) -> Result<(), RuleRefusal> {
    let of = |row: &AsideRow| held.iter().find(|h| h.boil == row.boil_id);
    match jars
        .iter()
        .find_map(|(row, _)| of(row).map(|h| (row, &h.why)))
    {
        None => Ok(()),
        Some((row, why)) => Err(RuleRefusal::new(
            "lot-held",
            format!(
                "Lot {} is held: {}. Its jars stay at the mill until a steward releases it.",
                row.lot, why
            ),
        )),
    }
}

/// The jars as they go on the receipt, each looked for among those still at the mill.
fn still_here<'a>(
    asked: &[JarsOut],
    aside: &'a [AsideRow],
    units: Units,
) -> Result<Vec<(&'a AsideRow, i64)>, RuleRefusal> {
    let wanted = || asked.iter().filter(|t| t.count > 0);
    if let Some(odd) = wanted().find(|t| !aside.iter().any(|a| t.is_of(a))) {
        let what = jar_says(&odd.size_name, odd.net, odd.part, units);
        return Err(RuleRefusal::new(
            "not-theirs",
            format!("No {what} of that lot is set aside here. Please open the page again."),
        ));
    }
    let mut out = Vec::new();
    for row in aside {
        let count: i64 = wanted().filter(|t| t.is_of(row)).map(|t| t.count).sum();
        let left = row.left();
        if count > left {
            return Err(RuleRefusal::new(
                "not-there",
                format!(
                    "Of lot {}, {left} × {} are waiting, not {count}. Please count again; what was \
                     handed over before stands on the receipts.",
                    row.lot,
                    jar_says(&row.size_name, row.net, row.part, units)
                ),
            ));
        }
        if count > 0 {
            out.push((row, count));
        }
    }
    if out.is_empty() {
        return Err(RuleRefusal::new(
            "no-jars",
            "Please write how many jars are handed over, at least one.",
        ));
    }
    Ok(out)
}
