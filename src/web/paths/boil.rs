//! Addresses of pans, probes, boils and jars that are filled.

use crate::units::{Grams, JuiceId, LotCode, MemberId, PanId, PressDate, ProbeId};

/// The pans, and what boils in them are planned with.
pub const PANS: &str = "/mill/pans";
/// A new pan.
pub const NEW_PAN: &str = "/mill/pans/new";
/// Take a pan out of use, or back.
pub const RETIRE_PAN: &str = "/mill/pans/{id}/retire";
/// The boils of the season.
pub const BOILS: &str = "/boils";
/// Light a boil on a press day.
pub const NEW_BOIL: &str = "/days/{date}/boils/new";
/// Proposes which juices to boil next.
pub const PLAN: &str = "/days/{date}/plan";
/// Pour juice into a boil, or take it out again.
pub const DRAW: &str = "/boils/{lot}/draws";
/// Note a reading of a boil.
pub const READING: &str = "/boils/{lot}/readings";
/// The figures of a boil's watch at this moment, without the page around them.
pub const LIVE: &str = "/boils/{lot}/live";
/// Additions to a boil beside juice.
pub const ADDITIONS: &str = "/boils/{lot}/additions";
/// Divide a boil by another version of the rules.
pub const OTHER_RULES: &str = "/boils/{lot}/rules";
/// Finish a boil.
pub const FINISH: &str = "/boils/{lot}/finish";
/// Fill jars.
pub const FILL: &str = "/boils/{lot}/fills";
/// Correct a fill.
pub const FIX_FILL: &str = "/boils/{lot}/fills/{number}/correct";
/// The address that probes send their readings to, with their token.
pub const PROBE_READINGS: &str = "/probe/readings";
/// Let a probe into a pan.
pub const NEW_PROBE: &str = "/mill/pans/{id}/probes/new";
/// A probe.
pub const PROBE: &str = "/mill/probes/{id}";
/// Revoke a probe's token.
pub const REVOKE_PROBE: &str = "/mill/probes/{id}/revoke";
/// A probe stands in boiling water.
pub const PROBE_IN_WATER: &str = "/mill/probes/{id}/boiling-water";
/// The stock of empty jars.
pub const EMPTY_JARS: &str = "/jars";
/// Full jars of a lot on the scale.
pub const JAR_WEIGHTS: &str = "/boils/{lot}/weights";
/// Readings on paper, to key in.
pub const PAPER_READINGS: &str = "/days/{date}/paper/readings";
/// Finishes on paper, to key in.
pub const PAPER_FINISHES: &str = "/days/{date}/paper/finishes";
/// Jars on paper, to key in.
pub const PAPER_JARS: &str = "/days/{date}/paper/jars";
/// The jars of a boil whose finish the mill does not know yet.
pub const ANY_JARS: &str = "/boils/{lot}/jars";

/// Take a pan out of use, or back.
pub fn retire_pan(id: PanId) -> String {
    format!("/mill/pans/{id}/retire")
}

/// Light a boil on a press day.
pub fn new_boil(date: PressDate) -> String {
    format!("/days/{date}/boils/new")
}

/// The boils of a season.
pub fn boils_of(year: i64) -> String {
    format!("{BOILS}?year={year}")
}

/// Light a boil of some juices: of each, all that is left or some of it; alone for a member, or pooled; in a pan of
/// one's choice.
pub fn light_these(
    date: PressDate,
    juices: &[(JuiceId, Option<Grams>)],
    alone: Option<MemberId>,
    pan: Option<PanId>,
) -> String {
    let mut query: Vec<String> = Vec::new();
    for (juice, part) in juices {
        query.push(format!("juice={juice}"));
        query.extend(part.map(|part| format!("part={juice}_{}", part.get())));
    }
    query.extend(alone.map(|member| format!("alone={member}")));
    query.extend(pan.map(|pan| format!("pan={pan}")));
    format!("{}?{}", new_boil(date), query.join("&"))
}

/// Proposes which juices to boil next.
pub fn plan(date: PressDate) -> String {
    format!("/days/{date}/plan")
}

/// Proposes which juices to boil next in this pan.
pub fn plan_in(date: PressDate, pan: PanId) -> String {
    format!("/days/{date}/plan?pan={pan}")
}

/// A page under a boil: `part` is one of `draws`, `readings`, `live`, `finish`, `fills`, `divide`, `labels`.
pub fn boil_part(lot: &LotCode, part: &str) -> String {
    format!("/boils/{}/{part}", lot.as_str())
}

/// Correct a fill.
pub fn fix_fill(lot: &LotCode, number: i64) -> String {
    format!("/boils/{}/fills/{number}/correct", lot.as_str())
}

/// Additions to a boil beside juice.
pub fn additions(lot: &LotCode) -> String {
    format!("/boils/{}/additions", lot.as_str())
}

/// Let a probe into a pan.
pub fn new_probe(pan: PanId) -> String {
    format!("/mill/pans/{pan}/probes/new")
}

/// A probe.
pub fn probe(id: ProbeId) -> String {
    format!("/mill/probes/{id}")
}

/// Revoke a probe's token.
pub fn revoke_probe(id: ProbeId) -> String {
    format!("/mill/probes/{id}/revoke")
}

/// A probe stands in boiling water.
pub fn probe_in_water(id: ProbeId) -> String {
    format!("/mill/probes/{id}/boiling-water")
}

/// Full jars of a lot on the scale.
pub fn jar_weights(lot: &LotCode) -> String {
    format!("/boils/{}/weights", lot.as_str())
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

/// The jars of a boil whose finish the mill does not know yet.
pub fn any_jars(lot: &LotCode) -> String {
    format!("/boils/{}/jars", lot.as_str())
}
