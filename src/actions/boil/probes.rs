//! Probes: letting one in, shutting it out, learning its offset; and taking what it sends.

use crate::actions::{Act, Begun, Done, Stop, Token, begin, hash_token};
use crate::calc::RuleRefusal;
use crate::calc::boil::probes::{FRESH_S, KEEP_EVERY_S, TempAt, boil_at, offset, thin};
use crate::facts::boil::probes::{KnownProbe, WaterOfDay};
use crate::store::Writer;
use crate::store::boil::pans;
use crate::store::boil::probes::{self, LastRead};
use crate::units::{PanId, ProbeId, Units, UtcSecond};

/// A probe that was let in.
#[derive(Debug)]
pub struct MadeToken {
    /// The probe.
    pub id: ProbeId,
    /// The probe's token, shown only this once; `None` when the form was done before.
    pub token: Option<Token>,
}

/// Makes a token for a probe in a pan.
pub async fn make_token(act: &Act, pan: PanId, name: String) -> Done<MadeToken> {
    act.steward()?;
    let mut tx = match act.begin::<ProbeId>("let_probe_in").await? {
        Begun::Before(id) => return Ok(MadeToken { id, token: None }),
        Begun::Fresh(tx) => tx,
    };
    let pan = pans::find(pan).ask(&mut tx).await?.ok_or(Stop::Missing)?;
    if pan.retired_at.is_some() {
        return Err(RuleRefusal::new(
            "pan-retired",
            format!("{} is out of use. Please choose another pan.", pan.name),
        )
        .into());
    }
    let same = |p: &probes::Probe| {
        p.revoked_at.is_none() && p.pan_id == pan.id && p.name.to_lowercase() == name.to_lowercase()
    };
    if probes::list().ask(&mut tx).await?.iter().any(same) {
        return Err(RuleRefusal::beside(
            "probe_name",
            "name-taken",
            format!(
                "There is a probe called “{name}” in {}. Please revoke its token first, or name this one otherwise.",
                pan.name
            ),
        )
        .into());
    }
    let (id, token) = (ProbeId::new(act.id()), Token::new());
    let hash = hash_token(token.as_str());
    let by = (act.actor.id, act.at);
    probes::insert(&mut tx, id, (pan.id, &name), &hash, by).await?;
    act.finish(tx, "let_probe_in", id).await?;
    Ok(MadeToken {
        id,
        token: Some(token),
    })
}

/// Revokes a probe's token: nothing more is taken from it.
pub async fn revoke(act: &Act, id: ProbeId) -> Done<ProbeId> {
    act.steward()?;
    let mut tx = begin!(act, "revoke_probe");
    let probe = probes::find(id).ask(&mut tx).await?.ok_or(Stop::Missing)?;
    if probe.revoked_at.is_none() {
        probes::revoke(&mut tx, id, act.actor.id, act.at).await?;
    }
    act.finish(tx, "revoke_probe", id).await
}

/// Learns a probe's offset: it stands in boiling water, and what it showed last is compared with where
/// water boils this day.
pub async fn learn_offset(act: &Act, id: ProbeId, units: Units) -> Done<ProbeId> {
    act.steward()?;
    let mut tx = begin!(act, "learn_probe_offset");
    let probe = probes::find(id).ask(&mut tx).await?.ok_or(Stop::Missing)?;
    let fires = probes::fires(&mut tx, probe.pan_id, act.at).await?;
    if boil_at(&fires, act.at).is_some() {
        return Err(RuleRefusal::new(
            "pan-lit",
            format!(
                "A boil is lit in {}: what the probe shows counts for that boil. Please hold it in boiling \
                 water when none is.",
                probe.pan_name
            ),
        )
        .into());
    }
    let fresh = |last: &LastRead| act.at.get() - last.read.at.get() <= FRESH_S;
    let Some(last) = probe.last.filter(fresh) else {
        return Err(RuleRefusal::new(
            "probe-silent",
            format!(
                "The probe has not spoken for {FRESH_S} seconds, so nobody knows what it shows. Please see that \
                 it sends, then tap again."
            ),
        )
        .into());
    };
    let water = WaterOfDay::read(&mut tx, act.at).await?;
    offset(last.read.temp, water.boils_at, units)?;
    let before = KnownProbe::find(id)
        .ask(&mut tx)
        .await?
        .map_or_else(Vec::new, |known| known.offsets);
    // A second tap on the same reading teaches nothing new.
    if before.last().is_none_or(|o| o.at < last.read.at) {
        let water = (water.boils_at, water.measured);
        probes::insert_offset(&mut tx, id, last.read, water, act.actor.id).await?;
    }
    act.finish(tx, "learn_probe_offset", id).await
}

/// How many readings that a probe sent were taken, and how many were not.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct ReadingsTaken {
    /// Readings of a boil that was lit; kept, or told already by one that is kept.
    pub taken: usize,
    /// Readings at a time when no boil was lit in its pan, or of one that is divided by now: not kept.
    pub not_lit: usize,
    /// Name of the probe's pan.
    pub pan: String,
}

/// Takes what a probe sent, read at or before `at`. The same sent twice is kept once.
///
/// # Errors
/// [`Stop::Missing`]: its token was revoked meanwhile.
pub async fn take(
    writer: &Writer,
    at: UtcSecond,
    id: ProbeId,
    sent: &[TempAt],
) -> Done<ReadingsTaken> {
    let mut tx = writer.begin().await?;
    let probe = probes::find(id)
        .ask(&mut tx)
        .await?
        .filter(|p| p.revoked_at.is_none())
        .ok_or(Stop::Missing)?;
    let times = || sent.iter().map(|read| read.at);
    let (Some(first), Some(last)) = (times().min(), times().max()) else {
        return Err(Stop::Missing);
    };
    let fires = probes::fires(&mut tx, probe.pan_id, first).await?;
    let lit: Vec<TempAt> = sent
        .iter()
        .filter(|read| boil_at(&fires, read.at).is_some())
        .copied()
        .collect();
    let around = (first.plus(-KEEP_EVERY_S), last.plus(KEEP_EVERY_S));
    let kept = probes::kept_between(&mut tx, id, around.0, around.1).await?;
    for read in thin(&kept, &lit) {
        if let Some(boil) = boil_at(&fires, read.at) {
            probes::keep(&mut tx, id, boil, read, at).await?;
        }
    }
    let newest = sent.iter().max_by_key(|read| read.at);
    if let Some(newest) = newest
        && probe.last.is_none_or(|before| before.read.at <= newest.at)
    {
        let spoke = LastRead {
            read: *newest,
            boil: boil_at(&fires, newest.at),
        };
        probes::spoke(&mut tx, id, spoke).await?;
    }
    tx.commit().await?;
    Ok(ReadingsTaken {
        taken: lit.len(),
        not_lit: sent.len() - lit.len(),
        pan: probe.pan_name,
    })
}
