//! The list of members: searched, in the order that somebody chose, some at a time.

use crate::store::people::members::{self, MemberLine};
use crate::units::people_order;
use crate::web::form::{Choice, Sheet};
use crate::web::listing::{ListQuery, Part};
use crate::web::request::PageRequest;
use crate::web::shell::Shell;
use crate::web::{Page, page, paths};
use askama::Template;
use axum::extract::Query;

/// Members on one page: four screens of a telephone.
const MOST: usize = 46;

/// One row of the list.
struct MemberRow {
    number: i64,
    name: String,
    href: String,
    phone: String,
    tags: Vec<&'static str>,
}

/// The page that lists all members.
#[derive(Template)]
#[template(path = "people/members/list.html")]
struct ListPage {
    shell: Shell,
    sheet: Sheet,
    action: &'static str,
    orders: Vec<Choice>,
    steward: bool,
    new: &'static str,
    /// Whether there is anybody at all.
    any: bool,
    rows: Vec<MemberRow>,
    part: Part,
}

/// `GET /members?q=trout&order=family`
pub(crate) async fn list(Query(wanted): Query<ListQuery>, mut request: PageRequest) -> Page {
    let all = members::list().ask(&mut request.db).await?;
    let mut sheet = request.blank();
    sheet
        .put("q", wanted.q.clone())
        .put("order", order(&wanted.order));
    let any = !all.is_empty();
    let mut found = in_order(found(all, &wanted), &wanted.order);
    let list = (paths::MEMBERS, order(&wanted.order));
    let part = Part::of(list, &wanted, MOST, &mut found);
    page(&ListPage {
        shell: Shell::new(&request.app, &request.visit, "Members"),
        sheet,
        action: paths::MEMBERS,
        orders: orders(),
        steward: request.me.is_steward(),
        new: paths::NEW_MEMBER,
        any,
        rows: found.iter().map(row).collect(),
        part,
    })
}

fn orders() -> Vec<Choice> {
    vec![
        Choice::new("name", "By name"),
        Choice::new("family", "By family name"),
        Choice::new("number", "By number"),
    ]
}

/// The order that was asked for; by name when none was.
fn order(asked: &str) -> &'static str {
    match asked {
        "family" => "family",
        "number" => "number",
        _ => "name",
    }
}

/// The members of whose line every wanted word is a part.
fn found(all: Vec<MemberLine>, wanted: &ListQuery) -> Vec<MemberLine> {
    let has = |line: &MemberLine| {
        let tags = tags(line).join(" ");
        wanted.stands_in(&format!(
            "{} {} {} {tags}",
            line.number, line.name, line.phone
        ))
    };
    all.into_iter().filter(has).collect()
}

fn in_order(mut all: Vec<MemberLine>, asked: &str) -> Vec<MemberLine> {
    match order(asked) {
        "number" => all.sort_by_key(|line| line.number),
        "family" => {
            all.sort_by_cached_key(|line| (family_first(&line.name.to_string()), line.number));
        }
        _ => all.sort_by_cached_key(|line| (people_order(&line.name.to_string()), line.number)),
    }
    all
}

/// The last word of a name before the others.
fn family_first(name: &str) -> String {
    let name = people_order(name);
    match name.rsplit_once(' ') {
        Some((given, family)) => format!("{family} {given}"),
        None => name,
    }
}

fn row(line: &MemberLine) -> MemberRow {
    MemberRow {
        number: line.number,
        name: line.name.to_string(),
        href: paths::member(line.id),
        phone: line.phone.to_string(),
        tags: tags(line),
    }
}

/// Tags for what is different from most members.
fn tags(line: &MemberLine) -> Vec<&'static str> {
    use crate::units::Role;
    let all = [
        (line.role > Role::Member).then(|| line.role.word()),
        (!line.pools).then_some("boils alone"),
        match (line.left, line.signs_in) {
            (true, _) => Some("has left"),
            (false, false) => Some("no account yet"),
            (false, true) => None,
        },
    ];
    all.into_iter().flatten().collect()
}

#[cfg(test)]
pub(in crate::web) fn samples() -> Vec<Box<dyn askama::DynTemplate>> {
    let row = |n: i64| MemberRow {
        number: n,
        name: "Maximiliana <b>Featherstonehaugh</b> & Co".to_owned(),
        href: "/members/01920000-0000-7000-8000-000000000000".to_owned(),
        phone: "615 555 0134".to_owned(),
        tags: vec!["crew", "boils alone", "no account yet"],
    };
    let list = |n: i64| ListPage {
        shell: Shell::sample("Members"),
        sheet: Sheet::sample(),
        action: paths::MEMBERS,
        orders: orders(),
        steward: true,
        new: paths::NEW_MEMBER,
        any: n > 0,
        rows: (0..n).map(row).collect(),
        part: crate::web::listing::sample(paths::MEMBERS),
    };
    vec![Box::new(list(0)), Box::new(list(50))]
}
