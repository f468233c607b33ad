//! The second factor of signing in: setting it up, looking at a code, taking it away.

use super::invite_by_server::known_member;
use super::own_passphrase::own_passphrase;
use crate::actions::{Act, Done, Hashing, Stop, Token, begin, hash_token};
use crate::calc::RuleRefusal;
use crate::calc::people::second_factor::{Secret, recovery};
use crate::store::people::{accounts, second_factor};
use crate::store::{StoreError, Writer};
use crate::units::{MemberId, MemberName, Passphrase, UtcSecond};

/// Recovery codes that are made at a time.
const CODES: usize = 10;
/// Characters of one recovery code: 75 bits.
const CODE_LENGTH: usize = 15;

/// A second factor as it is offered: what follows from the secret of a form.
#[derive(Debug)]
pub struct Offered {
    /// The secret to be typed into an authenticator.
    pub secret: Secret,
    /// Recovery codes for whoever loses the authenticator, as they are written: abcde-fghjk-mnpqr.
    pub codes: Vec<String>,
}

impl Offered {
    /// Works it out from a secret that only this browser's form has.
    pub fn of(token: &Token) -> Self {
        let code = |n: usize| {
            let of = Token::derived(&format!("recovery:{n}:{}", token.as_str()));
            let letters: Vec<char> = of.as_str().chars().take(CODE_LENGTH).collect();
            let parts: Vec<String> = letters
                .chunks(5)
                .map(|five| five.iter().collect())
                .collect();
            parts.join("-")
        };
        Self {
            secret: Secret::of_bytes(token.bytes()),
            codes: (0..CODES).map(code).collect(),
        }
    }
}

/// What whoever typed another passphrase reads.
const WRONG: &str = "That is not your present passphrase.";

/// Sets the actor's second factor up: the passphrase, and a code that the authenticator shows, must be right. Other
/// sessions end.
pub async fn turn_on(
    act: &Act,
    hashing: &Hashing,
    passphrase: Passphrase,
    (offered, typed): (&Offered, &str),
    session_token: &str,
) -> Done<()> {
    if act.done_before::<()>("second_factor").await?.is_some() {
        return Ok(());
    }
    own_passphrase(act, hashing, passphrase, WRONG).await?;
    let mut tx = begin!(act, "second_factor");
    if second_factor::is_set(act.actor.id).ask(&mut tx).await? {
        return Err(RuleRefusal::new(
            "second-factor-set",
            "You have a second factor already. Take that one away first.",
        )
        .into());
    }
    let step = offered.secret.accepts(typed, act.at, 0).ok_or_else(|| {
        RuleRefusal::beside(
            "code",
            "code-wrong",
            "That is not the code of this moment. Please look whether the phone’s clock is right, and type the code it shows now.",
        )
    })?;
    let secret = offered.secret.base32();
    second_factor::insert(&mut tx, act.actor.id, &secret, step, act.at).await?;
    for code in &offered.codes {
        second_factor::insert_code(&mut tx, act.actor.id, &hash_token(&recovery(code))).await?;
    }
    accounts::end_sessions(&mut tx, act.actor.id, &hash_token(session_token)).await?;
    act.finish(tx, "second_factor", ()).await
}

/// Takes the actor's second factor away; the passphrase must be right.
pub async fn turn_off(act: &Act, hashing: &Hashing, passphrase: Passphrase) -> Done<()> {
    if act.done_before::<()>("no_second_factor").await?.is_some() {
        return Ok(());
    }
    own_passphrase(act, hashing, passphrase, WRONG).await?;
    let mut tx = begin!(act, "no_second_factor");
    if !second_factor::remove(&mut tx, act.actor.id).await? {
        return Err(RuleRefusal::new("no-second-factor", "You have no second factor.").into());
    }
    act.finish(tx, "no_second_factor", ()).await
}

/// Whether what was typed is a code of the member's authenticator at this instant, or a recovery code that was not
/// used; it is used up then.
pub async fn opens(writer: &Writer, at: UtcSecond, member: MemberId, typed: &str) -> Done<bool> {
    let mut tx = writer.begin().await?;
    let Some(factor) = second_factor::find(member).ask(&mut tx).await? else {
        return Ok(false);
    };
    let secret = Secret::parse(&factor.secret).ok_or_else(|| StoreError::Corrupt {
        what: "second_factors.secret",
        found: "no base32".to_owned(),
    })?;
    let good = match secret.accepts(typed, at, factor.last_step) {
        Some(step) => {
            second_factor::use_step(&mut tx, member, step).await?;
            true
        }
        None => second_factor::use_code(&mut tx, member, &hash_token(&recovery(typed)), at).await?,
    };
    tx.commit().await?;
    Ok(good)
}

/// Takes the second factor away from the member of a name, sign-in name or number, on the server itself: for who
/// lost both the authenticator and the recovery codes.
///
/// # Errors
/// Nobody is called so, several are, or there is none.
pub async fn taken_away_by_server(
    writer: &Writer,
    at: UtcSecond,
    called: &str,
) -> Done<MemberName> {
    let mut tx = writer.begin().await?;
    tx.on_server(at);
    let known = known_member(&mut tx, called).await?;
    if !second_factor::remove(&mut tx, known.member_id).await? {
        let sentence = format!("{} has no second factor.", known.name);
        return Err(Stop::from(RuleRefusal::new("no-second-factor", sentence)));
    }
    tx.commit().await?;
    Ok(known.name)
}
