//! Which days are possible in the demo, who can come and help on them, and who does what on the running day.

use super::maker::{Demo, TODAY};
use super::people::lb;
use crate::actions::Done;
use crate::actions::turns::possible_days::{self, NewAnswers, NewPossibleDays};
use crate::actions::turns::press_days::NewPressDay;
use crate::actions::turns::roster;
use crate::calc::turns::roster::Task;
use crate::facts::turns::roster::DayRoster;
use crate::store::turns::possible_days::DayAnswer;
use crate::store::turns::press_days;
use crate::units::{MinuteOfDay, Minutes, PressDate, SeasonId};

/// The Saturdays after the last press day that is planned.
const POSSIBLE: (&str, &str) = ("2026-10-31", "2026-11-07");
/// Days that people were asked about.
const ASKED: [&str; 5] = [
    TODAY,
    "2026-10-17",
    "2026-10-24",
    "2026-10-31",
    "2026-11-07",
];

/// Who (place among the people), not before, not after, what they can do, and the day on which they cannot come at all.
type Comes = (
    usize,
    Option<i64>,
    Option<i64>,
    &'static [Task],
    &'static str,
);

#[rustfmt::skip] // one line a person
const HELPERS: [Comes; 7] = [
    (1, None, None, &[Task::Boil, Task::Weigh], ""),
    (2, None, None, &[Task::Feed, Task::Boil], ""),
    (9, None, None, &[Task::Feed, Task::Weigh, Task::Fill], "2026-11-07"),
    (10, Some(11 * 60), None, &[Task::Feed, Task::Fill, Task::HandOver], ""),
    (14, None, None, &[Task::Feed, Task::HandOver], "2026-10-31"),
    (15, None, Some(15 * 60), &[Task::Feed], "2026-10-24"),
    (20, Some(10 * 60), None, &[Task::Fill, Task::HandOver, Task::Weigh], "2026-11-07"),
];

impl Demo {
    /// Possible days, answers to them, and today's roster.
    pub(super) async fn helping(&self, season: SeasonId) -> Done<()> {
        let act = self.act(0, "2026-10-01", "20:00")?;
        let first = NewPressDay {
            date: PressDate::parse(POSSIBLE.0)?,
            opens: MinuteOfDay::parse("8:00")?,
            closes: MinuteOfDay::parse("17:00")?,
            mill_per_h: lb(600.0),
            changeover: Minutes::new(10),
            note: String::new(),
        };
        let new = NewPossibleDays {
            first,
            until: PressDate::parse(POSSIBLE.1)?,
            weekdays: [false, false, false, false, false, true, false],
        };
        possible_days::add(&act, season, new).await?;
        for (who, from, to, tasks, not) in HELPERS {
            let mut days = Vec::new();
            for date in ASKED {
                let date = PressDate::parse(date)?;
                let comes = date.to_string() != not;
                days.push(DayAnswer {
                    member_id: self.member(who)?,
                    date,
                    brings: comes,
                    helps: comes,
                    from,
                    to,
                });
            }
            let new = NewAnswers {
                days,
                tasks: tasks.to_vec(),
            };
            let act = self.act(who, "2026-10-02", "18:30")?;
            possible_days::answer(&act, self.member(who)?, season, new).await?;
        }
        self.roster().await
    }

    async fn roster(&self) -> Done<()> {
        let (day, shifts) = {
            let mut snapshot = self.reader.snapshot().await?;
            let Some(day) = press_days::of_date(PressDate::parse(TODAY)?)
                .ask(&mut snapshot)
                .await?
            else {
                return Ok(());
            };
            let proposed = DayRoster::read(&mut snapshot, &day, &self.zone, true).await?;
            (day.id, proposed.shifts)
        };
        roster::save(&self.act(0, "2026-10-08", "20:00")?, day, shifts).await?;
        Ok(())
    }
}
