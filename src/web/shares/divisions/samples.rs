//! Samples of the division's page: nothing to divide yet, a frozen one, many sharers.

use super::*;

fn share(n: usize) -> ShareLine {
    ShareLine {
        who: format!("Maximiliana <b>Featherstonehaugh</b> & Co {n}"),
        shares: true,
        open: true,
        weight: "1,234,567 g".to_owned(),
        pct: "33.33 %".to_owned(),
        exact: "12,345.678 g".to_owned(),
        odd: if n.is_multiple_of(3) { "+1 g" } else { "" },
        entitled: "12,346 g".to_owned(),
        carried: "−1,204 g".to_owned(),
        owed: "11,142 g".to_owned(),
        jars: vec!["8".to_owned(), "0".to_owned(), "1".to_owned()],
        jarred: "11,000 g".to_owned(),
        carry: "142 g".to_owned(),
        bar: 333,
    }
}

fn kind(short: &str) -> KindLine {
    KindLine {
        short: short.to_owned(),
        says: format!("{short} of 1,360 g"),
        count: 12,
    }
}

fn figures(many: usize) -> Figures {
    Figures {
        pool: "15,000 g".to_owned(),
        toll: "13,017 g × 10 % = 1,301.7 g".to_owned(),
        members: "13,017 g − 1,301.7 g = 11,715.3 g".to_owned(),
        shares: (0..many).map(share).collect(),
        repaid: "At most 2,603 g of this lot may repay members without juice in it.".to_owned(),
        exchanges: (0..many)
            .map(|n| format!("<i>Amos</i> {n} to The mill: 1 × quart of 1,360 g"))
            .collect(),
        kinds: vec![kind("quart"), kind("<pint>"), kind("part 777 g")],
        jarred: "13,017 g".to_owned(),
        floors: "13,015 g".to_owned(),
        left_over: "2 g".to_owned(),
        odd: if many > 5 {
            vec!["The mill (0.700 g)".to_owned()]
        } else {
            Vec::new()
        },
        sum_carried: "0 g".to_owned(),
        sum_carry: "0 g".to_owned(),
        recovery: "10,153 g of 12,981 g of solids came out of the pan: 78.2 of 100".to_owned(),
        loose: "0 g".to_owned(),
        fees: (0..many)
            .map(|n| FeeLine {
                who: format!("<i>Amos</i> {n}"),
                says: "8 jars filled × $0.25".to_owned(),
                cents: "$2.00".to_owned(),
            })
            .collect(),
        fee_total: "$2.00".to_owned(),
    }
}

fn page(many: usize, problem: &str, frozen: &str, crew: bool) -> DivisionPage {
    let mut sheet = Sheet::sample();
    let mut correct = Sheet::sample();
    if many > 9 {
        correct.refuse("why", "Please say what is wrong.");
    }
    let question = |at| Question {
        at,
        sentence: "The syrup is at 73.10 °Bx. Its owners have been told.".to_owned(),
    };
    if many > 0 && frozen.is_empty() {
        sheet.refuse(
            "sure_thin",
            "Please look at this once more and tick it if it is so.",
        );
    }
    DivisionPage {
        shell: Shell::sample("Lot 26001-X: who gets what"),
        stops: crate::web::cane_way::sample(many),
        sheet,
        correct,
        open_it: "/boils/26001X/correct".to_owned(),
        opened: if many == 3 {
            "opened on Sat 19 Sep 2026 17:00 by Ruth <Bell>: a load was forgotten".to_owned()
        } else {
            String::new()
        },
        earlier: false,
        again: many == 3,
        versions: (0..many)
            .map(|n| VersionLine {
                says: format!("version {n}, Sat 19 Sep 2026 by <i>Ruth</i>, because: a wrong Brix"),
                href: "/boils/26001X/divide?version=1".to_owned(),
            })
            .collect(),
        steward: crew || many > 9,
        action: "/boils/26001X/divide".to_owned(),
        boil: "/boils/26001X".to_owned(),
        lot: "26001-X".to_owned(),
        basis: Basis::Solids.label(),
        rules: "version 3 of the season’s rules, which holds from Sat 5 Sep 2026".to_owned(),
        moved: (many > 5).then(|| MovedLine {
            by: "Ruth <Bell>".to_owned(),
            on: "Sat 19 Sep 2026 16:40".to_owned(),
            why: "voted on <Sunday>".to_owned(),
        }),
        pours: (0..many)
            .map(|n| PourLine {
                who: format!("<i>Amos</i> {n}"),
                ticket: 7,
                vessel: "Blue <barrel>".to_owned(),
                sums: vec!["weighed 60,000 g".to_owned(), "all of it".to_owned()],
                brought: "9,120 g".to_owned(),
            })
            .collect(),
        problem: problem.to_owned(),
        frozen: frozen.to_owned(),
        figures: problem.is_empty().then(|| figures(many)),
        two_sign: true,
        signers: vec![
            Choice::new("", "Please choose"),
            Choice::new("7", "<b>Dan</b> Moss"),
        ],
        alone: many == 1,
        questions: if many > 0 && frozen.is_empty() {
            vec![question("sure_thin"), question("sure_loose")]
        } else {
            Vec::new()
        },
        crew,
        hand_overs: paths::HAND_OVERS,
        left: (0..many.min(2))
            .map(|_| left::sample("Rufus <b>Ellender</b>"))
            .collect(),
        losses_stand: many == 3,
        lock: only_if(many == 3, "/seasons/2026/lock".to_owned()),
        lost: "2.2 lb of the syrup of lot 26001-X was spilled: “a <ladle> tipped”."
            .repeat(many % 2),
        labels: "/boils/26001X/labels".to_owned(),
    }
}

pub(in crate::web) fn samples() -> Vec<Box<dyn askama::DynTemplate>> {
    vec![
        Box::new(page(
            0,
            "This boil is not finished. Please write down its syrup.",
            "",
            true,
        )),
        Box::new(page(1, "", "", true)),
        Box::new(page(3, "", "", true)),
        Box::new(page(60, "", "Sat 19 Sep 2026 16:40 by Ruth <Bell>", false)),
    ]
}
