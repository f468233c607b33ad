//! Whether a load about to be weighed in is one that somebody else has just weighed: the same member's, near
//! in weight and near in time. Never decides it: the person at the scale knows.

use crate::calc::RuleRefusal;
use crate::units::{Grams, TicketId, Units, UtcSecond};

/// Two weighings of one member closer together than this are asked about, seconds: common practice is one trailer on
/// the scale every ten minutes.
pub const NEAR_S: i64 = 15 * 60;
/// Two nets are near when they differ by no more than one part in this many: 2 % covers a trailer that was moved on
/// the platform, and mud that fell off.
pub const NEAR_PART: i64 = 50;

/// A load that stands in the book.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct RecordedLoad {
    /// Its ticket.
    pub id: TicketId,
    /// Number of its ticket.
    pub ticket: i64,
    /// Net cane of the load.
    pub net: Grams,
    /// When the load was on the scale.
    pub weighed: UtcSecond,
    /// Name of the person who weighed it.
    pub by: String,
}

/// The box of a form that came back which holds the ticket at the mill that it may be of, as id and number.
pub const TWIN: &str = "twin";

/// What stands in [`TWIN`].
pub fn twin_of(id: TicketId, number: i64) -> String {
    format!("{id}|{number}")
}

/// Whether a new ticket's first load may be another load than those that stand of the same member.
///
/// # Errors
/// Beside `another`: one of them is near in weight and time, and nobody said that it is another load.
pub fn another_load(
    (net, weighed): (Grams, UtcSecond),
    name: &str,
    standing: &[RecordedLoad],
    another: bool,
    units: Units,
) -> Result<(), RuleRefusal> {
    let apart = |s: &RecordedLoad| (s.weighed.get() - weighed.get()).abs();
    let near = standing
        .iter()
        .filter(|s| apart(s) <= NEAR_S && near(s.net, net))
        .min_by_key(|s| apart(s));
    let (Some(twin), false) = (near, another) else {
        return Ok(());
    };
    let when = match (weighed.get() - twin.weighed.get(), apart(twin)) {
        (_, seconds) if seconds < 60 => "at the same time".to_owned(),
        (1.., seconds) => format!("{} earlier", minutes(seconds)),
        (_, seconds) => format!("{} later", minutes(seconds)),
    };
    Err(RuleRefusal::beside(
        "another",
        "same-load",
        format!(
            "The same load? {name} has {} on ticket {}, weighed by {} {when}; this would be {}. If it is \
             the same load, go on with ticket {}. If it is another, tick “It is another load” and send again.",
            twin.net.show(units),
            twin.ticket,
            twin.by,
            net.show(units),
            twin.ticket
        ),
    )
    .holding(TWIN, twin_of(twin.id, twin.ticket)))
}

fn minutes(seconds: i64) -> String {
    match seconds / 60 {
        1 => "a minute".to_owned(),
        n => format!("{n} minutes"),
    }
}

fn near(one: Grams, other: Grams) -> bool {
    let apart = (one.get() - other.get()).abs();
    apart * NEAR_PART <= one.get().max(other.get())
}

#[cfg(test)]
mod tests {
    use super::*;

    const AT: UtcSecond = UtcSecond::new(1_789_822_800);

    fn asked(net: i64, seconds: i64, another: bool) -> Option<String> {
        let standing = [RecordedLoad {
            id: TicketId::new(uuid::Uuid::nil()),
            ticket: 7,
            net: Grams::new(127_686),
            weighed: AT,
            by: "Cora Pell".to_owned(),
        }];
        let new = (Grams::new(net), AT.plus(seconds));
        another_load(new, "Amos Trout", &standing, another, Units::Us)
            .err()
            .map(|refusal| refusal.sentence)
    }

    #[test]
    fn the_same_weight_within_fifteen_minutes_is_asked_about_with_both_shown() {
        let said = asked(127_686, 70, false).unwrap_or_default();
        assert!(
            said.contains("Amos Trout has 281.5 lb on ticket 7"),
            "{said}"
        );
        assert!(said.contains("Cora Pell a minute earlier"), "{said}");
        assert!(asked(127_686, -600, false).is_some_and(|s| s.contains("10 minutes later")));
        assert!(asked(127_686, 900, false).is_some());
        assert!(asked(127_686, 901, false).is_none());
    }

    #[test]
    fn two_hundredths_apart_is_near_and_a_little_more_is_not() {
        assert!(asked(125_133, 0, false).is_some());
        assert!(asked(125_131, 0, false).is_none());
    }

    #[test]
    fn whoever_says_that_it_is_another_load_is_believed() {
        assert!(asked(127_686, 70, true).is_none());
    }
}
