//! Empty jars: how many there are, what was used, what the next day needs.

use crate::actions::Act;
use crate::actions::boil::empty_jars::{self as actions, NewEmptyJars};
use crate::facts::empty_jars::{EmptyJars, OfSize};
use crate::units::{Refused, Units, Zone, count_of, plain_text, whole};
use crate::web::error::PageError;
use crate::web::form::{Choice, Sheet};
use crate::web::page::only_if;
use crate::web::request::{FormRequest, PageRequest};
use crate::web::session::Visit;
use crate::web::shell::Shell;
use crate::web::{App, Page, page, page_with, paths};
use askama::Template;

/// Lines of what was counted and bought that the page shows.
const SHOWN: usize = 30;

struct SizeLine {
    name: String,
    left: String,
    short: bool,
    since: String,
    needs: String,
}

/// The page of empty jars.
#[derive(Template)]
#[template(path = "boil/empty_jars/show.html")]
struct EmptyPage {
    shell: Shell,
    sheet: Sheet,
    day: String,
    sizes: Vec<SizeLine>,
    choices: Vec<Choice>,
    ways: Vec<Choice>,
    lines: Vec<String>,
    back: &'static str,
}

fn size_line(of: &OfSize) -> SizeLine {
    let stock = of.stock;
    let short = of.ever && of.needs.is_some_and(|needs| needs > stock.left());
    SizeLine {
        name: of.name.clone(),
        left: match (of.ever, stock.left()) {
            (false, _) => "not counted yet".to_owned(),
            (true, n) if n < 0 => {
                "none: more were filled than were counted; please count again".to_owned()
            }
            (true, n) => n.to_string(),
        },
        short,
        since: only_if(
            of.ever,
            format!(
                "{} counted, {} came in, {} filled",
                stock.counted, stock.bought, stock.used
            ),
        ),
        needs: of.needs.map_or_else(String::new, |n| n.to_string()),
    }
}

fn day_words(of: &EmptyJars, units: Units) -> String {
    match &of.day {
        None => "No press day is planned.".to_owned(),
        Some(day) => format!(
            "The next press day is {}: {} of cane stand in its turns, of which {} of syrup are to be expected.",
            day.date.show(),
            day.cane.said(units),
            day.syrup.said(units)
        ),
    }
}

impl EmptyPage {
    fn new((app, visit): (&App, &Visit), of: &EmptyJars, sheet: Sheet) -> Result<Self, PageError> {
        let zone = visit.zone()?;
        let line = |zone: &Zone, l: &crate::store::boil::empty_jars::EmptyRow| {
            let what = if l.counted { "counted" } else { "came in" };
            let note = if l.note.is_empty() {
                String::new()
            } else {
                format!(" {}", l.note)
            };
            format!(
                "{}, {}: {} {what}, {}.{note}",
                zone.show(l.at),
                l.by_name,
                count_of(l.count, "empty jar", "empty jars"),
                l.size_name
            )
        };
        Ok(Self {
            shell: Shell::new(app, visit, "Empty jars"),
            sheet,
            day: day_words(of, visit.units()),
            sizes: of.sizes.iter().map(size_line).collect(),
            choices: of
                .sizes
                .iter()
                .map(|s| Choice::new(s.name.as_str(), s.name.as_str()))
                .collect(),
            ways: ways(),
            lines: of.lines.iter().take(SHOWN).map(|l| line(zone, l)).collect(),
            back: paths::SHELF,
        })
    }
}

fn ways() -> Vec<Choice> {
    vec![
        Choice::new("counted", "So many stand here"),
        Choice::new("bought", "So many came in"),
    ]
}

async fn read(db: &mut crate::store::Snapshot, visit: &Visit) -> Result<EmptyJars, PageError> {
    let today = visit.zone()?.local(visit.at).0;
    Ok(EmptyJars::read(db, today).await?)
}

/// `GET /jars`
pub(crate) async fn show(mut request: PageRequest) -> Page {
    let jars = read(&mut request.db, &request.visit).await?;
    let sheet = request.blank();
    page(&EmptyPage::new(
        (&request.app, &request.visit),
        &jars,
        sheet,
    )?)
}

fn meant(sheet: &mut Sheet, of: &EmptyJars) -> Option<NewEmptyJars> {
    let size = sheet.read("size", |text| {
        let found = of.sizes.iter().find(|s| s.name == text);
        found
            .map(|s| s.name.clone())
            .ok_or_else(|| Refused::new("Please choose a size."))
    });
    let way = sheet.read("way", |text| match text {
        "counted" => Ok(true),
        "bought" => Ok(false),
        _ => Err(Refused::new(
            "Please say whether they stand here or came in.",
        )),
    });
    let count = sheet.read("count", |text| whole(text, 0, 100_000));
    let note = sheet.read("note", |text| plain_text(text, 0, 200));
    Some(NewEmptyJars {
        size_name: size?,
        counted: way?,
        count: count?,
        note: note?,
    })
}

/// `POST /jars`
pub(crate) async fn note(mut form: FormRequest) -> Page {
    let visit = form.visit.clone();
    let jars = read(form.db.now().await?, &visit).await?;
    let new = meant(&mut form.sheet, &jars);
    form.end(
        new,
        async |act: &Act, new| actions::note(act, new).await,
        |()| paths::EMPTY_JARS.to_owned(),
        async |form| {
            let status = form.sheet.status();
            let view = EmptyPage::new((&form.app, &form.visit), &jars, form.sheet)?;
            page_with(status, &view)
        },
    )
    .await
}

#[cfg(test)]
pub(in crate::web) fn samples() -> Vec<Box<dyn askama::DynTemplate>> {
    use crate::calc::boil::empty_jars::Stock;
    let view = |many: i64| {
        let mut sheet = Sheet::sample();
        if many > 0 {
            sheet
                .put("count", "x")
                .refuse("count", "“x” is not a number.");
        }
        EmptyPage {
            shell: Shell::sample("Empty jars"),
            sheet,
            day: "No press day is planned.".to_owned(),
            sizes: (0..many)
                .map(|n| {
                    size_line(&OfSize {
                        name: "quart <wide>".to_owned(),
                        ever: n > 0,
                        stock: Stock {
                            counted: 40,
                            bought: 12,
                            used: 30 * n,
                        },
                        needs: (n > 0).then_some(28),
                    })
                })
                .collect(),
            choices: (0..many)
                .map(|_| Choice::new("quart <wide>", "quart <wide>"))
                .collect(),
            ways: ways(),
            lines: (0..many)
                .map(|_| "Ruth <b>Bell</b>: 12 empty jars".to_owned())
                .collect(),
            back: paths::SHELF,
        }
    };
    vec![Box::new(view(0)), Box::new(view(3))]
}
