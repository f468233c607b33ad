//! Where a lot came from and where it went, one step each way, as rules for tracing food ask.
//!
//! What the record holds. The source of each thing received: name, telephone, what it was, when, how much, and its lot
//! where it has one (21 CFR 1.337(a): read in part, the date and lot by the parallel words of 1.345(a)). The recipient of
//! each thing released, the same, and which source went into the lot (21 CFR 1.345(a) and (b): read in a copy of 2019). Two years
//! of keeping for food that does not spoil within six months (21 CFR 1.360: from memory; nothing here is ever deleted).
//! Elsewhere: common practice. Post addresses are on no card here: the co-op keeps its own list.

use super::jars::jar_words;
use super::view::{ReceiptLine, receipt_line};
use crate::calc::boil::additions::stands;
use crate::facts::shares::trace::LotTrace;
use crate::store::boil::additions::Addition;
use crate::web::error::PageError;
use crate::web::session::Visit;
use crate::web::shell::Shell;
use crate::web::{App, paths};
use askama::Template;

/// Cane, or something added, that came into the lot.
struct SourceLine {
    who: String,
    phone: String,
    what: String,
    its_lot: String,
    when: String,
    amount: String,
}

/// The page of a lot's record.
#[derive(Template)]
#[template(path = "shares/trace/record.html")]
pub(super) struct RecordPage {
    shell: Shell,
    lot: String,
    coop: String,
    place: String,
    phone: String,
    pressed: String,
    finished: String,
    filled: Vec<String>,
    sources: Vec<SourceLine>,
    receipts: Vec<ReceiptLine>,
    left: String,
    back: String,
}

impl RecordPage {
    pub(super) fn new(app: &App, visit: &Visit, trace: &LotTrace) -> Result<Self, PageError> {
        let (coop, zone, units) = (visit.coop()?, visit.zone()?, visit.units());
        let code = &trace.boil.lot;
        let cane = trace.tickets.iter().flat_map(|t| {
            t.loads
                .iter()
                .filter_map(|l| l.load.as_ref())
                .map(|load| SourceLine {
                    who: t.ticket.member_name.to_string(),
                    phone: t
                        .phone
                        .as_ref()
                        .map_or_else(String::new, ToString::to_string),
                    what: "sorghum cane".to_owned(),
                    its_lot: format!("ticket {}, load {}", t.ticket.ticket, load.number),
                    when: zone.show(load.weighed()),
                    amount: load.net().show(units),
                })
        });
        let noted: Vec<_> = trace.additions.iter().map(Addition::noted).collect();
        let added = trace.additions.iter().filter(|a| stands(&noted, a.number));
        let added = added.map(|a| SourceLine {
            who: a.what.maker.clone(),
            phone: String::new(),
            what: a.what.what.word().to_owned(),
            its_lot: a.what.its_lot.clone(),
            when: zone.show(a.at),
            amount: a.what.dose.as_str().to_owned(),
        });
        let filled: i64 = trace.fills.iter().map(|f| f.count).sum();
        let handed: i64 = trace.receipts.iter().map(|r| r.count - r.back).sum();
        let finish = trace.boil.finish.as_ref();
        Ok(Self {
            shell: Shell::new(app, visit, format!("Record of lot {code}")),
            lot: code.to_string(),
            coop: coop.name.clone(),
            place: coop.place.clone(),
            phone: coop.contact_phone.clone(),
            pressed: trace.boil.press_date.show(),
            finished: finish.map_or_else(String::new, |f| zone.show(f.finished_at)),
            filled: trace
                .fills
                .iter()
                .map(|f| jar_words(&f.size_name, f.net, f.part, f.count, units))
                .collect(),
            sources: cane.chain(added).collect(),
            receipts: trace
                .receipts
                .iter()
                .map(|r| receipt_line(r, zone, units))
                .collect(),
            left: format!("{handed} of {filled} jars have left the mill."),
            back: paths::lot_trace(code),
        })
    }
}

#[cfg(test)]
pub(super) fn sample(many: usize) -> RecordPage {
    RecordPage {
        shell: Shell::sample("Record of lot 26A9Z-P"),
        lot: "26A9Z-P".to_owned(),
        coop: "Coldwater <Ridge>".to_owned(),
        place: "Tolliver, TN 37999".to_owned(),
        phone: if many > 0 { "+1 931 555 0100" } else { "" }.to_owned(),
        pressed: "Sat 19 Sep 2026".to_owned(),
        finished: if many > 0 {
            "Sat 19 Sep 2026 16:40"
        } else {
            ""
        }
        .to_owned(),
        filled: (0..many)
            .map(|_| "9 × quart <wide> of 48 oz".to_owned())
            .collect(),
        sources: (0..many)
            .map(|n| SourceLine {
                who: "Maximiliana <b>Featherstonehaugh</b> & Co".to_owned(),
                phone: if n % 2 == 0 { "+1 931 555 0100" } else { "" }.to_owned(),
                what: "sorghum cane".to_owned(),
                its_lot: "ticket 12, load 2".to_owned(),
                when: "Sat 19 Sep 2026 07:40".to_owned(),
                amount: "264.6 lb".to_owned(),
            })
            .collect(),
        receipts: (0..many)
            .map(|n| ReceiptLine {
                words: format!("Receipt {n}"),
                href: "/hand-overs/1".to_owned(),
                who: "Amos <b>Trout</b>".to_owned(),
                phone: String::new(),
                when: "Sat 19 Sep 2026 16:40".to_owned(),
                jars: "2 × quart <wide> of 48 oz".to_owned(),
            })
            .collect(),
        left: "0 of 0 jars have left the mill.".to_owned(),
        back: "/boils/26A9ZP/trace".to_owned(),
    }
}
