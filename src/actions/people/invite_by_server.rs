//! An invitation made on the server itself, by whoever has the machine: so that nobody stays out for good,
//! not even an only steward who lost the passphrase.

use crate::actions::people::accounts::INVITE_S;
use crate::actions::{Done, Ids, Stop, Token, hash_token};
use crate::calc::RuleRefusal;
use crate::store::people::accounts::{self, Known};
use crate::store::{WriteTx, Writer};
use crate::units::{InviteId, MemberName, UtcSecond};

/// An invitation as it is handed on.
#[derive(Debug)]
pub struct Invited {
    /// Name of the member it is for.
    pub name: MemberName,
    /// The secret of the link; shown once.
    pub token: Token,
}

/// Makes an invitation for the member of a name, sign-in name or number; earlier unused ones end. The member's
/// present passphrase stays good until the invitation is used. The invitation bears
/// the member's own id, since nobody was signed in; the records say that it was made on the server.
///
/// # Errors
/// Nobody is called so, several are, or the member has left.
pub async fn invite_by_server(
    writer: &Writer,
    ids: &Ids,
    at: UtcSecond,
    called: &str,
) -> Done<Invited> {
    let mut tx = writer.begin().await?;
    tx.on_server(at);
    let known = known_member(&mut tx, called).await?;
    if known.left {
        let sentence = format!("{} has left the co-op.", known.name);
        return Err(RuleRefusal::new("member-left", sentence).into());
    }
    let token = Token::new();
    accounts::end_invites(&mut tx, known.member_id, at).await?;
    accounts::insert_invite(
        &mut tx,
        InviteId::new(ids.next(at)),
        known.member_id,
        &hash_token(token.as_str()),
        known.member_id,
        at,
        at.plus(INVITE_S),
    )
    .await?;
    tx.commit().await?;
    Ok(Invited {
        name: known.name,
        token,
    })
}

/// The member of a name, sign-in name or number.
///
/// # Errors
/// Nobody is called so, or several are.
pub(super) async fn known_member(tx: &mut WriteTx, called: &str) -> Done<Known> {
    one_of(accounts::known_as(tx, called.trim()).await?, called)
}

/// The only member who is called so.
fn one_of(mut known: Vec<Known>, called: &str) -> Result<Known, Stop> {
    match known.len() {
        1 => known.pop().ok_or(Stop::Missing),
        0 => Err(RuleRefusal::new(
            "nobody",
            format!(
                "Nobody here is called “{}”. Please give a member's whole name, sign-in name, or number.",
                called.trim()
            ),
        )
        .into()),
        _ => {
            let each: Vec<String> = known
                .iter()
                .map(|k| format!("{} is number {}", k.name, k.number))
                .collect();
            let sentence = format!(
                "Several are called so: {}. Please give the number.",
                each.join(", ")
            );
            Err(RuleRefusal::new("several", sentence).into())
        }
    }
}
