//! The page of a proposal with made-up content, for the tests that render every page.

use super::booked_and_asked::AskedRow;
use super::picture::{self, Has, Picture};
use super::rows::{DayCard, LeftRow, TurnRow};
use super::view::{Named, ProposalPage};
use crate::web::form::Sheet;
use crate::web::shell::Shell;

fn sample_picture() -> Picture {
    Picture {
        width: 720.0,
        height: 220.0,
        left: 6.0,
        base: 106.0,
        bars: vec![picture::Bar {
            x: 200.0,
            most_y: 16.0,
            most_height: 90.0,
            loads: vec![picture::Column {
                x: 195.0,
                width: 3.0,
                y: 50.0,
                height: 56.0,
            }],
            label: "19".to_owned(),
            month: "Sep".to_owned(),
        }],
        lines: vec![picture::PlantingLine {
            y: 146.0,
            label: "Amos <b>Trout</b>".to_owned(),
            from: 180.0,
            width: 80.0,
            put: vec![
                (200.0, Has::Proposed),
                (210.0, Has::Asked),
                (220.0, Has::Booked),
            ],
        }],
    }
}

pub(in crate::web) fn samples() -> Vec<Box<dyn askama::DynTemplate>> {
    let page = |full: bool| {
        ProposalPage {
        shell: Shell::sample("The season 2026 proposed"),
        sheet: Sheet::sample(),
        action: "/seasons/2026/proposal".to_owned(),
        frost_action: "/seasons/2026/frost".to_owned(),
        summary: vec!["3 plantings are without a turn.".to_owned()],
        worst: full.then(|| named("")),
        changed: "Nothing changed against what stood here before.".to_owned(),
        costs: vec!["Frost: not counted, since nothing was said of it.".to_owned()],
        kept: "x:2026-09-19".to_owned(),
        from: "0a1b".to_owned(),
        asked: if full {
            vec![AskedRow {
                when: "Sat 19 Sep 2026, 10:00–10:40".to_owned(),
                member: "Ida <i>Finch</i>".to_owned(),
                planted: "Dale".to_owned(),
                cane: "400 lb".to_owned(),
                state: "asked, may answer by 11:30 today".to_owned(),
                look: "warn",
                against: "too few people at the rollers then",
            }]
        } else {
            Vec::new()
        },
        picture: full.then(sample_picture),
        days: sample_days(),
        left: if full {
            vec![LeftRow {
                member: "Zeb Ashe".to_owned(),
                planted: "Sugar Drip".to_owned(),
                ready: "Mon 9 Nov 2026 to Sun 29 Nov 2026".to_owned(),
                cane: "300 lb".to_owned(),
                why: "No press day lies near enough to the days it is ready.".to_owned(),
                was: "Sat 26 Sep 2026, 09:00, 300 lb".to_owned(),
            }]
        } else {
            Vec::new()
        },
        more_day: "One more press day like the last, on Sat 14 Nov 2026, would take 300 lb of it and keep the sugar of 290 lb."
            .to_owned(),
        turns: usize::from(full),
        before: "x:2026-09-19".to_owned(),
        written: "2026-09-19 09:00 x 181437 Dale".to_owned(),
        frost_back: full,
        forecast: full.then(|| named("Frost is forecast for the night after Sat 26 Sep 2026, written in by ")),
        forecast_back: full,
        forecast_action: "/seasons/2026/frost-forecast".to_owned(),
        frost: named("Climate table <b>, written in by "),
        reckoned: "Cane loses little.".to_owned(),
        possible: "/seasons/2026/possible-days".to_owned(),
        back: "/seasons/2026/plan".to_owned(),
    }
    };
    vec![Box::new(page(true)), Box::new(page(false))]
}

fn named(before: &str) -> Named {
    Named {
        before: before.to_owned(),
        name: "Delia <b>Munn</b>".to_owned(),
        after: " and so on.".to_owned(),
    }
}

fn sample_days() -> Vec<DayCard> {
    vec![
        DayCard {
            date: "Sat 19 Sep 2026".to_owned(),
            load: "400 lb of 2,000 lb that the day can still take.".to_owned(),
            about: "3 can help; two or more are there from 07:00 to 15:00.".to_owned(),
            loads: "Taken: mill 40 min of 8 h; pan 2 h of 8 h; up to 1 of 3 vessels at a time."
                .to_owned(),
            forbidden: None,
            button: "forbid-2026-09-19".to_owned(),
            rows: vec![TurnRow {
                span: "09:00–09:40".to_owned(),
                member: "Amos <b>Trout</b>".to_owned(),
                planted: "Dale <early>".to_owned(),
                cane: "400 lb".to_owned(),
                lost: "0.4 %".to_owned(),
                moved: "moved",
                against: "cannot come any more: is not asked",
                was: "Sat 26 Sep 2026, 08:00, 380 lb".to_owned(),
                keep: Some(("keep-x".to_owned(), true)),
            }],
        },
        DayCard {
            date: "Sat 26 Sep 2026".to_owned(),
            load: "Nothing is proposed; there is room for 2,000 lb.".to_owned(),
            about: String::new(),
            loads: String::new(),
            forbidden: Some((
                "Ruth <b>Bell</b>".to_owned(),
                "on Tue 1 Sep 2026, 10:00".to_owned(),
            )),
            button: "allow-2026-09-26".to_owned(),
            rows: Vec::new(),
        },
    ]
}
