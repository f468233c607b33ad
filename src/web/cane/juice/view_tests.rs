//! Samples of the pages of juice, and a check of the written sum.

use super::*;
use crate::calc::physics::refractometer::Instrument;
use crate::units::{
    Celsius, Grams, JuiceId, MemberId, MemberName, Millilitres, PressDayId, SeasonId, TicketId,
    UtcSecond, VesselId,
};
use uuid::Uuid;

fn row(amount: Amount, sediment: Option<Amount>, instrument: Instrument) -> JuiceRow {
    let name = || MemberName::parse("Amos <b>Trout</b>").unwrap();
    JuiceRow {
        id: JuiceId::new(Uuid::nil()),
        ticket_id: TicketId::new(Uuid::nil()),
        ticket: 7,
        member_id: MemberId::new(Uuid::nil()),
        member_name: name(),
        pools: true,
        press_day_id: PressDayId::new(Uuid::nil()),
        season_id: SeasonId::new(Uuid::nil()),
        vessel: "<Blue> barrel".to_owned(),
        vessel_id: VesselId::new(Uuid::nil()),
        pressed_at: UtcSecond::new(1_789_822_800),
        version: 2,
        amount,
        sediment,
        temp: Celsius::new(25.0).unwrap(),
        instrument,
        readings: vec![BrixRead::new(15.4).unwrap(), BrixRead::new(15.6).unwrap()],
        void: false,
        by: MemberId::new(Uuid::nil()),
        by_name: name(),
        typed_by: None,
        at: UtcSecond::new(1_789_822_800),
        why: "Read <i>again</i>".to_owned(),
        again: None,
    }
}

/// Every product and difference that the page prints holds when it is done again from what is
/// printed, as a member would with a pencil.
#[test]
fn the_written_sum_can_be_done_again_with_a_pencil() {
    let at = Celsius::new(25.0).unwrap();
    let litres = |ml| Amount::Volume(Millilitres::new(ml), at);
    let row = row(litres(68_894), Some(litres(2_000)), Instrument::Plain);
    let juice = row.reckon().unwrap();
    let lines = sums::lines(&row, &juice, Units::Us);
    let numbers = |line: &str| -> Vec<f64> {
        line.replace(',', "")
            .split_whitespace()
            .filter_map(|word| word.trim_end_matches(['.', ')', ';']).parse().ok())
            .collect()
    };
    let [brix_line, mass_line, solids_line] = lines.as_slice() else {
        panic!("{lines:?}");
    };
    let brix = numbers(brix_line);
    let mean = f64::midpoint(brix[0], brix[1]);
    assert!((mean - brix[2]).abs() < 0.0011, "{brix_line}");
    assert!((brix[3] + brix[4] - brix[5]).abs() < 0.0061, "{brix_line}");
    let mass = numbers(mass_line);
    assert!((mass[0] * mass[2] - mass[3]).abs() <= 0.5, "{mass_line}");
    assert!((mass[4] - mass[5] - mass[6]).abs() < 1e-9, "{mass_line}");
    let solids = numbers(solids_line);
    assert!((solids[0] - mass[6]).abs() < 1e-9, "{solids_line}");
    assert!(
        (solids[0] * solids[1] / 100.0 - solids[3]).abs() <= 0.5,
        "{solids_line}"
    );
    assert!((solids[3] - juice.solids.as_f64()).abs() < 1e-9);
}

#[test]
fn weighed_juice_needs_no_density() {
    let row = row(
        Amount::Weight(Grams::new(70_000)),
        None,
        Instrument::Digital,
    );
    let lines = sums::lines(&row, &row.reckon().unwrap(), Units::Metric);
    assert_eq!(lines.len(), 3);
    assert!(
        lines[0].contains("15.500 = 15.50 °Bx at 20 °C"),
        "{lines:?}"
    );
    assert!(lines[1].starts_with("Weighed "), "{lines:?}");
    assert!(lines.iter().all(|l| !l.contains("g per mL")));
}

pub(in crate::web::cane::juice) fn samples() -> Vec<Box<dyn askama::DynTemplate>> {
    let weighed = row(Amount::Weight(Grams::new(70_000)), None, Instrument::Plain);
    let juice = weighed.reckon().unwrap();
    let zone = Zone::parse("America/Chicago").unwrap();
    let all: Vec<JuiceRow> = (0..40).map(|_| weighed.clone()).collect();
    let form = |sheet: Sheet, fixing: bool| FormPage {
        shell: Shell::sample("Juice of ticket 7"),
        action: "/tickets/x/juice/new".to_owned(),
        back: "/tickets/x".to_owned(),
        whose: "Amos <b>Trout</b>".to_owned(),
        vessels: vec![VesselButton {
            value: "1".to_owned(),
            words: "Barrel <1>, 55.0 gal: empty".to_owned(),
            name: "Barrel <1>".to_owned(),
            holds: "55.0".to_owned(),
            unit: "gal",
        }],
        ask_empty: !fixing,
        after_all: AfterAll {
            question: "<Ruth> closed this ticket.".to_owned(),
            tick: "It is pressed after all",
        },
        weigh_first: "/tickets/x/loads/new".to_owned(),
        fixing,
        script: statics::steps_js(),
        when: "A time like 9:40.".to_owned(),
        mornings: vec![Choice::new("2026-09-19", "Sat 19 Sep 2026")],
        boxes: Boxes::new(&sheet, Units::Metric),
        versions: version_lines(&all, &CameBy::default(), Units::Us, &zone),
        sheet,
    };
    let mut wrong = Sheet::sample();
    wrong
        .put("brix_1", "<eighteen>")
        .refuse("brix_1", "Not a number.")
        .refuse("brix_3", "Please take a third reading.")
        .refuse("vessel", "It still holds juice.");
    let page = JuicePage {
        shell: Shell::sample("Juice of ticket 7"),
        trail: Trail::default(),
        name: weighed.member_name.to_string(),
        vessel: weighed.vessel.clone(),
        ticket: 7,
        ticket_at: "/tickets/x".to_owned(),
        pressed: "Sat 19 Sep 2026 08:00".to_owned(),
        clock: "fresh, 5 h left".to_owned(),
        look: "ok",
        left: "0.0 lb".to_owned(),
        lost: vec![LostLine {
            words: "12.0 lb spilt: <hose>".to_owned(),
            by: "Cora Pell, Sat 19 Sep 2026 08:00".to_owned(),
            back: "/juices/x/lost/1/back".to_owned(),
        }],
        lose: "/juices/x/lost".to_owned(),
        undo: Some(Undo {
            action: "/juices/x/undo".to_owned(),
            until: "08:10 today".to_owned(),
        }),
        sheet: Sheet::sample(),
        void: true,
        solids: juice.solids.show(Units::Us),
        brix: juice.brix_20.show(),
        mass: juice.mass.show(Units::Us),
        volume: juice.volume_20c.show(Units::Us),
        sum: sums::lines(&weighed, &juice, Units::Us),
        cautions: cautions(&juice, 99.0),
        figure: Some("44.1".to_owned()),
        yield_sum: "100 × 154.3 lb ÷ 350.0 lb = 44.1".to_owned(),
        band: "rather low",
        band_look: "warn",
        medians: String::new(),
        versions: version_lines(&all, &CameBy::default(), Units::Metric, &zone),
        fix: "/juices/x/correct".to_owned(),
        trace: "/tickets/x/trace".to_owned(),
        closed: true,
        drawn: drawn_words(8, false),
        again: "/juices/x/again".to_owned(),
    };
    vec![
        Box::new(form(Sheet::sample(), false)),
        Box::new(form(wrong, false)),
        Box::new(form(Sheet::sample(), true)),
        Box::new(page),
    ]
}
