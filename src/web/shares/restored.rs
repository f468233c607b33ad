//! The page of a backup that was put in the place of the database: what is missing since, from which numbers it goes on, who came
//! back by name; and the button of a steward who has seen to it.

use crate::actions::Act;
use crate::actions::restores as actions;
use crate::facts::restored_words::{MissingWords, keys_say, next_says, numbers_say, sort_says};
use crate::store::Together;
use crate::store::restores::{self, CameBack, GapRow, LostRow, RestoreRow};
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
    /// Sentences on held lots, recalls and complaints that are missing.
    grave: Vec<String>,
    gaps: Vec<GapLine>,
    /// Sentences on all else that is missing.
    others: Vec<String>,
    /// Of what nothing is known to be missing, and above which numbers it goes on.
    go_on: Vec<GapLine>,
    /// The sentence on passphrases; empty: none was changed.
    keys: &'static str,
    /// Who came back and is forgotten again: the page on which further words are taken out.
    again: Vec<Choice>,
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
        (row, gaps, lost, back): (&RestoreRow, &[GapRow], &[LostRow], &[CameBack]),
        zone: &Zone,
    ) -> Self {
        let told = MissingWords::new(gaps, lost);
        let keys = keys_say(&row.unread, lost);
        let when = |at: Option<UtcSecond>| at.map_or_else(String::new, |at| zone.show(at));
        let seen = row.read_by.as_ref().zip(row.read_at);
        let (again, named): (Vec<&CameBack>, Vec<&CameBack>) =
            back.iter().partition(|back| back.again);
        let says = |back: &&CameBack| {
            let date = zone.local(back.at).0.show();
            format!("Member {}, who had been forgotten on {date}", back.number)
        };
        let way = |back: &&CameBack| Choice::new(paths::forget(back.member_id), says(back));
        Self {
            shell,
            sheet,
            at: zone.show(row.at),
            backup: row.backup.clone(),
            written_until: when(row.written_until),
            lost_until: when(row.lost_until),
            unread: row.unread.clone(),
            gaps: told.numbered.iter().map(GapLine::new).collect(),
            go_on: told.go_on.iter().map(GapLine::new).collect(),
            grave: told.grave,
            others: told.others,
            keys: keys.unwrap_or_default(),
            again: again.iter().map(way).collect(),
            named: named.iter().map(way).collect(),
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
        restores::lost(number),
        restores::came_back(number),
    );
    let (row, gaps, lost, back) = asked.together().ask(&mut request.db).await?;
    let row = row.ok_or(PageError::NotFound)?;
    let (app, visit) = (&request.app, &request.visit);
    let shell = Shell::new(app, visit, "The book was put back from a backup");
    let of = (&row, gaps.as_slice(), lost.as_slice(), back.as_slice());
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
    let line = |n: i64, next: &str| GapLine {
        sort: "tickets of 2026".to_owned(),
        missing: n,
        numbers: "120 to 122".to_owned(),
        next: next.to_owned(),
    };
    let some = |many: i64, words: &str| -> Vec<String> {
        (0..many).map(|n| format!("{words} {n}")).collect()
    };
    let who = |words: &str| {
        vec![Choice::new(
            "/members/1/forget",
            format!("{words}, who had been forgotten on Sat 19 Sep 2026"),
        )]
    };
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
        grave: some(
            gaps.min(2),
            "Lots were held (26002-M) and are NOT held in this book.",
        ),
        gaps: (0..gaps).map(|n| line(n + 1, "123")).collect(),
        others: some(gaps, "hours worked: 2 were added (2026)."),
        go_on: (0..gaps.min(3)).map(|_| line(0, "108")).collect(),
        keys: keys_say(unread, &[]).unwrap_or_default(),
        again: who("Member 7"),
        named: who("Member 8"),
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
