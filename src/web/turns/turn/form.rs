//! A turn as it is wanted: what was sent, what was meant.

use crate::actions::turns::turn::{NewPlace, NewTurn, SECOND};
use crate::actions::turns::waiting::Joins;
use crate::calc::turns::turn_cane::AmountTold;
use crate::units::{ClockTyped, Grams, MemberId, PressDayId, Refused, Units};
use crate::web::form::Sheet;
use crate::web::session::Me;

/// A member's cane and how much it is; the start comes apart, with the button that was tapped.
#[derive(Debug, Clone, Copy)]
pub(super) struct CaneTold {
    /// The member whose cane it is.
    pub(super) member: MemberId,
    /// How much cane comes, as the member told it.
    pub(super) told: AmountTold,
    /// The weight instead of what the season's figures make of it.
    pub(super) corrected: Option<Grams>,
    /// Whether the corrected weight is meant, far off as it is.
    pub(super) sure: bool,
}

impl CaneTold {
    /// This cane as it joins a waiting list.
    pub(super) fn joins(self) -> Joins {
        Joins {
            member: self.member,
            told: self.told,
            corrected: self.corrected,
            sure: self.sure,
        }
    }
}

/// Reads every box, then decides. A member who has one card means that; whoever acts for others says whose.
pub(super) fn cane(sheet: &mut Sheet, me: &Me, units: Units) -> Option<CaneTold> {
    let several = me.is_crew() || !me.acts_for.is_empty();
    let member = if several || !sheet.typed("member").is_empty() {
        sheet.read("member", |text| {
            MemberId::parse(text)
                .ok_or_else(|| Refused::new("Please choose the member whose cane it is."))
        })
    } else {
        Some(me.id)
    };
    let choice = sheet.typed("told").to_owned();
    let told = sheet.read("amount", |text| AmountTold::parse(&choice, text, units));
    let corrected = sheet.read_optional("cane", |text| Grams::parse_told(text, units));
    Some(CaneTold {
        member: member?,
        told: told?,
        corrected: corrected?,
        sure: sheet.ticked("sure"),
    })
}

/// The turn that is wanted, with the start that was tapped.
pub(super) fn turn(sheet: &mut Sheet, cane: Option<CaneTold>) -> Option<NewTurn> {
    let start = sheet.read("start", ClockTyped::parse);
    let cane = cane?;
    Some(NewTurn {
        member: cane.member,
        start: start?,
        told: cane.told,
        corrected: cane.corrected,
        sure: cane.sure,
    })
}

/// The place that a turn is to move to, on a day that was chosen.
pub(super) fn place(sheet: &mut Sheet, day: Option<PressDayId>) -> Option<NewPlace> {
    let start = sheet.read("start", ClockTyped::parse);
    Some(NewPlace {
        day: day?,
        start: start?,
        why: sheet.typed("why").to_owned(),
        second: sheet.ticked(SECOND),
        seen: sheet.typed("version").parse().unwrap_or(0),
    })
}
