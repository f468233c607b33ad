//! Pages that key in what was written on paper, row after row: each row is a form of its own with a key of its
//! own, so that a row that is wrong keeps what was typed and holds up no other, and the same sent twice is done
//! once. Who wrote it on the paper stands in each row; who types is who is signed in.

use super::error::PageError;
use super::form::{Choice, Sent, Sheet};
use super::page::{Page, page_with, see};
use super::request::FormRequest;
use super::session::Visit;
use super::shell::Shell;
use super::statics;
use crate::actions::{Act, Answer, Done, FromPaper, Ids, SentForm, Stop};
use crate::store::people::stations::Hand;
use crate::units::{FormKey, MemberId, Refused, UtcSecond};
use crate::web::App;
use askama::Template;
use axum::http::StatusCode;

/// How many rows a page has.
const ROWS: usize = 6;

/// One box of each row.
pub(crate) struct Column {
    name: &'static str,
    label: String,
    kind: &'static str,
    choices: Vec<Choice>,
}

impl Column {
    /// A line of text: remarks, names.
    pub(crate) fn text(name: &'static str, label: impl Into<String>) -> Self {
        Self::of(name, label, "text")
    }

    /// A number or a time, typed with a phone's number keys.
    pub(crate) fn number(name: &'static str, label: impl Into<String>) -> Self {
        Self::of(name, label, "number")
    }

    /// A box for a date.
    pub(crate) fn date(name: &'static str, label: impl Into<String>) -> Self {
        Self::of(name, label, "date")
    }

    /// A box to tick.
    pub(crate) fn tick(name: &'static str, label: impl Into<String>) -> Self {
        Self::of(name, label, "tick")
    }

    /// A choice from a list; nothing is chosen before.
    pub(crate) fn choose(
        name: &'static str,
        label: impl Into<String>,
        choices: Vec<Choice>,
    ) -> Self {
        let mut all = vec![Choice::new("", "–")];
        all.extend(choices);
        Self {
            choices: all,
            ..Self::of(name, label, "choose")
        }
    }

    /// A choice of who wrote it on the paper: one of the crew.
    pub(crate) fn by(label: impl Into<String>, hands: &[Hand]) -> Self {
        let hands = hands
            .iter()
            .map(|h| Choice::new(h.id.to_string(), h.name.to_string()));
        Self::choose("by", label, hands.collect())
    }

    fn of(name: &'static str, label: impl Into<String>, kind: &'static str) -> Self {
        Self {
            name,
            label: label.into(),
            kind,
            choices: Vec::new(),
        }
    }
}

/// One row: its boxes, or the way to what was made of it.
pub(crate) struct Row {
    number: usize,
    mark: String,
    /// Its boxes, with its own key.
    pub sheet: Sheet,
    done: String,
}

fn mark(number: usize) -> String {
    format!("r{number}-")
}

fn rows_of(each: impl Fn(usize) -> Sheet) -> Vec<Row> {
    (1..=ROWS)
        .map(|number| Row {
            number,
            mark: mark(number),
            sheet: each(number),
            done: String::new(),
        })
        .collect()
}

/// Empty rows, each with a fresh key.
pub(crate) fn blank(visit: &Visit, ids: &Ids) -> Vec<Row> {
    rows_of(|_| Sheet::blank(visit, ids))
}

/// The rows as they were sent.
fn read(form: &FormRequest) -> Vec<Row> {
    let mut rows = rows_of(|number| row_sheet(&form.sent, &form.visit, &form.app.ids, number));
    for row in &mut rows {
        form.sent
            .get(&format!("{}done", row.mark))
            .clone_into(&mut row.done);
    }
    rows
}

fn row_sheet(sent: &Sent, visit: &Visit, ids: &Ids, number: usize) -> Sheet {
    let mut sheet = Sheet::blank(visit, ids);
    for (name, value) in sent.row(&mark(number)) {
        match name {
            "key" => {
                if let Some(key) = FormKey::parse(value) {
                    sheet.form_key = key.to_string();
                }
            }
            "done" => {}
            name => {
                sheet.put(name, value);
            }
        }
    }
    sheet
}

/// Reads who wrote a row on the paper.
fn by(sheet: &mut Sheet) -> Option<MemberId> {
    sheet.read("by", |text| {
        MemberId::parse(text)
            .ok_or_else(|| Refused::new("Please choose who wrote it on the paper."))
    })
}

/// What a row meant, and the true time for what has no box of its own for it.
pub(crate) type Meant<M> = (M, Option<UtcSecond>);

/// Does every row in which one of the boxes `telling` is filled, each as an action of its own, and shows the
/// page again with what was refused; when nothing was, goes on to fresh rows.
///
/// # Errors
/// What broke, or a missing record.
pub(crate) async fn each<M, T: Answer>(
    mut form: FormRequest,
    telling: &[&str],
    mut meant: impl FnMut(&mut Sheet) -> Option<Meant<M>>,
    action: impl AsyncFn(&Act, M) -> Done<T>,
    to: impl Fn(T) -> String,
    again: impl AsyncFnOnce(FormRequest, Vec<Row>, StatusCode) -> Page,
) -> Page {
    let mut rows = read(&form);
    let mut refused = false;
    for row in &mut rows {
        let filled = telling
            .iter()
            .any(|name| !row.sheet.typed(name).trim().is_empty());
        if !filled || !row.done.is_empty() {
            continue;
        }
        let new = meant(&mut row.sheet);
        let by = by(&mut row.sheet);
        let (Some((new, at)), Some(by)) = (new, by) else {
            refused = true;
            continue;
        };
        let mut act = form.act();
        act.form = row_form(&form, row, FromPaper { by, at })?;
        match action(&act, new).await {
            Ok(answer) => row.done = to(answer),
            Err(Stop::SentOtherwise { answer, differs }) => {
                let answer = T::read(&answer).ok_or(PageError::NotFound)?;
                row.sheet.stored_otherwise(&differs, to(answer));
                refused = true;
            }
            Err(Stop::Missing) => {
                row.sheet.problem = Some(
                    "What this row speaks of is not there any more. Please choose again."
                        .to_owned(),
                );
                refused = true;
            }
            Err(stop) => {
                row.sheet.stop(stop)?;
                refused = true;
            }
        }
    }
    if refused {
        return again(form, rows, StatusCode::UNPROCESSABLE_ENTITY).await;
    }
    let target = form.as_form().target;
    let done = rows.iter().filter(|row| !row.done.is_empty()).count();
    see(&format!("{target}?done={done}"))
}

/// For a row whose tick answers a question that the form of one entry asks by reading figures back: turns the tick
/// into that answer. What stood in the box is handed back, to stand there again when the row comes back.
pub(super) fn sure(sheet: &mut Sheet, looked_at: &[&str]) -> String {
    let ticked = sheet.typed("sure").to_owned();
    if sheet.ticked("sure") {
        let figures = sheet.together(looked_at);
        sheet.put("sure", figures);
    }
    ticked
}

/// A row as a form: its own key and boxes.
fn row_form(form: &FormRequest, row: &Row, paper: FromPaper) -> Result<SentForm, PageError> {
    let key = FormKey::parse(&row.sheet.form_key).ok_or(PageError::Untrusted)?;
    let whole = form.as_form();
    let boxes = form.sent.row(&row.mark);
    let boxes: Vec<(&str, &str)> = boxes.into_iter().filter(|(n, _)| *n != "key").collect();
    Ok(SentForm::new(key, &whole.target, &boxes)
        .sent_at(whole.station)
        .on_paper(Some(paper)))
}

/// What the address says after rows were taken.
#[derive(Debug, serde::Deserialize)]
pub(crate) struct RowsTaken {
    /// How many rows were taken.
    #[serde(default)]
    pub(crate) done: usize,
}

/// Something that is wrong in one row.
struct WrongBox {
    row: usize,
    /// The box; empty: the row as a whole.
    at: String,
    sentence: String,
}

/// A page of rows to key in.
#[derive(Template)]
#[template(path = "parts/rows.html")]
pub(crate) struct RowsPage {
    shell: Shell,
    script: String,
    sheet: Sheet,
    action: String,
    intro: &'static str,
    columns: Vec<Column>,
    rows: Vec<Row>,
    taken: usize,
    back: String,
}

impl RowsPage {
    /// A page of rows; `back` is where one came from.
    pub(crate) fn new(
        (app, visit): (&App, &Visit),
        (title, intro): (String, &'static str),
        (action, back): (String, String),
        columns: Vec<Column>,
        rows: Vec<Row>,
    ) -> Self {
        Self {
            shell: Shell::new(app, visit, title),
            script: statics::rows_js(),
            sheet: Sheet::blank(visit, &app.ids),
            action,
            intro,
            columns,
            rows,
            taken: 0,
            back,
        }
    }

    /// What is wrong, row after row.
    fn wrong(&self) -> Vec<WrongBox> {
        let mut out = Vec::new();
        for row in self.rows.iter().filter(|row| row.done.is_empty()) {
            let whole = row.sheet.problem.clone().map(|said| (String::new(), said));
            let boxes = row.sheet.problems().into_iter();
            let boxes = boxes.map(|(name, said)| (format!("{}{name}", row.mark), said));
            out.extend(
                whole
                    .into_iter()
                    .chain(boxes)
                    .map(|(at, sentence)| WrongBox {
                        row: row.number,
                        at,
                        sentence,
                    }),
            );
        }
        out
    }

    /// Whether the cursor belongs into this box of a row.
    fn is_first_wrong(&self, row: usize, name: &str) -> bool {
        let first = self.wrong().into_iter().next();
        first.is_some_and(|first| first.at == format!("{}{name}", mark(row)))
    }

    /// Says how many rows were just taken.
    pub(crate) fn after(self, taken: &RowsTaken) -> Self {
        Self {
            taken: taken.done,
            ..self
        }
    }

    /// The page with what was refused, under the key that was sent.
    pub(crate) fn again(self, sheet: Sheet, status: StatusCode) -> Page {
        page_with(status, &Self { sheet, ..self })
    }
}

#[cfg(test)]
pub(in crate::web) fn samples() -> Vec<Box<dyn askama::DynTemplate>> {
    let rows = || {
        let mut rows = rows_of(|_| Sheet::sample());
        rows[0].done = "/tickets/x".to_owned();
        rows[1]
            .sheet
            .put("gross", "<b>40</b>")
            .refuse("gross", "That is not a weight.");
        rows[1].sheet.problem = Some("This turn was weighed in already.".to_owned());
        rows
    };
    let columns = || {
        vec![
            Column::number("gross", "Gross, lb"),
            Column::tick("clean", "Clean"),
            Column::date("on", "On"),
            Column::text("note", "Remark"),
            Column::choose("by", "Weighed by", vec![Choice::new("x", "Ida <b>")]),
        ]
    };
    let sample = |taken| RowsPage {
        shell: Shell::sample("From paper: loads"),
        script: statics::rows_js(),
        sheet: Sheet::sample(),
        action: "/days/2026-09-19/paper/loads".to_owned(),
        intro: "One row a load.",
        columns: columns(),
        rows: rows(),
        taken,
        back: "/days/2026-09-19".to_owned(),
    };
    vec![Box::new(sample(0)), Box::new(sample(2))]
}
