//! What the card of a forgotten member still says, and the way to forgetting one.

use crate::facts::people::members::MemberCard;
use crate::units::MemberName;
use crate::web::session::{Me, Visit};
use crate::web::{only_if, paths};

/// A forgotten member's name that is still kept.
pub(super) struct KeptName {
    pub(super) name: String,
    pub(super) until: String,
    /// Address that deletes it before that time.
    pub(super) delete: String,
}

/// What a member's card tells of forgetting.
pub(super) struct Forgotten {
    /// Sentence that the member was forgotten, and when; empty: not forgotten.
    pub(super) since: String,
    /// The name that is kept for the books, for a steward.
    pub(super) kept: Option<KeptName>,
    /// Address where a member who has left is forgotten, or further words are taken out for one who was; empty: has not left, or not by
    /// this person.
    pub(super) way: String,
}

impl Forgotten {
    pub(super) fn of(me: &Me, card: &MemberCard, visit: &Visit) -> Self {
        let known = card.forgotten.as_ref();
        let since = known.map(|known| match visit.zone() {
            Ok(zone) => format!("forgotten on {}", zone.local(known.at).0.show()),
            Err(_) => "forgotten".to_owned(),
        });
        let kept = known.filter(|_| me.is_steward()).and_then(|known| {
            Some(KeptName {
                name: known.kept.as_ref()?.to_string(),
                until: known.kept_until?.show(),
                delete: paths::delete_kept_name(card.member.id),
            })
        });
        let may = me.is_steward() && card.member.left_at.is_some();
        Self {
            since: since.unwrap_or_default(),
            kept,
            way: only_if(may, paths::forget(card.member.id)),
        }
    }

    pub(super) fn title(&self, name: &MemberName) -> String {
        match self.since.as_str() {
            "" => name.to_string(),
            since => format!("{name} ({since})"),
        }
    }
}
