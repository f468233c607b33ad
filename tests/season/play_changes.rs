//! Turns moved together: a delay, another day, frost; and the mill running again before its time.

use crate::mill::Mill;
use canewright::actions::turns::day_changes::{self, NewChange};
use canewright::facts::turns::day_changes::{DayAt, Wish, plan};
use canewright::facts::turns::turn_habit::LatestHabit;
use canewright::store::people::coop;
use canewright::store::turns::{day_changes as changes, press_days, standstills};
use canewright::units::{Minutes, TurnId};

impl Mill {
    /// A steward, mostly, moves the turns of some day together, mostly as it was shown.
    pub async fn change_day(&mut self) {
        let id = *self.chance.one(&self.days).unwrap();
        let mut snapshot = self.read().await;
        let day = press_days::find(id)
            .ask(&mut snapshot)
            .await
            .unwrap()
            .unwrap();
        let zone = coop::find().ask(&mut snapshot).await.unwrap().unwrap().zone;
        let turns = changes::movable_turns(day.season_id, day.date)
            .ask(&mut snapshot)
            .await
            .unwrap();
        let others = press_days::of_season(day.season_id)
            .ask(&mut snapshot)
            .await
            .unwrap();
        let from = self.chance.between(84, 180) * 5;
        let from = canewright::units::MinuteOfDay::new(from).unwrap().into();
        let wish = match self.chance.between(1, 3) {
            1 => Wish::Later {
                from,
                minutes: Minutes::new(self.chance.between(0, 60) * 5),
            },
            2 => Wish::OtherDay {
                to: self.chance.one(&others).unwrap().date,
                close: self.chance.of_100(30),
            },
            _ => {
                let mut killed: Vec<TurnId> = Vec::new();
                for turn in &turns {
                    if self.chance.of_100(25) {
                        killed.push(turn.id);
                    }
                }
                Wish::Frost {
                    at: self.at.plus(-self.chance.between(0, 60) * 3600),
                    from,
                    killed,
                }
            }
        };
        let of = DayAt {
            day: &day,
            zone: &zone,
            at: self.at,
        };
        let habit = LatestHabit::read(&mut snapshot).await.unwrap();
        let seen = match plan(&mut snapshot, &of, &wish, &habit).await.unwrap() {
            Ok(planned) if !self.chance.of_100(10) => planned.mark(),
            _ => String::new(),
        };
        drop(snapshot);
        let who = if self.chance.of_100(90) {
            self.steward()
        } else {
            self.anybody()
        };
        let new = NewChange {
            wish,
            why: "rain".to_owned(),
            seen,
        };
        self.step("move turns together", who, async |act| {
            day_changes::change(&act, id, new.clone()).await
        })
        .await;
    }

    /// The mill runs again, if it stands somewhere.
    pub async fn run_again(&mut self) {
        let id = *self.chance.one(&self.days).unwrap();
        let stands = standstills::of_day(id)
            .ask(&mut *self.read().await)
            .await
            .unwrap();
        let Some(stands) = self.chance.one(&stands).copied() else {
            return;
        };
        let steward = self.steward();
        self.step("run again", steward, async |act| {
            day_changes::runs_again(&act, stands.change_id).await
        })
        .await;
    }
}
