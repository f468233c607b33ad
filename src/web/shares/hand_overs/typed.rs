//! Hand-overs that stand on the hand-over sheet, keyed in row after row.

use super::form::name_of;
use crate::actions::shares::hand_overs as actions;
use crate::actions::shares::hand_overs::{JarsOut, NewHandOver, ReceiptNumber};
use crate::actions::{Act, Done};
use crate::calc::season::dates::has_come;
use crate::calc::shares::split::Sharer;
use crate::store::Snapshot;
use crate::store::people::stations::{self, Hand};
use crate::store::shares::hand_overs::{self, AsideRow};
use crate::units::{
    MemberId, MemberName, MinuteOfDay, PressDate, Refused, Units, UtcSecond, Zone, whole,
};
use crate::web::error::PageError;
use crate::web::form::{Choice, Sheet};
use crate::web::request::{FormRequest, PageRequest};
use crate::web::rows::{self, Column, Row, RowsPage, RowsTaken};
use crate::web::session::Visit;
use crate::web::{App, Page, page, paths};
use axum::extract::Query;

const INTRO: &str = "One row a line of the hand-over sheet; each makes a receipt of its own.";

/// The boxes of which one must be filled for a row to count.
const TELLING: [&str; 3] = ["jars", "count", "signed_by"];

struct Pad {
    aside: Vec<(Option<MemberId>, String, AsideRow)>,
    hands: Vec<Hand>,
}

/// A row as it is read: to whom jars go, which, and when.
type Meant = ((Sharer, NewHandOver), Option<UtcSecond>);

fn word(member: Option<MemberId>, row: &AsideRow) -> String {
    let whose = member.map_or_else(|| "mill".to_owned(), |id| id.to_string());
    format!("{whose} {}", name_of(row))
}

impl Pad {
    async fn read(db: &mut Snapshot) -> Result<Self, PageError> {
        let shelf = hand_overs::shelf().ask(db).await?.into_iter();
        let aside = shelf.map(|row| {
            let name = super::view::who(row.name.as_ref());
            (row.member_id, name, row.jars)
        });
        Ok(Self {
            aside: aside.collect(),
            hands: stations::hands(db).await?,
        })
    }

    fn page(&self, app: &App, visit: &Visit, rows: Vec<Row>) -> RowsPage {
        RowsPage::new(
            (app, visit),
            ("From paper: hand-overs".to_owned(), INTRO),
            (
                paths::PAPER_HAND_OVERS.to_owned(),
                paths::HAND_OVERS.to_owned(),
            ),
            self.columns(visit.units()),
            rows,
        )
    }

    fn columns(&self, units: Units) -> Vec<Column> {
        let jars = self.aside.iter().map(|(member, name, row)| {
            let kind = if row.part { "part-jar" } else { &row.size_name };
            let words = format!(
                "{name}: lot {}, {kind} {}, {} waiting",
                row.lot,
                row.net.small(units),
                row.left()
            );
            Choice::new(word(*member, row), words)
        });
        vec![
            Column::choose("jars", "Whose jars", jars.collect()),
            Column::number("count", "Given"),
            Column::text("signed_by", "Given to"),
            Column::date("on", "On"),
            Column::number("at", "At"),
            Column::by("Handed over by", &self.hands),
        ]
    }

    fn meant(&self, sheet: &mut Sheet, (zone, at): (&Zone, UtcSecond)) -> Option<Meant> {
        let today = zone.local(at).0;
        let jars = sheet.read("jars", |text| {
            let found = self.aside.iter().find(|(m, _, row)| word(*m, row) == text);
            found.ok_or_else(|| Refused::new("Please choose whose jars, of which lot."))
        });
        let count = sheet.read("count", |text| whole(text, 1, 10_000));
        let given_to = sheet.read("signed_by", MemberName::parse);
        let on = sheet.read("on", |text| has_come(PressDate::parse(text)?, today));
        let time = sheet.read("at", MinuteOfDay::parse);
        let (on, time) = (on?, time?);
        let at = sheet.read("at", |_| zone.instant(on, time))?;
        let (member, _, row) = jars?;
        let new = NewHandOver {
            jars: vec![JarsOut {
                boil: row.boil_id,
                size_name: row.size_name.clone(),
                net: row.net,
                part: row.part,
                count: count?,
            }],
            given_to: given_to?,
            short: false,
            note: String::new(),
        };
        let to = member.map_or(Sharer::Mill, Sharer::Member);
        Some(((to, new), Some(at)))
    }
}

/// Writes one row into the book.
async fn write(act: &Act, (to, new): (Sharer, NewHandOver)) -> Done<ReceiptNumber> {
    actions::hand_over(act, to, new).await
}

/// `GET /hand-overs/paper`
pub(crate) async fn paper_form(mut request: PageRequest, Query(taken): Query<RowsTaken>) -> Page {
    let pad = Pad::read(&mut request.db).await?;
    let rows = rows::blank(&request.visit, &request.app.ids);
    page(&pad.page(&request.app, &request.visit, rows).after(&taken))
}

/// `POST /hand-overs/paper`
pub(crate) async fn paper(mut form: FormRequest) -> Page {
    let pad = Pad::read(form.db.now().await?).await?;
    let visit = form.visit.clone();
    let (zone, at) = (visit.zone()?, visit.at);
    rows::each(
        form,
        &TELLING,
        |sheet| pad.meant(sheet, (zone, at)),
        write,
        |number: ReceiptNumber| paths::hand_over(number.0),
        async |form, rows, status| {
            pad.page(&form.app, &form.visit, rows)
                .again(form.sheet, status)
        },
    )
    .await
}
