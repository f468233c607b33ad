//! The addresses of probes: patterns, and functions that fill them in.

use crate::units::{PanId, ProbeId};

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
