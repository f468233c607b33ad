//! The mill's own station: signing a tablet in and out, PINs, who stands at it.

use crate::actions::{Act, Begun, Done, Hashing, Stop, Token, begin, hash_token};
use crate::calc::RuleRefusal;
use crate::store::Writer;
use crate::store::people::{accounts, members, stations};
use crate::units::{MemberId, Passphrase, Role, StationId, UtcSecond};

/// Seconds without use after which somebody has to be picked anew at a station: 10 minutes.
pub const PICKED_S: i64 = 10 * 60;
/// Seconds without use after which a station is signed out: 30 days.
pub const STATION_IDLE_S: i64 = 30 * 86_400;
/// Seconds that the station's cookie lasts: 300 days, longer than a season.
pub const STATION_COOKIE_S: i64 = 300 * 86_400;

/// Signs the asking steward's browser in as a station of this name. Only the hash of `token` is kept; the
/// session of `old`, the cookie the browser came with, ends.
pub async fn sign_in(act: &Act, name: &str, token: &Token, old: &str) -> Done<StationId> {
    act.steward()?;
    let mut tx = begin!(act, "sign_station_in");
    if stations::name_taken(&mut tx, name).await? {
        return Err(RuleRefusal::beside(
            "name",
            "station-name",
            format!("A station named {name} is signed in already. Sign that one out first, or choose another name."),
        )
        .into());
    }
    let id = StationId::new(act.id());
    let hash = hash_token(token.as_str());
    stations::insert(&mut tx, (id, name), &hash, act.actor.id, act.at).await?;
    accounts::end_session(&mut tx, &hash_token(old)).await?;
    act.finish(tx, "sign_station_in", id).await
}

/// Signs a station out for good: its tablet may do nothing more.
pub async fn end(act: &Act, id: StationId) -> Done<()> {
    act.steward()?;
    let mut tx = begin!(act, "sign_station_out");
    if !stations::end(&mut tx, id, act.actor.id, act.at).await? {
        return Err(
            RuleRefusal::new("station-ended", "This station is signed out already.").into(),
        );
    }
    act.finish(tx, "sign_station_out", ()).await
}

/// Gives one of the crew a PIN: oneself, or anybody by a steward.
pub async fn set_pin(act: &Act, hashing: &Hashing, member: MemberId, pin: Passphrase) -> Done<()> {
    if act.actor.id != member {
        act.steward()?;
    }
    {
        let mut tx = match act.begin::<()>("set_pin").await? {
            Begun::Before(()) => return set_before(act, hashing, member, pin).await,
            Begun::Fresh(tx) => tx,
        };
        let card = members::find(member)
            .ask(&mut tx)
            .await?
            .ok_or(Stop::Missing)?;
        if card.role < Role::Crew || card.left_at.is_some() {
            return Err(RuleRefusal::new(
                "pin-for-crew",
                "Only the crew and the stewards stand at the station. A steward can make this member crew.",
            )
            .into());
        }
    }
    // Hashing is slow: no transaction is open meanwhile.
    let hash = hashing.hash(pin).await?;
    let mut tx = begin!(act, "set_pin");
    stations::put_pin(&mut tx, member, &hash, act.actor.id, act.at).await?;
    act.finish(tx, "set_pin", ()).await
}

/// The answer to a form that was done before: nothing of a PIN is kept with a form, so that it is compared
/// with the one that is set.
async fn set_before(act: &Act, hashing: &Hashing, member: MemberId, pin: Passphrase) -> Done<()> {
    let hash = {
        let mut tx = act.writer.begin().await?;
        stations::pin_hash(&mut tx, member).await?
    };
    if hashing.matches(pin, hash).await? {
        return Ok(());
    }
    Err(RuleRefusal::beside(
        "pin",
        "another-pin",
        "This form was already sent, with another PIN, and that one is set. Open the page again to set this one.",
    )
    .into())
}

/// Tries at one person's PIN within the window, wherever.
const PERSON_TRIES: usize = 5;
/// Tries at PINs at one station within the window, whosever: several people may mistype.
const STATION_TRIES: usize = 30;
/// How far back tries at PINs count, seconds: 15 minutes.
const WINDOW_S: i64 = 15 * 60;

/// Counts a try at a PIN before it is looked at, so that of many sent at once no more are looked at than of as many sent
/// one after the other; a restart forgets none. `Some`: there were too many, seconds until the next.
pub async fn count_try(
    writer: &Writer,
    at: UtcSecond,
    (station, member): (StationId, MemberId),
) -> Done<Option<i64>> {
    let since = at.plus(1 - WINDOW_S);
    let mut tx = writer.begin().await?;
    let of_person = stations::tries_of_person(&mut tx, member, since).await?;
    let here = stations::tries_at_station(&mut tx, station, since).await?;
    let wait = |tries: &[UtcSecond], most: usize| {
        let first = tries.first().filter(|_| tries.len() >= most)?;
        Some(first.get() + WINDOW_S - at.get())
    };
    let waits = [wait(&of_person, PERSON_TRIES), wait(&here, STATION_TRIES)];
    if let Some(seconds) = waits.into_iter().flatten().max() {
        return Ok(Some(seconds));
    }
    stations::note_try(&mut tx, (station, member), at, since).await?;
    tx.commit().await?;
    Ok(None)
}

/// Writes who stands at a station from now on; the caller has checked the PIN. `None`: nobody.
pub async fn pick(
    writer: &Writer,
    at: UtcSecond,
    station: StationId,
    member: Option<MemberId>,
) -> Done<()> {
    let mut tx = writer.begin().await?;
    if let Some(member) = member {
        stations::forget_tries(&mut tx, member).await?;
    }
    stations::pick(&mut tx, station, member, at).await?;
    tx.commit().await?;
    Ok(())
}

/// Notes that a station is in use, and by whom.
pub async fn touch(
    writer: &Writer,
    at: UtcSecond,
    station: StationId,
    member: Option<MemberId>,
) -> Done<()> {
    let mut tx = writer.begin().await?;
    stations::touch(&mut tx, station, member, at).await?;
    tx.commit().await?;
    Ok(())
}
