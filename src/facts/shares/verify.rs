//! Reckons every division and every balance of syrup again, from what was measured, and compares them
//! with what is frozen.

use super::division_inputs::DivisionInputs;
use super::frozen_division::Frozen;
use super::jar_count::what_does_not_add_up;
use super::moved_back::half_taken_back;
use super::verify_words::{self as words, Called};
use crate::calc::shares::correction::{HeldJars, ShareBefore};
use crate::calc::shares::division::{Carried, Division, Part};
use crate::calc::shares::ledger::{Entry, jarred_says, kind_says};
use crate::calc::shares::split::{self, Pour, Sharer};
use crate::facts::written::look_over;
use crate::store::boil::boils::{self, BoilRow};
use crate::store::shares::divisions::{self, DivisionRow};
use crate::store::shares::ledger::{self, SumLine};
use crate::store::{Conn, StoreError, Stored, Together, in_json};
use crate::units::{BoilId, Cents, Grams, Units};
use std::collections::BTreeMap;

/// What checking the books found.
#[derive(Debug, Clone, Default)]
pub struct Verified {
    /// Boils whose division was reckoned again.
    pub boils: usize,
    /// Balances of syrup that were reckoned again.
    pub balances: usize,
    /// Lots open for a correction: their measurements may differ from what was divided.
    pub open: Vec<String>,
    /// How many records were looked over.
    pub records: usize,
    /// The chain of records: number and digest of each, in order. The last is the seal, to be written down apart
    /// from the file.
    pub chain: Vec<(i64, String)>,
    /// What differs, one sentence each; empty when nothing does.
    pub differs: Vec<String>,
}

impl Verified {
    /// Compares the chain with a seal that somebody wrote down: a number, and how the digest of that record began.
    pub fn compare(&mut self, (number, digest): (i64, &str)) {
        let stands = self.chain.iter().find(|(n, _)| *n == number);
        if stands.is_none_or(|(_, own)| !own.starts_with(digest)) {
            self.differs.push(format!(
                "The seal that was written down, {number}:{digest}, is not that of this file: its records were written anew or cut off at the \
                 end, or a backup was put in its place since then (the page of what was changed says whether one was)."
            ));
        }
    }
}

/// The division of a boil that counts.
struct Latest {
    row: DivisionRow,
    /// The last line of the ledger before the boil was first divided.
    first: i64,
    boil: BoilRow,
    frozen: Division,
}

/// Grams that each sharer is owed.
type Balances = BTreeMap<Sharer, Grams>;

/// Reckons everything again.
///
/// # Errors
/// The store failed, or a row does not read back. What merely differs is in the answer.
pub async fn verify(conn: &mut Conn) -> Stored<Verified> {
    let looked = look_over(conn).await?;
    let whole = looked.whole;
    let mut out = Verified {
        records: looked.records,
        chain: looked.chain,
        differs: looked.differs,
        ..Verified::default()
    };
    if !whole {
        out.differs
            .push("The divisions were not worked again: a part of the book is gone.".to_owned());
        return Ok(out);
    }
    // What was changed by hand may not even read back: that is no reason to be silent about it.
    if let Err(error) = divisions_again(conn, &mut out).await {
        let what = error.not_read_back()?;
        out.differs
            .push(format!("The divisions were not all worked again: {what}."));
    }
    Ok(out)
}

/// Works out every division and balance again and notes what differs.
async fn divisions_again(conn: &mut Conn, out: &mut Verified) -> Stored<()> {
    let asked = (ledger::sum_lines(), Called::read()).together();
    let (lines, called) = asked.ask(conn).await?;
    let mut latest: BTreeMap<BoilId, Latest> = BTreeMap::new();
    let rows = divisions::all().ask(conn).await?;
    let mut frozen_rows = Frozen::of(rows.iter().map(|row| row.id)).ask(conn).await?;
    let boils = boils::of_ids(&in_json(rows.iter().map(|row| row.boil_id)));
    let mut boils: BTreeMap<BoilId, BoilRow> = boils
        .map(|all| all.into_iter().map(|boil| (boil.id, boil)).collect())
        .ask(conn)
        .await?;
    for row in rows {
        let before = latest.remove(&row.boil_id);
        let (boil, first) = match before {
            Some(before) => (before.boil, before.first),
            None => (found(&mut boils, &row)?, row.after_line),
        };
        let frozen = frozen_rows.recall(&boil, &row);
        frozen_sums(out, &called, &boil, &row, &frozen);
        let last = Latest {
            row,
            first,
            boil,
            frozen,
        };
        latest.insert(last.boil.id, last);
    }
    let mut balances: Balances = BTreeMap::new();
    let before = balances_after(&lines, latest.values().map(|l| l.first));
    let whole = latest.values().map(|l| &l.boil).cloned();
    let whole = whole.filter(|b| b.divided_at.is_some()).collect();
    let inputs = DivisionInputs::all_measured(conn, whole).await?;
    let mut measured: BTreeMap<BoilId, DivisionInputs> =
        inputs.into_iter().map(|own| (own.boil.id, own)).collect();
    for (boil_id, last) in latest {
        let (row, first, frozen) = (last.row, last.first, last.frozen);
        let (boil, lot) = (&last.boil, called_lot(&last.boil));
        let redone = if boil.divided_at.is_none() {
            out.open.push(boil.lot.to_string());
            None
        } else {
            let inputs = measured.remove(&boil_id).ok_or_else(|| not_found(&row))?;
            let before = before.get(&first).cloned();
            Some(again(inputs, &row, &frozen, &before.unwrap_or_default()))
        };
        let counted = match redone {
            None => frozen,
            Some(Ok(division)) => {
                out.boils += 1;
                compare(out, &called, &lot, &division, &frozen);
                written(out, (&called, &lot), &division, &lines, boil_id);
                division
            }
            Some(Err(sentence)) => {
                out.differs
                    .push(format!("lot {lot} cannot be divided again: {sentence}"));
                frozen
            }
        };
        for part in &counted.parts {
            *balances.entry(part.sharer).or_default() += part.entitled - part.jarred;
        }
    }
    books(out, &called, balances, &lines);
    out.differs.extend(halves(&called, &lines)?);
    out.differs
        .extend(what_does_not_add_up(conn, &out.open).await?);
    Ok(())
}

/// Lines that were taken back in part, with whose they are.
fn halves(called: &Called, lines: &[SumLine]) -> Stored<Vec<String>> {
    let told = half_taken_back(lines)?.into_iter();
    let named = told.map(|(member, says)| {
        let who = called.who(Sharer::of(member));
        format!("{who}: {says}")
    });
    Ok(named.collect())
}

/// "26001-X of Sat 3 Oct 2026".
fn called_lot(boil: &BoilRow) -> String {
    format!("{} of {}", boil.lot, boil.press_date.show())
}

/// Takes out the boil that a division is of.
fn found(boils: &mut BTreeMap<BoilId, BoilRow>, row: &DivisionRow) -> Stored<BoilRow> {
    boils.remove(&row.boil_id).ok_or_else(|| not_found(row))
}

fn not_found(row: &DivisionRow) -> StoreError {
    StoreError::Corrupt {
        what: "divisions.boil_id",
        found: row.boil_id.to_string(),
    }
}

/// The balances as they stood after each of the lines asked for.
fn balances_after(
    lines: &[SumLine],
    numbers: impl Iterator<Item = i64>,
) -> BTreeMap<i64, Balances> {
    let mut numbers: Vec<i64> = numbers.collect();
    numbers.sort_unstable();
    numbers.dedup();
    let mut lines = lines.iter().peekable();
    let mut balances = Balances::new();
    let mut out = BTreeMap::new();
    for upto in numbers {
        while let Some(line) = lines.next_if(|l| l.number <= upto) {
            *balances.entry(Sharer::of(line.member_id)).or_default() += line.grams;
        }
        out.insert(upto, balances.clone());
    }
    out
}

/// The frozen sums of one version, old ones too: shares that come from their own weights.
fn frozen_sums(
    out: &mut Verified,
    called: &Called,
    boil: &BoilRow,
    row: &DivisionRow,
    frozen: &Division,
) {
    let lot = called_lot(boil);
    let pours: Vec<Pour> = frozen
        .parts
        .iter()
        .filter(|p| p.weight > 0)
        .map(|p| Pour {
            sharer: p.sharer,
            weight: p.weight,
        })
        .collect();
    let version = row.version;
    let Ok(shares) = split::entitle(boil.lot.as_str(), row.jarred, row.toll, &pours) else {
        let sentence =
            format!("lot {lot}, version {version}: what was brought cannot be shared out");
        return out.differs.push(sentence);
    };
    for part in &frozen.parts {
        let share = shares.iter().find(|s| s.sharer == part.sharer);
        let grams = share.map_or(Grams::ZERO, |s| s.grams);
        if grams != part.entitled {
            out.differs.push(format!(
                "lot {lot}, version {version}, {}: the share is {} by what was brought, {} in the division",
                called.who(part.sharer),
                words::grams(grams),
                words::grams(part.entitled)
            ));
        }
    }
}

/// Divides again from what was measured and from the balances before the first division. Later
/// versions take the jars as they were set aside and reckon the rest.
fn again(
    mut inputs: DivisionInputs,
    row: &DivisionRow,
    frozen: &Division,
    before: &Balances,
) -> Result<Division, String> {
    let favoured = |who: &Sharer| {
        let own = frozen.parts.iter().find(|p| p.sharer == *who);
        own.and_then(|p| p.favoured_at)
    };
    let mut balances = before.clone();
    for part in &frozen.parts {
        balances.entry(part.sharer).or_default();
    }
    inputs.carried = balances
        .into_iter()
        .map(|(sharer, carried)| Carried {
            sharer,
            carried,
            favoured_at: favoured(&sharer),
        })
        .collect();
    inputs.wishes = frozen
        .parts
        .iter()
        .flat_map(|p| p.wishes.iter().map(|net| (p.sharer, *net)))
        .collect();
    let held: Vec<ShareBefore> = frozen.parts.iter().map(|p| held(p, frozen)).collect();
    let old = (row.version > 1).then_some((held.as_slice(), before));
    inputs
        .reckon(old, row.way, Units::Metric)
        .map_err(|u| u.sentence)
}

/// A share with all its jars counted as gone from the shelf, so that none of them moves.
fn held(part: &Part, frozen: &Division) -> ShareBefore {
    let jars = part.jars.iter().zip(&frozen.kinds);
    ShareBefore {
        sharer: part.sharer,
        entitled: part.entitled,
        favoured_at: part.favoured_at,
        jars: jars
            .map(|(count, kind)| HeldJars {
                name: kind.name.clone(),
                net: kind.net,
                part: kind.part,
                count: *count,
                gone: *count,
                noted: Vec::new(),
            })
            .collect(),
    }
}

fn compare(out: &mut Verified, called: &Called, lot: &str, redone: &Division, frozen: &Division) {
    let mut differ = |what: String| out.differs.push(format!("lot {lot}: {what}"));
    if redone.basis != frozen.basis {
        differ(format!(
            "its rules divide by {}, its division by {}",
            redone.basis.label(),
            frozen.basis.label()
        ));
    }
    if redone.toll != frozen.toll {
        differ(format!(
            "the toll is {} by its rules, {} by its division",
            redone.toll.show(),
            frozen.toll.show()
        ));
    }
    if (redone.syrup, redone.solids_out) != (frozen.syrup, frozen.solids_out) {
        differ(format!(
            "{} measured, {} divided",
            words::syrup(redone),
            words::syrup(frozen)
        ));
    }
    let kinds = |d: &Division| -> Vec<String> {
        let all = d.kinds.iter();
        all.map(|k| format!("{} × {}", k.count, kind_says(k, Units::Us)))
            .collect()
    };
    if kinds(redone) != kinds(frozen) {
        return differ(format!(
            "jars filled: {}; set aside: {}",
            kinds(redone).join(", "),
            kinds(frozen).join(", ")
        ));
    }
    let who = |d: &Division| -> Vec<Sharer> { d.parts.iter().map(|p| p.sharer).collect() };
    if who(redone) != who(frozen) {
        return differ(called.other_sharers(redone, frozen));
    }
    for (is, was) in redone.parts.iter().zip(&frozen.parts) {
        let who = called.who(is.sharer);
        for (name, of) in words::FIGURES {
            if of(is) != of(was) {
                let says = |part| words::figure_says(name, of(part), frozen.basis);
                differ(format!(
                    "{who}, {name}: {} worked out again, {} in the division",
                    says(is),
                    says(was)
                ));
            }
        }
        if is.jars != was.jars {
            let says = |part, d| jarred_says(part, d, Units::Us);
            differ(format!(
                "{who}, {} worked out again, {} in the division",
                says(is, redone),
                says(was, frozen)
            ));
        }
    }
}

/// The ledger's lines of a boil against its division.
fn written(
    out: &mut Verified,
    (called, lot): (&Called, &str),
    d: &Division,
    lines: &[SumLine],
    boil: BoilId,
) {
    // By the division, and in the ledger.
    let mut sums: BTreeMap<(Sharer, &str), [(Grams, Cents); 2]> = BTreeMap::new();
    let mut add = |key, place: usize, grams: Grams, cents: Cents| {
        let sum = &mut sums.entry(key).or_default()[place];
        *sum = (sum.0 + grams, sum.1 + cents);
    };
    for part in &d.parts {
        let (share, jars) = (Entry::Entitled.word(), Entry::Jarred.word());
        add((part.sharer, share), 0, part.entitled, Cents::ZERO);
        add((part.sharer, jars), 0, -part.jarred, Cents::ZERO);
        for fee in &part.bill.lines {
            let kind = Entry::of_fee(fee).word();
            add((part.sharer, kind), 0, Grams::ZERO, fee.cents());
        }
    }
    for line in lines
        .iter()
        .filter(|l| l.divided && l.boil_id == Some(boil))
    {
        let key = (Sharer::of(line.member_id), line.kind.as_str());
        add(key, 1, line.grams, line.cents);
    }
    for ((who, kind), [own, is]) in sums {
        if own != is {
            out.differs.push(format!(
                "lot {lot}, {}, {}",
                called.who(who),
                words::lines_say(kind, own, is)
            ));
        }
    }
}

/// All balances, and what must hold for the ledger as a whole.
fn books(out: &mut Verified, called: &Called, mut reckoned: Balances, lines: &[SumLine]) {
    let mut written = Balances::new();
    for (number, line) in (1..).zip(lines) {
        if line.number != number {
            out.differs.push(format!("the ledger has no line {number}"));
            break;
        }
    }
    for line in lines {
        *written.entry(Sharer::of(line.member_id)).or_default() += line.grams;
        if !line.divided {
            *reckoned.entry(Sharer::of(line.member_id)).or_default() += line.grams;
        }
    }
    let together: Grams = written.values().copied().sum();
    if together != Grams::ZERO {
        out.differs.push(format!(
            "all balances of syrup together are {}, not 0",
            words::grams(together)
        ));
    }
    for (who, grams) in &reckoned {
        let in_ledger = written.get(who).copied().unwrap_or(Grams::ZERO);
        if in_ledger != *grams {
            out.differs.push(format!(
                "{}: {} of syrup carried by the divisions and what was settled, {} by the ledger",
                called.who(*who),
                words::grams(*grams),
                words::grams(in_ledger)
            ));
        }
    }
    out.balances = reckoned.len();
}
