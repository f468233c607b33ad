//! Samples of a press day's page for the crew.

use super::*;

fn name() -> String {
    "Maximiliana <b>Featherstonehaugh</b> & Co".to_owned()
}

fn turn(n: i64) -> TurnRow {
    TurnRow {
        time: "07:00–07:40".to_owned(),
        href: "/turns/01920000-0000-7000-8000-000000000000".to_owned(),
        name: name(),
        cane: "1,412.5 lb".to_owned(),
        phone: "615 555 0134".to_owned(),
        note: "two <trailers>".to_owned(),
        here: if n % 2 == 0 {
            String::new()
        } else {
            format!("here: ticket {n}")
        },
        way: "/days/2027-09-18/tickets/new?turn=01920000-0000-7000-8000-000000000000".to_owned(),
        tag: Some(Tag::new("bad", "nobody came")),
    }
}

fn ticket(n: i64) -> TicketRow {
    TicketRow {
        number: n,
        href: "/tickets/01920000-0000-7000-8000-000000000000".to_owned(),
        name: name(),
        net: "1,412.5 lb".to_owned(),
        tag: Tag::new("warn", "not weighed yet"),
    }
}

fn juice(n: i64) -> JuiceRow {
    JuiceRow {
        vessel: "Blue <barrel>".to_owned(),
        href: "/juices/01920000-0000-7000-8000-000000000000".to_owned(),
        name: name(),
        ticket: n,
        left: "412.5 lb".to_owned(),
        remark: "partly poured, to be boiled alone".to_owned(),
        waited: "5 h 12 min".to_owned(),
        tag: clock_tag(
            [Freshness::Fresh, Freshness::Soon, Freshness::Late][usize::try_from(n % 3).unwrap()],
            Minutes::new(-12),
        ),
    }
}

fn boil(_: i64) -> BoilRow {
    BoilRow {
        lot: "26A9Z-P".to_owned(),
        href: "/boils/26A9ZP".to_owned(),
        whose: name(),
        lit: "Sat 18 Sep 2027 07:30".to_owned(),
        cook: name(),
        tag: Tag::new("warn", "on the pan, 3 juices"),
        call: Some(call_tag(Call::Candy)),
    }
}

pub(in crate::web::turns::press_days) fn samples() -> Vec<Box<dyn askama::DynTemplate>> {
    let board = |count: i64, open, shut| BoardPage {
        shell: Shell::sample("Press day Sat 18 Sep 2027"),
        sheet: Sheet::sample(),
        gaps: "Ticket numbers used by no ticket: 2–3.".to_owned(),
        steward: true,
        open,
        shut,
        state: "today",
        hours: "07:00–17:00".to_owned(),
        room: "6 h 20 min".to_owned(),
        rate: "500.0 lb an hour, 10 min between two members’ cane".to_owned(),
        note: "Bring <jars> & lids".to_owned(),
        lacking: if count == 0 { "/seasons/2027" } else { "" }.to_owned(),
        limits: "Juice is amber after 4 h and red after 5 h.".to_owned(),
        next: Next::sample(usize::try_from(count).unwrap()),
        expected: 12,
        unpressed: 3,
        turns: (0..count).map(turn).collect(),
        tickets: (0..count).map(ticket).collect(),
        juices: (0..count).map(juice).collect(),
        boils: (0..count).map(boil).collect(),
        book: "/days/2027-09-18/book".to_owned(),
        list: "/days/2027-09-18/waiting".to_owned(),
        waits: 3,
        walk_in: "/days/2027-09-18/tickets/new".to_owned(),
        light: "/days/2027-09-18/boils/new".to_owned(),
        plan: "/days/2027-09-18/plan".to_owned(),
        balance: "/days/2027-09-18/balance".to_owned(),
        mill: "/days/2027-09-18/mill".to_owned(),
        morning: "/days/2027-09-18/morning".to_owned(),
        wall: "/days/2027-09-18/board".to_owned(),
        paper: "/days/2027-09-18/sheet".to_owned(),
        roster: "/days/2027-09-18/roster".to_owned(),
        edit: "/days/2027-09-18/edit".to_owned(),
        close: "/days/2027-09-18/close".to_owned(),
        changes: changes::sample(usize::try_from(count.min(3)).unwrap()),
        change_ways: changes::ways(PressDate::parse("2027-09-18").unwrap()),
    };
    vec![
        Box::new(board(0, true, "")),
        Box::new(board(0, false, "")),
        Box::new(board(0, false, shut((true, false)))),
        Box::new(board(60, true, "")),
    ]
}
