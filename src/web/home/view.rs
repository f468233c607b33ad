//! Home, by role, as text ready to print: a member's next turn and last results; the mill's running
//! day for the crew; what needs deciding for stewards.

use super::book;
use super::decide::{Decisions, calls, decisions, restored_line};
use super::first_steps::FirstStep;
use super::for_you::ForYou;
use super::household::{self, OtherCardView};
use super::lines::{HomeLine, count};
use super::results;
use super::safety::Safety;
use super::waiting::{self, OnOffer};
use crate::calc::cane::juice::{Freshness, juice_clock};
use crate::facts::home::MemberHome;
use crate::facts::home_crew::{CrewHome, RunningDay};
use crate::store::home::{Desk, OpenBoil, WaitingJuice};
use crate::store::restores::RestoreRow;
use crate::store::season::seasons::Rules;
use crate::units::{Units, UtcSecond, Zone};
use crate::web::error::PageError;
use crate::web::my_cane::{self, CaneCard};
use crate::web::paths;
use crate::web::reader::Reader;
use crate::web::request::PageRequest;
use crate::web::session::Me;
use crate::web::shell::Shell;
use crate::web::way_there::WayThere;
use askama::Template;

/// The part of the home page that every member sees.
pub(super) struct Own {
    /// Cards of what is under way: cane at the mill first, then turns to come.
    cane: Vec<CaneCard>,
    /// Sentence on a turn that passed without cane; empty: there is none.
    passed: String,
    book: Vec<HomeLine>,
    results: Vec<HomeLine>,
    tickets: Vec<HomeLine>,
    balance: String,
    /// No cane came yet, and nothing was divided.
    none_yet: bool,
    jars: String,
    statement: String,
    picture: String,
    plantings: String,
    card: String,
}

/// The running day, for the crew.
pub(super) struct Running {
    head: String,
    date: String,
    day: String,
    expected: Vec<HomeLine>,
    unpressed: Vec<HomeLine>,
    waiting: Vec<HomeLine>,
    walk_in: String,
    light: String,
}

/// The home page.
#[derive(Template)]
#[template(path = "home/show.html")]
pub(super) struct HomePage {
    shell: Shell,
    offers: Vec<OnOffer>,
    for_you: ForYou,
    /// The first steps of a co-op, for stewards until the first statement.
    first_steps: Vec<FirstStep>,
    own: Own,
    household: Vec<OtherCardView>,
    coming: WayThere,
    places: Vec<HomeLine>,
    running: Option<Running>,
    boils: Vec<HomeLine>,
    crew: bool,
    decisions: Option<Decisions>,
    /// Calls to make, for crew who are no stewards.
    calls: Option<HomeLine>,
    next_day: String,
    /// The safety of the books, for stewards.
    safety: Option<Safety>,
}

impl HomePage {
    /// `crew` and `desk` for those who may see them.
    pub(super) fn new(
        request: &PageRequest,
        own: &MemberHome,
        crew: Option<&CrewHome>,
        (desk, first_steps): (Option<Desk>, Vec<FirstStep>),
    ) -> Result<Self, PageError> {
        let (visit, me) = (&request.visit, &request.me);
        let calls = crew.and_then(|crew| calls(crew.calls));
        let moment = (visit.zone()?, visit.at);
        let (decisions, calls) = match crew.zip(desk) {
            // A steward finds the calls among what is to be decided.
            Some((crew, desk)) => (Some(decisions(calls, desk, own, &crew.boils)), None),
            None => (None, calls),
        };
        let running = crew.and_then(|crew| crew.running.as_ref());
        let next_day = own.days.iter().find(|day| day.date > own.today);
        Ok(Self {
            shell: Shell::new(&request.app, visit, format!("Good day, {}", me.name)),
            offers: waiting::on_offer(request, own)?,
            first_steps,
            for_you: ForYou::new(&own.turns, &own.notices, moment, &|| request.blank())
                .and_of_cards(&own.household, moment, &|| request.blank()),
            own: own_view(me, own, moment),
            household: household::cards(own, Reader::of(visit)?),
            coming: WayThere::of_mill(visit.coop()?, !own.turns.is_empty()),
            places: waiting::places(&own.places, &own.offers),
            running: running.map(|day| running_view(day, moment, visit.units())),
            boils: crew.map_or_else(Vec::new, |crew| boils(crew, visit.at)),
            crew: me.is_crew(),
            decisions,
            calls,
            next_day: next_day.map_or_else(String::new, |day| day.date.show()),
            safety: None,
        })
    }

    /// The page with the restores that no steward has seen to, before all else that is to be decided.
    pub(super) fn with_restored(mut self, restored: &[RestoreRow], zone: &Zone) -> Self {
        if let Some(decisions) = &mut self.decisions {
            let lines = restored.iter().map(|row| restored_line(row, zone));
            decisions.lines.splice(0..0, lines);
        }
        self
    }

    /// The page with what a steward is told of the safety of the books.
    pub(super) fn with_safety(self, safety: Option<Safety>) -> Self {
        Self { safety, ..self }
    }
}

fn own_view(me: &Me, facts: &MemberHome, (zone, at): (&Zone, UtcSecond)) -> Own {
    let units = me.units;
    let reader = Reader {
        zone,
        at,
        units,
        own: true,
    };
    let under_way = facts.cane.iter().filter(|mine| mine.on_home(at));
    let cane = under_way
        .map(|mine| my_cane::of_ticket(mine, reader))
        .chain(
            facts
                .turns
                .iter()
                .map(|turn| my_cane::of_turn(turn, facts.abouts.of_turn(turn.id), reader)),
        )
        .collect();
    // Whoever acts for others says whose cane it is.
    let card = (!facts.household.is_empty()).then_some(me.id);
    let book = book::lines(&facts.to_book, &facts.places, card);
    let results = facts
        .shares
        .iter()
        .map(|s| results::of_share(s, &facts.cane, units))
        .collect();
    let over = facts.cane.iter().filter(|mine| !mine.on_home(at));
    let tickets = over
        .rev()
        .take(3)
        .map(|mine| results::of_ticket(mine, units))
        .collect();
    Own {
        cane,
        passed: facts.passed.as_ref().map_or_else(String::new, |turn| {
            format!(
                "Your turn on {}, {} has passed, and no cane of yours was weighed in. Call the mill, or book another turn.",
                turn.date.show(),
                turn.start.show()
            )
        }),
        book,
        results,
        tickets,
        balance: results::balance(facts, units),
        none_yet: facts.cane.is_empty() && facts.shares.is_empty(),
        jars: match facts.balance.jars {
            0 => String::new(),
            n => format!(
                "{} for you at the mill.",
                count(n, "jar waits", "jars wait")
            ),
        },
        statement: facts
            .year
            .map_or_else(String::new, |year| paths::statement(me.id, year)),
        picture: facts
            .year
            .map_or_else(String::new, |year| paths::season_picture(me.id, year)),
        plantings: paths::plantings(me.id),
        card: paths::member(me.id),
    }
}

/// The lists of a running day.
fn running_view(f: &RunningDay, (zone, at): (&Zone, UtcSecond), units: Units) -> Running {
    let expected = f
        .expected
        .iter()
        .map(|e| {
            let words = format!("{} {}", e.start.show(), e.name);
            let more = format!("{} expected", e.cane.show(units));
            HomeLine::new(paths::new_ticket_for(f.day.date, e.id), words, more)
        })
        .collect();
    let unpressed = f
        .unpressed
        .iter()
        .map(|t| {
            let more = format!("weighed in at {}", zone.local(t.made_at).1.show());
            HomeLine::new(
                paths::ticket(t.id),
                format!("Ticket {} · {}", t.ticket, t.name),
                more,
            )
        })
        .collect();
    Running {
        head: if zone.local(at).0 == f.day.date {
            "Pressing today".to_owned()
        } else {
            format!("Still pressing: {}", f.day.date.show())
        },
        date: f.day.date.show(),
        day: paths::day(f.day.date),
        expected,
        unpressed,
        waiting: f
            .waiting
            .iter()
            .map(|w| waiting_juice(w, &f.rules, at))
            .collect(),
        walk_in: paths::new_ticket(f.day.date),
        light: paths::new_boil(f.day.date),
    }
}

fn waiting_juice(w: &WaitingJuice, rules: &Rules, at: UtcSecond) -> HomeLine {
    let limits = rules.wait_limits();
    let (clock, left) = juice_clock(w.pressed_at, at, limits);
    let (tag, look) = match clock {
        Freshness::Fresh => ("fresh", "ok"),
        Freshness::Soon => ("boil soon", "warn"),
        Freshness::Late => ("too long", "bad"),
    };
    let age = crate::units::Minutes::new(at.minutes_since(w.pressed_at));
    let left = if left.get() > 0 {
        format!(", {} left", left.show())
    } else {
        String::new()
    };
    HomeLine {
        href: paths::juice(w.id),
        words: format!("{} · ticket {} · {}", w.vessel, w.ticket, w.name),
        more: format!("pressed {} ago{left}", age.show()),
        tag,
        look,
    }
}

fn boils(crew: &CrewHome, at: UtcSecond) -> Vec<HomeLine> {
    let one = |b: &OpenBoil| {
        let lit = crate::units::Minutes::new(at.minutes_since(b.lit_at));
        let call = crew.call_words(&b.lot);
        let (tag, look) = if b.finished {
            ("to fill and divide", "warn")
        } else {
            ("on the fire", "bad")
        };
        HomeLine {
            href: paths::boil(&b.lot),
            words: format!("Lot {}", b.lot),
            more: format!("{call}{}, lit {} ago", b.date.show(), lit.show()),
            tag,
            look,
        }
    };
    crew.boils.iter().map(one).collect()
}

#[cfg(test)]
fn sample_steps() -> crate::store::first_steps::FirstSteps {
    crate::store::first_steps::FirstSteps {
        mill: true,
        pan: false,
        members: true,
        invited: false,
        year: Some(2026),
        confirmed: false,
        day: false,
        ticket: false,
        boil: false,
        divided: false,
    }
}

#[cfg(test)]
pub(in crate::web) fn samples() -> Vec<Box<dyn askama::DynTemplate>> {
    let line = |n: usize| HomeLine {
        href: format!("/tickets/{n}"),
        words: "Ticket 7 · <b>Ann</b> & “Söhne”".to_owned(),
        more: "pressed 3 h 5 min ago".to_owned(),
        tag: "boil soon",
        look: "warn",
    };
    let lines = |n: usize| (0..n).map(line).collect::<Vec<_>>();
    let own = |n| Own {
        cane: (0..n).map(CaneCard::sample).collect(),
        passed: "Your turn on Sat 19 Sep 2026, 9:00 has passed.".repeat(n.min(1)),
        book: lines(n),
        results: lines(n),
        tickets: lines(n),
        balance: "No syrup is carried; you owe nothing.".to_owned(),
        none_yet: n == 0,
        jars: String::new(),
        statement: "/members/1/statement/2026".to_owned(),
        picture: "/members/1/season/2026".to_owned(),
        plantings: "/members/1/plantings".to_owned(),
        card: "/members/1".to_owned(),
    };
    let running = |n| Running {
        head: "Pressing today".to_owned(),
        date: "Sat 19 Sep 2026".to_owned(),
        day: "/days/2026-09-19".to_owned(),
        expected: lines(n),
        unpressed: lines(n),
        waiting: lines(n),
        walk_in: "/days/2026-09-19/tickets/new".to_owned(),
        light: "/days/2026-09-19/boils/new".to_owned(),
    };
    let home = |n: usize, crew: bool| HomePage {
        shell: Shell::sample("Good day, Ruth"),
        offers: (0..n.min(2)).map(OnOffer::sample).collect(),
        first_steps: super::first_steps::steps(crew.then(sample_steps).as_ref()),
        for_you: ForYou::sample(n),
        own: own(n),
        household: (0..n.min(2)).map(OtherCardView::sample).collect(),
        coming: WayThere::sample(),
        places: lines(n.min(2)),
        running: crew.then(|| running(n)),
        boils: lines(n),
        crew,
        decisions: crew.then(|| Decisions {
            lines: lines(n),
            proposal: "/seasons/2026/proposal".to_owned(),
        }),
        calls: calls(n),
        next_day: String::new(),
        safety: Some(Safety::sample()),
    };
    vec![
        Box::new(home(0, false)),
        Box::new(home(3, false)),
        Box::new(home(0, true)),
        Box::new(home(40, true)),
    ]
}
