//! Words that the pages of tickets and juice share.

use crate::calc::cane::juice::{Band, Freshness, juice_clock};
use crate::calc::cane::trash::Sample;
use crate::calc::cane::undo::{UNDONE, Written, may_undo, undo_ends};
use crate::facts::came_by::CameBy;
use crate::facts::cane::yields::Yields;
use crate::store::cane::juice::{Drawn, JuiceRow};
use crate::store::people::stations;
use crate::store::season::seasons::Rules;
use crate::store::sent_from_phone::SentRow;
use crate::units::{Grams, MemberId, MemberName, Minutes, Units, UtcSecond, Zone};
use crate::web::session::Me;

/// Words that a time came from a phone's clock, when it was tapped and when it arrived; empty when it was written at
/// once. `at`: the tap, or when the entry was written down.
pub(in crate::web) fn by_phone(sent: &[SentRow], at: UtcSecond, zone: &Zone) -> String {
    let found = sent
        .iter()
        .find(|s| s.said_at == at || s.arrived_at == at)
        .filter(|s| s.arrived_at.minutes_since(s.said_at) >= 1);
    found.map_or_else(String::new, |s| {
        let day = zone.local(at).0;
        let when = |at: UtcSecond| {
            let local = zone.local(at);
            if local.0 == day {
                local.1.show()
            } else {
                zone.show(at)
            }
        };
        let tapped = if s.said_at == at {
            "then".to_owned()
        } else {
            when(s.said_at)
        };
        format!(
            " (tapped {tapped} on a phone without network; it arrived {}{})",
            when(s.arrived_at),
            clock_off(s.ahead_s)
        )
    })
}

/// ", its clock was 3 h fast": of a phone's clock that was a minute off or more when it last heard of the mill.
fn clock_off(ahead_s: Option<i64>) -> String {
    match ahead_s {
        Some(ahead) if ahead.abs() >= 60 => {
            let way = if ahead > 0 { "fast" } else { "slow" };
            format!(
                "; its clock was {} {way}, which is taken off",
                Minutes::new(ahead.abs() / 60).show()
            )
        }
        Some(_) => String::new(),
        None => "; its clock was never compared with the mill’s".to_owned(),
    }
}

/// Words on where an entry written down at this moment came from: a phone without network, the mill's own station;
/// empty when from neither.
pub(in crate::web) fn came_by(of: &CameBy, at: UtcSecond, zone: &Zone) -> String {
    let tapped = |s: &&SentRow| s.said_at == at;
    let arrived = of.phones.iter().find(tapped).map_or(at, |s| s.arrived_at);
    format!(
        "{}{}",
        by_phone(&of.phones, at, zone),
        by_station(&of.stations, arrived)
    )
}

/// Words that an entry written at this moment was made at the mill's own station; empty: it was not.
pub(super) fn by_station(sent: &[stations::SentRow], at: UtcSecond) -> String {
    sent.iter()
        .find(|s| s.at == at)
        .map_or_else(String::new, |s| {
            format!(" (at the station “{}”)", s.station)
        })
}

/// Words that an entry was typed in from paper, by whom and when; empty: it was not.
pub(in crate::web) fn typed_in(by: Option<&MemberName>, at: UtcSecond, zone: &Zone) -> String {
    by.map_or_else(String::new, |by| {
        format!(" (on paper; typed in by {by}, {})", zone.show(at))
    })
}

/// Where the clock of a juice stands, in words, and the look of its tag. It stops when the vessel
/// is empty.
pub(super) fn clock_words(
    juice: &JuiceRow,
    drawn: Drawn,
    mass: Grams,
    rules: &Rules,
    at: UtcSecond,
) -> (String, &'static str) {
    if juice.void {
        return ("never was".to_owned(), "");
    }
    if drawn.left(mass) == Grams::ZERO {
        let gone = if drawn.any() || drawn.lost == Grams::ZERO {
            "all in the pan"
        } else {
            "all lost"
        };
        return (gone.to_owned(), "ok");
    }
    let limits = rules.wait_limits();
    let (clock, left) = juice_clock(juice.pressed_at, at, limits);
    match clock {
        Freshness::Fresh => (format!("fresh, {} left", left.show()), "ok"),
        Freshness::Soon => (format!("boil it next, {} left", left.show()), "warn"),
        Freshness::Late => (
            format!(
                "too old by {}: smell it, test its pH",
                left.show().trim_start_matches('−')
            ),
            "bad",
        ),
    }
}

/// The entry that the reader may still take back.
pub(super) struct Undo {
    /// Address that takes it back.
    pub(super) action: String,
    /// How long that is possible: "08:10 today".
    pub(super) until: String,
}

/// The undoing of an entry by this address, if whoever looks may take it back just now: their own, of the last ten
/// minutes, and not itself a taking back.
pub(super) fn undoable(
    (by, written): (MemberId, UtcSecond),
    why: &str,
    (me, zone, at): (&Me, &Zone, UtcSecond),
    action: String,
) -> Option<Undo> {
    let of = Written {
        by,
        by_name: "",
        at: written,
        undone: why == UNDONE,
    };
    let may = me.is_crew() && may_undo(&of, (me.id, at)).is_ok();
    may.then(|| Undo {
        action,
        until: zone.show_by(undo_ends(written), at),
    })
}

/// "163,974 g net × 3,992 g stripped ÷ 4,536 g of the sample = 144,309 g count, to the nearest gram".
pub(in crate::web) fn clean_sum(net: Grams, sample: Sample, units: Units) -> String {
    format!(
        "{} net × {} stripped ÷ {} of the sample = {} count, to the nearest gram",
        net.grams_text(units),
        sample.after.grams_text(units),
        sample.before.grams_text(units),
        sample.clean(net).grams_text(units)
    )
}

/// Juice per 100 of cane, "44.1", or nothing yet.
pub(super) fn yield_figure(of: &Yields) -> Option<String> {
    of.own.map(|(percent, _)| format!("{percent:.1}"))
}

/// The band of a yield in words, and the look of its tag.
pub(super) fn yield_band(of: &Yields) -> (&'static str, &'static str) {
    match of.own {
        None => ("", ""),
        Some((_, Band::Green)) => ("good", "ok"),
        Some((_, Band::Amber)) => ("rather low", "warn"),
        Some((_, Band::Red)) => ("low", "bad"),
    }
}

/// The medians of day and season in one sentence; empty while there are none.
pub(super) fn yield_medians(of: &Yields) -> String {
    let (Some((day, n)), Some((season, m))) = (of.day, of.season) else {
        return String::new();
    };
    let tickets = |n: usize| if n == 1 { "ticket" } else { "tickets" };
    format!(
        "The mill’s median: {day:.1} that day ({n} {}), {season:.1} in the season ({m} {}).",
        tickets(n),
        tickets(m)
    )
}
