//! What the home page of a member shows: own turns, results and balance, what is asked and told.

use crate::calc::turns::starts::Asker;
use crate::facts::home_crew::{RunningDay, pressed_now, running_of};
use crate::facts::people::notices as notice_facts;
use crate::facts::shares::my_cane::{Cane, MyTicket, ReadSecond, SharedFacts};
use crate::facts::turns::queue::StartEstimates;
use crate::facts::turns::room::{DayRoom, HeldTimes};
use crate::store::home::{self, Balance, DayLine, LastShare, NextTurn};
use crate::store::people::household::{self, Other};
use crate::store::people::notices::Notice;
use crate::store::season::in_use;
use crate::store::season::seasons::Season;
use crate::store::turns::offers::{self, Offer};
use crate::store::turns::press_days::{self, PressDay};
use crate::store::turns::waiting::{self, Entry};
use crate::store::{Conn, Question, Stored, Together};
use crate::units::{
    MemberId, MemberName, MinuteOfDay, Minutes, PressDate, SeasonId, UtcSecond, Zone,
};

/// What every member sees on the home page.
#[derive(Debug)]
pub struct MemberHome {
    /// Today's date at the co-op.
    pub today: PressDate,
    /// Turns to come, in order.
    pub turns: Vec<NextTurn>,
    /// The turn of the last days that passed, when no cane came and none is to come; the mill of that day runs no more.
    pub passed: Option<NextTurn>,
    /// About when they begin, of those whose mill runs.
    pub abouts: StartEstimates,
    /// Press days that are not closed, by date.
    pub days: Vec<DayLine>,
    /// The member's last shares, latest first.
    pub shares: Vec<LastShare>,
    /// The cane of this season's tickets, by number.
    pub cane: Vec<MyTicket>,
    /// The next days that turns can be booked or waited for on, with what is left of each.
    pub to_book: Vec<DayLeft>,
    /// The member's balance of syrup, money and jars.
    pub balance: Balance,
    /// Year of the season in use, if one was opened.
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
    /// The member whose card it is.
    pub id: MemberId,
    /// That member's name.
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

/// A press day with what room is left on it.
#[derive(Debug, Clone, Copy)]
pub struct DayLeft {
    /// Its date.
    pub date: PressDate,
    /// When the mill starts.
    pub opens: MinuteOfDay,
    /// When the mill stops.
    pub closes: MinuteOfDay,
    /// Minutes still to come that are neither taken nor on offer.
    pub left: Minutes,
    /// No further turn finds room: there is only the list to wait on.
    pub full: bool,
}

impl DayLeft {
    /// Those of some press days whose hours are not over.
    fn each(rooms: &[DayRoom], at: UtcSecond) -> Vec<Self> {
        let open = rooms.iter().filter(|room| !room.is_over(at));
        open.map(|room| Self::of(room, at)).collect()
    }

    /// The room of a press day as a member finds it.
    fn of(room: &DayRoom, at: UtcSecond) -> Self {
        let asker = Asker { at, crew: false };
        let found = room.rooms().room(asker);
        Self {
            date: room.day.clock.date(),
            opens: room.day.opens,
            closes: room.day.closes,
            left: found.left,
            full: found.is_full(),
        }
    }
}

/// So long a turn that passed is spoken of, days.
const PASSED_DAYS: i64 = 7;

/// Most days that home offers to book a turn on.
const OFFERED_MOST: i64 = 4;

/// A place on a waiting list, with the whole list.
#[derive(Debug, Clone)]
pub struct PlaceInLine {
    /// The member's own entry.
    pub entry: Entry,
    /// The waiting list of that day.
    pub list: Vec<Entry>,
}

impl PlaceInLine {
    /// Some entries, each with its list.
    fn each(entries: Vec<Entry>) -> Question<Vec<Self>> {
        Question::all(entries.into_iter().map(|entry| {
            let list = waiting::of_day(entry.press_day_id);
            list.map(move |list| Self { entry, list })
        }))
    }
}

/// What is asked first for the home of a member: what needs nothing but who it is, and the date.
#[derive(Debug)]
struct First {
    seasons: Vec<Season>,
    around: SharedFacts,
    turns: (Vec<NextTurn>, Option<NextTurn>),
    days: Vec<DayLine>,
    to_book: Vec<PressDay>,
    shares: Vec<LastShare>,
    balance: Balance,
    notices: Vec<Notice>,
    offers: Vec<Offer>,
    places: Vec<Entry>,
    cards: Vec<Other>,
}

impl First {
    fn of(member: MemberId, (zone, at): (&Zone, UtcSecond)) -> Question<Self> {
        let today = zone.local(at).0;
        let days = (
            home::open_days(),
            press_days::open_from(today, OFFERED_MOST),
        );
        let passed = home::passed_turn(member, (today.plus_days(-PASSED_DAYS), today));
        let found = (
            in_use::by_use(),
            SharedFacts::of((zone, at)),
            (home::turns_from(member, today), passed).together(),
            days.together(),
            home::last_shares(member),
            home::balance(member),
            notice_facts::for_member(member, zone, at),
            offers::standing_of_member(member, at),
            waiting::of_member(member, today),
            household::cards_of(member),
        );
        let found = found.together();
        found.map(
            |(seasons, around, turns, days, shares, balance, notices, offers, places, cards)| {
                Self {
                    seasons,
                    around,
                    turns,
                    days: days.0,
                    to_book: days.1,
                    shares,
                    balance,
                    notices,
                    offers,
                    places,
                    cards,
                }
            },
        )
    }
}

impl First {
    /// The turn that passed, once the night is over in which its mill may still press.
    fn passed(&self, (zone, at): (&Zone, UtcSecond)) -> Option<NextTurn> {
        let minute = zone.local(at).1;
        let still = pressed_now(&self.days, (zone, at)).filter(|day| minute < day.opens);
        let passed = self.turns.1.clone();
        passed.filter(|turn| still.is_none_or(|day| day.date != turn.date))
    }
}

/// What is asked of a card that somebody else acts for, once it is known which.
#[derive(Debug)]
struct Card {
    of: Other,
    turns: Vec<NextTurn>,
    cane: Option<Cane>,
    offers: Vec<Offer>,
    places: Vec<Entry>,
}

impl Card {
    fn of(
        of: Other,
        season: Option<SeasonId>,
        (today, at): (PressDate, UtcSecond),
    ) -> Question<Self> {
        let cane = Question::when(season.map(|season| Cane::of(season, of.id)));
        let found = (
            home::turns_from(of.id, today),
            cane,
            offers::standing_of_member(of.id, at),
            waiting::of_member(of.id, today),
        );
        let found = found.together();
        found.map(move |(turns, cane, offers, places)| Self {
            of,
            turns,
            cane,
            offers,
            places,
        })
    }

    /// What is read in a second step, once it is known where the card's cane is.
    fn later(&self, around: &SharedFacts) -> Question<(Option<ReadSecond>, Vec<PlaceInLine>)> {
        let later = self.cane.as_ref().map(|cane| cane.later(around));
        let places = PlaceInLine::each(self.places.clone());
        (Question::when(later), places).together()
    }

    fn member_view(
        self,
        (later, places): (Option<ReadSecond>, Vec<PlaceInLine>),
        (around, abouts): (&SharedFacts, &StartEstimates),
        moment: (&Zone, UtcSecond),
    ) -> Stored<OtherCard> {
        Ok(OtherCard {
            cane: cane_in_view(self.cane.as_ref(), later, (around, abouts), moment)?,
            id: self.of.id,
            name: self.of.name,
            turns: self.turns,
            offers: self.offers,
            places,
        })
    }
}

/// Cane as its member is told of it; none before the first season.
fn cane_in_view(
    cane: Option<&Cane>,
    later: Option<ReadSecond>,
    (around, abouts): (&SharedFacts, &StartEstimates),
    moment: (&Zone, UtcSecond),
) -> Stored<Vec<MyTicket>> {
    let told = cane
        .zip(later)
        .map(|(cane, later)| cane.member_view(around, (later, abouts), moment));
    Ok(told.transpose()?.unwrap_or_default())
}

impl MemberHome {
    /// Reads the home of a member, what `besides` is asked at the same moment, and for the `crew` the day that is being pressed.
    ///
    /// # Errors
    /// The store failed.
    pub async fn read<B: Send + 'static>(
        conn: &mut Conn,
        (member, crew): (MemberId, bool),
        moment: (&Zone, UtcSecond),
        besides: Question<B>,
    ) -> Stored<(Self, B, Option<RunningDay>)> {
        let (zone, at) = moment;
        let today = zone.local(at).0;
        let (first, besides) = (First::of(member, moment), besides)
            .together()
            .ask(conn)
            .await?;
        let season = first.seasons.first().map(|season| season.id);
        let passed = first.passed(moment);
        let around = first.around;
        let to_book: Vec<&PressDay> = first.to_book.iter().collect();
        let running = running_of(&first.days, moment, around.running());
        let cards = first
            .cards
            .into_iter()
            .map(|of| Card::of(of, season, (today, at)));
        let second = (
            Question::when(season.map(|season| Cane::of(season, member))),
            HeldTimes::of(around.mark(), &to_book, moment),
            PlaceInLine::each(first.places),
            Question::all(cards),
            Question::when(running.filter(|_| crew)),
        );
        let (cane, holds, places, cards, running) = second.together().ask(conn).await?;
        let theirs = cards.iter().flat_map(|card| &card.turns);
        let turns = first.turns.0.iter().chain(theirs).map(|turn| turn.date);
        let canes = cards.iter().filter_map(|card| card.cane.as_ref());
        let waits = cane
            .iter()
            .chain(canes)
            .flat_map(|cane| cane.waits_on(zone));
        // One queue of a day tells of turns and of cane that waits, of the member's own and of the household's.
        let dates = turns.chain(waits).collect();
        let third = (
            Question::when(cane.as_ref().map(|cane| cane.later(&around))),
            StartEstimates::of(around.running(), &dates, moment),
            Question::all(cards.iter().map(|card| card.later(&around))),
        );
        let (later, abouts, of_cards) = third.together().ask(conn).await?;
        let household = cards.into_iter().zip(of_cards);
        let household =
            household.map(|(card, later)| card.member_view(later, (&around, &abouts), moment));
        let household = household.collect::<Stored<_>>()?;
        let cane = cane_in_view(cane.as_ref(), later, (&around, &abouts), moment)?;
        let rooms = holds.rooms(conn, (&to_book, around.mark()), zone).await?;
        let own = Self {
            today,
            abouts,
            to_book: DayLeft::each(&rooms, at),
            cane,
            household,
            turns: first.turns.0,
            passed,
            days: first.days,
            shares: first.shares,
            balance: first.balance,
            year: first.seasons.first().map(|season| season.year),
            notices: first.notices,
            offers: first.offers,
            places,
        };
        Ok((own, besides, running))
    }
}
