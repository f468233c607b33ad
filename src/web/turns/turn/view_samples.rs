//! Samples of the pages of turns, the awkward ones included.

use super::*;

const NAME: &str = "Maximiliana <b>Featherstonehaugh</b> & Co";

fn starts(n: i64) -> Starts {
    Starts {
        minutes: "1 h 10 min".to_owned(),
        near: (0..n.min(4))
            .map(|_| Choice::new("07:15", "07:15"))
            .collect(),
        all: (0..n)
            .map(|_| Choice::new("01:30 second", "01:30, second time"))
            .collect(),
        none: "No start is free for a turn that long.",
        days: paths::DAYS,
        phone: if n == 0 {
            "615 555 0100".to_owned()
        } else {
            String::new()
        },
    }
}

fn book(sheet: Sheet, first: bool, crew: bool, n: Option<i64>) -> BookPage {
    BookPage {
        shell: Shell::sample("Book a turn on Sat 19 Sep 2026"),
        sheet,
        action: "/days/2026-09-19/book".to_owned(),
        wait: "/days/2026-09-19/waiting".to_owned(),
        hours: "07:00 to 17:00".to_owned(),
        note: "Bring <string>".to_owned(),
        crew,
        everybody: vec![Choice::new("", "Choose a member"), Choice::new("x", NAME)],
        whose: NAME.to_owned(),
        ways: ways_of_telling(),
        correction: correction(Units::Us),
        hints: hints(Units::Us),
        corrects: !first,
        step: Step {
            remembered: if first {
                "From the planting record: 300 ft of row for that day.".to_owned()
            } else {
                String::new()
            },
            remembered_of: NAME.to_owned(),
            filled_for: "x".to_owned(),
            first,
            doubted: !first,
            waits: (n == Some(120)).then(|| Waits::sample(NAME)),
            offer: n.map(|n| Offer {
                late: "The mill runs 45 min late today: a new turn begins after those who are there and those who booked.".to_owned(),
                cane: "300 ft of row × 3.0239 lb a foot (the season’s rules) = 907.2 lb".to_owned(),
                minutes: "907.2 lb × 60 ÷ 500.0 lb an hour = 108.9 min of pressing".to_owned(),
                pan: "907.2 lb × 45.0 % = about 46.2 gal of juice".to_owned(),
                starts: starts(n),
                over: n == 120,
            }),
        },
    }
}

fn turn(sheet: Sheet, held: bool, n: usize) -> TurnPage {
    TurnPage {
        shell: Shell::sample("Turn on Sat 19 Sep 2026 at 09:20"),
        sheet,
        held,
        member: NAME.to_owned(),
        member_href: "/members/x".to_owned(),
        date: "Sat 19 Sep 2026".to_owned(),
        day_href: "/days/2026-09-19".to_owned(),
        span: "09:20–11:20".to_owned(),
        takes: "2 h".to_owned(),
        cane: "907.2 lb".to_owned(),
        cane_sum: "300 ft of row × 3.0239 lb a foot (the season’s rules) = 907.2 lb".to_owned(),
        minutes_sum: "907.2 lb × 60 ÷ 500.0 lb an hour = 108.9 min of pressing".to_owned(),
        pan_sum: String::new(),
        events: (0..n)
            .map(|_| EventRow {
                at: "Sat 19 Sep 2026 08:00".to_owned(),
                what: "Moved to Sat 19 Sep 2026, 09:20–11:20".to_owned(),
                why: "rain & <mud>".to_owned(),
                by: NAME.to_owned(),
                card: NAME.to_owned(),
            })
            .collect(),
        may_change: held,
        state: State {
            said: "Confirmed Sat 19 Sep 2026 08:00".to_owned(),
            by: NAME.to_owned(),
            more: String::new(),
        },
        about: "Your turn is about 13:05 (planned 12:30).".to_owned(),
        few: "From 13:00 to 13:40 fewer than two people are down for the rollers.".to_owned(),
        queue: "/days/2026-09-19/queue".to_owned(),
        coming: WayThere::sample(),
        undo: "/turns/1/undo".to_owned(),
        given_up: "This turn was cancelled; its time is free for others.",
        waits_again: (n == 0).then(|| Waits::sample(NAME)),
        undo_words: "Undo: back to Sat 19 Sep 2026, 09:00".to_owned(),
        undo_until: "You can undo this until 08:10 today.".to_owned(),
        overtaken: if n > 1 { "08:04 today" } else { "" }.to_owned(),
        overtaken_by: "Ruth <Halloran>".to_owned(),
        confirm: "/turns/x/confirm".to_owned(),
        missed: "/turns/x/missed".to_owned(),
        no_show: n > 1,
        move_href: "/turns/x/move".to_owned(),
        cancel: "/turns/x/cancel".to_owned(),
        ticket: if held {
            String::new()
        } else {
            "/tickets/x".to_owned()
        },
        weigh_in: if held {
            "/days/2026-09-19/tickets/new?turn=x".to_owned()
        } else {
            String::new()
        },
        ics: "/turns/x/ics".to_owned(),
        calendar: paths::CALENDAR,
        book: "/days/2026-09-19/book".to_owned(),
    }
}

fn moving(sheet: Sheet, n: Option<i64>) -> MovePage {
    MovePage {
        shell: Shell::sample("Move the turn"),
        sheet,
        action: "/turns/x/move".to_owned(),
        place: "Sat 19 Sep 2026, 09:20–11:20".to_owned(),
        back: "/turns/x".to_owned(),
        chosen: "Sat 26 Sep 2026".to_owned(),
        days: n.map_or_else(Vec::new, |_| {
            vec![Choice::new("2026-09-26", "Sat 26 Sep 2026")]
        }),
        starts: n.map(starts),
        waits: (n == Some(60)).then(|| Waits::sample("")),
        wait: if n == Some(0) {
            "/days/2026-09-26/book?member=1&told=weight&amount=330".to_owned()
        } else {
            String::new()
        },
    }
}

pub(in crate::web) fn samples() -> Vec<Box<dyn askama::DynTemplate>> {
    let mut wrong = Sheet::sample();
    wrong
        .put("told", "row")
        .put("amount", "<300")
        .refuse("amount", "Please write a number here.")
        .refuse(
            "cane",
            "Please correct one of the two, or say that it is so.",
        )
        .refuse("start", "09:20 is not free.");
    wrong.problem = Some("This turn was cancelled.".to_owned());
    vec![
        Box::new(book(Sheet::sample(), true, false, None)),
        Box::new(book(Sheet::sample(), false, true, Some(0))),
        Box::new(book(wrong.clone(), false, true, Some(120))),
        Box::new(turn(Sheet::sample(), true, 1)),
        Box::new(turn(wrong.clone(), true, 40)),
        Box::new(turn(wrong.clone(), false, 0)),
        Box::new(moving(Sheet::sample(), None)),
        Box::new(moving(wrong, Some(60))),
    ]
}
