//! What the home page shows the crew besides: the mill's running day, boils and calls.

use crate::calc::boil::fire::call::Call;
use crate::calc::turns::day_board::{OpenDay, running};
use crate::facts::people::notices as notice_facts;
use crate::facts::rules_versions;
use crate::store::cane::juice;
use crate::store::home::{self, DayLine, Expected, OpenBoil, Unpressed, WaitingJuice};
use crate::store::season::seasons::Rules;
use crate::store::turns::press_days::PressDay;
use crate::store::{Question, Together};
use crate::units::{Grams, LotCode, PressDayId, SeasonId, UtcSecond, Zone};

/// The open press day that is being pressed.
pub(super) fn pressed_now<'a>(
    days: &'a [DayLine],
    (zone, at): (&Zone, UtcSecond),
) -> Option<&'a DayLine> {
    let open: Vec<OpenDay> = days
        .iter()
        .map(|day| OpenDay {
            date: day.date,
            opens: day.opens,
            begun: day.tickets > 0,
        })
        .collect();
    days.get(running(&open, zone.local(at))?)
}

/// The press day that is being pressed, as crew see it.
pub(super) fn running_of(
    days: &[DayLine],
    moment: (&Zone, UtcSecond),
    known: &[PressDay],
) -> Option<Question<RunningDay>> {
    let day = pressed_now(days, moment)?;
    let season = known.iter().find(|one| one.id == day.id)?.season_id;
    Some(RunningDay::of(day, season))
}

/// What the crew sees on the home page besides.
#[derive(Debug, Clone)]
pub struct CrewHome {
    /// Boils that are not divided, oldest first.
    pub boils: Vec<OpenBoil>,
    /// What each boil on the fire calls for.
    pub called: Vec<(LotCode, Call)>,
    /// How many calls somebody has to make.
    pub calls: usize,
    /// The press day that is running, if one is.
    pub running: Option<RunningDay>,
}

impl CrewHome {
    /// What is called of a boil, in words that end a sentence; empty: it is not on the fire.
    pub fn call_words(&self, lot: &LotCode) -> String {
        let called = self.called.iter().find(|(of, _)| of == lot);
        called.map_or_else(String::new, |(_, call)| format!("{}. ", call.words()))
    }

    /// What the crew sees but for the running day; `letters_sent`: there is a mail server.
    pub fn of(letters_sent: bool, (zone, at): (&Zone, UtcSecond)) -> Question<Self> {
        let found = (
            home::open_boils(),
            notice_facts::to_call(zone, letters_sent, at),
        );
        found.together().map(|(boils, calls)| Self {
            boils,
            called: Vec::new(),
            calls: calls.len(),
            running: None,
        })
    }
}

/// The lists of a running day.
#[derive(Debug, Clone)]
pub struct RunningDay {
    /// The press day.
    pub day: DayLine,
    /// Turns that have not come yet, in order.
    pub expected: Vec<Expected>,
    /// Tickets without juice, in order.
    pub unpressed: Vec<Unpressed>,
    /// Juices in vessels, oldest first.
    pub waiting: Vec<WaitingJuice>,
    /// The season's rules in force.
    pub rules: Rules,
}

impl RunningDay {
    fn of(day: &DayLine, season: SeasonId) -> Question<Self> {
        let found = (
            home::expected(day.id),
            home::unpressed(day.id),
            still_standing(day.id),
            rules_versions::on(season, day.date),
        );
        let day = day.clone();
        found
            .together()
            .map(|(expected, unpressed, waiting, rules)| Self {
                day,
                expected,
                unpressed,
                waiting,
                rules,
            })
    }
}

/// Juices of a day with something left in their vessels, oldest first: neither poured nor lost to the last gram.
fn still_standing(day: PressDayId) -> Question<Vec<WaitingJuice>> {
    let found = (
        home::waiting(day),
        juice::of_day(day),
        juice::drawn_of_day(day),
    );
    found.together().try_map(|(waiting, rows, drawn)| {
        let mut out = Vec::new();
        for waiting in waiting {
            let Some(row) = rows.iter().find(|row| row.id == waiting.id) else {
                continue;
            };
            let drawn = drawn.get(&row.id).copied().unwrap_or_default();
            if drawn.left(row.reckon()?.mass) > Grams::ZERO {
                out.push(waiting);
            }
        }
        Ok(out)
    })
}
