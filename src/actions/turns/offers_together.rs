//! Turns of a season's proposal, offered to their members together: each holds its minutes until its member answers,
//! or its time runs out. All of them are offered, or none.

use super::asker::zone;
use super::offering::{self, take_step};
use super::possible_days;
use super::turn_place::{latest_habit, placed};
use crate::actions::people::notices::{self, NoticeSubject, Tell};
use crate::actions::{Act, Done, ReadBefore, Stop, begin};
use crate::calc::RuleRefusal;
use crate::calc::people::notices::Kind;
use crate::calc::turns::starts::Asker;
use crate::calc::turns::starts::Span;
use crate::calc::turns::turn_cane::AmountTold;
use crate::calc::turns::waiting::{Step, answer_due};
use crate::facts::season::proposal_days::Crew;
use crate::facts::season::proposal_fields::fields;
use crate::facts::season::seasons::SeasonRules;
use crate::facts::turns::room::DayRoom;
use crate::facts::turns::turn_habit::LatestHabit;
use crate::store::people::coop::{self, Coop};
use crate::store::people::members;
use crate::store::season::forbidden_days::{self, SaidOfDay};
use crate::store::season::seasons;
use crate::store::turns::offers;
use crate::store::turns::press_days::{self, PressDay};
use crate::store::turns::waiting::{self, Entry, NewWaiting};
use crate::store::{Conn, Together, WriteTx};
use crate::units::{
    ClockTyped, Grams, MemberId, OfferId, PlantingId, PressDate, SeasonId, Units, UtcSecond,
    WaitingId,
};
use std::collections::BTreeMap;

/// A turn to be offered.
#[derive(Debug, Clone, PartialEq)]
pub struct NewOffer {
    /// Date of the press day.
    pub date: PressDate,
    /// The member it is offered to.
    pub member: MemberId,
    /// When the turn starts.
    pub start: ClockTyped,
    /// Cane of the turn, above nought.
    pub cane: Grams,
    /// The plantings it is for, with the cane of each.
    pub plantings: Vec<(PlantingId, Grams)>,
    /// Those plantings in words.
    pub planted: String,
}

/// Offers turns of a season to their members.
///
/// # Errors
/// None is given; a day is closed, a member has left or cannot come, too few people can be at the rollers, a planting was changed, or
/// the room is taken by now.
pub async fn offer(act: &Act, season: SeasonId, new: Vec<NewOffer>) -> Done<SeasonId> {
    act.steward()?;
    let habit = latest_habit(&act.reader).await?;
    // All plantings of the season, and what it teaches of them: not while others wait for the writer.
    let mut moment = act.reader.snapshot().await?;
    let still = StillSo::read(&mut moment, season, act.at).await?;
    let still = ReadBefore::new(still, &mut moment).await?;
    drop(moment);
    let mut tx = begin!(act, "offer_together");
    if new.is_empty() {
        return Err(RuleRefusal::new(
            "nothing-proposed",
            "Nothing is proposed, so nobody is asked.",
        )
        .into());
    }
    let coop = coop::find().ask(&mut tx).await?.ok_or(Stop::Missing)?;
    let mut still = match still.if_it_stands(&tx) {
        Some(still) => still,
        None => StillSo::read(&mut tx, season, act.at).await?,
    };
    for one in new {
        offer_one(act, &mut tx, (&coop, &habit, &mut still), season, one).await?;
    }
    act.finish(tx, "offer_together", season).await
}

fn meanwhile(what: &str) -> Stop {
    let rest = "Nobody was asked. Below stands what is proposed now: please look again.";
    RuleRefusal::changed(format!("{what} {rest}")).into()
}

/// What a proposal went by, as it stands now: who can come, and what of each planting waits.
struct StillSo {
    crew: Crew,
    waits: BTreeMap<PlantingId, (MemberId, Grams)>,
    /// The days on which nothing is to be proposed.
    forbidden: Vec<SaidOfDay>,
}

/// A planting's cane may be so much less than it was proposed with: grams are rounded on the way.
const ROUNDED: Grams = Grams::new(1000);

impl StillSo {
    async fn read(conn: &mut Conn, season: SeasonId, at: UtcSecond) -> Done<Self> {
        let found = (seasons::find(season), coop::find()).together();
        let (found, coop) = found.ask(conn).await?;
        let year = found.ok_or(Stop::Missing)?.year;
        let today = coop.ok_or(Stop::Missing)?.zone.local(at).0;
        let rules = SeasonRules::of_year(conn, year, today).await?;
        let fields = fields(conn, &rules.ok_or(Stop::Missing)?).await?;
        let waits = fields.into_iter().map(|field| {
            let of = (field.planting.member_id, field.cane);
            (field.planting.id, of)
        });
        Ok(Self {
            waits: waits.collect(),
            crew: Crew::of(season).ask(conn).await?,
            forbidden: forbidden_days::of_season(season).ask(conn).await?,
        })
    }

    /// What is not so any more of a turn that was proposed, in words; `None`: it can be offered, and its cane does not wait any more.
    fn not_so(
        &mut self,
        (room, day): (&DayRoom, &PressDay),
        new: &NewOffer,
        span: Span,
    ) -> Option<String> {
        let date = day.date.show();
        let mut forbidden = self.forbidden.iter();
        if forbidden.any(|of| of.date == day.date && of.forbidden) {
            return Some(format!(
                "nothing is to be proposed on {date}, as a steward said since."
            ));
        }
        let said = self.crew.said(new.member, day.date);
        if said.is_some_and(|a| !a.brings) {
            return Some(format!(
                "cane cannot be brought on {date}, as was said since."
            ));
        }
        if said.is_some_and(|a| !room.within(span, (a.from, a.to))) {
            return Some(format!("{date} is possible at other hours by now."));
        }
        let mut there = self.crew.hours(day).into_iter();
        if !there.any(|(from, to)| room.within(span, (Some(from), Some(to)))) {
            return Some(format!(
                "fewer than two people can be at the rollers then on {date}."
            ));
        }
        for (planting, cane) in &new.plantings {
            let waits = self.waits.get_mut(planting);
            match waits.filter(|(owner, rest)| *owner == new.member && *cane <= *rest + ROUNDED) {
                Some((_, rest)) => *rest -= *cane,
                None => {
                    return Some(
                        "what stands in the field, or what of it has its turn, was changed since."
                            .to_owned(),
                    );
                }
            }
        }
        None
    }
}

async fn offer_one(
    act: &Act,
    tx: &mut WriteTx,
    (coop, habit, still): (&Coop, &LatestHabit, &mut StillSo),
    season: SeasonId,
    new: NewOffer,
) -> Done<()> {
    let day = match press_days::of_date(new.date).ask(tx).await? {
        Some(day) => day,
        None => possible_days::plan(act, tx, season, new.date)
            .await?
            .ok_or(Stop::Missing)?,
    };
    let member = members::find(new.member).ask(tx).await?;
    let member = member.ok_or(Stop::Missing)?;
    if day.season_id != season || day.closed_at.is_some() || member.left_at.is_some() {
        return Err(meanwhile(&format!(
            "{} cannot be asked for {} any more.",
            member.name,
            new.date.show()
        )));
    }
    let zone = zone(tx).await?;
    let room = DayRoom::by_habit(tx, (&day, habit), (&zone, act.at), &[]).await?;
    let asker = Asker {
        at: act.at,
        crew: false,
    };
    let span = placed(
        &room,
        (member.id, new.cane, new.start),
        Units::Metric,
        asker,
    )
    .map_err(|refusal| meanwhile(&format!("{}: {}", member.name, refusal.sentence)))?;
    if let Some(what) = still.not_so((&room, &day), &new, span) {
        return Err(meanwhile(&format!("{}: {what}", member.name)));
    }
    let clock = zone.clock(day.date);
    let start = clock.instant(span.start);
    let ends_at = answer_due(act.at, room.rules.offer, start, &zone);
    let entry = entry_of(act, tx, &day, (member.id, new.cane)).await?;
    let id = OfferId::new(act.id());
    offering::make(tx, (id, &entry), (&clock, span), (act.at, ends_at)).await?;
    offers::name_plantings(tx, id, &new.plantings).await?;
    let call = offering::or_call(coop);
    let date = day.date.show();
    let told = Tell {
        member: member.id,
        kind: Kind::Offer,
        mark: format!("offer:{id}"),
        subject: format!("A turn is proposed for you on {date}"),
        words: format!(
            "{date}, {}, is proposed for your {}: {} of cane. The turn is kept for you until {}. Please say on your home page \
             whether you take it, want another day, or do not bring this cane this year{call}.",
            span.show(&clock),
            new.planted,
            new.cane.show(member.units),
            zone.show(ends_at)
        ),
        about: NoticeSubject::Offer(id),
    };
    notices::tell(act, tx, told).await
}

/// A new place on the day's list for the member: an offer belongs to one.
async fn entry_of(
    act: &Act,
    tx: &mut WriteTx,
    day: &PressDay,
    (member, cane): (MemberId, Grams),
) -> Done<Entry> {
    let list = waiting::of_day(day.id).ask(tx).await?;
    let standing = offers::standing_of_day(day.id).ask(tx).await?;
    let own = list
        .into_iter()
        .filter(|e| e.member_id == member && e.from_turn_id.is_none() && e.state.on_list());
    for mut entry in own {
        // A place that waits for other cane gives way to the new one; one with an offer that stands may stay beside it.
        if standing.iter().all(|o| o.waiting_id != entry.id) {
            take_step(tx, &mut entry, Step::Leaves, "").await?;
        }
    }
    let new = NewWaiting {
        id: WaitingId::new(act.id()),
        press_day_id: day.id,
        member_id: member,
        cane,
        told: AmountTold::Weight(cane),
        row_kg_per_m: None,
        from_turn_id: None,
        beside: true,
        by: act.actor.id,
        at: act.at,
    };
    waiting::insert(tx, &new).await?;
    waiting::find(new.id).ask(tx).await?.ok_or(Stop::Missing)
}
