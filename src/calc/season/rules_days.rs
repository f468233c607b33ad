//! Whether the day from which a version of the rules holds may be put right.

use super::rules::may_hold_from;
use crate::calc::RuleRefusal;
use crate::units::{LotCode, PressDate};

/// A confirmed version of a season's rules.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub struct VersionInForce {
    /// Number of the version.
    pub number: i64,
    /// The day from which it holds.
    pub from: PressDate,
}

/// The boils and tickets that depend on a version of the rules.
#[derive(Debug, Clone, Copy)]
pub struct DependsOn<'a> {
    /// Boils that were lit under it or moved to it.
    pub boils: &'a [LotCode],
    /// The first day, from the one on that it holds from now, on which a ticket was opened.
    pub first_ticket: Option<PressDate>,
}

/// Whether a version may hold from another day, in a season of `year` whose confirmed versions are `all`.
///
/// # Errors
/// A boil hangs on it, or a ticket would be left without rules; beside `holds_from`: the day is outside the season's year and
/// the next, or not between the days of the versions before and after it.
pub fn may_hold_instead(
    own: VersionInForce,
    to: PressDate,
    year: i64,
    all: &[VersionInForce],
    hangs: DependsOn<'_>,
) -> Result<(), RuleRefusal> {
    if let [first, ..] = hangs.boils {
        let boils = match hangs.boils.len() {
            1 => format!("Lot {first}"),
            n => format!("{n} boils, lot {first} the first of them,"),
        };
        return Err(RuleRefusal::new(
            "boils-hang-on-it",
            format!(
                "{boils} was boiled by version {}, so its day stands. Make a new version instead, and move boils that are \
                 not divided yet on their own pages.",
                own.number
            ),
        ));
    }
    let others = all.iter().filter(|held| held.number != own.number);
    let before = others.clone().filter(|held| held.number < own.number).max();
    may_hold_from(to, year, before.map(|held| (held.from, held.number)))?;
    let after = others.filter(|held| held.number > own.number).min();
    if let Some(after) = after.filter(|after| after.from < to) {
        return Err(RuleRefusal::beside(
            "holds_from",
            "holds-from",
            format!(
                "Version {} holds from {}. The version before it cannot hold from a later day.",
                after.number,
                after.from.show()
            ),
        ));
    }
    if let Some(first) = hangs
        .first_ticket
        .filter(|first| *first < to && before.is_none())
    {
        return Err(RuleRefusal::beside(
            "holds_from",
            "holds-from",
            format!(
                "Cane was weighed in on {}, and no other rules hold on that day. Please write that day or an earlier one.",
                first.show()
            ),
        ));
    }
    Ok(())
}

#[cfg(test)]
mod tests {
    use super::*;

    fn day(text: &str) -> PressDate {
        PressDate::parse(text).unwrap()
    }

    fn held(number: i64, from: &str) -> VersionInForce {
        VersionInForce {
            number,
            from: day(from),
        }
    }

    const FREE: DependsOn<'_> = DependsOn {
        boils: &[],
        first_ticket: None,
    };

    fn may(number: i64, to: &str, hangs: DependsOn<'_>) -> Result<(), RuleRefusal> {
        let all = [
            held(1, "2026-09-01"),
            held(2, "2026-10-01"),
            held(3, "2026-11-01"),
        ];
        let own = all.iter().find(|held| held.number == number).unwrap();
        may_hold_instead(*own, day(to), 2026, &all, hangs)
    }

    #[test]
    fn a_day_is_put_right_between_those_of_the_versions_beside_it() {
        assert!(may(2, "2026-09-01", FREE).is_ok() && may(2, "2026-11-01", FREE).is_ok());
        let early = may(2, "2026-08-31", FREE).unwrap_err();
        assert!(
            early.sentence.starts_with("Version 1 holds from"),
            "{early:?}"
        );
        let late = may(2, "2026-11-02", FREE).unwrap_err();
        assert_eq!(late.at, Some("holds_from"));
        assert!(
            late.sentence.starts_with("Version 3 holds from"),
            "{late:?}"
        );
        assert!(may(1, "2026-01-01", FREE).is_ok() && may(3, "2027-12-31", FREE).is_ok());
        assert!(may(1, "2025-12-31", FREE).is_err() && may(3, "2028-01-01", FREE).is_err());
    }

    #[test]
    fn a_boil_holds_the_day_and_no_ticket_is_left_without_rules() {
        let lots = [LotCode::nth(2026, 1).unwrap()];
        let boiled = DependsOn {
            boils: &lots,
            ..FREE
        };
        assert_eq!(
            may(2, "2026-09-20", boiled).unwrap_err().code,
            "boils-hang-on-it"
        );
        let weighed = DependsOn {
            first_ticket: Some(day("2026-09-12")),
            ..FREE
        };
        assert!(may(1, "2026-09-12", weighed).is_ok());
        let late = may(1, "2026-09-13", weighed).unwrap_err();
        assert!(late.sentence.contains("Sat 12 Sep 2026"), "{late:?}");
        // A later version may be moved past a ticket, as the version before it then holds.
        assert!(may(2, "2026-10-20", weighed).is_ok());
    }
}
