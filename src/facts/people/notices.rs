//! Notices as they stand: what is overtaken, what a member is shown, whom somebody has to call.

use crate::calc::people::notices::{CALL_LAST_S, NoticeState, SubjectState};
use crate::calc::turns::turn_states::When;
use crate::store::Question;
use crate::store::people::notices::{self, Notice};
use crate::units::{MemberId, UtcSecond, Zone};

/// The state of a notice at a moment.
pub fn state_of(notice: &Notice, zone: &Zone, at: UtcSecond) -> NoticeState {
    let matter = match (&notice.turn, &notice.offer) {
        (Some(turn), _) => SubjectState::Turn {
            held: turn.held,
            confirmed: turn.confirmed_at.is_some(),
            confirmed_since: turn.confirmed_at.is_some_and(|at| at > notice.made_at),
            weighed_in: turn.weighed_in,
            begun: When {
                date: turn.date,
                start: turn.start,
                zone,
                at,
            }
            .begun(),
            changed: turn.changed,
        },
        (None, Some(offer)) => SubjectState::Offer {
            over: offer.answered || offer.ends_at <= at,
        },
        (None, None) => SubjectState::Lasting,
    };
    NoticeState {
        kind: notice.kind,
        matter,
        made_at: notice.made_at,
        put_away: notice.seen_at.is_some(),
        told: notice.told_at.is_some(),
        letter: notice.letter,
    }
}

/// The notices on a member's home page: those neither put away nor overtaken.
pub fn for_member(member: MemberId, zone: &Zone, at: UtcSecond) -> Question<Vec<Notice>> {
    let zone = zone.clone();
    notices::not_put_away(member).map(move |mut all| {
        all.retain(|notice| !state_of(notice, &zone, at).overtaken());
        all
    })
}

/// The notices about which somebody has to call, the oldest first, and all of one member together; `letters_sent`: there is a mail server.
pub fn to_call(zone: &Zone, letters_sent: bool, at: UtcSecond) -> Question<Vec<Notice>> {
    let zone = zone.clone();
    notices::open(at.plus(-CALL_LAST_S)).map(move |mut all| {
        all.retain(|notice| state_of(notice, &zone, at).to_call(letters_sent, at));
        let order: Vec<MemberId> = all.iter().map(|notice| notice.member_id).collect();
        all.sort_by_key(|notice| order.iter().position(|id| *id == notice.member_id));
        all
    })
}
