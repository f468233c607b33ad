//! Forgetting a member who has left: what goes, what stays, what is still open, and doing it. And taking further words out for one who
//! was forgotten before.

use crate::actions::Act;
use crate::actions::people::forget_more::forget_more;
use crate::actions::people::forgetting::{self as actions, NewForgetting, still_open};
use crate::actions::people::members::Proof;
use crate::facts::people::forgetting::{StandsIn, ToForget, single_words};
use crate::store::Snapshot;
use crate::store::people::forgotten;
use crate::store::people::members::Member;
use crate::units::{MemberId, Passphrase, PressDate, Refused, count_of, one_line};
use crate::web::error::PageError;
use crate::web::form::Sheet;
use crate::web::people::members::of_path;
use crate::web::request::{FormRequest, PageRequest};
use crate::web::session::Visit;
use crate::web::shell::Shell;
use crate::web::{App, Page, page, page_with, paths};
use askama::Template;
use axum::extract::Path;

/// Most single words that are taken out besides.
const WORDS_MOST: usize = 20;
/// Most texts that are shown as they will stand.
const SHOWN_MOST: usize = 60;
/// What is said as long as nobody has seen what further words would change.
const LOOK_FIRST: &str = "Nothing was taken out yet. Please look below at every text that these words would change, then send again.";
/// Days after the last pressing that the box proposes for keeping the name: two years.
const KEPT_DAYS: i64 = 731;

/// The page on which a member is forgotten.
#[derive(Template)]
#[template(path = "people/forgetting/show.html")]
struct ForgetPage {
    shell: Shell,
    name: String,
    number: i64,
    in_place: String,
    card: String,
    all_about: String,
    /// Sentences on what is still open; unless empty there is no form.
    open: Vec<String>,
    found: Vec<StandsIn>,
    /// A sentence on how many texts change.
    found_says: String,
    action: String,
    sheet: Sheet,
    /// Was forgotten before: only further words are asked for.
    gone: bool,
    /// The further words for which this page shows what they would change.
    seen: String,
}

/// Reads words to be looked for, one or more on each line.
fn read_words(text: &str) -> Result<Vec<String>, Refused> {
    let lines = text.lines().map(str::trim).filter(|line| !line.is_empty());
    let words = lines
        .map(|line| {
            if line.chars().filter(|c| c.is_alphanumeric()).count() < 3 {
                return Err(Refused::new(format!(
                    "“{line}” is too short: it stands in too many other words."
                )));
            }
            one_line(line, 3, 60)
        })
        .collect::<Result<Vec<String>, Refused>>()?;
    if words.len() > WORDS_MOST {
        return Err(Refused::new(format!(
            "Please keep this to {WORDS_MOST} words."
        )));
    }
    Ok(words)
}

/// `GET /members/{id}/forget`
pub(crate) async fn show(mut request: PageRequest, Path(id): Path<String>) -> Page {
    let mut sheet = request.blank();
    let PageRequest { app, visit, db, .. } = &mut request;
    let member = of_path(db, &id).await?;
    if forgotten::find(member.id).ask(db).await?.is_some() {
        return page(&view((app, visit), db, &member, sheet).await?);
    }
    let today = visit.zone()?.local(visit.at).0;
    let words = single_words(db, &member).await?;
    let comes = forgotten::still_comes(member.id, today).ask(db).await?;
    let until = comes.last_pressed.map(|last| last.plus_days(KEPT_DAYS));
    let until = until.filter(|until| *until >= today);
    sheet.put("words", words.join("\n")).put(
        "keep_until",
        until.map_or_else(String::new, |d| d.to_string()),
    );
    page(&view((app, visit), db, &member, sheet).await?)
}

/// `POST /members/{id}/forget`
pub(crate) async fn forget(Path(id): Path<String>, mut form: FormRequest) -> Page {
    let member = MemberId::parse(&id).ok_or(PageError::NotFound)?;
    // The box says which of the two forms was sent, whatever became of the member meanwhile: a form may come twice.
    let more = form.sent.get("more") == "yes";
    let until = form.sheet.read_optional("keep_until", PressDate::parse);
    let mut words = form.sheet.read("words", read_words);
    // Further words may stand in anybody's records: what becomes of those is looked at first.
    let seen = read_words(form.sent.get("seen")).unwrap_or_default();
    if more && words.as_ref().is_some_and(|words| *words != seen) {
        form.sheet.refuse("words", LOOK_FIRST);
        words = None;
    }
    let typed = Passphrase::typed(form.sheet.typed("passphrase"));
    form.sheet.forget(&["passphrase"]);
    let hashing = form.app.hashing.clone();
    let new = until
        .zip(words)
        .map(|(keep_until, words)| NewForgetting { words, keep_until });
    form.end(
        new,
        async |act: &Act, new| {
            let proof = Proof {
                hashing: &hashing,
                passphrase: typed,
            };
            if more {
                return forget_more(act, member, new.words, proof).await;
            }
            actions::forget(act, member, new, proof).await
        },
        paths::member,
        async |mut form| {
            let status = form.sheet.status();
            let db = form.db.now().await?;
            let member = of_path(db, &id).await?;
            let view = view((&form.app, &form.visit), db, &member, form.sheet).await?;
            page_with(status, &view)
        },
    )
    .await
}

/// `POST /members/{id}/forget/name`
pub(crate) async fn delete_kept_name(Path(id): Path<String>, form: FormRequest) -> Page {
    let member = MemberId::parse(&id).ok_or(PageError::NotFound)?;
    let delete = async |act: &Act| actions::drop_kept_name(act, member).await;
    form.press(delete, paths::member(member)).await
}

async fn view(
    (app, visit): (&App, &Visit),
    db: &mut Snapshot,
    member: &Member,
    sheet: Sheet,
) -> Result<ForgetPage, PageError> {
    let today = visit.zone()?.local(visit.at).0;
    let gone = forgotten::find(member.id).ask(db).await?.is_some();
    let open = if gone {
        Vec::new()
    } else {
        still_open(db, member, (today, visit.units())).await?
    };
    let words = read_words(sheet.typed("words")).unwrap_or_default();
    let asked = ToForget::read(db, member, &words).await?;
    let mut found = if open.is_empty() {
        asked.found(db, member).await?
    } else {
        Vec::new()
    };
    let many = i64::try_from(found.len()).unwrap_or(i64::MAX);
    let mut found_says = format!(
        "{} the name or a note of the member",
        count_of(many, "text holds", "texts hold")
    );
    if found.len() > SHOWN_MOST {
        found.truncate(SHOWN_MOST);
        found_says = format!("{found_says}; the first {SHOWN_MOST}");
    }
    Ok(ForgetPage {
        shell: Shell::new(app, visit, title(gone)),
        name: member.name.to_string(),
        number: member.number,
        in_place: asked.in_place().to_owned(),
        card: paths::member(member.id),
        all_about: paths::all_about(member.id),
        open,
        found,
        found_says,
        action: paths::forget(member.id),
        seen: sheet.typed("words").to_owned(),
        sheet,
        gone,
    })
}

fn title(gone: bool) -> &'static str {
    if gone {
        "Take further words out"
    } else {
        "Forget a member"
    }
}

#[cfg(test)]
pub(in crate::web) fn samples() -> Vec<Box<dyn askama::DynTemplate>> {
    let sample = |open: usize, found: usize, gone: bool| {
        let mut sheet = Sheet::sample();
        sheet
            .put("words", "Quill<b>feather")
            .refuse("words", "That is too short.")
            .refuse("passphrase", "That is not your passphrase.");
        ForgetPage {
            shell: Shell::sample(title(gone)),
            name: "Zebedee <b>Quillfeather</b>".to_owned(),
            number: 17,
            in_place: "Member 17".to_owned(),
            card: "/members/1".to_owned(),
            all_about: "/members/1/all.zip".to_owned(),
            open: (0..open)
                .map(|_| "2 turns are still ahead.".to_owned())
                .collect(),
            found: (0..found)
                .map(|n| StandsIn {
                    what: "ledger".to_owned(),
                    text: format!("settled with <i>Zebedee</i> Quillfeather, {n}"),
                    without: if n == 0 {
                        String::new()
                    } else {
                        format!("settled with Member 17, {n}")
                    },
                })
                .collect(),
            found_says: "3 texts hold the name or a note of the member".to_owned(),
            action: "/members/1/forget".to_owned(),
            sheet,
            gone,
            seen: "Quill<b>feather".to_owned(),
        }
    };
    vec![
        Box::new(sample(3, 0, false)),
        Box::new(sample(0, 0, false)),
        Box::new(sample(0, 3, false)),
        Box::new(sample(0, 20, false)),
        Box::new(sample(0, 3, true)),
    ]
}
