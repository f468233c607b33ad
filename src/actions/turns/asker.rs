//! Who asks for something about a turn, and what is read of them first: the co-op's zone, the reason they give.

use crate::actions::{Act, Done, Stop};
use crate::calc::RuleRefusal;
use crate::calc::turns::starts::Asker;
use crate::store::WriteTx;
use crate::store::people::coop;
use crate::units::{Zone, plain_text};

/// The co-op's zone.
pub(super) async fn zone(tx: &mut WriteTx) -> Done<Zone> {
    Ok(coop::find().ask(tx).await?.ok_or(Stop::Missing)?.zone)
}

/// Whoever acts, as the one who asks for starts.
pub(super) fn asker(act: &Act) -> Asker {
    Asker {
        at: act.at,
        crew: act.actor.is_crew(),
    }
}

/// A reason as it was written, of at least `least` and at most 200 characters.
pub(super) fn why_text(text: &str, least: usize) -> Result<String, Stop> {
    plain_text(text, least, 200).map_err(|refused| RuleRefusal::refused("why", &refused).into())
}
