//! The pages of the mill's own station, as text ready to print.

use crate::actions::people::stations::PICKED_S;
use crate::store::people::members::Member;
use crate::store::people::stations::{Hand, Station};
use crate::store::turns::press_days::PressDay;
use crate::web::error::PageError;
use crate::web::form::Sheet;
use crate::web::request::{PageRequest, Visitor};
use crate::web::session::Visit;
use crate::web::shell::Shell;
use crate::web::{App, paths, statics};
use askama::Template;

/// One station in the list.
struct StationRow {
    name: String,
    signed_in: String,
    used: String,
    /// When it was signed out; empty while it is signed in.
    ended: String,
    end: String,
    words: String,
}

/// The stations, and the form that makes this browser one.
#[derive(Template)]
#[template(path = "people/stations/list.html")]
pub(super) struct ListPage {
    shell: Shell,
    sheet: Sheet,
    action: &'static str,
    rows: Vec<StationRow>,
    minutes: i64,
    mill: &'static str,
}

impl ListPage {
    pub(super) fn new(
        app: &App,
        visit: &Visit,
        sheet: Sheet,
        all: &[Station],
    ) -> Result<Self, PageError> {
        let zone = visit.zone()?;
        let rows = all.iter().map(|s| StationRow {
            name: s.name.clone(),
            signed_in: format!("{}, {}", s.made_by_name, zone.show(s.made_at)),
            used: zone.show(s.seen_at),
            ended: s.ended_at.map_or_else(String::new, |at| zone.show(at)),
            end: paths::end_station(s.id),
            words: format!("Sign {} out", s.name),
        });
        Ok(Self {
            shell: Shell::new(app, visit, "The mill’s own station"),
            sheet,
            action: paths::STATIONS,
            rows: rows.collect(),
            minutes: PICKED_S / 60,
            mill: paths::MILL,
        })
    }
}

/// One of the crew as a large button.
struct HandButton {
    name: String,
    /// Address where the PIN is typed; empty: there is no PIN yet.
    href: String,
    here: bool,
}

/// The page on which whoever stands at the station is picked.
#[derive(Template)]
#[template(path = "people/stations/pick.html")]
pub(super) struct PickPage {
    shell: Shell,
    sheet: Sheet,
    hands: Vec<HandButton>,
    /// Name of who stands there; empty: nobody.
    here: String,
    minutes: i64,
    left: &'static str,
    /// Address of today's press day; empty: there is none.
    day: String,
    days: &'static str,
    /// Address of the script that says what waits at this station.
    waiting: String,
}

impl PickPage {
    pub(super) fn new(
        request: &PageRequest<Visitor>,
        sheet: Sheet,
        hands: &[Hand],
        next: &str,
        day: Option<&PressDay>,
    ) -> Result<Self, PageError> {
        let visit = &request.visit;
        let me = visit.me();
        let station = visit.station.as_ref().ok_or(PageError::NotFound)?;
        let title = match &me {
            Some(me) => format!("{} stands here", me.name),
            None => format!("{}: who stands here?", station.name),
        };
        let hands = hands.iter().map(|h| HandButton {
            name: h.name.to_string(),
            href: if h.has_pin {
                paths::station_for(h.id, next)
            } else {
                String::new()
            },
            here: me.as_ref().is_some_and(|me| me.id == h.id),
        });
        Ok(Self {
            shell: Shell::new(&request.app, visit, title),
            sheet,
            hands: hands.collect(),
            here: me.map_or_else(String::new, |me| me.name),
            minutes: PICKED_S / 60,
            left: paths::STATION_LEFT,
            day: day.map_or_else(String::new, |d| paths::day(d.date)),
            days: paths::DAYS,
            waiting: statics::waiting_js(),
        })
    }
}

/// The PIN of whoever was chosen.
#[derive(Template)]
#[template(path = "people/stations/type.html")]
pub(super) struct TypePage {
    shell: Shell,
    sheet: Sheet,
    action: &'static str,
    who: String,
    next: String,
    back: String,
    minutes: i64,
}

impl TypePage {
    pub(super) fn new(
        request: &PageRequest<Visitor>,
        sheet: Sheet,
        hand: &Hand,
        next: &str,
    ) -> Self {
        Self::of(&request.app, &request.visit, sheet, hand, next)
    }

    pub(super) fn of(app: &App, visit: &Visit, sheet: Sheet, hand: &Hand, next: &str) -> Self {
        Self {
            shell: Shell::new(app, visit, hand.name.as_str()),
            sheet,
            action: paths::STATION,
            who: hand.id.to_string(),
            next: next.to_owned(),
            back: paths::station_then(next),
            minutes: PICKED_S / 60,
        }
    }
}

/// The form in which a PIN is typed.
#[derive(Template)]
#[template(path = "people/stations/pin.html")]
pub(super) struct PinPage {
    shell: Shell,
    sheet: Sheet,
    action: String,
    back: String,
}

impl PinPage {
    pub(super) fn new(app: &App, visit: &Visit, sheet: Sheet, member: &Member) -> Self {
        let own = visit.me().is_some_and(|me| me.id == member.id);
        let title = if own {
            "Your PIN for the mill’s station".to_owned()
        } else {
            format!("A PIN for {}", member.name)
        };
        Self {
            shell: Shell::new(app, visit, title),
            sheet,
            action: paths::pin(member.id),
            back: paths::member(member.id),
        }
    }
}

#[cfg(test)]
pub(in crate::web) fn samples() -> Vec<Box<dyn askama::DynTemplate>> {
    let row = |ended: &str| StationRow {
        name: "Scale <house>".to_owned(),
        signed_in: "Ruth <b>Bell</b>, Sat 19 Sep 2026 07:02".to_owned(),
        used: "Sat 19 Sep 2026 09:40".to_owned(),
        ended: ended.to_owned(),
        end: "/mill/stations/x/sign-out".to_owned(),
        words: "Sign Scale <house> out".to_owned(),
    };
    let list = |rows| ListPage {
        shell: Shell::sample("The mill’s own station"),
        sheet: Sheet::sample(),
        action: paths::STATIONS,
        rows,
        minutes: 10,
        mill: paths::MILL,
    };
    let pick = |here: &str, day: &str, n: usize| PickPage {
        shell: Shell {
            station: "Scale <house>".to_owned(),
            ..Shell::sample("Who stands here?")
        },
        sheet: Sheet::sample(),
        hands: (0..n)
            .map(|n| HandButton {
                name: "Maximiliana <b>Featherstonehaugh</b>".to_owned(),
                href: if n % 3 == 2 { "" } else { "/station?who=x" }.to_owned(),
                here: n == 0,
            })
            .collect(),
        here: here.to_owned(),
        minutes: 10,
        left: paths::STATION_LEFT,
        day: day.to_owned(),
        days: paths::DAYS,
        waiting: statics::waiting_js(),
    };
    let mut wrong = Sheet::sample();
    wrong.refuse("pin", "That is not the PIN of <b>Ida</b>.");
    vec![
        Box::new(list(Vec::new())),
        Box::new(list(vec![row(""), row("Sun 20 Sep 2026 18:00")])),
        Box::new(pick("", "", 0)),
        Box::new(pick("Ida <b>", "/days/2026-09-19", 9)),
        Box::new(TypePage {
            shell: Shell::sample("Ida <b>"),
            sheet: wrong,
            action: paths::STATION,
            who: "x".to_owned(),
            next: "/\"><b>".to_owned(),
            back: "/station".to_owned(),
            minutes: 10,
        }),
        Box::new(PinPage {
            shell: Shell::sample("A PIN"),
            sheet: Sheet::sample(),
            action: "/members/x/pin".to_owned(),
            back: "/members/x".to_owned(),
        }),
    ]
}
