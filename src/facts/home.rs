//! What the home page of a member shows: own turns, results and balance, what is asked and told; for crew
//! the mill's running day, boils and calls.

use crate::calc::turns::day_board::{self, OpenDay, running};
use crate::calc::turns::starts::Asker;
use crate::facts::people::notices as notice_facts;
use crate::facts::shares::my_cane::{self, MyTicket};
use crate::facts::turns::queue::Abouts;
use crate::facts::turns::room::DayRoom;
use crate::store::cane::juice;
use crate::store::home::{
    self, Balance, DayLine, Expected, LastShare, NextTurn, OpenBoil, Unpressed, WaitingJuice,
};
use crate::store::people::household;
use crate::store::people::notices::Notice;
use crate::store::season::seasons::{self, Rules};
use crate::store::turns::offers::{self, Offer};
use crate::store::turns::press_days;
use crate::store::turns::waiting::{self, Entry};
use crate::store::{Conn, Stored};
use crate::units::{
    Grams, MemberId, MemberName, MinuteOfDay, Minutes, PressDate, PressDayId, SeasonId, UtcSecond,
    Zone,
};

/// What every member sees.
#[derive(Debug)]
pub struct MemberHome {
    /// The civil date.
    pub today: PressDate,
    /// Turns to come, in order.
    pub turns: Vec<NextTurn>,
    /// About when they begin, of those whose mill runs.
    pub abouts: Abouts,
    /// Press days that are not closed, by date.
    pub days: Vec<DayLine>,
    /// The last shares, latest first.
    pub shares: Vec<LastShare>,
    /// The cane of this season's tickets, by number.
    pub cane: Vec<MyTicket>,
    /// The next days that turns can be booked or waited for on, with what is left of each.
    pub to_book: Vec<DayLeft>,
    /// Syrup, money and jars.
    pub balance: Balance,
    /// Year of the latest season, if one was opened.
    pub year: Option<i64>,
    /// What the member was told and has not put away, latest first.
    pub notices: Vec<Notice>,
    /// Turns on offer, first to run out first.
    pub offers: Vec<Offer>,
    /// Places on waiting lists, from today on.
    pub places: Vec<PlaceInLine>,
    /// The cards that the member acts for besides the own, by name.
    pub household: Vec<OtherCard>,
}

/// A card that somebody else acts for, with what is under way of it.
#[derive(Debug)]
pub struct OtherCard {
    /// Whose.
    pub id: MemberId,
    /// Name.
    pub name: MemberName,
    /// Turns to come, in order.
    pub turns: Vec<NextTurn>,
    /// The cane of this season's tickets, by number.
    pub cane: Vec<MyTicket>,
    /// Turns on offer, first to run out first.
    pub offers: Vec<Offer>,
    /// Places on waiting lists, from today on.
    pub places: Vec<PlaceInLine>,
}

/// The cards that a member acts for besides the own.
async fn household_of(
    conn: &mut Conn,
    (member, today): (MemberId, PressDate),
    season: Option<SeasonId>,
    moment: (&Zone, UtcSecond),
) -> Stored<Vec<OtherCard>> {
    let mut out = Vec::new();
    let (_, at) = moment;
    for card in household::cards_of(conn, member).await? {
        out.push(OtherCard {
            offers: offers::standing_of_member(conn, card.id, at).await?,
            places: places_of(conn, card.id, today).await?,
            turns: home::turns_from(conn, card.id, today).await?,
            cane: match season {
                Some(season) => my_cane::of_member(conn, (season, card.id), moment).await?,
                None => Vec::new(),
            },
            id: card.id,
            name: card.name,
        });
    }
    Ok(out)
}

/// What is left of a press day.
#[derive(Debug, Clone, Copy)]
pub struct DayLeft {
    /// Its date.
    pub date: PressDate,
    /// The mill starts.
    pub opens: MinuteOfDay,
    /// The mill stops.
    pub closes: MinuteOfDay,
    /// Minutes that are neither taken nor on offer.
    pub left: Minutes,
    /// No further turn finds room: there is only the list to wait on.
    pub full: bool,
}

/// Most days that home offers to book a turn on.
const OFFERED_MOST: i64 = 4;

/// The next days, with what is left of each for a member.
async fn to_book(
    conn: &mut Conn,
    today: PressDate,
    (zone, at): (&Zone, UtcSecond),
) -> Stored<Vec<DayLeft>> {
    let asker = Asker { at, crew: false };
    let left = |room: &DayRoom| DayLeft {
        date: room.day.clock.date(),
        opens: room.day.opens,
        closes: room.day.closes,
        left: day_board::room(room.day.open_minutes(), room.taken()),
        full: room.rooms().room(asker).most == Grams::ZERO,
    };
    let next = DayRoom::next(conn, (today, OFFERED_MOST), zone).await?;
    Ok(next.iter().map(left).collect())
}

/// A place on a waiting list, with the whole list.
#[derive(Debug, Clone)]
pub struct PlaceInLine {
    /// The member's own entry.
    pub entry: Entry,
    /// The list of that day.
    pub list: Vec<Entry>,
}

/// A member's places on waiting lists from a date on, each with its list.
async fn places_of(
    conn: &mut Conn,
    member: MemberId,
    today: PressDate,
) -> Stored<Vec<PlaceInLine>> {
    let mut places = Vec::new();
    for entry in waiting::of_member(conn, member, today).await? {
        let list = waiting::of_day(conn, entry.press_day_id).await?;
        places.push(PlaceInLine { entry, list });
    }
    Ok(places)
}

impl MemberHome {
    /// Reads the home of a member.
    ///
    /// # Errors
    /// The store failed.
    pub async fn read(
        conn: &mut Conn,
        member: MemberId,
        (zone, at): (&Zone, UtcSecond),
    ) -> Stored<Self> {
        let today = zone.local(at).0;
        let there = home::there(conn, member).await?;
        let mut places = Vec::new();
        let mut offers = Vec::new();
        if there.places {
            places = places_of(conn, member, today).await?;
            offers = offers::standing_of_member(conn, member, at).await?;
        }
        let turns = if there.turns {
            home::turns_from(conn, member, today).await?
        } else {
            Vec::new()
        };
        let cane = match there.season_id.filter(|_| there.tickets) {
            Some(season) => my_cane::of_member(conn, (season, member), (zone, at)).await?,
            None => Vec::new(),
        };
        let (days, to_book) = if there.days {
            let days = home::open_days(conn).await?;
            (days, to_book(conn, today, (zone, at)).await?)
        } else {
            (Vec::new(), Vec::new())
        };
        let household = if there.household {
            household_of(conn, (member, today), there.season_id, (zone, at)).await?
        } else {
            Vec::new()
        };
        let theirs = household.iter().flat_map(|card| &card.turns);
        let dates = turns.iter().chain(theirs).map(|turn| turn.date).collect();
        Ok(Self {
            today,
            abouts: Abouts::read(conn, dates, (zone, at)).await?,
            turns,
            to_book,
            days,
            shares: if there.shares {
                home::last_shares(conn, member).await?
            } else {
                Vec::new()
            },
            cane,
            balance: home::balance(conn, member).await?,
            year: there.year,
            notices: if there.notices {
                notice_facts::for_member(conn, member, zone, at).await?
            } else {
                Vec::new()
            },
            offers,
            places,
            household,
        })
    }

    /// The press day that is being pressed: today's, or the one before until it is closed.
    pub fn running_day(&self, (zone, at): (&Zone, UtcSecond)) -> Option<&DayLine> {
        let open: Vec<OpenDay> = self
            .days
            .iter()
            .map(|day| OpenDay {
                date: day.date,
                opens: day.opens,
                begun: day.tickets > 0,
            })
            .collect();
        self.days.get(running(&open, zone.local(at))?)
    }
}

/// What crew see besides.
#[derive(Debug, Clone)]
pub struct CrewHome {
    /// Boils that are not divided, oldest first.
    pub boils: Vec<OpenBoil>,
    /// Calls to make.
    pub calls: usize,
    /// The running day.
    pub running: Option<RunningDay>,
}

impl CrewHome {
    /// Reads what crew see; `today` is the press day that runs, `letters_sent` whether there is a mail server.
    ///
    /// # Errors
    /// The store failed.
    pub async fn read(
        conn: &mut Conn,
        today: Option<&DayLine>,
        letters_sent: bool,
        (zone, at): (&Zone, UtcSecond),
    ) -> Stored<Self> {
        let running = match today {
            Some(day) => RunningDay::read(conn, day).await?,
            None => None,
        };
        Ok(Self {
            boils: home::open_boils(conn).await?,
            calls: notice_facts::to_call(conn, zone, letters_sent, at)
                .await?
                .len(),
            running,
        })
    }
}

/// The lists of a running day.
#[derive(Debug, Clone)]
pub struct RunningDay {
    /// The day.
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
    async fn read(conn: &mut Conn, day: &DayLine) -> Stored<Option<Self>> {
        let Some(found) = press_days::find(conn, day.id).await? else {
            return Ok(None);
        };
        Ok(Some(Self {
            expected: home::expected(conn, day.id).await?,
            unpressed: home::unpressed(conn, day.id).await?,
            waiting: still_standing(conn, day.id).await?,
            rules: seasons::rules_on(conn, found.season_id, found.date).await?,
            day: day.clone(),
        }))
    }
}

/// Juices of a day with something left in their vessels, oldest first: neither poured nor lost to the last gram.
async fn still_standing(conn: &mut Conn, day: PressDayId) -> Stored<Vec<WaitingJuice>> {
    let mut out = Vec::new();
    for waiting in home::waiting(conn, day).await? {
        let Some(row) = juice::find(conn, waiting.id).await? else {
            continue;
        };
        let left = juice::drawn(conn, row.id).await?.left(row.reckon()?.mass);
        if left > Grams::ZERO {
            out.push(waiting);
        }
    }
    Ok(out)
}
