//! What the demo is made with: the writer, made-up people, and acting at a civil time as one of them.

use crate::actions::people::accounts::Arrival;
use crate::actions::{Act, Actor, Done, Hashing, Ids, Stop};
use crate::store::{Reader, Writer};
use crate::units::{FormKey, MemberId, MinuteOfDay, PressDate, Role, UtcSecond, Zone};

/// The running press day of the demo, a Saturday.
pub const TODAY: &str = "2026-10-10";
/// The time its clock starts at.
pub const STARTS_AT: &str = "11:20";
/// The passphrase of everybody who can sign in.
pub const PASSPHRASE: &str = "press day in october";

/// What the demo is made with.
pub(super) struct Demo {
    pub(super) writer: Writer,
    pub(super) reader: Reader,
    pub(super) ids: Ids,
    pub(super) zone: Zone,
    pub(super) hashing: Hashing,
    pub(super) members: Vec<MemberId>,
    pub(super) roles: Vec<Role>,
}

impl Demo {
    /// An instant of a civil date and time.
    pub(super) fn at(&self, date: &str, time: &str) -> Done<UtcSecond> {
        Ok(self
            .zone
            .instant(PressDate::parse(date)?, MinuteOfDay::parse(time)?)?)
    }

    /// What an action is handed when the member at `place` acts at that time.
    pub(super) fn act(&self, place: usize, date: &str, time: &str) -> Done<Act> {
        self.act_at(place, self.at(date, time)?)
    }

    pub(super) fn act_at(&self, place: usize, at: UtcSecond) -> Done<Act> {
        let (Some(id), Some(role)) = (self.members.get(place), self.roles.get(place)) else {
            return Err(Stop::Missing);
        };
        Ok(Act {
            writer: self.writer.clone(),
            reader: self.reader.clone(),
            at,
            ids: self.ids.clone(),
            actor: Actor {
                id: *id,
                role: *role,
            },
            form: FormKey::new(self.ids.next(at)).into(),
        })
    }

    /// What an action is handed when nobody is signed in yet.
    pub(super) fn arrival(&self, at: UtcSecond) -> Arrival {
        Arrival {
            writer: self.writer.clone(),
            at,
            ids: self.ids.clone(),
            hashing: self.hashing.clone(),
            form: FormKey::new(self.ids.next(at)).into(),
        }
    }

    pub(super) fn member(&self, place: usize) -> Done<MemberId> {
        self.members.get(place).copied().ok_or(Stop::Missing)
    }
}
