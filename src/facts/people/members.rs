//! A member's card with what belongs to it.

use crate::store::people::forgotten::{self, Forgotten};
use crate::store::people::members::{Member, NameBorne};
use crate::store::people::{household, members};
use crate::store::{Conn, Stored};
use crate::units::{Grams, SignInName};

/// A member's card with what belongs to it.
#[derive(Debug, Clone)]
pub struct MemberCard {
    /// The card itself.
    pub member: Member,
    /// Jar sizes liked best, by net weight, largest first.
    pub wishes: Vec<Grams>,
    /// The name to sign in with, if there is an account.
    pub sign_in: Option<SignInName>,
    /// Every name borne, the present one first.
    pub names: Vec<NameBorne>,
    /// The names of who else acts for the card.
    pub household: Vec<String>,
    /// When the member was forgotten, if that was done.
    pub forgotten: Option<Forgotten>,
}

impl MemberCard {
    /// Reads what belongs to a card.
    ///
    /// # Errors
    /// The store failed.
    pub async fn of(conn: &mut Conn, member: Member) -> Stored<Self> {
        let (sign_in, household) = household::who_acts(member.id).ask(conn).await?;
        Ok(Self {
            wishes: members::wishes(member.id).ask(conn).await?,
            names: members::names(member.id).ask(conn).await?,
            sign_in,
            household,
            forgotten: match member.left_at {
                Some(_) => forgotten::find(member.id).ask(conn).await?,
                // Nobody is forgotten before having left.
                None => None,
            },
            member,
        })
    }
}
