//! Samples of the pages of press days for everybody.

use super::*;

fn row(n: i64) -> DayRow {
    DayRow {
        date: "Sat 18 Sep 2027".to_owned(),
        href: "/days/2027-09-18".to_owned(),
        hours: "07:00–17:00".to_owned(),
        turns: n,
        room: "6 h 20 min".to_owned(),
        limit: "a turn of up to 412.0 lb; the pan is the limit".to_owned(),
        state: "open for turns",
        good: n % 2 == 0,
        note: "Bring <jars> & lids".to_owned(),
        book: if n % 2 == 0 {
            "/days/2027-09-18/book".to_owned()
        } else {
            String::new()
        },
        full: n % 4 == 0,
    }
}

fn day(own: bool) -> DayPage {
    DayPage {
        shell: Shell::sample("Press day Sat 18 Sep 2027"),
        hours: "07:00–17:00".to_owned(),
        turns: 12,
        room: "6 h 20 min".to_owned(),
        limit: "a turn of up to 412.0 lb; the pan is the limit".to_owned(),
        note: "Bring <jars> & lids".to_owned(),
        state: "today",
        own: if own {
            vec![OwnTurn {
                name: String::new(),
                time: "07:00–07:40".to_owned(),
                cane: "412.5 lb".to_owned(),
                then: "Its page says what can still be changed.",
                href: "/turns/01920000-0000-7000-8000-000000000000".to_owned(),
            }]
        } else {
            Vec::new()
        },
        others: if own {
            vec![OwnTurn {
                name: "Maximiliana <b>".to_owned(),
                time: "09:00–09:40".to_owned(),
                cane: "412.5 lb".to_owned(),
                then: "",
                href: "/turns/x".to_owned(),
            }]
        } else {
            Vec::new()
        },
        ahead: own,
        tickets: Vec::new(),
        own_cane: false,
        waiting: own,
        waits: if own { 3 } else { 0 },
        places: if own {
            vec![OwnPlace {
                name: "Maximiliana <b>".to_owned(),
                words: "2nd of 3".to_owned(),
                href: "/waiting/x".to_owned(),
            }]
        } else {
            Vec::new()
        },
        wait: if own {
            String::new()
        } else {
            "/days/2027-09-18/book".to_owned()
        },
        changes: changes::sample(2),
        book: "/days/2027-09-18/book".to_owned(),
        queue: "/days/2027-09-18/queue".to_owned(),
        rules: paths::season(2027),
        help: "/days/2027-09-18/roster".to_owned(),
        phone: "615 555 0100".to_owned(),
        back: paths::DAYS,
    }
}

pub(in crate::web::turns::press_days) fn samples() -> Vec<Box<dyn askama::DynTemplate>> {
    let list = |count, season| ListPage {
        shell: Shell::sample("Press days of 2027"),
        steward: true,
        season,
        plan: paths::NEW_DAY,
        can_come: "/members/1/days".to_owned(),
        seasons: paths::SEASONS,
        rows: (0..count).map(row).collect(),
        others: vec![Other {
            words: "Press days of 2026".to_owned(),
            href: paths::days_of(2026),
        }],
    };
    let form = |sheet, fixed| FormPage {
        shell: Shell::sample("Plan a press day"),
        sheet,
        action: paths::NEW_DAY.to_owned(),
        back: paths::DAYS.to_owned(),
        words: "Plan the day",
        fixed,
        seasons: vec![Choice::new("2027", "2027"), Choice::new("2026", "2026")],
        rate_label: rate_label(Units::Us),
        rate_hint: rate_hint(&TurnHabit::default(), Units::Us),
    };
    let mut wrong = Sheet::sample();
    wrong
        .put("opens", "<script>")
        .refuse("opens", "Please write a time of day, like 7:30 or 19:30.");
    vec![
        Box::new(list(0, false)),
        Box::new(list(0, true)),
        Box::new(list(60, true)),
        Box::new(day(false)),
        Box::new(day(true)),
        Box::new(form(Sheet::sample(), false)),
        Box::new(form(wrong, true)),
    ]
}
