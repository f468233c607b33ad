//! What a season's turns have taught of row, juice and pace, and the figures that a turn is reckoned
//! with: learned from turns enough, else the rules'.

use crate::calc::turns::turn_cane::{RowFrom, Yields};
use crate::calc::turns::turn_habit::{Pressed, TurnHabit};
use crate::facts::cane::yields::juice_by_ticket;
use crate::facts::recent_reads::RecentReads;
use crate::facts::rules_versions;
use crate::store::cane::tickets;
use crate::store::marks::{self, Mark};
use crate::store::season::seasons::{self, Rules};
use crate::store::turns::turn::Turn;
use crate::store::turns::turn_habit;
use crate::store::{Conn, Question, StoreError, Stored, Together};
use crate::units::{Grams, PressDayId, SeasonId, TicketId};
use std::collections::BTreeMap;
use std::sync::Arc;

/// What the last seasons taught.
pub(in crate::facts) static TAUGHT: RecentReads<SeasonId, Taught> = RecentReads::new(
    4,
    &[
        "juice_losses",
        "juice_measures",
        "juices",
        "loads",
        "members",
        "seasons",
        "second_readings",
        "tickets",
        "vessels",
    ],
);

/// What a season's turns teach by themselves, and the season before it, for figures from too few of them.
#[derive(Debug)]
pub struct Taught {
    own: TurnHabit,
    before: Option<SeasonId>,
}

impl Taught {
    /// Reads it of a season, at the moment with this mark.
    pub fn by(mark: Option<&Mark>, season: SeasonId) -> Question<Arc<Self>> {
        TAUGHT.ask(mark, season, || Self::read_anew(season))
    }

    pub(in crate::facts) fn read_anew(season: SeasonId) -> Question<Self> {
        let found = (of_season_alone(season), seasons::list()).together();
        found.map(move |(own, all)| {
            // The list has the latest first: the one after this is the season before.
            let mut earlier = all.iter().skip_while(|s| s.id != season).skip(1);
            Self {
                own,
                before: earlier.next().map(|s| s.id),
            }
        })
    }

    /// The season's figures; one from too few turns is that of the season before, which is asked only then.
    pub fn whole(&self, mark: Option<&Mark>) -> Question<TurnHabit> {
        let own = self.own;
        match self.before.filter(|_| !own.has_enough_turns()) {
            Some(before) => Self::by(mark, before).map(move |before| own.or_of(before.own)),
            None => Question::answered(own),
        }
    }
}

/// What a season's turns teach, on its own. The metres of row that a turn was booked by stand for good once it has a ticket.
fn of_season_alone(season: SeasonId) -> Question<TurnHabit> {
    let found = (
        tickets::nets(season),
        juice_by_ticket(season),
        turn_habit::weighed_tickets(season),
    );
    found.together().map(|(nets, juice, weighed)| {
        let nets = nets.into_iter().map(|row| (row.ticket_id, row.net));
        let cane: BTreeMap<TicketId, Grams> = nets.collect();
        let mut days: Vec<PressDayId> = Vec::new();
        let mut pressed = Vec::new();
        for ticket in weighed {
            let day = days.iter().position(|d| *d == ticket.press_day_id);
            let day = day.unwrap_or_else(|| {
                days.push(ticket.press_day_id);
                days.len() - 1
            });
            let juice = juice.get(&ticket.id);
            pressed.push(Pressed {
                day,
                row_m: ticket.row_m,
                cane: cane.get(&ticket.id).copied().unwrap_or_default(),
                juice: juice.map(|juice| (juice.mass, juice.solids)),
                weighed: ticket.at,
                pressed: juice.map(|juice| juice.last_pressed_at),
            });
        }
        TurnHabit::of(&pressed)
    })
}

/// What a season's turns teach; a figure from too few of them is the last season's.
///
/// # Errors
/// The store failed.
pub async fn of_season(conn: &mut Conn, season: SeasonId) -> Stored<TurnHabit> {
    let mark = marks::mark().ask(conn).await?;
    let taught = Taught::by(mark.as_ref(), season).ask(conn).await?;
    taught.whole(mark.as_ref()).ask(conn).await
}

/// What the latest season's turns teach; nothing before the first season.
///
/// # Errors
/// The store failed.
pub async fn of_latest_season(conn: &mut Conn) -> Stored<TurnHabit> {
    let latest = LatestHabit::read(conn).await?;
    Ok(latest.0.map_or_else(TurnHabit::default, |(_, habit)| habit))
}

/// What the latest season's turns teach, read before an action waits for the writer: reading it takes the longer,
/// the more was weighed in. It is a median of many turns, which what is weighed in meanwhile moves no further than
/// to its neighbour; the room that is reckoned with it is looked at inside the action.
#[derive(Debug, Clone, Copy)]
pub struct LatestHabit(Option<(SeasonId, TurnHabit)>);

impl LatestHabit {
    /// Reads the habit of the latest season.
    ///
    /// # Errors
    /// The store failed.
    pub async fn read(conn: &mut Conn) -> Stored<Self> {
        Ok(Self(match seasons::latest().ask(conn).await? {
            Some(season) => Some((season.id, of_season(conn, season.id).await?)),
            None => None,
        }))
    }

    /// What the turns of a season teach: read now, if it is not the latest.
    ///
    /// # Errors
    /// The store failed.
    pub async fn of(&self, conn: &mut Conn, season: SeasonId) -> Stored<TurnHabit> {
        match self.0 {
            Some((latest, habit)) if latest == season => Ok(habit),
            _ => of_season(conn, season).await,
        }
    }
}

/// The cane that a version of the rules expects of a metre of row and of a stalk.
pub fn yields_of(rules: &Rules) -> Yields {
    Yields {
        row_kg_per_m: rules.row_kg_per_m,
        row_from: RowFrom::Rules,
        stalk: rules.stalk,
    }
}

/// What a turn booked at this moment is reckoned with: learned from turns enough, else the rules'.
pub fn yields_now(rules: &Rules, habit: &TurnHabit) -> Yields {
    yields_of(rules).learned(habit.row_kg_per_m)
}

/// The rules that a turn was booked under: of what was there and confirmed by then, the version that held on its day.
///
/// # Errors
/// The season has no rules, which cannot be.
pub fn rules_when_booked(versions: &[Rules], turn: &Turn) -> Result<Rules, StoreError> {
    let there = versions
        .iter()
        .filter(|rules| rules.made_at <= turn.made_at);
    let then: Vec<Rules> = there
        .map(|rules| Rules {
            // What was confirmed since was a draft.
            holds_from: rules
                .holds_from
                .filter(|_| rules.confirmed_at.is_some_and(|at| at <= turn.made_at)),
            ..rules.clone()
        })
        .collect();
    rules_versions::holding(&then, turn.date)
}
