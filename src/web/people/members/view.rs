//! The pages of members, as text ready to print.

use super::forgotten::Forgotten;
use crate::facts::people::members::MemberCard;
use crate::store::people::members::{Member, NameBorne};
use crate::store::season::seasons::Season;
use crate::units::{Email, Grams, MemberId, Role, SignInName, Units};
use crate::web::called_by::CalledBy;
use crate::web::changes::ChangeRow;
use crate::web::form::{Choice, Sheet};
use crate::web::people::accounts::unit_choices;
use crate::web::people::household::lines::PersonLine;
use crate::web::session::{Me, Visit};
use crate::web::shell::Shell;
use crate::web::{App, only_if, paths};
use askama::Template;

/// One member's card.
#[derive(Template)]
#[template(path = "people/members/show.html")]
pub(super) struct CardPage {
    shell: Shell,
    sheet: Sheet,
    number: i64,
    phone: String,
    email: String,
    units: &'static str,
    role: &'static str,
    pools: &'static str,
    named: &'static str,
    in_queue: &'static str,
    call_by: CalledBy,
    dials: String,
    wishes: String,
    address: String,
    clock: &'static str,
    names_before: Vec<String>,
    sign_in: String,
    left: bool,
    forgotten: Forgotten,
    may_edit: bool,
    steward: bool,
    /// The latest season's statement; empty: no season yet.
    statement: String,
    hand_over: String,
    payment: String,
    edit: String,
    invite: String,
    let_go: String,
    /// What is still open for the member, for a steward who lets somebody go; empty: nothing.
    stands: String,
    /// Where syrup that is still to come is settled; empty: none is.
    settle: String,
    /// Where a steward signs the member out everywhere; empty: not this person, or there is no account.
    sign_out: String,
    take_back: String,
    plantings: String,
    can_come: String,
    household: String,
    /// Names of the others who act for the card.
    acted_for_by: Vec<String>,
    /// The people who act for the card, and whether they get its letters: shown to its member.
    letters: Vec<PersonLine>,
    /// Where the PIN for the station is set; empty: not by this person, or not for this member.
    pin: String,
    /// Changes of the card, for a steward.
    history: Vec<ChangeRow>,
    /// All that is kept about the member, as a file; empty: not for this person.
    all_about: String,
}

/// Where a steward signs the member out everywhere; empty: not this person, or there is no account.
fn sign_out(me: &Me, card: &MemberCard) -> String {
    if me.is_steward() && me.id != card.member.id && card.sign_in.is_some() {
        paths::sign_member_out(card.member.id)
    } else {
        String::new()
    }
}

const fn unit_words(units: Units) -> &'static str {
    match units {
        Units::Us => "pounds, gallons, °F",
        Units::Metric => "kilograms, litres, °C",
    }
}

const fn in_queue(named: bool) -> &'static str {
    if named {
        "yes, by first name"
    } else {
        "no: as “a neighbour”"
    }
}

/// Where the member's PIN is set, by the member or a steward; empty: not at all.
fn pin(me: &Me, member: &Member) -> String {
    let may = me.id == member.id || me.is_steward();
    if may && member.role >= Role::Crew && member.left_at.is_none() {
        paths::pin(member.id)
    } else {
        String::new()
    }
}

/// All that is kept about the member, as a file; empty: not for this person.
fn all_about(me: &Me, member: &Member) -> String {
    if me.id == member.id || me.is_steward() {
        paths::all_about(member.id)
    } else {
        String::new()
    }
}

impl CardPage {
    /// The page with what a steward sees: what is open for the member, and the changes of the card.
    pub(super) fn for_steward(
        mut self,
        (stands, settle): (String, String),
        history: Vec<ChangeRow>,
    ) -> Self {
        self.stands = stands;
        self.settle = settle;
        self.history = history;
        self
    }

    /// The page with who else gets the letters of one's own card.
    pub(super) fn with_letters(self, letters: Vec<PersonLine>) -> Self {
        Self { letters, ..self }
    }

    pub(super) fn new(
        app: &App,
        visit: &Visit,
        me: &Me,
        card: &MemberCard,
        season: Option<&Season>,
        sheet: Sheet,
    ) -> Self {
        let MemberCard {
            member,
            wishes,
            sign_in,
            names,
            household,
            forgotten: _,
        } = card;
        let units = visit.units();
        let forgotten = Forgotten::of(me, card, visit);
        Self {
            shell: Shell::new(app, visit, forgotten.title(&member.name)),
            sheet,
            number: member.number,
            phone: member.phone.to_string(),
            email: member.email.as_ref().map_or_else(
                || "none given".to_owned(),
                |e| goes_there(e, app.letters_sent),
            ),
            units: unit_words(member.units),
            role: member.role.word(),
            pools: if member.pools {
                "yes"
            } else {
                "no: boiled alone"
            },
            named: if member.named { "yes" } else { "no" },
            in_queue: in_queue(member.in_queue),
            call_by: CalledBy::of(&member.call_by),
            dials: paths::dials_written(member.phone.as_str()),
            wishes: liked(wishes, units),
            sign_in: sign_in
                .as_ref()
                .map_or_else(|| "no account yet".to_owned(), SignInName::to_string),
            address: member.address.clone(),
            clock: clock_words(member.clock),
            names_before: names_before(names, visit),
            left: member.left_at.is_some(),
            may_edit: (me.id == member.id || me.is_steward()) && forgotten.since.is_empty(),
            forgotten,
            steward: me.is_steward(),
            statement: season.map_or_else(String::new, |s| paths::statement(member.id, s.year)),
            hand_over: only_if(me.is_crew(), paths::new_hand_over(member.id)),
            payment: paths::payment(member.id),
            edit: paths::edit_member(member.id),
            invite: paths::invite_member(member.id),
            sign_out: sign_out(me, card),
            let_go: paths::let_go(member.id),
            stands: String::new(),
            settle: String::new(),
            take_back: paths::take_back(member.id),
            plantings: paths::plantings(member.id),
            can_come: paths::can_come(member.id),
            household: paths::household(member.id),
            acted_for_by: household.clone(),
            letters: Vec::new(),
            pin: pin(me, member),
            history: Vec::new(),
            all_about: all_about(me, member),
        }
    }
}

/// The jar sizes liked best, in words.
fn liked(wishes: &[Grams], units: Units) -> String {
    if wishes.is_empty() {
        return "any".to_owned();
    }
    let sizes: Vec<String> = wishes.iter().map(|w| w.small(units)).collect();
    sizes.join(", ")
}

const fn clock_words(hours: i64) -> &'static str {
    if hours == 12 {
        "on a 12-hour clock"
    } else {
        "on a 24-hour clock"
    }
}

/// Names that the member bore before, with the day each gave way.
fn names_before(names: &[NameBorne], visit: &Visit) -> Vec<String> {
    let until = names.iter().zip(names.iter().skip(1));
    until
        .filter(|(after, before)| after.name != before.name)
        .map(|(after, before)| match visit.zone() {
            Ok(zone) => format!("{} until {}", before.name, zone.local(after.at).0.show()),
            Err(_) => before.name.to_string(),
        })
        .collect()
}

/// The form of a card, new or changed.
#[derive(Template)]
#[template(path = "people/members/form.html")]
pub(super) struct FormPage {
    shell: Shell,
    sheet: Sheet,
    action: String,
    words: &'static str,
    email_hint: &'static str,
    steward: bool,
    /// Whether it is the reader's own card: telephone, e-mail and address need the passphrase.
    own: bool,
    units: Vec<Choice>,
    clocks: Vec<Choice>,
    roles: Vec<Choice>,
}

/// An address, and what goes there.
fn goes_there(email: &Email, letters_sent: bool) -> String {
    if letters_sent {
        format!("{email} (letters of the co-op go there)")
    } else {
        email.to_string()
    }
}

/// Hint on what the e-mail address is for.
fn email_hint(letters_sent: bool) -> &'static str {
    if letters_sent {
        "Letters of the co-op go there: a turn on offer, moved or coming up, a statement."
    } else {
        "This site sends no letters at present. What the co-op has to say stands on the home page, and the crew calls."
    }
}

impl FormPage {
    fn new(
        app: &App,
        visit: &Visit,
        me: &Me,
        sheet: Sheet,
        title: &str,
        (action, own): (String, bool),
        words: &'static str,
    ) -> Self {
        Self {
            shell: Shell::new(app, visit, title),
            sheet,
            action,
            words,
            email_hint: email_hint(app.letters_sent),
            steward: me.is_steward(),
            own,
            units: unit_choices(),
            clocks: clock_choices(),
            roles: role_choices(),
        }
    }

    pub(super) fn adding(app: &App, visit: &Visit, me: &Me, sheet: Sheet) -> Self {
        Self::new(
            app,
            visit,
            me,
            sheet,
            "New member",
            (paths::NEW_MEMBER.to_owned(), false),
            "Add the member",
        )
    }

    pub(super) fn changing(app: &App, visit: &Visit, me: &Me, id: MemberId, sheet: Sheet) -> Self {
        Self::new(
            app,
            visit,
            me,
            sheet,
            "Change a card",
            (paths::edit_member(id), id == me.id),
            "Save the card",
        )
    }
}

/// The clocks that times can be read on.
fn clock_choices() -> Vec<Choice> {
    vec![
        Choice::new("24", "24 hours: 19 is seven in the evening"),
        Choice::new("12", "12 hours, with am and pm"),
    ]
}

fn role_choices() -> Vec<Choice> {
    [
        (Role::Member, "Member: books turns, sees own records"),
        (Role::Crew, "Crew: also works the mill, for anybody"),
        (
            Role::Steward,
            "Steward: also keeps members, rules and money",
        ),
    ]
    .into_iter()
    .map(|(role, words)| Choice::new(role.word(), words))
    .collect()
}

#[cfg(test)]
pub(in crate::web) fn samples() -> Vec<Box<dyn askama::DynTemplate>> {
    let mut wrong = Sheet::sample();
    wrong
        .put("name", "<script>")
        .refuse("name", "Please fill in this box.");
    wrong.problem = Some("The card was changed while you had it open.".to_owned());
    let form = |sheet| FormPage {
        shell: Shell::sample("New member"),
        sheet,
        action: paths::NEW_MEMBER.to_owned(),
        words: "Add the member",
        email_hint: email_hint(true),
        steward: true,
        own: true,
        units: unit_choices(),
        clocks: clock_choices(),
        roles: role_choices(),
    };
    vec![Box::new(form(Sheet::sample())), Box::new(form(wrong))]
}
