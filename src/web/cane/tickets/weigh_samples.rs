//! Samples of the forms of a weigh-in, for the checks of all pages.

use super::*;

pub(in crate::web::cane::tickets) fn samples() -> Vec<Box<dyn askama::DynTemplate>> {
    let boxes = |ask: &str| LoadBoxes {
        scales: vec![
            Choice::new("a", "Platform, steps of 0.5 lb"),
            Choice::new("b", "<Other>"),
        ],
        unit: "lb",
        fraction: ".5",
        tares: vec![TareButton {
            value: "195.0|Blue <trailer>".to_owned(),
            words: "195.0 lb".to_owned(),
            detail: "Blue <trailer>, Sat 19 Sep 2026".to_owned(),
            whose: "m".to_owned(),
            who: "Amos <b>Trout</b>".to_owned(),
            away: true,
            chosen: true,
        }],
        when: WHEN_JUST_NOW,
        mornings: vec![Choice::new("2026-09-19", "Sat 19 Sep 2026")],
        ask: ask.to_owned(),
        more_open: false,
    };
    let twin = |more: &str| {
        Some(Twin {
            id: "x".to_owned(),
            number: 7,
            href: "/tickets/x".to_owned(),
            more: more.to_owned(),
        })
    };
    let turn = |n: usize| TurnButton {
        value: format!("turn:{n}"),
        member: n.to_string(),
        time: "09:20".to_owned(),
        name: "Amos <b>Trout</b>".to_owned(),
        cane: "361.5 lb expected".to_owned(),
        expected: "361.5".to_owned(),
        late: if n == 1 { "late 25 min" } else { "" }.to_owned(),
        chosen: n == 2,
    };
    let new = |sheet: Sheet, ask: &str, turns| NewPage {
        shell: Shell::sample("Weigh in"),
        twin: twin("/tickets/x/loads/new"),
        ask_another: true,
        ask_number: turns == 0,
        seen: Seen::new(&sheet),
        script: statics::steps_js(),
        finder: statics::find_js(),
        sheet,
        action: "/days/2026-09-19/tickets/new".to_owned(),
        opened: !ask.is_empty(),
        lacking: if turns == 0 { "/seasons/2026" } else { "" }.to_owned(),
        morning: "/days/2026-09-19/morning".to_owned(),
        turns: (0..turns).map(turn).collect(),
        members: vec![Choice::new("m", "Ida <b>Moss</b>, no. 4")],
        other: turns == 0,
        load: boxes(ask),
    };
    let mut wrong = Sheet::sample();
    wrong
        .put("gross", "<b>40</b>")
        .refuse("gross", "That is not a weight.")
        .refuse("whose", "Please choose whose cane this is.");
    let load = |fixing| LoadPage {
        shell: Shell::sample("Correct load 1"),
        script: statics::steps_js(),
        sheet: Sheet::sample(),
        action: "/tickets/x/loads/1/correct".to_owned(),
        back: "/tickets/x".to_owned(),
        whose: "Amos <b>Trout</b>".to_owned(),
        fixing,
        twin: twin(""),
        ask_another: !fixing,
        after_all: AfterAll {
            question: "<Ruth> closed this ticket.".to_owned(),
            tick: "It is pressed after all",
        },
        load: boxes(if fixing { "400.5 and 40.5" } else { "" }),
    };
    vec![
        Box::new(new(Sheet::sample(), "", 0)),
        Box::new(new(wrong, "400.5 and <40.5>", 40)),
        Box::new(load(false)),
        Box::new(load(true)),
    ]
}
