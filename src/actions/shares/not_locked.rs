//! What a season that is closed and locked takes no more, said before the file refuses it.

use crate::actions::Done;
use crate::calc::RuleRefusal;
use crate::store::WriteTx;
use crate::store::season::season_close as close;
use crate::store::season::seasons;
use crate::units::SeasonId;

/// Refuses what a locked season takes no more, in words that say which season.
pub(in crate::actions) async fn not_locked(tx: &mut WriteTx, season: SeasonId) -> Done<()> {
    let locks = close::locks(season).ask(tx).await?;
    let Some(lock) = locks.last().filter(|lock| lock.locked) else {
        return Ok(());
    };
    let year = seasons::find(season).ask(tx).await?.map_or(0, |s| s.year);
    Err(RuleRefusal::new(
        "season-locked",
        format!(
            "The season of {year} is closed and locked, by {}: it takes payments alone. A steward can lift the lock, with a reason, \
             on the page of that season’s lock.",
            lock.by_name
        ),
    )
    .into())
}
