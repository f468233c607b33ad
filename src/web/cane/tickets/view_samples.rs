//! Samples of the pages of a weigh-in.

use super::*;

pub(in crate::web) fn samples() -> Vec<Box<dyn askama::DynTemplate>> {
    let boxes = |ask| LoadBoxes {
        scales: vec![Choice::new("", "Choose the scale")],
        gross: "Gross, lb".to_owned(),
        tare: "Tare, lb".to_owned(),
        when: WHEN_JUST_NOW,
        ask,
    };
    let new = |sheet, ask| NewPage {
        shell: Shell::sample("Weigh in"),
        sheet,
        action: "/days/2026-09-19/tickets/new".to_owned(),
        opened: ask,
        morning: "/days/2026-09-19/morning".to_owned(),
        ask_another: true,
        whose: vec![Choice::new("", "Choose <b>whose</b> cane it is")],
        load: boxes(ask),
    };
    let mut wrong = Sheet::sample();
    wrong
        .put("gross", "<b>40</b>")
        .refuse("gross", "That is not a weight.")
        .refuse("whose", "Please choose whose cane this is.");
    let load = |fixing| LoadPage {
        shell: Shell::sample("Correct load 1"),
        sheet: Sheet::sample(),
        action: "/tickets/x/loads/1/correct".to_owned(),
        back: "/tickets/x".to_owned(),
        whose: "Amos <b>Trout</b>".to_owned(),
        fixing,
        load: boxes(fixing),
    };
    let line = |n: i64| LoadLine {
        number: n,
        gross: "1,187.5 lb".to_owned(),
        tare: "0.0 lb".to_owned(),
        net: "1,187.5 lb".to_owned(),
        by: "Ruth <i>Bell</i>, Sat 19 Sep 2026 08:00, on Platform".to_owned(),
        why: "Tare <b>forgotten</b>".to_owned(),
        struck: n % 2 == 0,
        tag: "before",
        fix: if n % 2 == 0 {
            ""
        } else {
            "/tickets/x/loads/1/correct"
        }
        .to_owned(),
    };
    let ticket = |loads: Vec<LoadLine>, figure: Option<String>| TicketPage {
        shell: Shell::sample("Ticket 7"),
        number: 7,
        crew: true,
        name: "Amos <b>Trout</b>".to_owned(),
        member: "/members/x".to_owned(),
        date: "Sat 19 Sep 2026".to_owned(),
        day: "/days/2026-09-19".to_owned(),
        condition: "leaves on".to_owned(),
        cut: "not known".to_owned(),
        note: "<script>alert(1)</script>".to_owned(),
        opened: "Ruth Bell".to_owned(),
        cautions: vec!["Leaves on.".to_owned()],
        loads,
        total: "1,187.5 lb".to_owned(),
        juices: vec![JuiceLine {
            href: "/juices/x".to_owned(),
            vessel: "<Blue> barrel".to_owned(),
            brix: "15.50 °Bx".to_owned(),
            mass: "500.0 lb".to_owned(),
            solids: "77.5 lb".to_owned(),
            clock: "fresh".to_owned(),
            look: "ok",
            void: true,
        }],
        sum: "100 × 500 ÷ 1,187.5 = 42.1".to_owned(),
        figure,
        band: "rather low",
        look: "warn",
        medians: "The mill’s median: 43.0".to_owned(),
        closed: false,
        new_load: "/tickets/x/loads/new".to_owned(),
        new_juice: "/tickets/x/juice/new".to_owned(),
        trace: "/tickets/x/trace".to_owned(),
    };
    vec![
        Box::new(new(Sheet::sample(), false)),
        Box::new(new(wrong, true)),
        Box::new(load(false)),
        Box::new(load(true)),
        Box::new(ticket(Vec::new(), None)),
        Box::new(ticket((1..60).map(line).collect(), Some("42.1".to_owned()))),
    ]
}
