//! Samples of the pages of recalls: none, an open one, an ended one of many calls.

use super::*;

const NAME: &str = "Maximiliana <b>Featherstonehaugh</b> & Co";

fn sum_lines() -> Vec<SumLine> {
    sums(&Tally::default(), Units::Us)
}

fn call(noted: bool) -> CallLine {
    CallLine {
        who: NAME.to_owned(),
        phone: "+1 555 0100".to_owned(),
        jars: vec![
            "12 × quart <wide> of 48 oz, lot 26A9Z-P: receipt 3, Sat 19 Sep 2026".to_owned(),
        ],
        state: if noted {
            "7 there, 2 gone. Ruth <b>Bell</b>, Sat 19 Sep 2026 14:05.".to_owned()
        } else {
            String::new()
        },
        href: "/recalls/1/calls/2".to_owned(),
    }
}

fn recall(many: usize, ended: &str) -> RecallPage {
    RecallPage {
        shell: Shell::sample("Drill 1: lot 26A9Z-P"),
        drill: ended.is_empty(),
        why: "A <jar> smelled sour".to_owned(),
        began: "Begun Sat 19 Sep 2026 14:00 by Ruth Bell.".to_owned(),
        lots: vec![("26A9Z-P".to_owned(), "/boils/26A9ZP/trace".to_owned())],
        read_out: "“This is Coldwater <Ridge>.”".to_owned(),
        sums: sum_lines(),
        calls: (0..many).map(|n| call(n % 2 == 0)).collect(),
        open_calls: many / 2,
        ended: ended.to_owned(),
        says: "Write the <receipt> at once".to_owned(),
        end: "/recalls/1/end".to_owned(),
        back: paths::RECALLS,
    }
}

fn note(open: bool) -> CallPage {
    CallPage {
        shell: Shell::sample("Drill 1, call 2"),
        sheet: Sheet::sample(),
        who: NAME.to_owned(),
        phone: if open { "+1 555 0100" } else { "" }.to_owned(),
        read_out: if open { "“This is …”" } else { "" }.to_owned(),
        seen: "0".to_owned(),
        noted: if open { "" } else { "not reached. Ruth" }.to_owned(),
        lines: (1..4)
            .map(|n| LineBoxes {
                jars: "12 × quart <wide>".to_owned(),
                back: boxes(n).0,
                gone: boxes(n).1,
            })
            .collect(),
        reached: reached(),
        action: "/recalls/1/calls/2".to_owned(),
        back: "/recalls/1".to_owned(),
        open,
    }
}

pub(in crate::web) fn samples() -> Vec<Box<dyn askama::DynTemplate>> {
    let list = |many: usize| ListPage {
        shell: Shell::sample("Recalls and drills"),
        recalls: (0..many)
            .map(|_| ListLine {
                words: format!("Drill 1: the cane of {NAME}"),
                href: "/recalls/1".to_owned(),
                began: "Sat 19 Sep 2026 14:00, Ruth Bell".to_owned(),
                state: "open".to_owned(),
            })
            .collect(),
        new: paths::NEW_RECALL,
    };
    let mut wrong = Sheet::sample();
    wrong
        .put("which", "<script>")
        .refuse("which", "No lot here has this code.");
    let end = |open| EndPage {
        shell: Shell::sample("End: drill 1"),
        sheet: Sheet::sample(),
        sums: sum_lines(),
        open_calls: 3,
        action: "/recalls/1/end".to_owned(),
        back: "/recalls/1".to_owned(),
        open,
    };
    vec![
        Box::new(list(0)),
        Box::new(list(30)),
        Box::new(NewPage::with(
            Shell::sample("Find every jar"),
            Sheet::sample(),
        )),
        Box::new(NewPage::with(Shell::sample("Find every jar"), wrong)),
        Box::new(recall(0, "")),
        Box::new(recall(
            40,
            "Ended Sat 19 Sep 2026 15:25. It took 1 h 25 min.",
        )),
        Box::new(note(true)),
        Box::new(note(false)),
        Box::new(end(true)),
        Box::new(end(false)),
    ]
}
