//! Samples of the pages of waiting lists, the awkward ones included.

use super::*;
use crate::calc::turns::waiting::place_words;

const NAME: &str = "Maximiliana <b>Featherstonehaugh</b> & Co";

fn row(n: usize) -> WaitingRow {
    WaitingRow {
        place: place_words(n, 60),
        href: "/waiting/x".to_owned(),
        name: NAME.to_owned(),
        phone: "615 555 0101".to_owned(),
        cane: "907.2 lb".to_owned(),
        since: "Sat 19 Sep 2026 08:00".to_owned(),
        state: "a turn is offered",
        look: "warn",
        more: "taken off: <rain> & mud. 10:00–11:00 was offered".to_owned(),
    }
}

fn list(n: usize, closed: bool) -> ListPage {
    ListPage {
        shell: Shell::sample("Waiting for Sat 19 Sep 2026"),
        closed,
        rows: (0..n).map(row).collect(),
        gone: (0..n / 2).map(row).collect(),
        day: "/days/2026-09-19".to_owned(),
    }
}

fn entry(sheet: Sheet, steward: bool, n: usize) -> EntryPage {
    let some = |path: &str| {
        if n > 0 {
            path.to_owned()
        } else {
            String::new()
        }
    };
    EntryPage {
        shell: Shell::sample("On the waiting list of Sat 19 Sep 2026"),
        sheet,
        closed: n == 0,
        proposed: !steward,
        day_href: "/days/2026-09-19".to_owned(),
        date: "Sat 19 Sep 2026".to_owned(),
        member: NAME.to_owned(),
        member_href: "/members/x".to_owned(),
        phone: some("615 555 0101"),
        place: some("2nd of 3"),
        state: "A turn is offered.",
        why: "rain & <mud>".to_owned(),
        cane: "907.2 lb".to_owned(),
        since: "Sat 19 Sep 2026 08:00".to_owned(),
        offer: (n > 0).then(|| OnOffer {
            span: "10:00–11:00".to_owned(),
            planted: if steward {
                String::new()
            } else {
                "Dale <early>".to_owned()
            },
            until: "Sat 19 Sep 2026 09:00".to_owned(),
            take: "/offers/x/take".to_owned(),
            yes: format!("Take it for {NAME}"),
            declines: vec![("/offers/x/decline".to_owned(), "Do not take it".to_owned())],
            withdraw: if steward {
                "/offers/x/withdraw".to_owned()
            } else {
                String::new()
            },
        }),
        history: (0..n)
            .map(|_| "10:00–11:00 was offered and withdrawn, because: <mud>".to_owned())
            .collect(),
        turn: if n == 0 {
            "/turns/x".to_owned()
        } else {
            String::new()
        },
        still: some("/waiting/x/still"),
        leave: some("/waiting/x/leave"),
        book: "/days".to_owned(),
        list: some("/days/2026-09-19/waiting"),
        overrides: steward.then(|| Overrides {
            place: "/waiting/x/place".to_owned(),
            starts: (1..n)
                .map(|_| Choice::new("01:30 second", "01:30, second time"))
                .collect(),
            off: "/waiting/x/off".to_owned(),
        }),
    }
}

pub(in crate::web) fn samples() -> Vec<Box<dyn askama::DynTemplate>> {
    let mut wrong = Sheet::sample();
    wrong
        .put("why", "<script>")
        .refuse("why", "Please write something here.")
        .refuse("why_off", "Please write something here.")
        .refuse("why_offer", "Please write something here.")
        .refuse("start", "09:20 is not free.");
    wrong.problem = Some("This offer ran out at Sat 19 Sep 2026 09:00.".to_owned());
    vec![
        Box::new(list(0, false)),
        Box::new(list(60, true)),
        Box::new(entry(Sheet::sample(), false, 0)),
        Box::new(entry(Sheet::sample(), false, 1)),
        Box::new(entry(Sheet::sample(), true, 1)),
        Box::new(entry(wrong, true, 40)),
    ]
}
