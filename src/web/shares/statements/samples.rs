//! Samples of the statement: an empty season, and a long one.

use super::super::lots::{Fee, SumStep};
use super::super::ticket_lines::JuiceLines;
use super::*;
use crate::web::shares::statements::first::{BroughtRow, CameRow};

fn entry(n: usize, amount: &str) -> Entry {
    Entry {
        number: n.to_string(),
        date: "Sat 19 Sep 2026".to_owned(),
        lot: "26001-X".to_owned(),
        says: "6 empty jars (<quart>) × $0.85".to_owned(),
        amount: amount.to_owned(),
        running: "−1,204 g".to_owned(),
    }
}

fn first(many: usize) -> First {
    First {
        brought: (0..many)
            .map(|_| BroughtRow {
                ticket: 7,
                href: "/tickets/01920000-0000-7000-8000-000000000000".to_owned(),
                date: "Sat 19 Sep 2026".to_owned(),
                cane: "360.0 lb".to_owned(),
                juice: "20.9 gal".to_owned(),
                lost: "12.0 lb of it spilt".to_owned(),
                brix: "15.58 °Bx".to_owned(),
                stops: crate::web::cane_way::sample(4),
            })
            .collect(),
        cane: "4,360.5 lb".to_owned(),
        nothing_of: vec!["Ticket 18: 12.0 lb of its juice was spilt before it came into a pan. No syrup comes of that part.".to_owned()],
        came: (0..many)
            .map(|_| CameRow {
                lot: "26001-X".to_owned(),
                href: "/boils/26001X/divide".to_owned(),
                date: "Sat 19 Sep 2026".to_owned(),
                part: "12.50 % of the sugar: 15.1 lb".to_owned(),
                jars: "8 × <quart>, 6 pints (30.2 lb)".to_owned(),
                fees: "$4.00".to_owned(),
                reopened: many > 1,
            })
            .collect(),
        may_change: if many > 1 {
            "Lot 26001-X is being put right and will be divided again: that may change this."
                .to_owned()
        } else {
            String::new()
        },
        weights_add_up: many > 1,
        jars: "no jars".to_owned(),
        fees: "$44.00".to_owned(),
        to_fetch: "1 part-jar (1.7 lb)".to_owned(),
        fetch_lots: vec!["1 part-jar (1.7 lb) of lot 26001-X".to_owned(); many.min(3)],
        off_shelf: if many > 2 { "1 quart (3 lb) broken".to_owned() } else { String::new() },
        carried: "2 oz had in advance".to_owned(),
        money: "$12.50 to pay".to_owned(),
        ended: if many > 2 { " at the end of 2026" } else { "" }.to_owned(),
        paid: vec!["$20.00 on Sat 10 Oct 2026".to_owned(); many.min(2)],
        season: "The whole season so far: 40,000.0 lb of cane.".to_owned(),
    }
}

fn body(many: usize) -> Body {
    let texts = |text: &str| vec![text.to_owned(); many.min(3)];
    Body {
        coop: "Coldwater <Ridge> & “Söhne”".to_owned(),
        place: "Tolliver, TN 37999".to_owned(),
        phone: if many == 0 {
            String::new()
        } else {
            "615 555 0100".to_owned()
        },
        name: "Maximiliana <b>Featherstonehaugh</b>-Oyelaran & Co".to_owned(),
        named: true,
        number: 17,
        year: 2026,
        made: "Sat 19 Sep 2026 16:40".to_owned(),
        first: first(many),
        tickets: (0..many)
            .map(|_| TicketLines {
                number: 7,
                date: "Sat 19 Sep 2026".to_owned(),
                condition: "stripped, heads off, clean".to_owned(),
                loads: texts("Load 1: 181,664 g gross − 18,370 g tare = 163,294 g net"),
                net: "163,294 g = 163,294 g of cane".to_owned(),
                juices: vec![JuiceLines {
                    vessel: "Blue <barrel>".to_owned(),
                    sums: texts("83,321 g × 15.58 ÷ 100 = 12,981 g of solids"),
                }],
                yielded: "83,321 g of juice ÷ 163,294 g of cane: 51.0 of 100".to_owned(),
                trash: "Sample: <b>10</b> lb as it came".to_owned(),
            })
            .collect(),
        short: many == 1,
        lots: (0..many)
            .map(|n| LotLines {
                lot: "26001-X".to_owned(),
                href: "/boils/26001X/divide".to_owned(),
                date: "Sat 19 Sep 2026".to_owned(),
                state: "finished, not divided yet".to_owned(),
                steps: vec![SumStep {
                    what: "Your juice",
                    sum: "ticket 7, Blue <barrel>: all of it; brings 9,120 g".to_owned(),
                }],
                fees: (0..n.min(2))
                    .map(|_| Fee {
                        says: "8 jars filled × $0.25".to_owned(),
                        cents: "$2.00".to_owned(),
                    })
                    .collect(),
                fee_total: "$4.00".to_owned(),
            })
            .collect(),
        syrup: (0..many).map(|n| entry(n, "−8,160 g")).collect(),
        syrup_says: "58 g had in advance".to_owned(),
        money: (0..many).map(|n| entry(n, "$12.50")).collect(),
        money_says: "$12.50 to pay".to_owned(),
        receipts: (0..many)
            .map(|_| ReceiptLine {
                number: 12,
                href: "/hand-overs/12".to_owned(),
                date: "Sat 19 Sep 2026 16:40".to_owned(),
                given_to: "<i>Amos</i>".to_owned(),
                jars: "6 × <quart> of 1,360 g of lot 26001-X".to_owned(),
            })
            .collect(),
        reckoned: texts("A pound is 453.59237 g, exactly."),
        parted: many > 2,
    }
}

pub(in crate::web) fn samples() -> Vec<Box<dyn askama::DynTemplate>> {
    let page = |many: i64| StatementPage {
        shell: Shell::sample("Statement 2026"),
        body: body(usize::try_from(many).unwrap()),
        print: "/members/01920000-0000-7000-8000-000000000000/statement/2026/print".to_owned(),
        payment: "/members/01920000-0000-7000-8000-000000000000/payment".to_owned(),
        hand_over: paths::MILL_HAND_OVER.to_owned(),
        steward: many > 0,
        crew: many > 0,
        years: (0..many)
            .map(|n| Year {
                year: 2000 + n,
                href: "/members/01920000-0000-7000-8000-000000000000/statement/2025".to_owned(),
            })
            .collect(),
    };
    let paper = PrintPage {
        css: statics::print_css(),
        icon: statics::icon(),
        body: body(12),
        back: "/members/01920000-0000-7000-8000-000000000000/statement/2026".to_owned(),
    };
    let run = |bodies| RunPage {
        css: statics::print_css(),
        icon: statics::icon(),
        year: 2026,
        bodies,
        back: "/seasons/2026/close".to_owned(),
    };
    vec![
        Box::new(page(0)),
        Box::new(page(20)),
        Box::new(paper),
        Box::new(run(Vec::new())),
        Box::new(run(vec![body(0), body(3)])),
    ]
}
