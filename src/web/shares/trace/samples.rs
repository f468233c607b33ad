//! Samples of the pages of trace: nothing found, a lot without cane, a lot of many tickets.

use super::super::{jars, picture};
use super::*;

const NAME: &str = "Maximiliana <b>Featherstonehaugh</b> & Co";

fn ticket(number: i64) -> TicketLine {
    TicketLine {
        number,
        href: "/tickets/x".to_owned(),
        follow: "/tickets/x/trace".to_owned(),
        name: NAME.to_owned(),
        member: "/members/x".to_owned(),
        day: "Sat 19 Sep 2026".to_owned(),
        vessels: ["Tank <1>", "Barrel 2"]
            .map(|name| ("/vessels/1/trace".to_owned(), name.to_owned()))
            .to_vec(),
        solids: "41.2 oz".to_owned(),
        part: "under 0.1 %".to_owned(),
        planted: if number % 2 == 0 {
            ""
        } else {
            "Planted: <M81E>, Sat 9 May 2026."
        }
        .to_owned(),
        loads: vec![LoadLine {
            words: "No load stands: all are crossed out".to_owned(),
            net: String::new(),
            solids: "0 oz".to_owned(),
            part: "0 %".to_owned(),
        }],
    }
}

fn lot(many: i64) -> LotPage {
    LotPage {
        shell: Shell::sample("Trace of lot 26A9Z-P"),
        stops: crate::web::cane_way::sample(9),
        lot: "26A9Z-P".to_owned(),
        boil: "/boils/26A9ZP".to_owned(),
        day: "Sat 19 Sep 2026".to_owned(),
        day_href: "/days/2026-09-19".to_owned(),
        solids: "33.1 lb".to_owned(),
        picture: picture::sample(many, NAME),
        tickets: (0..many).map(ticket).collect(),
        jars: (0..many).map(|n| jars::sample(n, NAME)).collect(),
        filled: "9 × quart of 48 oz".to_owned(),
        counted: "9 jars filled; 8 set aside. 1 jar is not accounted for.".to_owned(),
        receipts: (0..many)
            .map(|n| ReceiptLine {
                words: format!("Receipt {n}"),
                href: "/hand-overs/1".to_owned(),
                who: NAME.to_owned(),
                phone: if n % 2 == 0 { "" } else { "+1 931 555 0100" }.to_owned(),
                when: "Sat 19 Sep 2026 16:40".to_owned(),
                jars: "2 × quart <wide> of 48 oz".to_owned(),
            })
            .collect(),
        record: "/boils/26A9ZP/record".to_owned(),
        held: many > 0,
        moves: (0..many)
            .map(|_| "Sat 19 Sep 2026 14:05, Ruth <b>Bell</b>: 2 × quart of 48 oz broken on the shelf. It fell.".to_owned())
            .collect(),
        holds: (0..many)
            .map(|_| "Sat 19 Sep 2026 14:05, Ruth <b>Bell</b>: held. Recall 1".to_owned())
            .collect(),
        looks: (0..many).map(|_| "colour <amber> 3".to_owned()).collect(),
        look: "/boils/26A9ZP/looks".to_owned(),
        complaints: (0..many)
            .map(|_| "“<script>” From Amos".to_owned())
            .collect(),
        recall: "/recalls/new?kind=lot&which=26A9ZP".to_owned(),
        hold: "/boils/26A9ZP/hold".to_owned(),
        complain: "/boils/26A9ZP/complaint".to_owned(),
    }
}

pub(in crate::web) fn samples() -> Vec<Box<dyn askama::DynTemplate>> {
    vec![Box::new(lot(0)), Box::new(lot(40))]
}
