//! Words that the pages of tickets and juice share.

use crate::calc::cane::juice::{Band, Freshness, juice_clock};
use crate::calc::cane::undo::{UNDONE, Written, may_undo};
use crate::facts::cane::yields::Yields;
use crate::store::cane::juice::{Drawn, JuiceRow};
use crate::store::people::stations;
use crate::store::season::seasons::Rules;
use crate::store::sent_from_phone::SentRow;
use crate::units::{Grams, MemberId, MemberName, UtcSecond, Zone};
use crate::web::session::Me;

/// That a time came from a phone's clock, and when it arrived; empty when it was written down at once.
pub(super) fn by_phone(sent: &[SentRow], at: UtcSecond, zone: &Zone) -> String {
    sent.iter()
        .find(|s| s.said_at == at && s.arrived_at.minutes_since(s.said_at) >= 1)
        .map_or_else(String::new, |s| {
            let arrived = zone.local(s.arrived_at);
            let when = if arrived.0 == zone.local(at).0 {
                arrived.1.show()
            } else {
                zone.show(s.arrived_at)
            };
            format!(" (tapped then on a phone without network; it arrived {when})")
        })
}

/// That what was written down at an instant was entered at the mill's own station; empty: it was not.
pub(super) fn by_station(sent: &[stations::SentRow], at: UtcSecond) -> String {
    sent.iter()
        .find(|s| s.at == at)
        .map_or_else(String::new, |s| {
            format!(" (at the station “{}”)", s.station)
        })
}

/// That something was typed in from paper, by whom and when; empty: it was not.
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

/// Whether who looks may take an entry back just now: their own, of the last ten minutes, that is not itself one
/// taken back.
pub(super) fn undoable(
    (by, written): (MemberId, UtcSecond),
    why: &str,
    me: &Me,
    at: UtcSecond,
) -> bool {
    let of = Written {
        by,
        by_name: "",
        at: written,
        undone: why == UNDONE,
    };
    me.is_crew() && may_undo(&of, (me.id, at)).is_ok()
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
