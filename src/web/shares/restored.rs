//! The page of a backup that was put in the place of the database: what is missing since, from which numbers it goes on, who came
//! back by name; and the button of a steward who has seen to it.

use crate::actions::Act;
use crate::actions::restores as actions;
use crate::facts::restored_words::{next_says, numbers_say, sort_says};
use crate::store::Together;
use crate::store::restores::{self, CameBack, GapRow, RestoreRow};
use crate::units::{UtcSecond, Zone};
use crate::web::error::PageError;
use crate::web::form::{Choice, Sheet};
use crate::web::request::{FormRequest, PageRequest};
use crate::web::shell::Shell;
use crate::web::{Page, page, paths};
use askama::Template;
use axum::extract::Path;

/// What is missing of one sort.
struct GapLine {
    sort: String,
    missing: i64,
    numbers: String,
    next: String,
}

impl GapLine {
    fn new(gap: &GapRow) -> Self {
        Self {
            sort: sort_says(gap),
            missing: gap.missing,
            numbers: numbers_say(gap),
            next: next_says(gap),
        }
    }
}

/// The page of a restore.
#[derive(Template)]
#[template(path = "shares/restored/show.html")]
struct RestoredPage {
    shell: Shell,
    sheet: Sheet,
    /// When it was put in place, and which backup.
    at: String,
    backup: String,
    /// Until when the backup and the old file were written; empty: nobody wrote anything, or it is not known.
    written_until: String,
    lost_until: String,
    /// Why the old file was not compared; empty: it was.
    unread: String,
    gaps: Vec<GapLine>,
    /// Sentences on who came back and is forgotten again.
    again: Vec<String>,
    /// Who stands there by name: the page on which the member is forgotten.
    named: Vec<Choice>,
    /// Who has seen to it, and when; empty: nobody yet.
    seen: String,
    seen_action: String,
    history: &'static str,
}

impl RestoredPage {
    fn new(
        (shell, sheet): (Shell, Sheet),
        (row, gaps, back): (&RestoreRow, &[GapRow], &[CameBack]),
        zone: &Zone,
    ) -> Self {
        let when = |at: Option<UtcSecond>| at.map_or_else(String::new, |at| zone.show(at));
        let seen = row.read_by.as_ref().zip(row.read_at);
        let (again, named): (Vec<&CameBack>, Vec<&CameBack>) =
            back.iter().partition(|back| back.again);
        let says = |back: &&CameBack| {
            let date = zone.local(back.at).0.show();
            format!("Member {}, who had been forgotten on {date}", back.number)
        };
        Self {
            shell,
            sheet,
            at: zone.show(row.at),
            backup: row.backup.clone(),
            written_until: when(row.written_until),
            lost_until: when(row.lost_until),
            unread: row.unread.clone(),
            gaps: gaps.iter().map(GapLine::new).collect(),
            again: again.iter().map(says).collect(),
            named: named
                .iter()
                .map(|back| Choice::new(paths::forget(back.member_id), says(back)))
                .collect(),
            seen: seen.map_or_else(String::new, |(by, at)| format!("{by}, {}", zone.show(at))),
            seen_action: format!("{}/seen", paths::restore(row.number)),
            history: paths::HISTORY,
        }
    }
}

/// `GET /restores/{number}`
pub(crate) async fn show(Path(number): Path<String>, mut request: PageRequest) -> Page {
    let number = number.parse().map_err(|_| PageError::NotFound)?;
    let sheet = request.blank();
    let asked = (
        restores::find(number),
        restores::gaps(number),
        restores::came_back(number),
    );
    let (row, gaps, back) = asked.together().ask(&mut request.db).await?;
    let row = row.ok_or(PageError::NotFound)?;
    let (app, visit) = (&request.app, &request.visit);
    let shell = Shell::new(app, visit, "The book was put back from a backup");
    let of = (&row, gaps.as_slice(), back.as_slice());
    page(&RestoredPage::new((shell, sheet), of, visit.zone()?))
}

/// `POST /restores/{number}/seen`
pub(crate) async fn put_away(Path(number): Path<String>, form: FormRequest) -> Page {
    let number = number.parse().map_err(|_| PageError::NotFound)?;
    let seen = async |act: &Act| actions::put_away(act, number).await;
    form.press(seen, paths::restore(number)).await
}

#[cfg(test)]
pub(in crate::web) fn samples() -> Vec<Box<dyn askama::DynTemplate>> {
    let sample = |gaps: i64, unread: &str, seen: &str| RestoredPage {
        shell: Shell::sample("The book was put back from a backup"),
        sheet: Sheet::sample(),
        at: "Sat 19 Sep 2026 18:00".to_owned(),
        backup: "canewright-<b>2026</b>.db".to_owned(),
        written_until: "Sat 19 Sep 2026 08:00".to_owned(),
        lost_until: if unread.is_empty() {
            "Sat 19 Sep 2026 17:55".to_owned()
        } else {
            String::new()
        },
        unread: unread.to_owned(),
        gaps: (0..gaps)
            .map(|n| GapLine {
                sort: "tickets of 2026".to_owned(),
                missing: n,
                numbers: "120 to 122".to_owned(),
                next: "123".to_owned(),
            })
            .collect(),
        again: vec!["Member 7, who had been forgotten on Sat 19 Sep 2026".to_owned()],
        named: vec![Choice::new(
            "/members/1/forget",
            "Member 8, who had been forgotten on Sat 19 Sep 2026",
        )],
        seen: seen.to_owned(),
        seen_action: "/restores/1/seen".to_owned(),
        history: paths::HISTORY,
    };
    vec![
        Box::new(sample(0, "", "Ruth <b>Bell</b>, Sat 19 Sep 2026 19:00")),
        Box::new(sample(24, "", "")),
        Box::new(sample(4, "it is damaged", "")),
    ]
}
