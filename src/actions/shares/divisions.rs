//! Dividing a finished boil: freezing shares, jars and ledger lines in one transaction; opening it for a
//! correction, and dividing it again.

use super::lines::{line, write};
use super::statements::{self, OfLot};
use crate::actions::{Act, Done, ReadBefore, Stop, begin};
use crate::calc::RuleRefusal;
use crate::calc::shares::division::{Division, Way};
use crate::calc::shares::ledger as words;
use crate::calc::shares::ledger::Entry;
use crate::calc::shares::split::Sharer;
use crate::facts::shares::division_inputs::DivisionInputs;
use crate::store::WriteTx;
use crate::store::boil::boils;
use crate::store::people::{coop, members};
use crate::store::shares::divisions::{self, DivisionRow, NewDivision, ShareJarRow, ShareRow};
use crate::store::shares::ledger::{self, LedgerLine, NewLine};
use crate::units::{Cents, DivisionId, Grams, LotCode, MemberId, MemberName, Units, Zone};
use std::collections::{BTreeMap, BTreeSet};

/// What is sent with the form that divides a boil.
#[derive(Debug, Clone)]
pub struct Signed<'a> {
    /// The mark of the proposal that was shown ([`Division::mark`]).
    pub seen: &'a str,
    /// The questions' boxes that were ticked.
    pub ticked: &'a [&'a str],
    /// The second person, who looked the figures over too: the caller has checked that person's passphrase or PIN.
    /// `None`: nobody signed.
    pub by: Option<MemberId>,
}

/// Divides a boil and freezes it; again, when it is open for a correction.
pub async fn divide(act: &Act, lot: &LotCode, signed: Signed<'_>) -> Done<DivisionId> {
    act.crew()?;
    // What everybody carries is summed over the whole ledger: not while others wait for the writer.
    let mut moment = act.reader.snapshot().await?;
    let before = DivisionInputs::read(&mut moment, lot).await?;
    let before = ReadBefore::new(before, &mut moment).await?;
    drop(moment);
    let mut tx = begin!(act, "divide");
    let inputs = match before.if_it_stands(&tx) {
        Some(inputs) => inputs,
        None => DivisionInputs::read(&mut tx, lot).await?,
    };
    let inputs = inputs.ok_or(Stop::Missing)?;
    let coop = coop::find().ask(&mut tx).await?.ok_or(Stop::Missing)?;
    let before = divisions::of_boil(inputs.boil.id).ask(&mut tx).await?;
    if let (Some(before), None) = (&before, &inputs.correction) {
        return Err(divided_before(lot, before, &coop.zone).into());
    }
    let signed_by = second_person(&mut tx, act, inputs.rules.second_signature, signed.by).await?;
    let division = inputs.propose(coop.units)?;
    if division.mark() != signed.seen {
        return Err(RuleRefusal::changed(
            "The figures of this boil, or what is carried from other boils, changed while you had \
             this page open. Please look at the new figures below and send it again.",
        )
        .into());
    }
    division.sure(signed.ticked)?;
    let row = NewDivision {
        id: DivisionId::new(act.id()),
        boil_id: inputs.boil.id,
        version: before.map_or(1, |b| b.version + 1),
        basis: division.basis,
        toll: division.toll,
        jarred: division.jarred,
        finish: inputs.finish().ok_or(Stop::Missing)?,
        after_line: ledger::next_number().ask(&mut tx).await? - 1,
        way: Way::NOW,
        signed_by,
        by_id: act.actor.id,
        at: act.at,
    };
    freeze(&mut tx, &row, &division).await?;
    let mut lines = lines(act, &inputs, &row, &division, coop.units);
    if inputs.correction.is_some() {
        let old = ledger::of_boil(inputs.boil.id).ask(&mut tx).await?;
        let before = lines.clone();
        lines = differences(&row, lines, &old, coop.units);
        let stands = (&before[..], &lines[..], &old[..]);
        tell_put_right(act, &mut tx, (&inputs, row.version), stands).await?;
    }
    write(&mut tx, lines).await?;
    act.finish(tx, "divide", row.id).await
}

/// Why a boil is not divided that stands divided.
fn divided_before(lot: &LotCode, before: &DivisionRow, zone: &Zone) -> RuleRefusal {
    RuleRefusal::new(
        "divided-before",
        format!(
            "Lot {lot} was divided on {} by {}. What is divided stands, unless a steward opens it for a correction.",
            zone.show(before.at),
            before.by_name
        ),
    )
}

/// Each member's part of a lot, the syrup of it in jars and what is to pay for it, by lines of the ledger.
struct PerMember(BTreeMap<MemberId, OfLot>);

impl PerMember {
    fn of(&self, member: MemberId) -> OfLot {
        self.0.get(&member).copied().unwrap_or_default()
    }
}

fn of_lot(lines: impl Iterator<Item = (Option<MemberId>, Entry, Grams, Cents)>) -> PerMember {
    let mut out: BTreeMap<MemberId, OfLot> = BTreeMap::new();
    for (member, kind, grams, cents) in lines {
        let Some(member) = member else {
            continue;
        };
        let sum = out.entry(member).or_default();
        match kind {
            Entry::Entitled => sum.part += grams,
            Entry::Jarred => sum.in_jars += -grams,
            _ => {}
        }
        sum.to_pay = sum.to_pay + cents;
    }
    PerMember(out)
}

/// Tells those whose lines changed what was in jars and to pay before and is now, why and by whom.
async fn tell_put_right(
    act: &Act,
    tx: &mut WriteTx,
    (inputs, version): (&DivisionInputs, i64),
    (new, written, old): (&[NewLine], &[NewLine], &[LedgerLine]),
) -> Done<()> {
    let now = of_lot(new.iter().map(|l| (l.member_id, l.kind, l.grams, l.cents)));
    let was = of_lot(old.iter().map(|l| (l.member_id, l.kind, l.grams, l.cents)));
    let touched: BTreeSet<MemberId> = written.iter().filter_map(|l| l.member_id).collect();
    let of_member = |id| (id, (was.of(id), now.of(id)));
    let changed = touched.into_iter().map(of_member).collect();
    let opened = inputs.correction.as_ref().map(|c| &c.opened);
    let why = opened.map_or("", |opened| opened.why.as_str());
    let of = (&inputs.boil.lot, version, inputs.boil.season_id);
    statements::put_right(act, tx, of, (&changed, why)).await
}

/// Two people sign: whoever divides, and another. Where the rules do without, nobody does.
async fn second_person(
    tx: &mut WriteTx,
    act: &Act,
    asked_for: bool,
    by: Option<MemberId>,
) -> Done<Option<(MemberId, MemberName)>> {
    if !asked_for {
        return Ok(None);
    }
    let wrong = |code, sentence: &str| RuleRefusal::beside("signed_by", code, sentence);
    let Some(id) = by else {
        let sentence =
            "The season’s rules ask for a second person, who looks the figures over and signs.";
        return Err(wrong("not-signed", sentence).into());
    };
    if id == act.actor.id {
        let sentence = "You divide this boil yourself. Please have a second person look the figures over and sign.";
        return Err(wrong("one-person", sentence).into());
    }
    match members::find(id).ask(tx).await? {
        Some(card) if card.left_at.is_none() => Ok(Some((id, card.name))),
        _ => Err(wrong(
            "signer-left",
            "Whoever signs must be a member of the co-op.",
        )
        .into()),
    }
}

/// Opens a divided boil for a correction: what was measured may be put right, then it is divided
/// again. What was divided stays to be read.
pub async fn open_correction(act: &Act, lot: &LotCode, why: &str) -> Done<()> {
    act.steward()?;
    let mut tx = begin!(act, "open_correction");
    let boil = boils::find(lot).ask(&mut tx).await?.ok_or(Stop::Missing)?;
    let why = why.trim();
    if why.is_empty() {
        return Err(RuleRefusal::beside(
            "why",
            "why-missing",
            "Please say what is wrong: it stands on every statement of this lot.",
        )
        .into());
    }
    let Some(last) = divisions::of_boil(boil.id).ask(&mut tx).await? else {
        return Err(RuleRefusal::new(
            "not-divided",
            "This boil is not divided, so nothing is closed yet: put right what is wrong at its place.",
        )
        .into());
    };
    if let Some(open) = divisions::open_correction(boil.id).ask(&mut tx).await? {
        return Err(RuleRefusal::new(
            "open-already",
            format!("{} opened this boil already: {}", open.by_name, open.why),
        )
        .into());
    }
    let (version, by) = (last.version + 1, act.actor.id);
    divisions::insert_correction(&mut tx, boil.id, version, why, by, act.at).await?;
    act.finish(tx, "open_correction", ()).await
}

async fn freeze(tx: &mut WriteTx, row: &NewDivision, division: &Division) -> Done<()> {
    let id = row.id;
    divisions::insert(tx, row).await?;
    for (place, part) in (1..).zip(&division.parts) {
        let share = ShareRow {
            place,
            member_id: part.sharer.member(),
            weight: i64::try_from(part.weight).unwrap_or(i64::MAX),
            solids: part.solids,
            carried: part.carried,
            entitled: part.entitled,
            jarred: part.jarred,
            carry: part.carry,
            favoured_at: part.favoured_at,
        };
        divisions::insert_share(tx, id, &share).await?;
        for net in &part.wishes {
            divisions::insert_wish(tx, id, place, *net).await?;
        }
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
fn lines(
    act: &Act,
    inputs: &DivisionInputs,
    row: &NewDivision,
    division: &Division,
    units: Units,
) -> Vec<NewLine> {
    let mut out = Vec::new();
    for part in &division.parts {
        let line = |kind, grams, cents, says| NewLine {
            grams,
            cents,
            boil_id: Some(inputs.boil.id),
            division_id: Some(row.id),
            ..line(act, inputs.boil.season_id, part.sharer, kind, says)
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

/// What the lines of a corrected division add to those written before (`old`): one line for each
/// sharer and kind that differs, so that both together come out as if only the corrected division
/// had been made. A line that a steward took back by hand stays taken back.
fn differences(
    row: &NewDivision,
    new: Vec<NewLine>,
    old: &[LedgerLine],
    units: Units,
) -> Vec<NewLine> {
    let mut sums: BTreeMap<(Sharer, Entry), NewLine> = BTreeMap::new();
    let template = new.first().cloned();
    for line in new {
        let key = (Sharer::of(line.member_id), line.kind);
        match sums.get_mut(&key) {
            Some(sum) => {
                sum.grams += line.grams;
                sum.cents = sum.cents + line.cents;
                sum.says = format!("{} and {}", sum.says, line.says);
            }
            None => {
                sums.insert(key, line);
            }
        }
    }
    let mut before: BTreeMap<(Sharer, Entry), (Grams, Cents)> = BTreeMap::new();
    for line in old {
        let key = (Sharer::of(line.member_id), line.kind);
        let sum = before.entry(key).or_insert((Grams::ZERO, Cents::ZERO));
        *sum = (sum.0 + line.grams, sum.1 + line.cents);
        if let (None, Some(line)) = (sums.get(&key), &template) {
            let gone = NewLine {
                member_id: key.0.member(),
                kind: key.1,
                grams: Grams::ZERO,
                cents: Cents::ZERO,
                says: String::new(),
                ..line.clone()
            };
            sums.insert(key, gone);
        }
    }
    let mut out = Vec::new();
    for (key, line) in sums {
        let (grams, cents) = before
            .get(&key)
            .copied()
            .unwrap_or((Grams::ZERO, Cents::ZERO));
        let was = match key.1 {
            Entry::Entitled => grams.grams_text(units),
            Entry::Jarred => (-grams).grams_text(units),
            _ => cents.show(),
        };
        let more = NewLine {
            grams: line.grams - grams,
            cents: line.cents - cents,
            says: words::put_right_says(row.version, &line.says, &was),
            ..line
        };
        if more.grams != Grams::ZERO || more.cents != Cents::ZERO {
            out.push(more);
        }
    }
    out
}
