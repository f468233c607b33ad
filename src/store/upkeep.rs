//! What the program did for the safety of the books, and how it went: the last of each kind that went well,
//! and the last that did not.

use super::{Conn, Stored};
use crate::store::Question;
use crate::store::question::question;
use crate::units::UtcSecond;

/// A piece of upkeep that was done or tried.
#[derive(Debug, Clone)]
pub struct Upkeep {
    /// The kind of upkeep: `backup`, `trial`, `look`, `task` or `pulse`.
    pub kind: String,
    /// Whether it went well.
    pub good: bool,
    /// When it was done or tried.
    pub at: UtcSecond,
    /// The outcome in words.
    pub words: String,
    /// Whether somebody did it by a command on the server; else the server itself.
    pub by_hand: bool,
}

/// The last of each kind that went well, and the last that did not; the pulse is left out.
pub fn last() -> Question<Vec<Upkeep>> {
    question!(
        Upkeep,
        r#"select kind, good as "good: bool", at as "at: UtcSecond", words, by_hand as "by_hand: bool" from upkeep where kind <> 'pulse'"#
    )
}

/// Notes how a piece of upkeep went.
pub async fn put(conn: &mut Conn, done: &Upkeep) -> Stored<()> {
    sqlx::query!(
        r#"insert into upkeep (kind, good, at, words, by_hand) values (?1, ?2, ?3, ?4, ?5)
        on conflict (kind, good) do update set at = excluded.at, words = excluded.words, by_hand = excluded.by_hand"#,
        done.kind,
        done.good,
        done.at,
        done.words,
        done.by_hand
    )
    .execute(conn)
    .await?;
    Ok(())
}
