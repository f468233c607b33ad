//! The division of a boil as text ready to print.

use super::left::{self, LeftLine};
use super::names::{Names, named};
use super::sums;
use super::versions::{
    MovedLine, VersionLine, frozen_says, losses_stand, opened, version_of, versions,
};
use crate::calc::shares::division::{Division, Part, Question, Way};
use crate::calc::shares::ledger::{fee_says, kind_says};
use crate::calc::shares::split::Sharer;
use crate::calc::{Basis, RuleRefusal};
use crate::facts::shares::division_inputs::DivisionInputs;
use crate::facts::shares::poured_juice::PouredJuice;
use crate::store::boil::boils_rules::Moved;
use crate::store::people::members::Member;
use crate::store::shares::divisions::DivisionRow;
use crate::store::shares::ledger::LedgerLine;
use crate::units::{Cents, Grams, MemberId, Units, UtcSecond, Zone};
use crate::web::cane_way::StopView;
use crate::web::error::PageError;
use crate::web::form::{Choice, Sheet};
use crate::web::session::{Me, Visit};
use crate::web::shell::Shell;
use crate::web::{App, only_if, paths};
use askama::Template;

/// The two forms of the page.
pub(super) struct Sheets {
    pub(super) divide: Sheet,
    pub(super) correct: Sheet,
}

/// What one juice brought.
pub(super) struct PourLine {
    who: String,
    ticket: i64,
    vessel: String,
    sums: Vec<String>,
    brought: String,
}

/// One sharer's line in a division.
pub(super) struct ShareLine {
    who: String,
    /// Whether this lot's syrup is shared with them; others only stand in line for jars.
    shares: bool,
    /// Whether this person may read what they are owed, the jars they get and what is carried.
    open: bool,
    weight: String,
    pct: String,
    exact: String,
    odd: &'static str,
    entitled: String,
    carried: String,
    owed: String,
    jars: Vec<String>,
    jarred: String,
    carry: String,
    /// Length of the bar, of 1000.
    bar: u64,
}

/// One kind of jar.
pub(super) struct KindLine {
    short: String,
    says: String,
    count: u32,
}

/// What one member pays.
pub(super) struct FeeLine {
    who: String,
    says: String,
    cents: String,
}

/// The figures of a division.
pub(super) struct Figures {
    pool: String,
    toll: String,
    members: String,
    shares: Vec<ShareLine>,
    kinds: Vec<KindLine>,
    exchanges: Vec<String>,
    /// What the lot may repay members without juice in it, and what it does; empty: nothing is said about it.
    repaid: String,
    jarred: String,
    floors: String,
    left_over: String,
    odd: Vec<String>,
    sum_carried: String,
    sum_carry: String,
    recovery: String,
    loose: String,
    fees: Vec<FeeLine>,
    fee_total: String,
}

/// A boil’s division, proposed or frozen.
#[derive(Template)]
#[template(path = "shares/divisions/show.html")]
#[expect(
    clippy::struct_excessive_bools,
    reason = "each shows or hides one part of the page"
)]
pub(super) struct DivisionPage {
    shell: Shell,
    stops: Vec<StopView>,
    sheet: Sheet,
    correct: Sheet,
    action: String,
    open_it: String,
    boil: String,
    lot: String,
    basis: &'static str,
    rules: String,
    /// Who moved the boil to those rules, when and why; `None`: it was lit under them.
    moved: Option<MovedLine>,
    pours: Vec<PourLine>,
    problem: String,
    frozen: String,
    /// Why, when and by whom it is open for a correction; empty: it is not.
    opened: String,
    /// Whether an earlier version is shown.
    earlier: bool,
    /// Whether it is a division made again.
    again: bool,
    versions: Vec<VersionLine>,
    steward: bool,
    figures: Option<Figures>,
    questions: Vec<Question>,
    /// Whether a second person signs.
    two_sign: bool,
    signers: Vec<Choice>,
    /// A second person is to sign, and there is none who could.
    alone: bool,
    crew: bool,
    hand_overs: &'static str,
    labels: String,
    /// The season's losses were shared out, and the boil is, was or may be put right.
    losses_stand: bool,
    /// The page of its season's lock; empty: the season is not locked.
    lock: String,
    /// What was lost of its syrup, and the reader's part of it; empty: nothing.
    lost: String,
    /// Who left the co-op and is given jars of it; none once it is divided.
    left: Vec<LeftLine>,
}

/// The facts that the page of a division is made of.
pub(super) struct Shown<'a> {
    pub inputs: &'a DivisionInputs,
    pub basis: Basis,
    /// Whether this person may open the boil's page.
    pub may_boil: bool,
    pub division: Result<&'a Division, &'a RuleRefusal>,
    pub names: &'a Names,
    /// Who of them left the co-op, and when.
    pub left: &'a [(Member, UtcSecond)],
    /// The version shown, if it is a frozen one.
    pub frozen: Option<&'a DivisionRow>,
    /// Every version, the latest first.
    pub versions: &'a [DivisionRow],
    /// The ledger's lines, once it is frozen.
    pub ledger: &'a [LedgerLine],
    /// The pages along the way of the cane in it.
    pub stops: Vec<StopView>,
    /// The people who can sign as the second person.
    pub signers: Vec<Choice>,
    /// The move to the rules that it is divided by, when it was lit under others.
    pub moved: Option<&'a Moved>,
    /// The losses of its season were shared out over all who pressed.
    pub losses_borne: bool,
    /// The year of its season, if that is locked.
    pub locked: Option<i64>,
    /// What was lost of the boil's syrup, and the reader's part of it; empty: nothing.
    pub lost: String,
}

impl DivisionPage {
    pub(super) fn new(
        app: &App,
        visit: &Visit,
        me: &Me,
        mut shown: Shown<'_>,
        sheets: Sheets,
    ) -> Result<Self, PageError> {
        let (units, signers) = (visit.units(), std::mem::take(&mut shown.signers));
        let gone = std::mem::take(&mut shown.lost);
        let shown = &shown;
        let lot = &shown.inputs.boil.lot;
        let Sheets {
            divide: mut sheet,
            correct,
        } = sheets;
        if let Ok(division) = shown.division {
            sheet.put("seen", division.mark());
        }
        let pour = |p: &PouredJuice| pour_line(p, shown.basis, shown.names, units);
        let (rules, zone) = (&shown.inputs.rules, visit.zone()?);
        Ok(Self {
            shell: Shell::new(app, visit, format!("Lot {lot}: who gets what")),
            stops: shown.stops.clone(),
            sheet,
            correct,
            open_it: paths::boil_part(lot, "correct"),
            opened: opened(shown.inputs, zone),
            earlier: shown.frozen.is_some_and(|f| {
                shown.inputs.correction.is_some()
                    || shown
                        .versions
                        .first()
                        .is_some_and(|v| v.version > f.version)
            }),
            again: match shown.frozen {
                Some(frozen) => frozen.version > 1,
                None => shown.inputs.correction.is_some(),
            },
            versions: versions(shown.inputs, zone),
            steward: me.is_steward(),
            action: paths::boil_part(lot, "divide"),
            boil: only_if(shown.may_boil, paths::boil(lot)),
            lot: lot.to_string(),
            basis: shown.basis.label(),
            rules: version_of(rules),
            moved: shown.moved.map(|moved| MovedLine::of(moved, zone)),
            pours: shown.inputs.pours.iter().map(pour).collect(),
            problem: problem(shown),
            frozen: shown
                .frozen
                .map_or_else(String::new, |f| frozen_says(f, zone)),
            figures: shown.division.ok().map(|d| figures(d, shown, me, units)),
            questions: shown
                .division
                .map_or_else(|_| Vec::new(), |d| d.questions.clone()),
            two_sign: rules.second_signature,
            // The first choice is none.
            alone: rules.second_signature && signers.len() < 2,
            signers,
            crew: me.is_crew(),
            hand_overs: paths::HAND_OVERS,
            labels: paths::boil_part(lot, "labels"),
            lost: gone,
            left: left_lines(shown, me, (zone, units)),
            lock: lock_page(shown.locked),
            losses_stand: losses_stand(shown.inputs, shown.losses_borne, me),
        })
    }
}

/// Why the boil cannot be divided; empty: it can.
fn problem(shown: &Shown<'_>) -> String {
    let refusal = shown.division.err();
    refusal.map_or_else(String::new, |r| r.sentence.clone())
}

/// The page of the lock of a season that is locked; else nothing.
fn lock_page(year: Option<i64>) -> String {
    year.map_or_else(String::new, |year| paths::season_part(year, "lock"))
}

/// Who left and is given jars; of a division that stands, and to a member, nothing.
fn left_lines(shown: &Shown<'_>, me: &Me, place: (&Zone, Units)) -> Vec<LeftLine> {
    match shown.division {
        Ok(d) if me.is_crew() && shown.frozen.is_none() => left::lines(d, shown.left, place),
        _ => Vec::new(),
    }
}

fn pour_line(pour: &PouredJuice, basis: Basis, names: &Names, units: Units) -> PourLine {
    let mut lines = vec![sums::mass_sum(&pour.juice, &pour.whole, units)];
    match basis {
        Basis::Solids => {
            lines.push(sums::brix_sum(&pour.juice, &pour.whole, units));
            lines.push(sums::solids_sum(&pour.whole, units));
            lines.push(sums::part_sum(pour, units));
        }
        Basis::JuiceMass => lines.push(format!(
            "{} of it in this boil",
            pour.part.mass.grams_text(units)
        )),
        Basis::JuiceVolume => lines.push(format!(
            "{} of it in this boil, at 20 °C {}",
            pour.part.mass.grams_text(units),
            sums::ml_text(pour.part.volume, units)
        )),
        Basis::CaneMass => lines.push(sums::cane_sum(pour, units)),
    }
    PourLine {
        who: named(names, Sharer::Member(pour.draw.member_id)),
        ticket: pour.draw.ticket,
        vessel: pour.draw.vessel.clone(),
        sums: lines,
        brought: sums::weight_text(basis, pour.brought.weight(basis), units),
    }
}

fn figures(d: &Division, shown: &Shown<'_>, me: &Me, units: Units) -> Figures {
    let g = |grams: Grams| grams.grams_text(units);
    let odd = |p: &&Part| p.odd_gram;
    let kind = |k: &crate::calc::shares::division::Kind| KindLine {
        short: if k.part {
            format!("part {}", g(k.net))
        } else {
            k.name.clone()
        },
        says: kind_says(k, units),
        count: k.count,
    };
    let carried: Grams = d.parts.iter().map(|p| p.carried).sum();
    let carry: Grams = d.parts.iter().map(|p| p.carry).sum();
    let fees = fee_lines(d, shown, me, units);
    Figures {
        pool: sums::weight_text(d.basis, d.weight, units),
        toll: sums::toll_sum(d, units),
        members: sums::members_sum(d, units),
        shares: d
            .parts
            .iter()
            .map(|p| {
                let open = match p.sharer {
                    Sharer::Member(id) => me.may_see(id),
                    Sharer::Mill => me.is_crew(),
                };
                share_line(p, d, (shown.names, open), units)
            })
            .collect(),
        kinds: d.kinds.iter().map(kind).collect(),
        exchanges: if me.is_crew() {
            super::exchanges::lines(d, shown.names, units)
        } else {
            Vec::new()
        },
        repaid: repaid(d, shown, me, units),
        jarred: g(d.jarred),
        floors: g(d.floors()),
        left_over: g(d.jarred - d.floors()),
        odd: d
            .parts
            .iter()
            .filter(odd)
            .map(|p| {
                format!(
                    "{} (0.{:03} g)",
                    named(shown.names, p.sharer),
                    p.cut_thousandths
                )
            })
            .collect(),
        sum_carried: g(carried),
        sum_carry: g(carry),
        recovery: sums::recovery_sum(d, units),
        loose: g(d.syrup - d.jarred),
        fee_total: fees.iter().map(|(_, cents)| *cents).sum::<Cents>().show(),
        fees: fees.into_iter().map(|(line, _)| line).collect(),
    }
}

/// What the lot may repay of what is owed from earlier lots, and what it does; of the mill's account only crew read.
fn repaid(d: &Division, shown: &Shown<'_>, me: &Me, units: Units) -> String {
    let way = shown.frozen.map_or(Way::NOW, |frozen| frozen.way);
    let pct = shown.inputs.rules.lots_repay_pct;
    let all = sums::repaid(d, (pct, way), units);
    match d.repaid_to_mill().filter(|_| me.is_crew()) {
        None => all,
        Some(mills) => format!("{all} {}", sums::repaid_to_mill(mills, units)),
    }
}

fn share_line(part: &Part, d: &Division, (names, open): (&Names, bool), units: Units) -> ShareLine {
    let g = |grams: Grams| grams.grams_text(units);
    let brought = part.weight > 0;
    ShareLine {
        open,
        who: named(names, part.sharer),
        shares: brought || part.sharer == Sharer::Mill || part.entitled > Grams::ZERO,
        weight: if brought {
            sums::weight_text(d.basis, part.weight, units)
        } else {
            "–".to_owned()
        },
        pct: if brought {
            sums::percent(part.weight, d.weight)
        } else {
            "–".to_owned()
        },
        exact: sums::exact(part, units),
        odd: if part.odd_gram { "+1 g" } else { "" },
        entitled: g(part.entitled),
        carried: g(part.carried),
        owed: g(part.carried + part.entitled),
        jars: part.jars.iter().map(u32::to_string).collect(),
        jarred: g(part.jarred),
        carry: g(part.carry),
        bar: bar(part.entitled, d.jarred),
    }
}

/// Thousandths of a whole, for the bar picture.
fn bar(part: Grams, whole: Grams) -> u64 {
    let (part, whole) = (part.get().unsigned_abs(), whole.get().unsigned_abs());
    (part * 1000).checked_div(whole).unwrap_or(0)
}

/// Fees with their sums: all for crew, the own for a member.
fn fee_lines(d: &Division, shown: &Shown<'_>, me: &Me, units: Units) -> Vec<(FeeLine, Cents)> {
    let may = |member: Option<MemberId>| member.map_or(me.is_crew(), |id| me.may_see(id));
    let line = |sharer, says, cents: Cents| {
        let who = named(shown.names, sharer);
        let shown = cents.show();
        (
            FeeLine {
                who,
                says,
                cents: shown,
            },
            cents,
        )
    };
    if let Some(frozen) = shown.frozen {
        let upto = |l: &&LedgerLine| l.version.is_some_and(|v| v <= frozen.version);
        let mine = shown.ledger.iter().filter(|l| may(l.member_id) && upto(l));
        return mine
            .filter(|l| l.cents != Cents::ZERO)
            .map(|l| {
                let sharer = Sharer::of(l.member_id);
                line(sharer, l.says.clone(), l.cents)
            })
            .collect();
    }
    d.parts
        .iter()
        .filter(|p| may(p.sharer.member()))
        .flat_map(|p| p.bill.lines.iter().map(move |fee| (p.sharer, fee)))
        .map(|(sharer, fee)| line(sharer, fee_says(fee, units), fee.cents()))
        .collect()
}

#[cfg(test)]
#[path = "samples.rs"]
mod samples;
#[cfg(test)]
pub(in crate::web) use samples::samples;
