//! Samples of the pages of a boil, the awkward ones included.

use super::super::fill_view::{FillPage, Version};
use super::*;
use crate::calc::boil::fire::call::Call;
use crate::web::boil::boils::read_back::ReadBack;

const NAME: &str = "Maximiliana <b>Featherstonehaugh</b> & Co";

fn big_sample() -> LargeFinish {
    LargeFinish {
        out_by: "± 2.6 °F, which is ± 2.3 °Bx".to_owned(),
        how: "Water boils at 211.0 °F here.".to_owned(),
        least: "74 °Bx boils at 223.4 °F.".to_owned(),
        factor: "The mill’s factor K is 1.10.".to_owned(),
    }
}

fn pan_row(n: i64) -> PanRow {
    PanRow {
        ticket: format!("{n} (Blue barrel)"),
        href: "/juices/1".to_owned(),
        name: NAME.to_owned(),
        mass: "212.400 lb".to_owned(),
        brix: "14.80 °Bx".to_owned(),
        solids: "31.435 lb".to_owned(),
        tag: "all that was left".to_owned(),
    }
}

fn sheets(wrong: &str) -> Sheets {
    let mut sheets = Sheets {
        ask_reading: Some(ReadBack {
            question: "231.5 <b>really?</b>".to_owned(),
            typed: "231.5".to_owned(),
            meant: "213.5".to_owned(),
            key: "tap",
            name: "temp",
        }),
        stops: crate::web::cane_way::sample(2),
        reading: Sheet::sample(),
        draw: Sheet::sample(),
        finish: Sheet::sample(),
        fill: Sheet::sample(),
        wrong: wrong.to_owned(),
        ask_thin: !wrong.is_empty(),
        ask_low: !wrong.is_empty(),
        ask_fuel: !wrong.is_empty(),
    };
    if !wrong.is_empty() {
        sheets.reading.refuse("temp", wrong);
        sheets.draw.refuse("amount", wrong).refuse("tested", wrong);
        for name in ["thin", "syrup", "spilt", "fuel_burnt", "fuel_sure"] {
            sheets.finish.refuse(name, wrong);
        }
        sheets.fill.refuse("count_1", wrong).refuse("part", wrong);
    }
    sheets
}

fn sample(stage: Stage, many: i64, wrong: &str) -> BoilPage {
    let text = |t: &str| t.to_owned();
    BoilPage {
        shell: Shell::sample("Boil 26A9Z-P"),
        crew: true,
        lit: stage == Stage::Lit,
        done: stage == Stage::Finished,
        only_jars: false,
        stage: stage.words(),
        day: text("Sat 19 Sep 2026"),
        day_href: text("/days/2026-09-19"),
        facts: vec![("Cook", text(NAME))],
        alarms: (0..many.min(3)).map(|_| text(NAME)).collect(),
        big: big_sample(),
        pan: (0..many).map(pan_row).collect(),
        pan_mass: text("1,212.400 lb"),
        pan_brix: text("14.80 °Bx"),
        pan_solids: text("171.435 lb"),
        members: (0..many)
            .map(|_| MemberRow {
                name: text(NAME),
                mass: text("212.400 lb"),
                solids: text("31.435 lb"),
                percent: text("17.24 %"),
            })
            .collect(),
        expected: vec![text("171.3 lb of syrup.")],
        live: Figures::sample(Call::Candy, usize::from(many > 0) * 3),
        probes: ProbesOfPage::sample(usize::from(many > 0) * 2),
        live_href: text("/boils/26A9ZP/live"),
        here: text("/boils/26A9ZP"),
        script: text("/static/live-0.js"),
        keys: text("/static/keys-0.js"),
        steps: Steps {
            temp: text("217.2"),
            brix: text(""),
            goal: text("78.0"),
        },
        newest: usize::from(many > 0),
        readings: (0..many)
            .map(|_| ReadingLine {
                time: text("10:15"),
                temp: text("217.2 °F"),
                brix: text("–"),
                about: text("62 °Bx"),
                note: text(NAME),
                by: text(NAME),
            })
            .collect(),
        balance: vec![("Syrup", text("171.300 lb"))],
        lost: false,
        syrup_g: 12_470,
        jarred_g: 0,
        fills: (0..many)
            .map(|_| FillLine {
                size: text("part-filled pint"),
                net: text("9 oz (255 g)"),
                count: 1,
                sum: text("0.562 lb"),
                why: text(NAME),
                by: text(NAME),
                fix: text("/boils/26A9ZP/fills/1/correct"),
            })
            .collect(),
        jarred: text("160.000 lb"),
        left_over: text("11.300 lb of syrup is not in jars"),
        divide: text("/boils/26A9ZP/divide"),
        labels: text("/boils/26A9ZP/labels"),
        weights: text("/boils/26A9ZP/weights"),
        trace: text("/boils/26A9ZP/trace"),
        additions: text("/boils/26A9ZP/additions"),
        loss: text("/boils/26A9ZP/loss"),
        other_rules: "/boils/26001-2/rules".to_owned(),
        draws: text("/boils/26A9ZP/draws"),
        read: text("/boils/26A9ZP/readings"),
        finish: text("/boils/26A9ZP/finish"),
        fill: text("/boils/26A9ZP/fills"),
        sheets: sheets(wrong),
        juices: vec![Choice::new("1", NAME)],
        replaces: vec![Choice::new("", "It is a new reading")],
        instruments: vec![Choice::new("plain", "plain")],
        sizes: vec![SizeBox {
            name: count_box(0),
            net_g: 1_247,
            label: text("quart <b>, 44 oz (1,247 g): how many"),
            target: if many > 0 { text("1,250 g") } else { text("") },
            least: text("1,211 g"),
            most: text("1,289 g"),
        }],
        weight: "lb",
        degrees: "°F",
        small: "oz",
        fuel_label: if many > 0 {
            text("Fuel burnt, if measured: yellow-poplar, cord")
        } else {
            String::new()
        },
        fuel_hint: "Like 0.1 or 1/8.",
        fuel_kind: "yellow_poplar",
    }
}

pub(in crate::web) fn samples() -> Vec<Box<dyn askama::DynTemplate>> {
    let mut all: Vec<Box<dyn askama::DynTemplate>> = Vec::new();
    for stage in [Stage::Lit, Stage::Finished, Stage::Divided, Stage::Lost] {
        all.push(Box::new(sample(stage, 0, "")));
        all.push(Box::new(sample(stage, 40, "No open pan shows 460.0 °F.")));
        let member = BoilPage {
            crew: false,
            ..sample(stage, 3, "")
        };
        all.push(Box::new(member));
        all.push(Box::new(sample(stage, 3, "").with_jars_only()));
    }
    for part in [false, true] {
        let mut sheet = Sheet::sample();
        sheet.refuse("why", "Please fill in this box.");
        all.push(Box::new(FillPage {
            shell: Shell::sample("Correct jars"),
            sheet,
            action: "/boils/26A9ZP/fills/1/correct".to_owned(),
            back: "/boils/26A9ZP".to_owned(),
            size: "quart".to_owned(),
            part,
            small: "oz",
            keys: "/static/keys-0.js".to_owned(),
            versions: vec![Version {
                number: 1,
                count: 12,
                net: "44 oz".to_owned(),
                why: NAME.to_owned(),
                by: NAME.to_owned(),
            }],
        }));
    }
    all
}
