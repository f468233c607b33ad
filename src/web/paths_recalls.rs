//! Addresses of what is done with full jars: recalls, lots held back, complaints, weights.

use crate::units::{LotCode, MemberId, VesselId};

/// All recalls.
pub const RECALLS: &str = "/recalls";
/// Begin a recall.
pub const NEW_RECALL: &str = "/recalls/new";
/// A recall: its jars and calls.
pub const RECALL: &str = "/recalls/{number}";
/// A call of a recall, to be noted.
pub const RECALL_CALL: &str = "/recalls/{number}/calls/{id}";
/// End a recall.
pub const END_RECALL: &str = "/recalls/{number}/end";
/// Hold a lot, or release it.
pub const HOLD: &str = "/boils/{lot}/hold";
/// Write a complaint about a lot down.
pub const COMPLAINT: &str = "/boils/{lot}/complaint";

/// Everybody's jars at the mill.
pub const SHELF: &str = "/shelf";
/// Jars on somebody's shelf that broke, are missing or were found; `mill` in the id's place for the mill's own.
pub const OWN_SHELF: &str = "/members/{id}/shelf";
/// Jars of a receipt that come back.
pub const JARS_BACK: &str = "/hand-overs/{number}/back";
/// The lots that a vessel's juices went into.
pub const VESSEL_TRACE: &str = "/vessels/{id}/trace";
/// The looks at a lot: colour, taste and the like.
pub const LOT_LOOKS: &str = "/boils/{lot}/looks";
/// The co-op's colour card, and a colour added to it.
pub const COLOURS: &str = "/mill/colours";
/// Take a colour out of use, or back.
pub const RETIRE_COLOUR: &str = "/mill/colours/{number}/retire";
/// The stock of empty jars.
pub const EMPTY_JARS: &str = "/jars";

/// Full jars of a lot on the scale.
pub const JAR_WEIGHTS: &str = "/boils/{lot}/weights";

/// Jars on somebody's shelf that broke, are missing or were found; `None`: the mill's own.
pub fn shelf_of(member: Option<MemberId>) -> String {
    member.map_or_else(
        || "/members/mill/shelf".to_owned(),
        |id| format!("/members/{id}/shelf"),
    )
}
/// The lots that a vessel's juices went into.
pub fn vessel_trace(id: VesselId) -> String {
    format!("/vessels/{id}/trace")
}
/// Take a colour out of use, or back.
pub fn retire_colour(number: i64) -> String {
    format!("/mill/colours/{number}/retire")
}
/// The looks at a lot: colour, taste and the like.
pub fn lot_looks(lot: &LotCode) -> String {
    format!("/boils/{}/looks", lot.as_str())
}
/// Jars of a receipt that come back.
pub fn jars_back(number: i64) -> String {
    format!("/hand-overs/{number}/back")
}
/// Full jars of a lot on the scale.
pub fn jar_weights(lot: &LotCode) -> String {
    format!("/boils/{}/weights", lot.as_str())
}
/// Begin a recall from one thing: `kind` is one of `lot`, `ticket`, `load`, `vessel`, `pack`, `member`, `day`.
pub fn recall_from(kind: &str, which: &str) -> String {
    format!(
        "{NEW_RECALL}?kind={kind}&which={}",
        super::paths::encode(which)
    )
}
/// A recall: its jars and calls.
pub fn recall(number: i64) -> String {
    format!("/recalls/{number}")
}
/// A call of a recall, to be noted.
pub fn recall_call(number: i64, call: i64) -> String {
    format!("/recalls/{number}/calls/{call}")
}
/// End a recall.
pub fn end_recall(number: i64) -> String {
    format!("/recalls/{number}/end")
}
/// Hold a lot, or release it.
pub fn hold(lot: &LotCode) -> String {
    format!("/boils/{}/hold", lot.as_str())
}
/// Write a complaint about a lot down.
pub fn complaint(lot: &LotCode) -> String {
    format!("/boils/{}/complaint", lot.as_str())
}
