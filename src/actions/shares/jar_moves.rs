//! Jars that come back, and jars that break, are missing or are found on somebody's shelf.

use super::hand_overs::JarsOut;
use super::lines::{line, write};
use super::settled_jars::{or_latest_open, owe_again};
use crate::actions::{Act, Done, Stop, begin};
use crate::calc::RuleRefusal;
use crate::calc::shares::jar_places::{Became, Kind, glass_credited};
use crate::calc::shares::ledger::{Entry, jar_says};
use crate::calc::shares::split::Sharer;
use crate::facts::shares::jar_count::{OutOn, gone_of};
use crate::store::boil::boils;
use crate::store::people::{coop, members};
use crate::store::season::seasons;
use crate::store::shares::hand_overs::{self as store, AsideRow};
use crate::store::shares::jar_moves;
use crate::store::shares::ledger::NewLine;
use crate::store::shares::recalls::JarRow;
use crate::store::{WriteTx, in_json};
use crate::units::{Cents, Grams, LotCode, MemberId, Units, count_of};

/// What became of jars, as the form has it.
#[derive(Debug, Clone)]
pub struct NewMoves {
    /// What became of them.
    pub became: Became,
    /// The jars it is about, by kind.
    pub jars: Vec<JarsOut>,
    /// The reason, as it was told.
    pub why: String,
}

fn none_meant() -> RuleRefusal {
    RuleRefusal::new("no-jars", "Please write how many jars, at least one.")
}

fn too_many(jar: &JarsOut, there: i64, units: Units) -> RuleRefusal {
    RuleRefusal::new(
        "not-there",
        format!(
            "{there} × {} can be meant, not {}. Please count again; what was written before stands.",
            jar_says(&jar.size_name, jar.net, jar.part, units),
            jar.count
        ),
    )
}

/// Refuses more than are missing, or were noted as broken, and names what can be meant instead.
fn not_so_many(
    (became, jar): (Became, &JarsOut),
    (missing, broken): (i64, i64),
    units: Units,
) -> RuleRefusal {
    let (there, others, can, choice) = match became {
        Became::Found => (missing, broken, "be found again", CHOICES.1),
        _ => (
            broken,
            missing,
            "have been noted as broken by mistake",
            CHOICES.0,
        ),
    };
    if others <= 0 {
        return too_many(jar, there, units);
    }
    let sentence = format!(
        "{}: {missing} noted as missing, {broken} as broken. So {there} can {can}, not {}; for the others, please choose “{choice}”.",
        jar_says(&jar.size_name, jar.net, jar.part, units),
        jar.count
    );
    RuleRefusal::beside("became", "not-so-many", sentence)
}

/// The two ways in which a jar is there after all, as the form calls them.
pub const CHOICES: (&str, &str) = (
    "Found again: it was noted as missing",
    "Not broken: it was noted as broken by mistake",
);

/// Puts jars of a receipt back on the shelf of whose they are: brought back, or never gone.
pub async fn take_back(act: &Act, receipt: i64, new: NewMoves) -> Done<()> {
    act.crew()?;
    let mut tx = begin!(act, "take_back");
    let out = OutOn::read(&mut tx, receipt).await?.ok_or(Stop::Missing)?;
    if !matches!(new.became, Became::Returned | Became::Miscounted) {
        return Err(RuleRefusal::beside("became", "became", "Please choose what happened.").into());
    }
    let units = coop::find()
        .ask(&mut tx)
        .await?
        .map_or(Units::Us, |c| c.units);
    let mut back = Grams::ZERO;
    for jar in new.jars.iter().filter(|j| j.count > 0) {
        let there = out.jars.iter().find(|o| {
            o.jars.boil == jar.boil
                && o.jars.size_name == jar.size_name
                && (o.jars.net, o.jars.part) == (jar.net, jar.part)
        });
        let left = there.map_or(0, |o| o.jars.count);
        let Some(row) = there.filter(|_| left >= jar.count) else {
            return Err(too_many(jar, left, units).into());
        };
        let jars = JarRow {
            count: jar.count,
            ..row.jars.clone()
        };
        let by = (act.actor.id, act.at);
        jar_moves::insert(&mut tx, (new.became, &jars), &new.why, by).await?;
        back += Grams::new(jar.net.get() * jar.count);
    }
    if back <= Grams::ZERO {
        return Err(none_meant().into());
    }
    owe_again(act, &mut tx, receipt, back).await?;
    act.finish(tx, "take_back", ()).await
}

/// Writes down that jars on a shelf broke, cannot be found, or were found again. Where the rules that the lot was lit under
/// say so, the mill makes good what a member loses.
pub async fn off_the_shelf(act: &Act, of: Sharer, new: NewMoves) -> Done<()> {
    act.crew()?;
    let mut tx = begin!(act, "off_the_shelf");
    let member = of.member();
    if let Some(id) = member {
        members::find(id).ask(&mut tx).await?.ok_or(Stop::Missing)?;
    }
    if matches!(new.became, Became::Returned | Became::Miscounted) {
        return Err(RuleRefusal::beside("became", "became", "Please choose what happened.").into());
    }
    let units = coop::find()
        .ask(&mut tx)
        .await?
        .map_or(Units::Us, |c| c.units);
    let aside = store::jars_set_aside(member).ask(&mut tx).await?;
    let moves = jar_moves::of_sharer(member).ask(&mut tx).await?;
    let mut any = false;
    for jar in new.jars.iter().filter(|j| j.count > 0) {
        let row = aside.iter().find(|row| jar.is_of(row));
        let (missing, broken) = gone_of(&moves, &kind_of(jar));
        let (there, again) = match new.became {
            Became::Found => (missing, true),
            Became::NotBroken => (broken, true),
            _ => (row.map_or(0, AsideRow::left), false),
        };
        if there < jar.count && again {
            return Err(not_so_many((new.became, jar), (missing, broken), units).into());
        }
        if there < jar.count || row.is_none() {
            return Err(too_many(jar, there, units).into());
        }
        let jars = JarRow {
            boil: jar.boil,
            size_name: jar.size_name.clone(),
            net: jar.net,
            part: jar.part,
            member,
            receipt: None,
            count: jar.count,
        };
        let by = (act.actor.id, act.at);
        let number = jar_moves::insert(&mut tx, (new.became, &jars), &new.why, by).await?;
        write_off(act, &mut tx, (of, number), (new.became, jar), units).await?;
        any = true;
    }
    if !any {
        return Err(none_meant().into());
    }
    act.finish(tx, "off_the_shelf", ()).await
}

fn kind_of(jar: &JarsOut) -> Kind {
    Kind {
        boil: jar.boil,
        size_name: jar.size_name.clone(),
        net: jar.net,
        part: jar.part,
    }
}

/// The ledger's lines of an entry about jars: the member is owed the syrup again, and the mill bears it; or a line that says who
/// bears it. Each names the entry.
async fn write_off(
    act: &Act,
    tx: &mut WriteTx,
    (of, jar_move): (Sharer, i64),
    (became, jar): (Became, &JarsOut),
    units: Units,
) -> Done<()> {
    let (Some(member), Some(boil)) = (of.member(), boils::of_id(jar.boil).ask(tx).await?) else {
        return Ok(());
    };
    let mends = seasons::rules(boil.rules_id)
        .ask(tx)
        .await?
        .is_none_or(|rules| rules.mill_mends.unwrap_or(true));
    let grams = Grams::new(-became.to_the_shelf() * jar.net.get() * jar.count);
    let what = format!(
        "{} × {} of lot {}",
        jar.count,
        jar_says(&jar.size_name, jar.net, jar.part, units),
        boil.lot
    );
    let words = became_words(became);
    let lines = off_lines((mends, became, words), member, grams, &what);
    let season = or_latest_open(tx, boil.season_id).await?;
    let mut lines: Vec<NewLine> = lines
        .into_iter()
        .map(|(member, grams, says)| NewLine {
            grams,
            jar_move: Some(jar_move),
            ..line(act, season, Sharer::of(member), Entry::Loss, says)
        })
        .collect();
    let price = price_paid(tx, jar).await?;
    // The mill makes good the jar too: its owner paid for the one that is gone, and pays for the next. One that is found is
    // charged as far as it was credited: a jar that went missing under an older program was not.
    let mut cents = Cents::new(became.to_the_shelf() * price.get() * jar.count);
    if is_back(became) {
        let entries = jar_moves::glass_of(member, &kind_of(jar));
        let (missing, broken) = glass_credited(&entries.ask(tx).await?);
        let credited = if became == Became::Found {
            missing
        } else {
            broken
        };
        cents = cents.min(credited.max(Cents::ZERO));
    }
    if mends && cents != Cents::ZERO {
        let says = glass_says((became, words, cents), jar, price, &boil.lot);
        lines.push(NewLine {
            cents,
            jar_move: Some(jar_move),
            ..line(act, season, of, Entry::JarPrice, says)
        });
    }
    write(tx, lines).await?;
    Ok(())
}

/// What one empty jar of this kind was charged at when the lot was divided: of two prices the lower.
async fn price_paid(tx: &mut WriteTx, jar: &JarsOut) -> Done<Cents> {
    let fills = boils::fills_of(&in_json([jar.boil])).ask(tx).await?;
    let same = fills.iter().map(|(_, fill)| fill).filter(|fill| {
        fill.count > 0
            && fill.size_name == jar.size_name
            && (fill.net, fill.part) == (jar.net, jar.part)
    });
    Ok(same.map(|fill| fill.price).min().unwrap_or(Cents::ZERO))
}

/// "1 empty jar (quart) of lot 26001-X broken on the mill’s shelf: credited, 1 × $0.85".
fn glass_says(
    (became, words, cents): (Became, &str, Cents),
    jar: &JarsOut,
    price: Cents,
    lot: &LotCode,
) -> String {
    let count = u32::try_from(jar.count).unwrap_or(0);
    let jars = count_of(count, "empty jar", "empty jars");
    let what = match became {
        _ if is_back(became) && cents.get() != price.get() * jar.count => {
            return format!(
                "{jars} ({}) of lot {lot} {words}: charged again what was credited, {}",
                jar.size_name,
                cents.show()
            );
        }
        _ if is_back(became) => "charged again",
        _ => "credited",
    };
    format!(
        "{jars} ({}) of lot {lot} {words}: {what}, {count} × {}",
        jar.size_name,
        price.show()
    )
}

/// The ledger lines for jars lost or found again: whose balance, by how much, and the words of the line.
fn off_lines(
    (mends, became, words): (bool, Became, &str),
    member: MemberId,
    grams: Grams,
    what: &str,
) -> Vec<(Option<MemberId>, Grams, String)> {
    let (owner, mill) = match (mends, became) {
        (true, _) if is_back(became) => (
            "not made good any more",
            "the mill does not bear it any more",
        ),
        (true, _) => ("made good", "borne by the mill"),
        (false, _) if is_back(became) => return vec![],
        (false, _) => {
            let says = format!("{what} {words}: by the rules, borne by whose it is");
            return vec![(Some(member), Grams::ZERO, says)];
        }
    };
    vec![
        (Some(member), grams, format!("{what} {words}: {owner}")),
        (None, -grams, format!("{what} {words}: {mill}")),
    ]
}

/// Whether jars that had gone off the shelf stand there after all.
const fn is_back(became: Became) -> bool {
    matches!(became, Became::Found | Became::NotBroken)
}

/// What became of jars as the ledger's lines say it.
const fn became_words(became: Became) -> &'static str {
    match became {
        Became::Found => "found again",
        Became::NotBroken => "noted as broken by mistake",
        Became::Missing => "missing on the mill’s shelf",
        _ => "broken on the mill’s shelf",
    }
}
