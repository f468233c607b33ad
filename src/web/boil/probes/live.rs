//! What the page of a boil shows of its probes: beside the pan, and among the readings.

use crate::calc::boil::probes::{Heard, TempAt, heard};
use crate::facts::boil::probes::{KnownProbe, ProbeOfBoil};
use crate::units::{Minutes, Units};
use crate::web::error::PageError;
use crate::web::paths;
use crate::web::session::{Me, Visit};

/// One row of the table shown in this many seconds, so that a boil's probe is looked over at a glance.
const SHOWN_EVERY_S: i64 = 300;

/// A probe beside the pan.
pub(in crate::web) struct ProbeLine {
    pub words: String,
    /// Whether it has fallen silent, or was never heard.
    pub silent: bool,
    /// Which probe it is of which the offset is told, and the offset in words.
    pub of: String,
    pub offset: String,
}

/// The readings that a probe sent of a boil, in a list to be opened.
pub(in crate::web) struct ProbeSent {
    pub summary: String,
    /// Time and temperature of each reading shown.
    pub lines: Vec<(String, String)>,
    /// Address of the probe's page, for crew; empty for others.
    pub href: String,
}

/// The probes as the page of a boil shows them.
#[derive(Default)]
pub(in crate::web) struct ProbesOfPage {
    /// Beside the pan: those whose token is taken; none when the boil is finished.
    pub beside: Vec<ProbeLine>,
    /// Among the readings: those that sent something of this boil.
    pub sent: Vec<ProbeSent>,
}

/// "12 s ago", "2 min ago".
fn ago(seconds: i64) -> String {
    if seconds < 100 {
        format!("{seconds} s ago")
    } else {
        format!("{} ago", Minutes::new(seconds / 60).show())
    }
}

/// "226.4 °F, 12 s ago", or when it fell silent; and whether it is.
pub(super) fn last_words(known: &KnownProbe, visit: &Visit) -> Result<(String, bool), PageError> {
    let units = visit.units();
    Ok(match known.last() {
        None => ("was never heard".to_owned(), true),
        Some(TempAt { at, temp }) => match heard(at, visit.at) {
            Heard::Ago(seconds) => (format!("{}, {}", temp.show(units), ago(seconds)), false),
            Heard::NotSince(since) => {
                let zone = visit.zone()?;
                let (day, time) = zone.local(since);
                let when = if day == zone.local(visit.at).0 {
                    time.show()
                } else {
                    zone.show(since)
                };
                (
                    format!("has not spoken since {when} ({} then)", temp.show(units)),
                    true,
                )
            }
        },
    })
}

/// The offset of a probe in a sentence.
pub(super) fn offset_words(known: &KnownProbe, units: Units) -> String {
    match known.offsets.last() {
        None => "Its offset is not learned: its readings are taken as they come.".to_owned(),
        Some(learned) => {
            let off = learned.off();
            let sign = if off.get() < 0.0 { "less" } else { "more" };
            format!(
                "In boiling water it showed {} {sign} than the {} where water boiled; that is taken off.",
                crate::units::CelsiusDifference::new(off.get().abs()).show(units),
                learned.water.show(units)
            )
        }
    }
}

/// The probes as the page of a boil shows them; `lit`: it is on the fire.
pub(in crate::web) fn of_page(
    probes: &[ProbeOfBoil],
    lit: bool,
    visit: &Visit,
    me: &Me,
) -> Result<ProbesOfPage, PageError> {
    let units = visit.units();
    let mut out = ProbesOfPage::default();
    for probe in probes {
        let known = &probe.known;
        if lit && known.probe.revoked_at.is_none() {
            let (last, silent) = last_words(known, visit)?;
            let mark = if silent { "" } else { ":" };
            out.beside.push(ProbeLine {
                words: format!("Probe {}{mark} {last}", known.probe.name),
                silent,
                of: format!("The probe {}.", known.probe.name),
                offset: offset_words(known, units),
            });
        }
        if let Some(last) = probe.readings.last() {
            let zone = visit.zone()?;
            let clock = |read: &TempAt| zone.local(read.at).1.show();
            let plural = if probe.readings.len() == 1 { "" } else { "s" };
            out.sent.push(ProbeSent {
                summary: format!(
                    "Probe {}: {} reading{plural}, the last {} at {}",
                    known.probe.name,
                    probe.readings.len(),
                    last.temp.show(units),
                    clock(last)
                ),
                lines: thinned(&probe.readings)
                    .iter()
                    .map(|read| (clock(read), read.temp.show(units)))
                    .collect(),
                href: if me.is_crew() {
                    paths::probe(known.probe.id)
                } else {
                    String::new()
                },
            });
        }
    }
    Ok(out)
}

/// The latest first, one in [`SHOWN_EVERY_S`].
fn thinned(readings: &[TempAt]) -> Vec<TempAt> {
    let mut out: Vec<TempAt> = Vec::new();
    for read in readings.iter().rev() {
        if out
            .last()
            .is_none_or(|l| l.at.get() - read.at.get() >= SHOWN_EVERY_S)
        {
            out.push(*read);
        }
    }
    out
}

#[cfg(test)]
impl ProbesOfPage {
    /// Samples: `many` of everything.
    pub(in crate::web) fn sample(many: usize) -> Self {
        let name = "<b>Spout</b> & “co”";
        Self {
            beside: (0..many)
                .map(|n| ProbeLine {
                    words: format!("Probe {name}: 226.4 °F, 12 s ago"),
                    silent: n % 2 == 1,
                    of: format!("The probe {name}."),
                    offset: "Its offset is not learned.".to_owned(),
                })
                .collect(),
            sent: (0..many)
                .map(|_| ProbeSent {
                    summary: format!("Probe {name}: 412 readings, the last 226.4 °F at 11:25"),
                    lines: vec![("11:25".to_owned(), "226.4 °F".to_owned()); many * 10],
                    href: "/mill/probes/01920000-0000-7000-8000-000000000000".to_owned(),
                })
                .collect(),
        }
    }
}
