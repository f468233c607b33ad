//! The frame every page shares: name of the co-op, ways to go, who is signed in.

use super::app::App;
use super::said::of_a_card;
use super::session::{Me, Visit};
use super::{paths, statics};
use crate::actions::people::stations::PICKED_S;
use crate::units::{FormKey, MemberId, Role};

/// One link of the menu.
#[derive(Debug, Clone)]
pub(super) struct Way {
    /// Address that it leads to.
    pub href: &'static str,
    /// Words of the link.
    pub words: &'static str,
}

/// The frame, as text ready to print.
#[derive(Debug, Clone)]
pub(super) struct Shell {
    /// Title of the page.
    pub title: String,
    /// What the page calls, before its title; empty: nothing.
    pub calling: &'static str,
    /// Name of the co-op.
    pub coop: String,
    /// Links of the menu, for this role.
    pub ways: Vec<Way>,
    /// Name of whoever is signed in; empty: nobody.
    pub name: String,
    /// Name of the mill's station, when the browser is one; empty: it is none.
    pub station: String,
    /// Seconds without use after which somebody has to be picked anew at the station; empty: this is no station.
    pub picked_s: String,
    /// Role of whoever is signed in.
    pub role: &'static str,
    /// Key of the sign-out form.
    pub form_key: String,
    /// Token of the sign-out form.
    pub token: String,
    /// Address of the style sheet.
    pub css: String,
    /// Address of the style sheet of what only some pages need.
    pub more_css: String,
    /// Address of the icon.
    pub icon: String,
    /// What was just done, told once; empty: nothing.
    pub said: String,
    /// Whose card that is of; empty: the reader's own, or nobody's.
    pub said_of: String,
    /// The look chosen: "light", "dark", or empty: as the system has it.
    pub look: &'static str,
    /// Id of the member whose entries this phone keeps, on pages of the crew; else empty.
    pub keeps_for: String,
    /// The mill's time zone by its IANA name, of those pages; empty before there is a co-op.
    pub zone: String,
    /// Address of the script that keeps them.
    pub yard: String,
    /// When a member's page was made, for the day it is shown without network; empty: it is not kept.
    pub as_of: String,
    /// Address of the script that keeps a member's own pages.
    pub mine: String,
    /// The demo's clock, if this is the demo.
    pub demo_clock: Option<String>,
}

impl Shell {
    /// The frame around a page.
    pub(super) fn new(app: &App, visit: &Visit, title: impl Into<String>) -> Self {
        let key = FormKey::new(app.ids.next(visit.at));
        let me = visit.me();
        Self {
            title: title.into(),
            calling: "",
            coop: visit
                .coop
                .as_ref()
                .map_or_else(|| "Canewright".to_owned(), |c| c.name.clone()),
            ways: match (&visit.station, &me) {
                (Some(_), _) => yard_ways(),
                (None, Some(me)) => ways(me.role),
                (None, None) => Vec::new(),
            },
            station: visit
                .station
                .as_ref()
                .map_or_else(String::new, |s| s.name.clone()),
            picked_s: visit
                .station
                .as_ref()
                .map_or_else(String::new, |_| PICKED_S.to_string()),
            role: me.as_ref().map_or("", |me| me.role.word()),
            keeps_for: me
                .as_ref()
                .filter(|me| me.is_crew())
                .map_or_else(String::new, |me| me.id.to_string()),
            zone: visit
                .coop
                .as_ref()
                .map_or_else(String::new, |c| c.zone.name().to_owned()),
            as_of: as_of(visit, me.as_ref()),
            mine: statics::mine_js(),
            yard: statics::yard_js(),
            name: me.map_or_else(String::new, |me| me.name),
            form_key: key.to_string(),
            token: visit.form_token(key),
            css: statics::app_css(),
            more_css: statics::more_css(),
            icon: statics::icon(),
            said: visit.said.to_owned(),
            said_of: String::new(),
            look: visit.look,
            demo_clock: visit
                .coop
                .as_ref()
                .filter(|_| visit.demo)
                .map(|c| c.zone.show(visit.at)),
        }
    }

    /// Adds more to what was just done, if anything was: "Your turn is booked: Sat 19 Sep 2026, 09:30."
    pub(super) fn with_more_said(mut self, more: &str) -> Self {
        if !self.said.is_empty() {
            let mark = if self.said_of.is_empty() { ':' } else { ',' };
            self.said = format!("{}{mark} {more}.", self.said.trim_end_matches('.'));
        }
        self
    }

    /// With what was just done said of the card of that member: where it is not the reader's own, by its name.
    pub(super) fn said_of_card(mut self, me: &Me, member: MemberId, name: &str) -> Self {
        if !self.said.is_empty() && me.id != member {
            self.said = of_a_card(&self.said);
            name.clone_into(&mut self.said_of);
        }
        self
    }

    /// A frame outside any visit, for the samples that tests render.
    #[cfg(test)]
    pub(crate) fn sample(title: &str) -> Self {
        Self {
            title: title.to_owned(),
            calling: "Check <it> now",
            coop: "Coldwater <Ridge> & “Söhne” Pressing Co-op".to_owned(),
            ways: ways(Role::Steward),
            station: String::new(),
            picked_s: String::new(),
            name: "Maximiliana Featherstonehaugh-Oyelaran".to_owned(),
            role: "steward",
            keeps_for: "01920000-0000-7000-8000-000000000002".to_owned(),
            zone: "America/Chicago".to_owned(),
            as_of: "Sat 19 Sep 2026 11:40".to_owned(),
            mine: statics::mine_js(),
            yard: statics::yard_js(),
            form_key: "01920000-0000-7000-8000-000000000001".to_owned(),
            token: "sample".to_owned(),
            css: statics::app_css(),
            more_css: statics::more_css(),
            icon: statics::icon(),
            said: "the turn is booked.".to_owned(),
            said_of: "Tomás <b>Reyes</b>".to_owned(),
            look: "dark",
            demo_clock: None,
        }
    }
}

/// The moment of a member's page; nothing on pages of the crew, whose phones keep the yard's.
fn as_of(visit: &Visit, me: Option<&Me>) -> String {
    match (&visit.coop, me) {
        (Some(coop), Some(me)) if !me.is_crew() => coop.zone.show(visit.at),
        _ => String::new(),
    }
}

fn yard_ways() -> Vec<Way> {
    let way = |href, words| Way { href, words };
    vec![
        way(paths::STATION, "Change hands"),
        way(paths::DAYS, "Press days"),
        way(paths::BOILS, "Boils"),
        way(paths::HAND_OVERS, "Jars"),
    ]
}

fn ways(role: Role) -> Vec<Way> {
    let way = |href, words| Way { href, words };
    let mut ways = vec![way(paths::HOME, "Home")];
    ways.push(way(paths::DAYS, "Press days"));
    if role >= Role::Crew {
        ways.push(way(paths::BOILS, "Boils"));
        ways.push(way(paths::HAND_OVERS, "Jars"));
        ways.push(way(paths::MEMBERS, "Members"));
        ways.push(way(paths::FIND, "Find"));
    }
    ways.push(way(paths::SEASONS, "Rules"));
    if role >= Role::Steward {
        ways.push(way(paths::LEDGER, "Ledger"));
        ways.push(way(paths::MILL, "Mill"));
    }
    ways
}
