//! A press day with what its pages say of it, and what stands in the way of closing or changing it.

use super::room::{DayRoom, day_of};
use crate::calc::boil::fire::call::Call;
use crate::calc::cane::gaps::{NumberHeld, gaps_in_words};
use crate::calc::cane::juice::{Amount, Measured};
use crate::calc::physics::refractometer::AGREE_WITHIN;
use crate::calc::turns::day_board::{DREGS, OpenWork, is_over, juice_left};
use crate::calc::turns::day_room::Room;
use crate::calc::turns::starts::{Asker, Day, Span};
use crate::store::season::seasons::Rules;
use crate::store::sent_from_phone;
use crate::store::turns::day_board;
use crate::store::turns::day_board::{BoilLine, TicketLine, TurnLine, WaitingJuice};
use crate::store::turns::day_changes::{self, DayChange};
use crate::store::turns::press_days::PressDay;
use crate::store::turns::waiting::{self, Entry};
use crate::store::{Conn, Question, Stored, Together};
use crate::units::{DayMinute, Grams, LotCode, Millilitres, PressDate, SeasonId, UtcSecond, Zone};

/// What everybody may see of a press day.
#[derive(Debug)]
pub struct DayFacts {
    /// Turns that are held.
    pub turns: Vec<TurnLine>,
    /// Tickets of the day.
    pub tickets: Vec<TicketLine>,
    /// Changes that moved several of its turns together.
    pub changes: Vec<DayChange>,
    /// Room that is left; `None`: the day takes no turns.
    pub left: Option<Room>,
    /// Its waiting list, by rank.
    pub list: Vec<Entry>,
    /// The rules of its season in force.
    pub rules: Rules,
}

impl DayFacts {
    /// Reads them as of today.
    ///
    /// # Errors
    /// The store failed.
    pub async fn read(
        conn: &mut Conn,
        day: &PressDay,
        (today, zone): (PressDate, &Zone),
        asker: Asker,
    ) -> Stored<Self> {
        let open = !is_over((day.date, day.closed_at.is_some()), today);
        let room = DayRoom::read(conn, day, (zone, asker.at), &[]).await?;
        let found = (
            day_board::turns(day.id),
            day_board::tickets(day.id),
            day_changes::of_day(day.id),
            waiting::of_day(day.id),
        );
        let (turns, tickets, changes, list) = found.together().ask(conn).await?;
        Ok(Self {
            turns,
            tickets,
            changes,
            left: open.then(|| room.rooms().room(asker)),
            list,
            rules: room.rules,
        })
    }

    /// How many places are on its waiting list.
    pub fn waits(&self) -> usize {
        self.list.iter().filter(|e| e.state.on_list()).count()
    }
}

/// What the crew sees of a press day besides.
#[derive(Debug)]
pub struct CrewDayFacts {
    /// What everybody may see.
    pub day: DayFacts,
    /// Juices of the season that were not wholly poured.
    pub waiting: Vec<WaitingJuice>,
    /// Boils lit on the day.
    pub boils: Vec<BoilLine>,
    /// What is called of those on the fire; empty until it was asked.
    pub called: Vec<(LotCode, Call)>,
    /// Ticket numbers of the season that no ticket bears, in words; empty when there are none.
    pub gaps: String,
}

impl CrewDayFacts {
    /// Reads them for a day.
    ///
    /// # Errors
    /// The store failed.
    pub async fn read(conn: &mut Conn, day: &PressDay, seen: DayFacts) -> Stored<Self> {
        let found = (
            day_board::waiting(day.season_id),
            day_board::boils(day.id),
            gaps(day.season_id),
        );
        let (waiting, boils, gaps) = found.together().ask(conn).await?;
        Ok(Self {
            day: seen,
            waiting,
            boils,
            called: Vec::new(),
            gaps,
        })
    }

    /// What is called of a boil, if it is on the fire.
    pub fn call_of(&self, lot: &LotCode) -> Option<Call> {
        let called = self.called.iter().find(|(of, _)| of == lot);
        called.map(|(_, call)| *call)
    }

    /// Lots of the boils that are on the fire.
    pub fn burning(&self) -> Vec<LotCode> {
        let burning = self.boils.iter().filter(|b| !b.finished && !b.divided);
        burning.map(|boil| boil.lot.clone()).collect()
    }
}

/// The ticket numbers of a season that no ticket bears.
fn gaps(season: SeasonId) -> Question<String> {
    let found = (
        sent_from_phone::borne_numbers(season),
        sent_from_phone::held_numbers(season),
    );
    found.together().map(|(borne, held)| {
        let held: Vec<NumberHeld> = held
            .into_iter()
            .map(|held| (held.number, held.member_name.to_string()))
            .collect();
        gaps_in_words(&borne, &held)
    })
}

/// What is left of a juice that waits; `None` when its readings do not agree.
pub fn left_of(juice: &WaitingJuice) -> Option<Grams> {
    let amount = |n: i64| {
        if juice.weighed {
            Amount::Weight(Grams::new(n))
        } else {
            Amount::Volume(Millilitres::new(n), juice.temp)
        }
    };
    let measured = Measured {
        amount: amount(juice.amount),
        sediment: (juice.sediment > 0).then(|| amount(juice.sediment)),
        readings: &juice.readings,
        instrument: juice.instrument,
        sample: juice.temp,
        agree_within: AGREE_WITHIN,
    };
    juice_left(&measured, juice.drawn + juice.lost).ok()
}

/// What is not done on a day. A ticket whose loads are all crossed out or that went home unpressed, a boil
/// that nothing was poured into, and a turn whose member was noted as not come leave nothing to do.
///
/// # Errors
/// The store failed.
pub async fn open_work(
    conn: &mut Conn,
    day: &PressDay,
    (at, zone): (UtcSecond, &Zone),
) -> Stored<OpenWork> {
    let id = day.id;
    let found = (
        day_board::tickets(id),
        day_board::boils(id),
        day_board::turns(id),
        day_board::waiting(day.season_id),
    );
    let (tickets, boils, turns, juices) = found.together().ask(conn).await?;
    let clock = zone.clock(day.date);
    let to_come = |turn: &TurnLine| {
        let span = Span::kept(&clock, turn.start, turn.minutes);
        let waited_for = turn.ticket_id.is_none() && turn.no_show_at.is_none();
        let ends = clock.instant(DayMinute::new(span.end()));
        (waited_for && at < ends).then(|| format!("{} {}", span.show(&clock), turn.name))
    };
    Ok(OpenWork {
        to_come: turns.iter().filter_map(to_come).collect(),
        raw: juices
            .iter()
            .filter(|juice| juice.date == day.date)
            .filter(|juice| left_of(juice).is_none_or(|left| left >= DREGS))
            .map(|juice| format!("ticket {} in {}", juice.ticket, juice.vessel))
            .collect(),
        tickets: tickets
            .iter()
            .filter(|t| t.juices == 0 && !t.dropped)
            .map(|t| t.ticket)
            .collect(),
        lots: boils
            .into_iter()
            .filter(|b| !b.divided && (b.juices > 0 || b.finished))
            .map(|b| b.lot)
            .collect(),
    })
}

/// A day as it would be reckoned, with the minutes that its turns hold and whose they are.
///
/// # Errors
/// The store failed.
pub async fn turns_by_name(
    conn: &mut Conn,
    day: &PressDay,
    zone: &Zone,
) -> Stored<(Day, Vec<(Span, String)>)> {
    let reckoned = day_of(day, zone);
    let turns = day_board::turns(day.id).ask(conn).await?;
    let held = turns
        .into_iter()
        .map(|turn| {
            let span = Span::kept(&reckoned.clock, turn.start, turn.minutes);
            (span, turn.name.to_string())
        })
        .collect();
    Ok((reckoned, held))
}
