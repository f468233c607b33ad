//! Plantings taken over from the season before: what would be written, and the button.

use crate::actions::Act;
use crate::actions::season::plantings as actions;
use crate::facts::season::plantings::{self as facts, Again};
use crate::store::people::members::Member;
use crate::store::season::plantings::Planting;
use crate::units::{Units, count_of};
use crate::web::form::Sheet;
use crate::web::people::members::seen_by;
use crate::web::request::{FormRequest, PageRequest};
use crate::web::session::Visit;
use crate::web::shell::Shell;
use crate::web::{App, Page, page, page_with, paths};
use askama::Template;
use axum::extract::Path;

/// One planting as it would be written.
struct AgainRow {
    variety: String,
    note: String,
    planted: String,
    length: String,
    days: i64,
}

/// What would be taken over.
#[derive(Template)]
#[template(path = "season/plantings/again.html")]
struct AgainPage {
    shell: Shell,
    sheet: Sheet,
    from: i64,
    year: i64,
    rows: Vec<AgainRow>,
    nothing: String,
    words: String,
    action: String,
    back: String,
}

fn row(p: &Planting, units: Units) -> AgainRow {
    AgainRow {
        variety: p.variety.clone(),
        note: p.note.clone(),
        planted: p.planted_on.show(),
        length: p.row.show(units),
        days: p.maturity_days,
    }
}

fn words(count: usize, year: i64) -> String {
    let count = count_of(u64::try_from(count).unwrap_or(0), "planting", "plantings");
    format!("Take {count} over into {year}")
}

impl AgainPage {
    fn new(
        (app, visit): (&App, &Visit),
        member: &Member,
        again: Option<&Again>,
        sheet: Sheet,
    ) -> Self {
        let plantings = again.map_or(&[][..], |a| &a.plantings);
        let (from, year) = again.map_or((0, 0), |a| (a.from, a.year));
        Self {
            shell: Shell::new(app, visit, format!("Plantings again: {}", member.name)),
            sheet,
            from,
            year,
            rows: plantings.iter().map(|p| row(p, visit.units())).collect(),
            nothing: match again {
                None => "No planting of an earlier season is on record, or the next season is not open yet.".to_owned(),
                Some(_) => format!(
                    "Plantings were written down or taken over for {year} already. What is missing there is added by itself."
                ),
            },
            words: words(plantings.len(), year),
            action: paths::plantings_again(member.id),
            back: paths::plantings(member.id),
        }
    }
}

/// `GET /members/{id}/plantings/again`
pub(crate) async fn again_form(Path(id): Path<String>, mut request: PageRequest) -> Page {
    let member = seen_by(&mut request.db, &request.me, &id).await?;
    let again = facts::again(&mut request.db, member.id).await?;
    let sheet = request.blank();
    let site = (&request.app, &request.visit);
    page(&AgainPage::new(site, &member, again.as_ref(), sheet))
}

/// `POST /members/{id}/plantings/again`
pub(crate) async fn again(Path(id): Path<String>, mut form: FormRequest) -> Page {
    let member = seen_by(form.db.now().await?, &form.me, &id).await?;
    form.end(
        Some(()),
        async |act: &Act, ()| actions::take_over(act, member.id).await,
        |_| paths::plantings(member.id),
        async |mut form| {
            let again = facts::again(form.db.now().await?, member.id).await?;
            let status = form.sheet.status();
            let site = (&form.app, &form.visit);
            page_with(
                status,
                &AgainPage::new(site, &member, again.as_ref(), form.sheet),
            )
        },
    )
    .await
}

#[cfg(test)]
pub(super) fn samples() -> Vec<Box<dyn askama::DynTemplate>> {
    let view = |many: usize| AgainPage {
        shell: Shell::sample("Plantings again"),
        sheet: Sheet::sample(),
        from: 2026,
        year: 2027,
        rows: (0..many)
            .map(|_| AgainRow {
                variety: "Grandpa’s <b>sweet</b> & tall".to_owned(),
                note: "creek <bottom>".to_owned(),
                planted: "Tue 18 May 2027".to_owned(),
                length: "300 ft".to_owned(),
                days: 110,
            })
            .collect(),
        nothing: "Plantings were written down or taken over for 2027 already.".to_owned(),
        words: words(many, 2027),
        action: "/members/x/plantings/again".to_owned(),
        back: "/members/x/plantings".to_owned(),
    };
    vec![Box::new(view(0)), Box::new(view(1)), Box::new(view(40))]
}
