//! What a cook is warned of beside the call: a figure that stands alone, a probe that shows the end, water to thin with,
//! what does not fit. As sentences ready to print.

use crate::calc::boil::alone::Alone;
use crate::calc::boil::call::{self, Call};
use crate::calc::boil::looked::Looked;
use crate::calc::boil::odd::{Odd, odd, unlike_learned};
use crate::calc::boil::on_fire::{self, By, Reading};
use crate::calc::boil::{boil_plan, thinning};
use crate::facts::boil::boils::Boil;
use crate::units::{BrixAt20C, UtcSecond, Zone};
use crate::web::error::PageError;
use crate::web::session::Visit;

/// A moment as the clock of the mill shows it.
pub(super) fn clock(zone: &Zone, at: UtcSecond) -> String {
    zone.local(at).1.show()
}

/// Sentences about what cannot wait until the next reading is due.
pub(super) fn urgent(boil: &Boil, looked: &Looked, visit: &Visit) -> Vec<String> {
    let alone = looked.alone.map(|alone| match alone {
        Alone::Doubted => {
            "The last reading says that the target is near or passed, and does not fit \
                           the others. Read another now."
                .to_owned()
        }
        Alone::Past => {
            "One reading of the thermometer alone says that it is past. Read it again, or a \
                        drop."
                .to_owned()
        }
    });
    alone
        .into_iter()
        .chain(probe_at_the_end(boil, looked, visit))
        .collect()
}

/// Minutes for which a probe's newest reading counts as just sent.
const JUST_SENT_MIN: i64 = 3;

/// A probe whose newest figure alone says that the end is near, while the call does not.
fn probe_at_the_end(boil: &Boil, looked: &Looked, visit: &Visit) -> Option<String> {
    let newest = boil.probes.iter().filter_map(|probe| probe.readings.last());
    let newest = newest.max_by_key(|read| read.at)?;
    let finish = &boil.day.target;
    let least = finish.temp.get() - finish.plus_minus.get();
    let quiet = matches!(looked.call, Call::Heating | Call::TooEarly | Call::Going);
    let fresh = looked.at.minutes_since(newest.at) < JUST_SENT_MIN;
    (quiet && fresh && newest.temp.get() >= least).then(|| {
        format!(
            "The probe shows {}, as at the finish, and the other readings do not say so. Read the pan \
             by hand now.",
            newest.temp.show(visit.units())
        )
    })
}

/// What else the cook should know, in sentences: water to thin with, how fast the end goes, what does not fit.
pub(super) fn more(
    of: &on_fire::Boil,
    looked: &Looked,
    readings: &[Reading],
    visit: &Visit,
) -> Result<Vec<String>, PageError> {
    let (units, zone) = (visit.units(), visit.zone()?);
    let mut out = Vec::new();
    if looked.asks_drop() {
        out.push(call::why_a_drop(&looked.brix, &looked.k));
    }
    let drops: Vec<(UtcSecond, BrixAt20C)> = readings
        .iter()
        .filter_map(|r| Some((r.at, r.brix?)))
        .collect();
    let syrup = thinning::Syrup {
        solids: of.solids,
        target: of.target,
        fire_drawn: looked.drawn_at.is_some(),
        believed: looked.brix.middle,
        at: looked.at,
    };
    let thin = thinning::thinning(&syrup, &drops);
    out.extend(thinning::words(thin, of.target, units));
    if looked.call == Call::Check
        && let Some(seconds) = boil_plan::last_two_s(of.solids, of.target, of.pan)
    {
        out.push(format!(
            "The last 2 °Bx before the target go by in about {seconds} seconds on this pan, so the \
             fire must be drawn before the mark."
        ));
    }
    for place in &looked.doubtful {
        let Some(reading) = readings.get(*place) else {
            continue;
        };
        let (at, temp) = (clock(zone, reading.at), reading.temp.map(|t| t.show(units)));
        out.push(match (reading.by, temp) {
            (By::Probe, Some(temp)) => format!(
                "What the probe sent at {at}, {temp}, does not fit the others and counts for little. Look \
                 where it hangs."
            ),
            _ => format!(
                "The reading of {at} does not fit the others and counts for little. If it was mistyped, \
                 put it right below."
            ),
        });
    }
    out.extend(unlike_learned(of, readings).map(Odd::words));
    out.extend(odd(looked).into_iter().map(Odd::words));
    Ok(out)
}
