//! Samples of the season's close and its forms.

use super::*;

fn close(many: usize, mut sheet: Sheet) -> ClosePage {
    let name = || "Maximiliana <b>Featherstonehaugh</b> & Co".to_owned();
    if many > 9 {
        sheet
            .put("margin", "<12>")
            .refuse("margin", "“<12>” is not a number.");
    }
    let path = "/members/01920000-0000-7000-8000-000000000000/settle";
    ClosePage {
        shell: Shell::sample("Close of the season 2026"),
        sheet,
        action: "/seasons/2026/close".to_owned(),
        open: (0..many.min(3))
            .map(|_| OpenLot {
                lot: "26001-X".to_owned(),
                href: "/boils/26001X/divide".to_owned(),
            })
            .collect(),
        rows: (0..many)
            .map(|_| SettleRow {
                who: name(),
                syrup: "655 g still to come".to_owned(),
                worth: "$5.76 to be paid out".to_owned(),
                money: "$12.50 to pay".to_owned(),
                settle: path.to_owned(),
                payment: path.to_owned(),
                hours: path.to_owned(),
            })
            .collect(),
        owed_to_mill: "$1,250.00".to_owned(),
        owed_by_mill: "$0.00".to_owned(),
        price: "Carried syrup is worth 400 ¢ a lb.".to_owned(),
        fees: "$1,250.00".to_owned(),
        credit: "$45.00".to_owned(),
        hours: (0..many)
            .map(|n| HoursLine {
                who: name(),
                says: format!("fed the <mill>: 150 min worked, 150 min credited, line {n}"),
                cents: "$37.50".to_owned(),
            })
            .collect(),
        losses: (0..many.min(2))
            .map(|_| LostBoil {
                lot: "26001-X".to_owned(),
                href: "/boils/26001X/loss".to_owned(),
                says: "scorched, 12,345 g".to_owned(),
            })
            .collect(),
        to_bear: many > 1,
        lock: "/seasons/2026/lock".to_owned(),
        promised: many != 0,
        margin_returned: many == 1,
        refunds: (0..many)
            .map(|_| RefundRow {
                who: name(),
                solids: "12,345 g".to_owned(),
                cents: "$3.21".to_owned(),
            })
            .collect(),
        margin: "120.00".to_owned(),
        files: files(2026),
    }
}

pub(in crate::web) fn samples() -> Vec<Box<dyn askama::DynTemplate>> {
    let hours = |seasons| HoursPage {
        shell: Shell::sample("Hours"),
        sheet: Sheet::sample(),
        action: "/members/01920000-0000-7000-8000-000000000000/hours".to_owned(),
        seasons,
        locked: locks(&[2025]),
        open: paths::SEASONS,
    };
    let settle = |nothing, no_price| SettlePage {
        shell: Shell::sample("Settle"),
        sheet: Sheet::sample(),
        action: "/members/01920000-0000-7000-8000-000000000000/settle".to_owned(),
        stands: "655 g still to come; $12.50 to pay".to_owned(),
        nothing,
        label: "How much, oz",
        jars: "/members/01920000-0000-7000-8000-000000000000/settle-jars".to_owned(),
        seasons: vec![Choice::new("x", "2026: 400 ¢ a lb")],
        no_price,
        to_come: Vec::new(),
        open: vec![Choice::new("x", "2026")],
        locked: locks(&[2025, 2024]),
    };
    vec![
        Box::new(close(0, Sheet::sample())),
        Box::new(close(1, Sheet::sample())),
        Box::new(close(5, Sheet::sample())),
        Box::new(close(60, Sheet::sample())),
        Box::new(hours(Vec::new())),
        Box::new(hours(vec![Choice::new("x", "2026")])),
        Box::new(settle(true, false)),
        Box::new(settle(false, false)),
        Box::new(settle(false, true)),
        Box::new(SettlePage {
            seasons: Vec::new(),
            ..settle(false, false)
        }),
    ]
}
