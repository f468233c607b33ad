//! The addresses of the mill's own station and of paper for the yard: patterns, and functions that fill them in.

use crate::units::{MemberId, PressDate, StationId};

/// The stations; sent: this browser is to be one.
pub const STATIONS: &str = "/mill/stations";
/// Sign a station out.
pub const END_STATION: &str = "/mill/stations/{id}/sign-out";
/// The page on which whoever stands at the station is picked; sent: somebody else stands there.
pub const STATION: &str = "/station";
/// Sent: nobody stands at the station any more.
pub const STATION_LEFT: &str = "/station/done";
/// The PIN of one of the crew.
pub const PIN: &str = "/members/{id}/pin";

/// Sign a station out.
pub fn end_station(id: StationId) -> String {
    format!("/mill/stations/{id}/sign-out")
}
/// Who stands at the station, with somebody chosen who still has to type the PIN.
pub fn station_for(member: MemberId, next: &str) -> String {
    let next = super::paths::encode(next);
    format!("/station?who={member}&next={next}")
}
/// The page on which somebody is picked, leading on to `next`.
pub fn station_then(next: &str) -> String {
    format!("/station?next={}", super::paths::encode(next))
}
/// The PIN of one of the crew.
pub fn pin(member: MemberId) -> String {
    format!("/members/{member}/pin")
}

/// Tags of a press day, to print.
pub const TAGS: &str = "/days/{date}/tags";
/// Tags of a press day, to print.
pub fn tags(date: PressDate) -> String {
    format!("/days/{date}/tags")
}
/// Jars that wait, to be signed for by hand, on paper.
pub const HAND_OVER_SHEET: &str = "/hand-overs/sheet";
/// Loads on paper, to key in.
pub const PAPER_LOADS: &str = "/days/{date}/paper/loads";
/// Juice on paper, to key in.
pub const PAPER_JUICE: &str = "/days/{date}/paper/juice";
/// Readings on paper, to key in.
pub const PAPER_READINGS: &str = "/days/{date}/paper/readings";
/// Finishes on paper, to key in.
pub const PAPER_FINISHES: &str = "/days/{date}/paper/finishes";
/// Jars on paper, to key in.
pub const PAPER_JARS: &str = "/days/{date}/paper/jars";
/// Hand-overs on paper, to key in.
pub const PAPER_HAND_OVERS: &str = "/hand-overs/paper";

/// Loads on paper, to key in.
pub fn paper_loads(date: PressDate) -> String {
    format!("/days/{date}/paper/loads")
}
/// Juice on paper, to key in.
pub fn paper_juice(date: PressDate) -> String {
    format!("/days/{date}/paper/juice")
}
/// Readings on paper, to key in.
pub fn paper_readings(date: PressDate) -> String {
    format!("/days/{date}/paper/readings")
}
/// Finishes on paper, to key in.
pub fn paper_finishes(date: PressDate) -> String {
    format!("/days/{date}/paper/finishes")
}
/// Jars on paper, to key in.
pub fn paper_jars(date: PressDate) -> String {
    format!("/days/{date}/paper/jars")
}
