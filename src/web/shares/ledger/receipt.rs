//! The receipt of a payment, as text ready to print.

use crate::calc::shares::payments::PaidBy;
use crate::store::people::members;
use crate::store::shares::payments::{self, PaymentRow};
use crate::units::Cents;
use crate::web::error::PageError;
use crate::web::request::PageRequest;
use crate::web::session::Visit;
use crate::web::shell::Shell;
use crate::web::{App, Page, page, paths};
use askama::Template;
use axum::extract::Path;

/// A receipt of money.
#[derive(Template)]
#[template(path = "shares/ledger/receipt.html")]
struct ReceiptPage {
    shell: Shell,
    coop: String,
    place: String,
    who: String,
    way: &'static str,
    amount: String,
    how: &'static str,
    day: String,
    says: String,
    by: String,
    line: i64,
    taken_back: String,
    steward: bool,
    ledger: &'static str,
}

impl ReceiptPage {
    fn new(
        (app, visit): (&App, &Visit),
        row: &PaymentRow,
        steward: bool,
    ) -> Result<Self, PageError> {
        let coop = visit.coop()?;
        let received = row.cents < Cents::ZERO;
        Ok(Self {
            shell: Shell::new(app, visit, format!("Receipt of money {}", row.receipt)),
            coop: coop.name.clone(),
            place: coop.place.clone(),
            who: row.member_name.to_string(),
            way: if received {
                "Received from"
            } else {
                "Paid out to"
            },
            amount: if received { -row.cents } else { row.cents }.show(),
            how: how(&row.kind),
            day: row.paid_on.show(),
            says: row.says.clone(),
            by: format!("{}, {}", row.by_name, coop.zone.show(row.at)),
            line: row.line,
            taken_back: row.taken_back.map_or_else(String::new, |n| {
                format!("Line {n} of the ledger took it back: this payment does not count.")
            }),
            steward,
            ledger: paths::LEDGER,
        })
    }
}

/// How it was paid; empty where nobody chose: the words in the ledger say it.
fn how(kind: &str) -> &'static str {
    match PaidBy::parse(kind) {
        Ok(PaidBy::Other) | Err(_) => "",
        Ok(by) => by.label(),
    }
}

/// `GET /payments/{number}`
pub(crate) async fn show(mut request: PageRequest, Path(number): Path<String>) -> Page {
    let number = number.parse().map_err(|_| PageError::NotFound)?;
    let row = payments::find(number).ask(&mut request.db).await?;
    let mut row = row.ok_or(PageError::NotFound)?;
    // A receipt keeps the name of its day.
    let then = members::name_at(row.member_id, row.at);
    if let Some(name) = then.ask(&mut request.db).await? {
        row.member_name = name;
    }
    let PageRequest { app, visit, me, .. } = request;
    if !me.is_steward() && !me.is_theirs(row.member_id) {
        return Err(PageError::NotFound);
    }
    page(&ReceiptPage::new((&app, &visit), &row, me.is_steward())?)
}

#[cfg(test)]
pub(super) fn sample(taken_back: bool) -> Box<dyn askama::DynTemplate> {
    Box::new(ReceiptPage {
        shell: Shell::sample("Receipt of money 3"),
        coop: "Coldwater <Ridge>".to_owned(),
        place: "Tolliver, TN 37999".to_owned(),
        who: "Amos <b>Trout</b>".to_owned(),
        way: "Received from",
        amount: "$15.10".to_owned(),
        how: "check",
        day: "Sat 19 Sep 2026".to_owned(),
        says: "received: check <1204>".to_owned(),
        by: "Ruth Bell, Sat 19 Sep 2026 16:40".to_owned(),
        line: 12,
        taken_back: if taken_back {
            "Line 13 took it back"
        } else {
            ""
        }
        .to_owned(),
        steward: taken_back,
        ledger: paths::LEDGER,
    })
}
