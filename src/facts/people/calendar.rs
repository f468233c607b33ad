//! The turns that a calendar feed shows.

use crate::store::people::calendar::{self, FeedTurn};
use crate::store::people::members::{self, Member};
use crate::store::{Conn, Stored};
use crate::units::{UtcSecond, Zone};

/// How long a cancelled turn stays in a feed as cancelled, so that every program that had it learns
/// of it: 30 days.
const CANCELLED_S: i64 = 30 * 86_400;
/// How far back a feed reaches, days.
const BACK_DAYS: i64 = 60;

/// The turns that a calendar address gives.
#[derive(Debug, Clone)]
pub struct FeedTurns {
    /// The member whose turns they are; `None`: everybody's, for the crew.
    pub member: Option<Member>,
    /// The turns, in order.
    pub turns: Vec<FeedTurn>,
}

impl FeedTurns {
    /// Reads the feed of an address by its token's hash; `None`: it does not answer.
    ///
    /// # Errors
    /// The store failed.
    pub async fn of_token(
        conn: &mut Conn,
        token_hash: &str,
        (zone, at): (&Zone, UtcSecond),
    ) -> Stored<Option<Self>> {
        let Some(feed) = calendar::find(conn, token_hash).await? else {
            return Ok(None);
        };
        let from = zone.local(at).0.plus_days(-BACK_DAYS);
        let since = at.plus(-CANCELLED_S);
        Ok(Some(Self {
            member: match feed.member_id {
                Some(id) => members::find(id).ask(conn).await?,
                None => None,
            },
            turns: calendar::turns(conn, feed.member_id, from, since).await?,
        }))
    }
}
