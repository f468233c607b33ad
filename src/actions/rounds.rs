//! What comes with time and not with a form: looked after about once a minute. A list of steps, each
//! with short transactions of its own; doing one again does nothing more.

use super::{Done, Ids};
use crate::actions::people::accounts;
use crate::actions::people::forgetting::drop_old_names;
use crate::actions::people::notices::{self, NoticeSubject, Tell};
use crate::actions::turns::offer_due;
use crate::calc::people::notices::{Kind, to_remind};
use crate::calc::turns::turn_states::{CONFIRM_DAYS, When};
use crate::store::people::notices::ComingTurn;
use crate::store::people::{coop, notices as store, sessions};
use crate::store::{Reader, Writer, form_keys};
use crate::units::UtcSecond;

/// Does all that is due by `at`: every step, whatever became of the others.
///
/// # Errors
/// The first that a step gave.
pub async fn due(reader: &Reader, writer: &Writer, ids: &Ids, at: UtcSecond) -> Done<()> {
    let steps = [
        remind(writer, ids, at).await,
        offer_due((reader, writer), ids, at).await,
        notices::give_up_old(writer, at).await.map(|_| ()),
        prune_forms(writer, at).await,
        prune_sessions(writer, at).await,
        drop_old_names(writer, at).await,
    ];
    steps.into_iter().collect()
}

/// How long a form may be sent again and still get its first answer, seconds: longer than a
/// season's use of any page that was left open.
const FORMS_KEPT_S: i64 = 180 * 86_400;
/// Most forms forgotten in one go, so that the writer is held for a moment only.
const PRUNED_MOST: i64 = 500;

/// Forgets forms that nobody can mean to send again.
async fn prune_forms(writer: &Writer, at: UtcSecond) -> Done<()> {
    let mut tx = writer.begin().await?;
    tx.on_server(at);
    form_keys::prune(&mut tx, at.plus(-FORMS_KEPT_S), PRUNED_MOST).await?;
    Ok(tx.commit().await?)
}

/// Forgets sessions that ended a day ago: nobody can use them any more.
async fn prune_sessions(writer: &Writer, at: UtcSecond) -> Done<()> {
    let yesterday = at.plus(-86_400);
    let mut tx = writer.begin().await?;
    tx.on_server(at);
    sessions::prune(&mut tx, yesterday, yesterday.plus(-accounts::IDLE_S)).await?;
    Ok(tx.commit().await?)
}

/// Tells members of turns that come up and are to be confirmed, once wherever the turn is.
async fn remind(writer: &Writer, ids: &Ids, at: UtcSecond) -> Done<()> {
    let mut tx = writer.begin().await?;
    tx.on_server(at);
    let Some(coop) = coop::find().ask(&mut tx).await? else {
        return Ok(());
    };
    let today = coop.zone.local(at).0;
    for turn in store::coming_turns(today, today.plus_days(CONFIRM_DAYS))
        .ask(&mut tx)
        .await?
    {
        let when = When {
            date: turn.date,
            start: turn.start,
            zone: &coop.zone,
            at,
        };
        if when.to_confirm() && to_remind(turn.placed_at, at) {
            notices::tell_at(ids, at, &mut tx, coming(&turn)).await?;
        }
    }
    Ok(tx.commit().await?)
}

/// The notice that a turn comes up.
fn coming(turn: &ComingTurn) -> Tell {
    let when = format!("{} at {}", turn.date.show(), turn.start.show());
    Tell {
        member: turn.member_id,
        kind: Kind::Coming,
        mark: format!("coming:{}:{}", turn.id, turn.version),
        subject: format!("Your turn on {when}"),
        words: format!(
            "Your turn at the mill is on {when}, for {}. Please confirm it, or say so if you cannot come.",
            turn.minutes.show()
        ),
        about: NoticeSubject::Turn(turn.id),
    }
}
