//! The forms that are sent: a weigh-in, juice, a reading, a booking.

use super::house::{FULL, House, growers};
use super::phones::Form;
use super::site::AT;
use canewright::actions::{Ids, hash_token};
use std::net::SocketAddr;
use std::sync::Mutex;
use std::sync::atomic::{AtomicUsize, Ordering};

/// The kinds, in the order they are sent: juice is of tickets that were weighed in.
pub const KINDS: [&str; 4] = ["weigh-in", "juice", "reading", "booking"];
/// Turns of a quarter of an hour in a press day.
const A_DAY: usize = 40;
/// Press days with no turns.
const EMPTY: usize = 24 - FULL;
/// Members who book.
const BOOKERS: usize = 40;

/// Boils that readings are noted of: more pans than a mill has on the fire at once.
const PANS: usize = 6;

/// Makes forms.
pub struct Posts {
    at: SocketAddr,
    ruth: String,
    bookers: Vec<String>,
    /// Who has no turn on the first day: whoever has one is weighed in by it.
    members: Vec<String>,
    scale: String,
    vessel: String,
    lots: Vec<String>,
    /// How many forms of each kind were made.
    made: [AtomicUsize; 4],
    /// Tickets without juice.
    pub tickets: Mutex<Vec<String>>,
}

impl Posts {
    pub async fn new(house: &House, at: SocketAddr) -> Self {
        let site = &house.season.site;
        let mut bookers = Vec::new();
        for member in growers(house, BOOKERS) {
            bookers.push(site.browser(member).await.cookie);
        }
        Self {
            at,
            ruth: site.browser(site.steward).await.cookie,
            bookers,
            members: growers(house, house.season.members.len())
                .into_iter()
                .skip(A_DAY)
                .map(|m| m.to_string())
                .collect(),
            scale: site.text("select id from scales").await,
            vessel: site.text("select id from vessels limit 1").await,
            lots: house
                .open
                .iter()
                .take(PANS)
                .map(|lot| lot.as_str().to_owned())
                .collect(),
            made: Default::default(),
            tickets: Mutex::default(),
        }
    }

    /// The next form of that kind; `None`: there is none in this round.
    pub fn next(&self, kind: usize) -> Option<Form> {
        let n = self
            .made
            .get(kind)
            .map(|made| made.fetch_add(1, Ordering::Relaxed))?;
        match kind {
            0 => Some(self.weigh_in(n)),
            1 => self.juice(),
            2 => Some(self.reading(n)),
            _ => self.booking(n),
        }
    }

    /// The days have room again.
    pub fn emptied(&self) {
        if let Some(made) = self.made.last() {
            made.store(0, Ordering::Relaxed);
        }
    }

    fn form(&self, by: &str, path: String, fields: &[(&'static str, &str)]) -> Form {
        let key = Ids::Chance.next(AT).to_string();
        let token = token(by, &key);
        let mut all = vec![("form_key", key), ("token", token)];
        all.extend(
            fields
                .iter()
                .map(|(name, value)| (*name, (*value).to_owned())),
        );
        Form {
            at: self.at,
            cookie: by.to_owned(),
            path,
            fields: all,
        }
    }

    fn weigh_in(&self, n: usize) -> Form {
        let member = self.members.get(n % self.members.len());
        let whose = format!("walk:{}", member.map_or("", String::as_str));
        let gross = format!("{}.5", 400 + n % 97);
        let path = "/days/2026-09-19/tickets/new".to_owned();
        let fields = [
            ("whose", whose.as_str()),
            ("scale", &self.scale),
            ("gross", &gross),
            ("tare", "40.5"),
            ("note", ""),
            ("stripped", "yes"),
            ("headed", "yes"),
            ("clean", "yes"),
            ("another", "yes"),
        ];
        self.form(&self.ruth, path, &fields)
    }

    fn juice(&self) -> Option<Form> {
        let ticket = self.tickets.lock().ok()?.pop()?;
        let fields = [
            ("kind", "mass"),
            ("amount", "170"),
            ("temp", "68"),
            ("instrument", "self"),
            ("brix_1", "15.4"),
            ("brix_2", "15.6"),
            ("sediment", ""),
            ("pressed", ""),
            ("vessel", self.vessel.as_str()),
            ("vessel_empty", "yes"),
        ];
        Some(self.form(&self.ruth, format!("{ticket}/juice/new"), &fields))
    }

    fn reading(&self, n: usize) -> Form {
        let lot = self.lots.get(n % self.lots.len());
        let path = format!("/boils/{}/readings", lot.map_or("", String::as_str));
        // Nobody has looked at these boils for an hour: the figure is read back, and this is the answer as well.
        let fields = [("temp", "215"), ("sure", "215"), ("note", "skimmed")];
        self.form(&self.ruth, path, &fields)
    }

    /// Every member in turn, every time on another day; `None`: the days are full.
    fn booking(&self, n: usize) -> Option<Form> {
        if n >= EMPTY * A_DAY {
            return None;
        }
        let (who, day) = (n % BOOKERS, (n + n / BOOKERS) % EMPTY);
        // Each of a day's starts once: how many forms before this one were for the same day.
        let place = (0..n).filter(|m| (m + m / BOOKERS) % EMPTY == day).count();
        let minute = 7 * 60 + place * 15;
        let start = format!("{:02}:{:02}", minute / 60, minute % 60);
        let date = FULL + day;
        let path = if date < 12 {
            format!("/days/2026-09-{:02}/book", 19 + date)
        } else {
            format!("/days/2026-10-{:02}/book", date - 11)
        };
        let fields = [
            ("told", "weight"),
            ("amount", "30"),
            ("cane", ""),
            ("start", start.as_str()),
            ("second", "yes"),
        ];
        Some(self.form(self.bookers.get(who)?, path, &fields))
    }
}

/// The token that a form of this key carries on the page of whoever has this cookie.
fn token(cookie: &str, key: &str) -> String {
    let own = cookie.split_once('=').map_or("", |(_, own)| own);
    let all = hash_token(&format!("form:{own}:{key}"));
    all.chars().take(40).collect()
}
