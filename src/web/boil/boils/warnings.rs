//! What a cook is warned of beside the call: a figure that stands alone, a probe that is amiss or shows the end, water to thin with,
//! what does not fit. As sentences ready to print.

use crate::calc::boil::fire::alone::Alone;
use crate::calc::boil::fire::belief_at::BeliefAt;
use crate::calc::boil::fire::belief_at::LessThanBefore;
use crate::calc::boil::fire::call::{self, Call};
use crate::calc::boil::fire::on_fire::{self, By, Reading, Spread};
use crate::calc::boil::fire::outside_belief::{OutsideBelief, odd};
use crate::calc::boil::fire::probe_sense::{Amiss, Use};
use crate::calc::boil::thinning;
use crate::facts::boil::boils::Boil;
use crate::units::{BrixAt20C, Celsius, CelsiusDifference, Units, UtcSecond, Zone};
use crate::web::error::PageError;
use crate::web::session::Visit;

/// A moment as the clock of the mill shows it.
pub(super) fn clock(zone: &Zone, at: UtcSecond) -> String {
    zone.local(at).1.show()
}

/// What cannot wait for the next reading to be due.
pub(super) fn urgent(
    boil: &Boil,
    looked: &BeliefAt,
    visit: &Visit,
) -> Result<Vec<String>, PageError> {
    let (zone, units) = (visit.zone()?, visit.units());
    let burns_on = looked.burns_on.map(|since| {
        format!(
            "The fire was noted as drawn at {}, and the pan has gone on boiling since. Is it really drawn? If it \
             burns, tap “It is lit again”.",
            clock(zone, since)
        )
    });
    let confirmed = looked.confirmed.map(|since| {
        format!(
            "The figure of {}, read back and confirmed, is far from what was believed before it. Until another reading \
             decides, the call is the more careful of both. Read it again by {}.",
            clock(zone, since),
            clock(zone, looked.next_reading)
        )
    });
    // What is said of a confirmed figure says that as well.
    let alone = looked
        .alone
        .filter(|of| *of != Alone::Unlike || confirmed.is_none());
    let alone = alone.map(|alone| {
        match alone {
            Alone::Doubted => {
                "The last reading says that the target is near or passed, and does not fit the others. Read \
                 another now."
            }
            Alone::Unlike => "The last reading is far from what was expected. Read another now.",
            Alone::Past => {
                "One reading of the thermometer alone says that it is past. Read it again, or a drop."
            }
        }
        .to_owned()
    });
    let less = looked
        .less
        .filter(|of| of.than.is_some() || confirmed.is_none());
    let less = less.map(|of| less_words(&of, zone));
    let mut out: Vec<String> = burns_on.into_iter().chain(confirmed).collect();
    out.extend(alone.into_iter().chain(less));
    out.extend(probe_at_the_end(boil, looked, visit));
    let amiss = boil.probes_amiss();
    out.extend(amiss.iter().map(|one| probe_words(one, zone, units)));
    Ok(out)
}

/// A figure that says less than was believed, and what to look at.
fn less_words(of: &LessThanBefore, zone: &Zone) -> String {
    let since = clock(zone, of.since);
    match (of.than, of.agree) {
        (Some(than), 1) => format!(
            "The temperature at {since} was less than at {}, and a pan that boils grows no colder. Is the bulb in \
             the syrup? Read it again now, or a drop.",
            clock(zone, than)
        ),
        (Some(than), _) => format!(
            "The temperature has been less since {since} than at {}, and a pan that boils grows no colder. If juice \
             was poured in, note it; else see whether the bulb is in the syrup. A drop on the refractometer settles it.",
            clock(zone, than)
        ),
        (None, _) => format!(
            "The reading of {since} says that there is more to boil off than was expected. Read another now."
        ),
    }
}

/// What is amiss with a probe, and what to look at.
fn probe_words(of: &Amiss, zone: &Zone, units: Units) -> String {
    match *of {
        Amiss::Apart { more, at, how } => {
            let by = CelsiusDifference::new(more.abs()).show(units);
            let way = if more > 0.0 { "more" } else { "less" };
            let means = match how {
                Use::AsItIs => "Read the pan by hand once more, to see which is right",
                Use::Corrected => {
                    "The figures here go by the thermometer. Hold the probe in boiling water"
                }
                Use::HandFell => {
                    "The thermometer showed more before, and the pan grows no colder: see whether its bulb is in the \
                     syrup, and read it again now"
                }
                Use::LeftOut => {
                    "The figures here go by the thermometer. See where the probe hangs, and go on reading by hand"
                }
            };
            format!(
                "The probe shows {by} {way} than the thermometer at {}. {means}.",
                clock(zone, at)
            )
        }
        Amiss::Fell { since, from, to } => format!(
            "The probe has shown {} since {}, {} before that, and a pan that boils grows no colder. Read it by hand \
             now and see where the probe hangs. If the fire is drawn, note it.",
            to.show(units),
            clock(zone, since),
            from.show(units)
        ),
        Amiss::Still { since, at, counts } => format!(
            "The probe has stood at {} since {}{}. Read the pan by hand now, and see where the probe hangs and how the \
             fire burns.",
            at.show(units),
            clock(zone, since),
            if counts {
                ""
            } else {
                ", and counts for nothing since"
            }
        ),
    }
}

/// Minutes for which a probe's newest reading counts as just sent.
const JUST_SENT_MIN: i64 = 3;

/// A probe whose newest figure says that the end is near, while the call is no louder for that.
fn probe_at_the_end(boil: &Boil, looked: &BeliefAt, visit: &Visit) -> Option<String> {
    let newest = boil.probe_at_finish()?;
    // By this boil's own K the finish may lie higher than the mill's.
    let short = |own: Spread| newest.temp.get() < own.low;
    let elsewhere = looked.draws_off_elsewhere(boil.day.target.temp.get());
    if elsewhere.is_some_and(short) {
        return None;
    }
    let burns = looked.call != Call::Drawn && looked.call < Call::There;
    let fresh = looked.at.minutes_since(newest.at) < JUST_SENT_MIN;
    (burns && fresh).then(|| {
        format!(
            "The probe shows {}, as at the finish. Read the pan by hand now.",
            newest.temp.show(visit.units())
        )
    })
}

/// What else the cook should know, in sentences: water to thin with, how fast the end goes, what does not fit.
pub(super) fn more(
    of: &on_fire::Boil,
    looked: &BeliefAt,
    readings: &[Reading],
    visit: &Visit,
) -> Result<Vec<String>, PageError> {
    let units = visit.units();
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
    if looked.call == Call::Check {
        out.push(format!(
            "At this fire the last 2 °Bx before the target go by in about {}, and the fire must be drawn before \
             the mark.",
            how_long(looked.last_two_s)
        ));
    }
    out.extend(doubted(looked, readings, visit)?);
    let learned = of.k.map(|k| k.value);
    out.extend(odd(looked, learned).into_iter().map(OutsideBelief::words));
    Ok(out)
}

/// A short time in words: seconds to the nearest five, minutes from two on.
fn how_long(seconds: f64) -> String {
    if seconds < 120.0 {
        format!("{:.0} seconds", (seconds / 5.0).round().max(1.0) * 5.0)
    } else {
        format!("{:.0} minutes", (seconds / 60.0).min(600.0))
    }
}

/// What was read or sent and does not fit, in sentences: of a probe one for all that it sent without a break.
fn doubted(
    looked: &BeliefAt,
    readings: &[Reading],
    visit: &Visit,
) -> Result<Vec<String>, PageError> {
    let (units, zone) = (visit.units(), visit.zone()?);
    let mut places = looked.doubtful.clone();
    places.sort_unstable();
    let mut out = Vec::new();
    let mut sent: Vec<(UtcSecond, Celsius)> = Vec::new();
    for place in places {
        let Some(reading) = readings.get(place) else {
            continue;
        };
        if let (By::Probe, Some(temp)) = (reading.by, reading.temp) {
            sent.push((reading.at, temp));
        } else {
            out.push(format!(
                "The reading of {} does not fit the others and counts for little. If it was mistyped, put it right \
                 below.",
                clock(zone, reading.at)
            ));
        }
    }
    if let (Some((first, from)), Some((last, to))) = (sent.first(), sent.last()) {
        let (first, last) = (clock(zone, *first), clock(zone, *last));
        let (from, to) = (from.show(units), to.show(units));
        let what = if first == last {
            format!("at {first}, {from},")
        } else {
            format!("from {first} to {last}, {from} to {to}, in part")
        };
        out.push(format!(
            "What the probe sent {what} does not fit the others and counts for little. Look where it hangs."
        ));
    }
    Ok(out)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_short_time_is_said_in_seconds_and_a_longer_one_in_minutes() {
        let said = [1.0, 38.0, 117.0, 120.0, 200.0].map(how_long);
        assert_eq!(
            said,
            [
                "5 seconds",
                "40 seconds",
                "115 seconds",
                "2 minutes",
                "3 minutes"
            ]
        );
    }
}
