//! Whose cane comes: of a turn that is held today, or of a member who walked in.

use crate::actions::{Done, Stop};
use crate::calc::RuleRefusal;
use crate::calc::cane::same_load::{TWIN, twin_of};
use crate::store::cane::tickets::{self, Ticket};
use crate::store::cane::weigh_in;
use crate::store::people::members::{self, Member};
use crate::store::{Question, Together, WriteTx};
use crate::units::{Grams, MemberId, PressDayId, TurnId};

/// The turn or member that a ticket is opened for.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum CaneOf {
    /// Whoever holds this turn.
    Turn(TurnId),
    /// A member who came without a turn.
    WalkIn(MemberId),
}

/// The turn or member that a ticket is opened for, as the book has it.
pub(super) enum Found {
    /// The turn, and the ticket it was weighed in on, if it was.
    Turn(Option<weigh_in::Turn>, Option<Ticket>),
    /// The member, and the day's turns that were not weighed in yet.
    WalkIn(Option<Member>, Vec<weigh_in::Turn>),
}

/// Reads what the book says of the turn or member.
pub(super) fn found(day: PressDayId, whose: CaneOf) -> Question<Found> {
    match whose {
        CaneOf::Turn(id) => (weigh_in::turn(id), tickets::of_turn(id))
            .together()
            .map(|(turn, ticket)| Found::Turn(turn, ticket)),
        CaneOf::WalkIn(id) => (members::find(id), weigh_in::turns_waiting(day))
            .together()
            .map(|(member, waiting)| Found::WalkIn(member, waiting)),
    }
}

/// The member whose cane it is, the turn it comes for, and the cane which that turn expects.
pub(super) async fn whose(
    tx: &mut WriteTx,
    day: PressDayId,
    whose: CaneOf,
) -> Done<(MemberId, Option<TurnId>, Option<Grams>)> {
    found(day, whose).ask(tx).await?.on(day)
}

impl Found {
    /// The member whose cane it is on that day, the turn it comes for, and the cane which that turn expects.
    pub(super) fn on(self, day: PressDayId) -> Done<(MemberId, Option<TurnId>, Option<Grams>)> {
        match self {
            Self::Turn(turn, ticket) => {
                let turn = turn.ok_or(Stop::Missing)?;
                if let Some(ticket) = ticket {
                    return Err(RuleRefusal::beside(
                        "whose",
                        "weighed-in",
                        format!(
                            "This turn of {} was weighed in already, on ticket {}. Add another load \
                             there instead.",
                            turn.member_name, ticket.ticket
                        ),
                    )
                    .holding(TWIN, twin_of(ticket.id, ticket.ticket))
                    .into());
                }
                if !turn.held || turn.press_day_id != day {
                    return Err(RuleRefusal::beside(
                        "whose",
                        "turn-gone",
                        format!(
                            "{} does not hold that turn today any more. Please choose again.",
                            turn.member_name
                        ),
                    )
                    .into());
                }
                Ok((turn.member_id, Some(turn.id), Some(turn.cane)))
            }
            Self::WalkIn(member, waiting) => {
                let member = member.ok_or(Stop::Missing)?;
                if let Some(turn) = waiting.iter().find(|t| t.member_id == member.id) {
                    return Err(RuleRefusal::beside(
                        "whose",
                        "has-turn",
                        format!(
                            "{} has a turn today at {}. Please choose that turn in the list.",
                            member.name,
                            turn.start.show()
                        ),
                    )
                    .into());
                }
                if member.left_at.is_some() {
                    return Err(RuleRefusal::beside(
                        "whose",
                        "has-left",
                        format!("{} has left the co-op.", member.name),
                    )
                    .into());
                }
                Ok((member.id, None, None))
            }
        }
    }
}
