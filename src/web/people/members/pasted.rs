//! Members from pasted lines or a CSV: looked over first, what is wrong beside each line; nothing is stored until all is right.

use crate::actions::Act;
use crate::actions::people::many;
use crate::actions::people::members::NewMember;
use crate::store::people::members::{self, MemberLine};
use crate::units::{
    Email, MemberName, Phone, Refused, Role, Units, count_of, look_alike_forms, one_line,
};
use crate::web::form::Sheet;
use crate::web::request::{FormRequest, PageRequest};
use crate::web::session::Visit;
use crate::web::shell::Shell;
use crate::web::{App, Page, page, page_with, paths};
use askama::Template;
use axum::http::StatusCode;
use std::collections::BTreeMap;

/// Most members that are added at once.
const MOST: usize = 300;

/// A line as it was understood.
struct LineRow {
    number: usize,
    name: String,
    phone: String,
    email: String,
    call_by: String,
    /// What is wrong with the line; empty: nothing.
    problem: String,
}

/// The box for the lines, and what they come to.
#[derive(Template)]
#[template(path = "people/members/paste.html")]
struct PastePage {
    shell: Shell,
    sheet: Sheet,
    rows: Vec<LineRow>,
    /// "12 members"; empty: something is wrong, or nothing was looked over.
    ready: String,
    wrong: String,
    action: &'static str,
    back: &'static str,
}

/// The cells of a line: by tabs, else semicolons, else commas; a cell in quotation marks keeps them inside (RFC 4180, section 2).
fn cells(line: &str) -> Vec<String> {
    let by = ['\t', ';', ',']
        .into_iter()
        .find(|by| line.contains(*by))
        .unwrap_or(',');
    let (mut out, mut cell, mut quoted) = (Vec::new(), String::new(), false);
    for letter in line.chars() {
        match letter {
            '"' => quoted = !quoted,
            _ if letter == by && !quoted => out.push(std::mem::take(&mut cell)),
            _ => cell.push(letter),
        }
    }
    out.push(cell);
    out.into_iter().map(|c| c.trim().to_owned()).collect()
}

/// A member as a line tells: name, telephone, e-mail, whom to call. All that is wrong in it is said at once.
fn member(cells: &[String], units: Units) -> Result<NewMember, Refused> {
    let cell = |n: usize| cells.get(n).map_or("", String::as_str);
    if cells.len() > 4 {
        return Err(Refused::new(
            "More than four parts: name, telephone, e-mail, whom to call.",
        ));
    }
    let name = MemberName::parse(cell(0));
    let phone = match cell(1) {
        "" => Ok(Phone::none()),
        text => Phone::parse(text),
    };
    let email = match cell(2) {
        "" => Ok(None),
        text => Email::parse(text).map(Some),
    };
    let call_by = one_line(cell(3), 0, 80);
    let wrong = [
        name.as_ref().err(),
        phone.as_ref().err(),
        email.as_ref().err(),
        call_by.as_ref().err(),
    ];
    let wrong: Vec<String> = wrong
        .into_iter()
        .flatten()
        .map(ToString::to_string)
        .collect();
    let (Ok(name), Ok(phone), Ok(email), Ok(call_by)) = (name, phone, email, call_by) else {
        return Err(Refused::new(wrong.join(" ")));
    };
    Ok(NewMember {
        name,
        phone,
        email,
        units,
        clock: 24,
        address: String::new(),
        wishes: Vec::new(),
        // Nobody was asked yet: a question not answered counts as no.
        pools: false,
        named: false,
        in_queue: false,
        call_by,
        role: Role::Member,
    })
}

/// What a column may be headed, by the part of a line that it holds.
const HEADS: [&[&str]; 4] = [
    &["name", "names", "member"],
    &["telephone", "phone", "tel", "mobile"],
    &["e-mail", "email", "mail"],
    &["whom to call", "call by", "call"],
];

/// Where each part of a line stands below a head line.
///
/// # Errors
/// A column is headed by a word that no part goes by, or two are headed alike.
fn headed(cells: &[String]) -> Result<[Option<usize>; 4], Refused> {
    let mut at = [None; 4];
    for (place, head) in cells
        .iter()
        .enumerate()
        .filter(|(_, head)| !head.is_empty())
    {
        let head_words = head.to_lowercase();
        let part = HEADS
            .iter()
            .position(|words| words.contains(&head_words.as_str()));
        let free = part
            .and_then(|part| at.get_mut(part))
            .filter(|at| at.is_none());
        let free = free.ok_or_else(|| {
            Refused::new(format!(
                "“{head}” is no column of a member here, or stands twice: name, telephone, e-mail, whom to call."
            ))
        })?;
        *free = Some(place);
    }
    Ok(at)
}

/// Every line that says something, with what it means; a head line says which column holds what.
fn read(
    text: &str,
    known: &[MemberLine],
    units: Units,
) -> Vec<(usize, Vec<String>, Result<NewMember, String>)> {
    let mut taken: BTreeMap<String, String> = known
        .iter()
        .flat_map(|m| {
            look_alike_forms(m.name.as_str()).map(|look| (look, format!("member {}", m.number)))
        })
        .collect();
    let mut out = Vec::new();
    let mut order = None;
    for (number, line) in (1_usize..).zip(text.trim_start_matches('\u{feff}').lines()) {
        let cells = cells(line);
        let empty = cells.iter().all(String::is_empty);
        if empty {
            continue;
        }
        if out.is_empty()
            && order.is_none()
            && cells
                .iter()
                .any(|c| HEADS[0].contains(&c.to_lowercase().as_str()))
        {
            match headed(&cells) {
                Ok(found) => order = Some(found),
                Err(refused) => out.push((number, cells, Err(refused.sentence().to_owned()))),
            }
            continue;
        }
        let cells = match order {
            Some(order) => order
                .map(|place| {
                    place
                        .and_then(|place| cells.get(place))
                        .cloned()
                        .unwrap_or_default()
                })
                .to_vec(),
            None => cells,
        };
        let mut meant = member(&cells, units).map_err(|refused| refused.sentence().to_owned());
        if let Ok(new) = &meant {
            let looks = look_alike_forms(new.name.as_str());
            if let Some(other) = looks.iter().find_map(|look| taken.get(look)) {
                meant = Err(format!(
                    "{other} is called that already, or so that it looks the same: add what tells the two apart."
                ));
            } else {
                taken.extend(looks.map(|look| (look, format!("line {number}"))));
            }
        }
        out.push((number, cells, meant));
    }
    out
}

impl PastePage {
    fn new((app, visit): (&App, &Visit), sheet: Sheet, known: &[MemberLine]) -> Self {
        let read = read(sheet.typed("lines"), known, visit.units());
        let wrong = read.iter().filter(|(_, _, meant)| meant.is_err()).count();
        let many = i64::try_from(read.len()).unwrap_or(i64::MAX);
        let ready = if wrong == 0 && (1..=MOST).contains(&read.len()) {
            count_of(many, "member", "members")
        } else {
            String::new()
        };
        let wrong = match (wrong, read.len() > MOST) {
            (_, true) => format!("Please add at most {MOST} members at once."),
            (0, _) => String::new(),
            (n, _) => format!(
                "{} not right. Nothing is stored until all are: please mend them in the box above and look again.",
                count_of(i64::try_from(n).unwrap_or(i64::MAX), "line is", "lines are")
            ),
        };
        Self {
            shell: Shell::new(app, visit, "Add many members"),
            sheet,
            rows: read.into_iter().map(row).collect(),
            ready,
            wrong,
            action: paths::PASTE_MEMBERS,
            back: paths::MEMBERS,
        }
    }
}

fn row((number, cells, meant): (usize, Vec<String>, Result<NewMember, String>)) -> LineRow {
    let cell = |n: usize| cells.get(n).cloned().unwrap_or_default();
    LineRow {
        number,
        name: cell(0),
        phone: cell(1),
        email: cell(2),
        call_by: cell(3),
        problem: meant.err().unwrap_or_default(),
    }
}

/// `GET /members/paste`
pub(crate) async fn paste(request: PageRequest) -> Page {
    let sheet = request.blank();
    page(&PastePage::new((&request.app, &request.visit), sheet, &[]))
}

/// `POST /members/paste`: looks the lines over, or, once they were looked over, adds them.
pub(crate) async fn take_pasted(mut form: FormRequest) -> Page {
    let known = members::list().ask(form.db.now().await?).await?;
    let add = form.sheet.typed("step") == "add";
    let rows = read(form.sheet.typed("lines"), &known, form.visit.units());
    let all: Result<Vec<NewMember>, String> = rows.into_iter().map(|(_, _, meant)| meant).collect();
    let right = all.ok().filter(|all| (1..=MOST).contains(&all.len()));
    // Sent again after it was done, every name is taken; the action tells whether it was done.
    if !add {
        if form.sheet.typed("lines").trim().is_empty() {
            form.sheet.refuse("lines", "Please fill in this box.");
        }
        let status = if form.sheet.problems().is_empty() {
            StatusCode::OK
        } else {
            form.sheet.status()
        };
        let site = (&form.app, &form.visit);
        return page_with(status, &PastePage::new(site, form.sheet, &known));
    }
    if right.is_none() {
        form.sheet.refuse(
            "lines",
            "Not every line is right, or they are added already. Nothing was stored this time.",
        );
    }
    form.end(
        right,
        async |act: &Act, new| many::add_many(act, new).await,
        |()| paths::MEMBERS.to_owned(),
        async |form| {
            let status = form.sheet.status();
            let site = (&form.app, &form.visit);
            page_with(status, &PastePage::new(site, form.sheet, &known))
        },
    )
    .await
}

#[cfg(test)]
pub(super) fn samples() -> Vec<Box<dyn askama::DynTemplate>> {
    let view = |many: usize, wrong: bool| PastePage {
        shell: Shell::sample("Add many members"),
        sheet: Sheet::sample(),
        rows: (0..many)
            .map(|number| LineRow {
                number,
                name: "Maximiliana <b>Featherstonehaugh</b> & Co".to_owned(),
                phone: "615 555 0134".to_owned(),
                email: "max@mill.example".to_owned(),
                call_by: "the <neighbour>".to_owned(),
                problem: if wrong {
                    "Please write a telephone.".to_owned()
                } else {
                    String::new()
                },
            })
            .collect(),
        ready: if wrong { "" } else { "40 members" }.to_owned(),
        wrong: if wrong { "40 lines are not right." } else { "" }.to_owned(),
        action: paths::PASTE_MEMBERS,
        back: paths::MEMBERS,
    };
    vec![
        Box::new(view(0, false)),
        Box::new(view(40, false)),
        Box::new(view(40, true)),
    ]
}

#[cfg(test)]
mod tests {
    use super::{cells, read};
    use crate::units::Units;

    #[test]
    fn a_line_is_cut_by_tabs_semicolons_or_commas_and_quotation_marks_hold_together() {
        assert_eq!(
            cells("Amos Trout\t615 555 0101"),
            ["Amos Trout", "615 555 0101"]
        );
        assert_eq!(
            cells("\"Trout, Amos\", 615 555 0101,"),
            ["Trout, Amos", "615 555 0101", ""]
        );
        assert_eq!(cells("Bess; ; ;her son"), ["Bess", "", "", "her son"]);
        assert_eq!(cells(""), [""]);
    }

    #[test]
    fn a_head_line_and_empty_lines_are_left_out_and_a_name_that_stands_twice_is_told() {
        let text = "\u{feff}Name;Telephone\n\nAmos Trout;615 555 0101\nAMOS TROUT;615 555 0102\nBess;;;\n;615 555 0103";
        let read = read(text, &[], Units::Us);
        let problems: Vec<&str> = read
            .iter()
            .map(|(_, _, meant)| meant.as_ref().err().map_or("", String::as_str))
            .collect();
        assert_eq!(read.iter().map(|r| r.0).collect::<Vec<_>>(), [3, 4, 5, 6]);
        assert_eq!(problems[0], "");
        assert!(problems[1].starts_with("line 3 is called that already"));
        assert_eq!(problems[2], "", "a member needs no telephone");
        assert_ne!(problems[3], "");
    }
}
