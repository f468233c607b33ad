//! Addresses of what is done with full jars: recalls, lots held back, complaints, weights.

use crate::units::LotCode;

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

/// Full jars of a lot on the scale.
pub const JAR_WEIGHTS: &str = "/boils/{lot}/weights";

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
