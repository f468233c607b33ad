//! A member's card with what belongs to it.

use crate::store::people::members::{Member, NameBorne};
use crate::store::people::household::{self, Other};
use crate::store::people::{accounts, members};
use crate::store::{Conn, Stored};
use crate::units::{Grams, SignInName};

/// A member's card.
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
    /// Who else acts for the card, by name.
    pub household: Vec<Other>,
}

impl MemberCard {
    /// Reads what belongs to a card.
    ///
    /// # Errors
    /// The store failed.
    pub async fn of(conn: &mut Conn, member: Member) -> Stored<Self> {
        Ok(Self {
            wishes: members::wishes(conn, member.id).await?,
            names: members::names(conn, member.id).await?,
            household: household::people_of(conn, member.id).await?,
            sign_in: accounts::sign_in_of(conn, member.id).await?,
            member,
        })
    }
}
