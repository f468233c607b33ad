//! Whose cane comes: of a turn that is held today, or of a member who walked in.

use crate::actions::{Done, Stop};
use crate::calc::Unmet;
use crate::store::WriteTx;
use crate::store::cane::{tickets, weigh_in};
use crate::store::people::members;
use crate::store::turns::press_days::PressDay;
use crate::units::{Grams, MemberId, TurnId};

/// For whom a ticket is opened.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum CaneOf {
    /// Whoever holds this turn.
    Turn(TurnId),
    /// A member who came without a turn.
    WalkIn(MemberId),
}

/// Whose cane it is, for which turn, and what that turn expects.
pub(super) async fn whose(
    tx: &mut WriteTx,
    day: &PressDay,
    whose: CaneOf,
) -> Done<(MemberId, Option<TurnId>, Option<Grams>)> {
    match whose {
        CaneOf::Turn(id) => {
            let turn = weigh_in::turn(id).ask(tx).await?.ok_or(Stop::Missing)?;
            if let Some(ticket) = tickets::of_turn(id).ask(tx).await? {
                return Err(Unmet::beside(
                    "whose",
                    "weighed-in",
                    format!(
                        "This turn of {} was weighed in already, on ticket {}. Add another load \
                         there instead.",
                        turn.member_name, ticket.ticket
                    ),
                )
                .into());
            }
            if !turn.held || turn.press_day_id != day.id {
                return Err(Unmet::beside(
                    "whose",
                    "turn-gone",
                    format!(
                        "{} does not hold that turn today any more. Please choose again.",
                        turn.member_name
                    ),
                )
                .into());
            }
            Ok((turn.member_id, Some(id), Some(turn.cane)))
        }
        CaneOf::WalkIn(id) => {
            let member = members::find(id).ask(tx).await?.ok_or(Stop::Missing)?;
            let waiting = weigh_in::turns_waiting(day.id).ask(tx).await?;
            if let Some(turn) = waiting.iter().find(|t| t.member_id == id) {
                return Err(Unmet::beside(
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
                return Err(Unmet::beside(
                    "whose",
                    "has-left",
                    format!("{} has left the co-op.", member.name),
                )
                .into());
            }
            Ok((id, None, None))
        }
    }
}
