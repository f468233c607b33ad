//! Samples of the pages of a weigh-in.

use super::*;

pub(in crate::web::cane::tickets) fn samples() -> Vec<Box<dyn askama::DynTemplate>> {
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
        undo: (n == 1).then(|| Undo {
            action: "/tickets/x/loads/1/undo".to_owned(),
            until: "08:10 today".to_owned(),
        }),
        version: n,
    };
    let ticket = |loads: Vec<LoadLine>, figure: Option<String>| TicketPage {
        shell: Shell::sample("Ticket 7"),
        trail: Trail::default(),
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
        weighed: true,
        sampled: vec!["Sample: <b>10</b> lb as it came".to_owned()],
        sample: "/tickets/x/sample".to_owned(),
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
        went: vec!["Went home unpressed: <b>feed</b>.".to_owned()],
        sheet: Sheet::sample(),
        move_to: "/tickets/x/move".to_owned(),
        end: "/tickets/x/unpressed".to_owned(),
        reopen: "/tickets/x/unpressed/back".to_owned(),
        new_load: "/tickets/x/loads/new".to_owned(),
        new_juice: "/tickets/x/juice/new".to_owned(),
        trace: "/tickets/x/trace".to_owned(),
    };
    vec![
        Box::new(ticket(Vec::new(), None)),
        Box::new(ticket((1..60).map(line).collect(), Some("42.1".to_owned()))),
    ]
}
