//! The press days that a turn can move to, each with whether it has room for it.

use crate::calc::turns::starts::Asker;
use crate::facts::turns::room::DayRoom;
use crate::store::turns::press_days::PressDay;
use crate::store::turns::turn::Turn;
use crate::store::{Conn, Stored};
use crate::units::{PressDayId, Units, UtcSecond, Zone};
use crate::web::form::Choice;
use std::collections::BTreeMap;

/// The days with their room, in which the turn does not stand in its own way.
pub(super) struct DayRooms(BTreeMap<PressDayId, DayRoom>);

impl DayRooms {
    pub(super) async fn read(
        db: &mut Conn,
        days: &[PressDay],
        (turn, moment): (&Turn, (&Zone, UtcSecond)),
    ) -> Stored<Self> {
        let all: Vec<&PressDay> = days.iter().collect();
        let rooms = DayRoom::each_of(db, &all, moment, &[turn.id]).await?;
        let ids = days.iter().map(|day| day.id);
        Ok(Self(ids.zip(rooms).collect()))
    }

    pub(super) fn of(&self, day: &PressDay) -> Option<&DayRoom> {
        self.0.get(&day.id)
    }

    /// What stands beside a day that has no start for the turn; empty: there is one, or the turn is on that day.
    fn beside(&self, day: &PressDay, turn: &Turn, asker: Asker) -> &'static str {
        let Some(room) = self.of(day).filter(|_| day.id != turn.press_day_id) else {
            return "";
        };
        let rooms = room.rooms();
        let Ok(minutes) = rooms.day.minutes_for(turn.cane, Units::Metric) else {
            return ": too short for this turn";
        };
        let wanted = room.wanted(turn.member_id, minutes, turn.cane);
        if rooms.first(wanted, asker, |_| true).is_some() {
            ""
        } else if rooms.room(asker).is_full() {
            ": full"
        } else {
            ": no room for a turn as long as this"
        }
    }

    /// The days to choose from: of each that has no start for the turn that is said.
    pub(super) fn choices(&self, days: &[PressDay], turn: &Turn, asker: Asker) -> Vec<Choice> {
        let choice = |day: &PressDay| {
            let beside = self.beside(day, turn, asker);
            Choice::new(day.date.to_string(), format!("{}{beside}", day.date.show()))
        };
        days.iter().map(choice).collect()
    }
}
