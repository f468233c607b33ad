//! Who else acts for a member's card: people of the household, each with a sign-in of their own.

pub(in crate::web::people) mod lines;

use crate::actions::Act;
use crate::actions::people::household as actions;
use crate::store::people::household::{self, Other};
use crate::store::people::members::{self, Member, MemberLine};
use crate::units::{MemberId, Refused};
use crate::web::error::PageError;
use crate::web::form::{Choice, Sheet};
use crate::web::people::members::seen_by;
use crate::web::request::{FormRequest, PageRequest};
use crate::web::session::Visit;
use crate::web::shell::Shell;
use crate::web::{App, Page, page, page_with, paths};
use askama::Template;
use axum::extract::Path;
use lines::{PersonLine, lines};

/// The page of who acts for a card.
#[derive(Template)]
#[template(path = "people/household/show.html")]
struct HouseholdPage {
    shell: Shell,
    name: String,
    card: String,
    people: Vec<PersonLine>,
    others: Vec<Choice>,
    action: String,
    sheet: Sheet,
}

/// The facts that the page is made of.
struct Facts {
    member: Member,
    people: Vec<Other>,
    all: Vec<MemberLine>,
}

async fn facts(db: &mut crate::store::Snapshot, member: Member) -> Result<Facts, PageError> {
    Ok(Facts {
        people: household::people_of(member.id).ask(db).await?,
        all: members::list().ask(db).await?,
        member,
    })
}

/// `GET /members/{id}/household`
pub(crate) async fn show(mut request: PageRequest, Path(id): Path<String>) -> Page {
    let member = seen_by(&mut request.db, &request.me, &id).await?;
    let facts = facts(&mut request.db, member).await?;
    let sheet = request.blank();
    let blank = || request.blank();
    page(&view(
        &request.app,
        &request.visit,
        &facts,
        (sheet, &blank),
    )?)
}

/// `POST /members/{id}/household`: lets somebody act for the card.
pub(crate) async fn let_act(Path(id): Path<String>, mut form: FormRequest) -> Page {
    let member = MemberId::parse(&id).ok_or(PageError::NotFound)?;
    let person = form.sheet.read("person", |text| {
        MemberId::parse(text).ok_or_else(|| Refused::new("Please choose who is to act for it."))
    });
    form.end(
        person,
        async |act: &Act, person| actions::let_act(act, member, person).await,
        paths::household,
        async |form| again(form, &id).await,
    )
    .await
}

/// `POST /members/{id}/household/{person}/end`
pub(crate) async fn end(Path((id, person)): Path<(String, String)>, form: FormRequest) -> Page {
    let member = MemberId::parse(&id).ok_or(PageError::NotFound)?;
    let person = MemberId::parse(&person).ok_or(PageError::NotFound)?;
    form.press(
        async |act: &Act| actions::end(act, member, person).await,
        paths::household(member),
    )
    .await
}

/// `POST /members/{id}/household/{person}/letters`
pub(crate) async fn letters(path: Path<(String, String)>, form: FormRequest) -> Page {
    send_letters(path, form, true).await
}

/// `POST /members/{id}/household/{person}/no-letters`
pub(crate) async fn no_letters(path: Path<(String, String)>, form: FormRequest) -> Page {
    send_letters(path, form, false).await
}

async fn send_letters(
    Path((id, person)): Path<(String, String)>,
    form: FormRequest,
    letters: bool,
) -> Page {
    let member = MemberId::parse(&id).ok_or(PageError::NotFound)?;
    let person = MemberId::parse(&person).ok_or(PageError::NotFound)?;
    // A member changes it on the own card, a steward on the page of who acts for it.
    let back = if form.me.is_steward() {
        paths::household(member)
    } else if form.me.id == member {
        paths::member(member)
    } else {
        return Err(PageError::NotFound);
    };
    form.press(
        async |act: &Act| actions::send_letters(act, member, person, letters).await,
        back,
    )
    .await
}

async fn again(mut form: FormRequest, id: &str) -> Page {
    let status = form.sheet.status();
    let db = form.db.now().await?;
    let member = seen_by(db, &form.me, id).await?;
    let facts = facts(db, member).await?;
    let blank = || Sheet::blank(&form.visit, &form.app.ids);
    let view = view(&form.app, &form.visit, &facts, (form.sheet, &blank))?;
    page_with(status, &view)
}

fn view(
    app: &App,
    visit: &Visit,
    facts: &Facts,
    (sheet, blank): (Sheet, &dyn Fn() -> Sheet),
) -> Result<HouseholdPage, PageError> {
    let id = facts.member.id;
    let free = facts.all.iter().filter(|one| {
        !one.left && one.id != id && facts.people.iter().all(|other| other.id != one.id)
    });
    let others = free.map(|one| {
        let words = format!("{} ({})", one.name, one.number);
        Choice::new(one.id.to_string(), words)
    });
    let first = Choice::new("", "Choose a person");
    Ok(HouseholdPage {
        shell: Shell::new(app, visit, "Who acts for this card"),
        name: facts.member.name.to_string(),
        card: paths::member(id),
        people: lines(id, &facts.people, visit.zone()?, blank),
        others: std::iter::once(first).chain(others).collect(),
        action: paths::household(id),
        sheet,
    })
}

#[cfg(test)]
pub(in crate::web) fn samples() -> Vec<Box<dyn askama::DynTemplate>> {
    let sample = |n: usize| HouseholdPage {
        shell: Shell::sample("Who acts for this card"),
        name: "Tomás <b>Reyes</b>".to_owned(),
        card: "/members/1".to_owned(),
        people: (0..n).map(PersonLine::sample).collect(),
        others: vec![Choice::new("", "Choose a person")],
        action: "/members/1/household".to_owned(),
        sheet: Sheet::sample(),
    };
    vec![Box::new(sample(0)), Box::new(sample(3))]
}
