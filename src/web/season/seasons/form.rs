//! A version of the rules as a form: what was sent, what was meant.

use crate::actions::season::seasons::NewRules;
use crate::calc::cane::second_reading;
use crate::calc::season::rules::{
    self, NET_BOXES, SIZE_BOXES, SIZES_MOST, Size, hold_in_order, sizes_amiss, yield_in_order,
};
use crate::calc::season::weights::Weights;
use crate::calc::shares::losses::LossRule;
use crate::calc::{Basis, RuleRefusal};
use crate::store::season::seasons::{JarSize, Rules, Terms};
use crate::units::{
    BasisPoints, Cents, Grams, MilliCents, Minutes, Refused, Units, decimal, one_line,
    parse_row_yield, plain_text, typed_row_yield, whole,
};
use crate::web::as_shown::or_read;
use crate::web::form::Sheet;

/// The boxes of the prices of empty jars.
pub(super) const PRICE_BOXES: [&str; SIZES_MOST] = [
    "price_1", "price_2", "price_3", "price_4", "price_5", "price_6",
];

/// Reads every box, then decides. Bare numbers are in the units of whoever types; `stands` is the version that the form showed.
pub(super) fn rules(
    sheet: &mut Sheet,
    (units, stands): (Units, &Rules),
    weights: Option<Weights>,
) -> Option<NewRules> {
    let basis = sheet.read("basis", Basis::parse);
    let toll = sheet.read("toll", BasisPoints::parse);
    let rates_in = sheet.read("rates_in", Units::parse);
    let cane_rate = sheet.read("cane_fee", MilliCents::parse);
    let juice_rate = sheet.read("juice_fee", MilliCents::parse);
    let [jar_fee, least, boil_fee, hour] =
        ["jar_fee", "least", "boil_fee", "hour"].map(|at| sheet.read(at, Cents::parse));
    let hours_most = count(sheet, "hours_most");
    let syrup_rate = sheet.read("syrup_price", MilliCents::parse_dollars);
    let loss = sheet.read("loss", LossRule::parse);
    let lots_repay = sheet.read("lots_repay", percent);
    let read_again = read_again(sheet);
    let [target_bx, floor_bx] = ["target_bx", "floor_bx"].map(|at| figure(sheet, at));
    let [hold_amber, hold_red, offer] =
        ["hold_amber", "hold_red", "offer"].map(|at| count(sheet, at).map(Minutes::new));
    let [cane_warn_days, cutoff_h] = ["cane_days", "cutoff"].map(|at| count(sheet, at));
    let yield_amber_pct = figure(sheet, "yield_amber");
    let yield_red_pct = figure(sheet, "yield_red");
    let [recovery_pct, juice_pct] = ["recovery", "juice_pct"].map(|at| figure(sheet, at));
    let row_kg_per_m = row_yield(sheet, units, stands.row_kg_per_m);
    let stalk = stalk(sheet, units);
    let sizes = sizes(sheet, units);
    let note = sheet.read("note", |t| plain_text(t, 0, 500));
    let yields = yield_amber_pct.zip(yield_red_pct);
    out_of_order(sheet, hold_amber.zip(hold_red), yields)?;
    let terms = Terms {
        basis: basis?,
        toll: toll?,
        rates_in: rates_in?,
        cane_rate: cane_rate?,
        juice_rate: juice_rate?,
        jar_fee: jar_fee?,
        least: least?,
        boil_fee: boil_fee?,
        hour: hour?,
        hours_most: hours_most?,
        syrup_rate: syrup_rate?,
        loss: loss?,
        patronage: sheet.ticked("patronage"),
        second_signature: sheet.ticked("second_signature"),
        trash_off: sheet.ticked("trash_off"),
        mill_mends: Some(sheet.ticked("mill_mends")),
        lots_repay_pct: Some(lots_repay?),
        read_again_one_in: read_again?,
        target_bx: target_bx?,
        floor_bx: floor_bx?,
        hold_amber: hold_amber?,
        hold_red: hold_red?,
        cane_warn_days: cane_warn_days?,
        yield_amber_pct: yield_amber_pct?,
        yield_red_pct: yield_red_pct?,
        recovery_pct: recovery_pct?,
        juice_pct: juice_pct?,
        row_kg_per_m: row_kg_per_m?,
        stalk: stalk?,
        cutoff_h: cutoff_h?,
        offer: offer?,
        note: note?,
    };
    Some(NewRules {
        terms,
        sizes: sizes?,
        weights: weights?,
    })
}

/// What cane a length of row gives, kg per metre; `stands` where the box still shows that.
fn row_yield(sheet: &mut Sheet, units: Units, stands: f64) -> Option<f64> {
    let read = sheet.read("row", |t| ranged("row", parse_row_yield(t, units)?));
    let shown = typed_row_yield(stands, units);
    or_read(sheet, "row", (stands, &shown), read)
}

/// Reads the weight of one stalk.
fn stalk(sheet: &mut Sheet, units: Units) -> Option<Grams> {
    sheet.read("stalk", |t| {
        let stalk = Grams::parse_small(t, units)?;
        ranged("stalk", stalk.as_f64()).map(|_| stalk)
    })
}

/// Whether amber comes before red where both can be read; beside their boxes where it does not. `None`: it does not.
fn out_of_order(
    sheet: &mut Sheet,
    hold: Option<(Minutes, Minutes)>,
    yields: Option<(f64, f64)>,
) -> Option<()> {
    let looked = [
        hold.map(|(amber, red)| hold_in_order(amber, red)),
        yields.map(|(amber, red)| yield_in_order(amber, red)),
    ];
    let refusal: Vec<RuleRefusal> = looked
        .into_iter()
        .flatten()
        .filter_map(Result::err)
        .collect();
    if refusal.is_empty() {
        return Some(());
    }
    beside(sheet, refusal);
    None
}

/// Sets rules that are not met beside their boxes.
fn beside(sheet: &mut Sheet, refusal: Vec<RuleRefusal>) {
    for refusal in refusal {
        sheet.refuse(refusal.at.unwrap_or("note"), refusal.sentence);
    }
}

fn ranged(at: &'static str, figure: f64) -> Result<f64, Refused> {
    rules::within(at, figure).map_err(|refusal| Refused::new(refusal.sentence))
}

/// A number with a range and one decimal, as the rules' page prints it; a percent or degree sign
/// after it is left off.
pub(super) fn figure(sheet: &mut Sheet, at: &'static str) -> Option<f64> {
    sheet.read(at, |t| {
        let figure = decimal(t.trim().trim_end_matches(['%', '°']))?;
        let tenths = figure * 10.0;
        if (tenths - tenths.round()).abs() > 1e-6 {
            return Err(Refused::new(
                "Please write this with one decimal at most, like 78.5.",
            ));
        }
        ranged(at, figure)
    })
}

/// A whole number with a range.
fn count(sheet: &mut Sheet, at: &'static str) -> Option<i64> {
    sheet.read(at, |t| {
        let count = whole(t, -1_000_000, 1_000_000)?;
        #[expect(clippy::cast_precision_loss, reason = "at most a million")]
        ranged(at, count as f64).map(|_| count)
    })
}

/// A whole percentage of a lot, with or without its sign: "20", "20 %".
fn percent(text: &str) -> Result<i64, Refused> {
    let text = text.trim();
    let pct = whole(
        text.strip_suffix('%').unwrap_or(text),
        -1_000_000,
        1_000_000,
    )?;
    #[expect(clippy::cast_precision_loss, reason = "at most a million")]
    ranged("lots_repay", pct as f64).map(|_| pct)
}

/// Reads in how many tickets one is read again; an empty box stands for none.
fn read_again(sheet: &mut Sheet) -> Option<i64> {
    let many = sheet.read_optional(second_reading::BOX, |t| {
        second_reading::one_in(whole(t, -1_000_000, 1_000_000)?)
            .map_err(|refusal| Refused::new(refusal.sentence))
    })?;
    Some(many.unwrap_or(0))
}

/// The rows of jars: empty ones are left out, half-filled ones refused.
fn sizes(sheet: &mut Sheet, units: Units) -> Option<Vec<JarSize>> {
    let mut rows = Vec::new();
    let mut sound = true;
    for row in 0..SIZES_MOST {
        match size(sheet, row, units) {
            Ok(Some(size)) => rows.push((row, size)),
            Ok(None) => {}
            Err(NotRead) => sound = false,
        }
    }
    let looked_at: Vec<Size<'_>> = rows
        .iter()
        .map(|(row, size)| Size {
            row: *row,
            name: &size.name,
            net: size.net,
        })
        .collect();
    let mut amiss = sizes_amiss(&looked_at);
    // With a row that could not be read, "no size at all" may not be true.
    amiss.retain(|refusal| sound || refusal.code != "no-sizes");
    sound = sound && amiss.is_empty();
    beside(sheet, amiss);
    sound.then(|| rows.into_iter().map(|(_, size)| size).collect())
}

/// A row that carries its problem beside one of its boxes.
struct NotRead;

fn size(sheet: &mut Sheet, row: usize, units: Units) -> Result<Option<JarSize>, NotRead> {
    let boxes = [SIZE_BOXES[row], NET_BOXES[row], PRICE_BOXES[row]];
    let empty: Vec<&str> = boxes
        .into_iter()
        .filter(|at| sheet.typed(at).trim().is_empty())
        .collect();
    if empty.len() == boxes.len() {
        return Ok(None);
    }
    for at in &empty {
        sheet.refuse(
            at,
            format!(
                "Row {} is only half filled in. Please write name, net weight and price (0 if the jar is free), or empty the row.",
                row + 1
            ),
        );
    }
    let filled = |at: &str| !empty.contains(&at);
    let [name_at, net_at, price_at] = boxes;
    let name = filled(name_at).then(|| sheet.read(name_at, |t| one_line(t, 1, 30)));
    let net = filled(net_at).then(|| sheet.read(net_at, |t| Grams::parse_small(t, units)));
    let price = filled(price_at).then(|| sheet.read(price_at, Cents::parse));
    match (name.flatten(), net.flatten(), price.flatten()) {
        (Some(name), Some(net), Some(price)) => Ok(Some(JarSize { name, net, price })),
        _ => Err(NotRead),
    }
}

/// The system that rates are voted in; while there are no rates, that of whoever types.
fn rates_in(rules: &Rules, units: Units) -> Units {
    let rates = [rules.cane_rate, rules.juice_rate, rules.syrup_rate];
    if rates.iter().all(|rate| *rate == MilliCents::ZERO) {
        units
    } else {
        rules.rates_in
    }
}

/// A version as the form shows it, in the units of whoever reads.
pub(super) fn of(mut sheet: Sheet, rules: &Rules, sizes: &[JarSize], units: Units) -> Sheet {
    sheet
        .put("seen", rules.number.to_string())
        .put("basis", rules.basis.word())
        .put("toll", rules.toll.typed())
        .put("rates_in", rates_in(rules, units).word())
        .put("cane_fee", rules.cane_rate.typed())
        .put("juice_fee", rules.juice_rate.typed())
        .put("jar_fee", rules.jar_fee.typed())
        .put("least", rules.least.typed())
        .put("boil_fee", rules.boil_fee.typed())
        .put("hour", rules.hour.typed())
        .put("hours_most", rules.hours_most.to_string())
        .put("syrup_price", rules.syrup_rate.typed_dollars())
        .put("loss", rules.loss.word())
        .put("patronage", if rules.patronage { "yes" } else { "" })
        .put(
            "second_signature",
            if rules.second_signature { "yes" } else { "" },
        )
        .put(
            "mill_mends",
            if rules.mill_mends.unwrap_or(true) {
                "yes"
            } else {
                ""
            },
        )
        .put(
            "lots_repay",
            rules.lots_repay_pct.unwrap_or(100).to_string(),
        )
        .put("trash_off", if rules.trash_off { "yes" } else { "" })
        .put(second_reading::BOX, rules.read_again_one_in.to_string())
        .put("target_bx", rules.target_bx.to_string())
        .put("floor_bx", rules.floor_bx.to_string())
        .put("hold_amber", rules.hold_amber.get().to_string())
        .put("hold_red", rules.hold_red.get().to_string())
        .put("cane_days", rules.cane_warn_days.to_string())
        .put("yield_amber", rules.yield_amber_pct.to_string())
        .put("yield_red", rules.yield_red_pct.to_string())
        .put("recovery", rules.recovery_pct.to_string())
        .put("juice_pct", rules.juice_pct.to_string())
        .put("row", typed_row_yield(rules.row_kg_per_m, units))
        .put("stalk", rules.stalk.typed_small(units))
        .put("cutoff", rules.cutoff_h.to_string())
        .put("offer", rules.offer.get().to_string());
    for (row, size) in sizes.iter().take(SIZES_MOST).enumerate() {
        sheet
            .put(SIZE_BOXES[row], size.name.as_str())
            .put(NET_BOXES[row], size.net.typed_small(units))
            .put(PRICE_BOXES[row], size.price.typed());
    }
    sheet
}
