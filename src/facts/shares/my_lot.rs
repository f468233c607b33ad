//! Where a boil is for a member whose juice is in it: what was written down of it, and when it should be done.

use super::syrup_lost::SyrupLost;
use crate::calc::boil::fire::belief_at::BeliefAt;
use crate::calc::boil::fire::call::Call;
use crate::calc::shares::my_cane::{LotMarks, LotState, PourMarks};
use crate::facts::boil::boils::Parts;
use crate::facts::boil::finish_of_day::height;
use crate::facts::boil::season_boils::SeasonBoils;
use crate::store::boil::boils::{self, BoilRow, DrawRow};
use crate::store::marks::{self, Mark};
use crate::store::shares::hand_overs::{self, AsideRow, HandOverJar};
use crate::store::shares::lot_losses::{self, LotLoss};
use crate::store::shares::my_cane as store;
use crate::store::{Conn, Question, Stored, Together, in_json};
use crate::units::{Altitude, BoilId, Grams, MemberId, MemberName, UtcSecond};
use std::collections::BTreeMap;
use std::sync::Arc;

/// A boil that holds juice of the member's.
#[derive(Debug, Clone)]
pub struct MyLot {
    /// The boil.
    pub row: BoilRow,
    /// What was written down of the boil.
    pub marks: LotMarks,
    /// The member's jars of it.
    pub jars: Vec<AsideRow>,
    /// When it should be done, while it is on the fire.
    pub done: Option<DoneAbout>,
    /// All that was lost of its syrup.
    pub syrup_lost: Vec<SyrupLost>,
    /// Names of others whose juice is in it, if they agreed to be named, and how many others besides.
    pub with: (Vec<MemberName>, usize),
}

/// When a boil on the fire should be done.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct DoneAbout {
    /// The middle: as likely before as after it.
    pub at: UtcSecond,
    /// Four times in five between these; none while only the plan says it.
    pub between: Option<(UtcSecond, UtcSecond)>,
    /// What says so.
    pub told: FinishFrom,
}

/// What says when a boil on the fire should be done.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum FinishFrom {
    /// Nothing was read of it yet: the plan alone.
    ByPlan,
    /// Nothing: it was read, or its fire was drawn and lit again, and none of that tells yet. The plan does not hold any more.
    Open,
    /// Its readings.
    ByReadings,
    /// By its readings it is done now.
    Done,
    /// Its fire was drawn then, and by its readings it is not done: when it will be is open.
    DrawnEarly(UtcSecond),
    /// Its fire was drawn then, before anything was read of it.
    DrawnUnread(UtcSecond),
}

impl FinishFrom {
    fn of(looked: &BeliefAt) -> Self {
        let unread = looked.last_reading.is_none();
        if let Some(drawn) = looked.drawn_early() {
            if unread {
                Self::DrawnUnread(drawn)
            } else {
                Self::DrawnEarly(drawn)
            }
        } else if looked.is_there() {
            Self::Done
        } else if looked.finish.is_some() {
            Self::ByReadings
        } else if looked.call == Call::Heating && unread && !looked.begun_anew {
            Self::ByPlan
        } else {
            Self::Open
        }
    }
}

impl MyLot {
    /// How far the lot has come for the member.
    pub fn state(&self) -> LotState {
        LotState::of(&self.marks)
    }
}

/// A boil as a member whose juice is in it is told of it.
///
/// # Errors
/// The store failed.
pub async fn of_lot(
    conn: &mut Conn,
    row: BoilRow,
    member: MemberId,
    at: UtcSecond,
) -> Stored<MyLot> {
    let ids = in_json([row.id]);
    let found = (
        boils::draws(row.id),
        store::boils(&ids),
        hand_overs::jars_set_aside(Some(member)),
        hand_overs::jars_of_member(row.season_id, member),
        lot_losses::of_boils(&ids),
        height(),
        marks::mark(),
    );
    let (draws, marks, aside, handed, losses, height, mark) = found.together().ask(conn).await?;
    let lots = Lots::new(member, draws, (marks, losses), (aside, handed));
    let mut lot = lots.lot(row);
    if lot.state() == LotState::OnFire {
        let later = OnFire::of(&lot.row, mark.as_ref()).ask(conn).await?;
        lot.done = later.done_about(lot.row.clone(), (height, at))?;
    }
    Ok(lot)
}

/// What was written down of boils for one member; `draws` holds at least all that is in them.
#[derive(Debug)]
pub(super) struct Lots {
    member: MemberId,
    draws: Vec<DrawRow>,
    marks: Vec<store::BoilMarks>,
    losses: Vec<LotLoss>,
    aside: Vec<AsideRow>,
    handed: Vec<HandOverJar>,
}

impl Lots {
    /// Gathers the lots; jars handed over count only where some were set aside.
    pub(super) fn new(
        member: MemberId,
        draws: Vec<DrawRow>,
        (marks, losses): (Vec<store::BoilMarks>, Vec<LotLoss>),
        (aside, handed): (Vec<AsideRow>, Vec<HandOverJar>),
    ) -> Self {
        Self {
            member,
            draws,
            marks,
            losses,
            handed: if aside.is_empty() { Vec::new() } else { handed },
            aside,
        }
    }

    pub(super) fn lot(&self, row: BoilRow) -> MyLot {
        let found = self.marks.iter().find(|marks| marks.boil_id == row.id);
        let of_boil = |jars: &&AsideRow| jars.boil_id == row.id;
        let jars: Vec<AsideRow> = self.aside.iter().filter(of_boil).cloned().collect();
        let handed = self.handed.iter().filter(|jars| jars.lot == row.lot);
        let last = handed.clone().max_by_key(|jars| jars.number);
        let taken_home: i64 = handed.clone().map(|jars| jars.count).sum();
        let divided_at = found.and_then(|marks| marks.divided_at);
        let finish = row.finish.as_ref();
        let marks = LotMarks {
            poured_at: self.poured_at(&row, |draw| draw.member_id == self.member),
            finished_at: finish.map(|finish| finish.finished_at),
            syrup: finish.map_or(Grams::ZERO, |finish| finish.syrup),
            jarred: found.map_or(Grams::ZERO, |marks| marks.jarred),
            filled_at: found.and_then(|marks| marks.filled_at),
            lost_at: row.divided_at.filter(|_| row.lost),
            divided_at,
            reopened: divided_at.is_some() && row.divided_at.is_none(),
            set_aside: jars.iter().map(AsideRow::left).sum::<i64>() + taken_home,
            handed: taken_home,
            handed_at: last.map(|jars| jars.at),
        };
        MyLot {
            with: self.with(row.id),
            marks,
            jars,
            done: None,
            syrup_lost: SyrupLost::all_of(&row, &self.losses),
            row,
        }
    }

    /// When the first of some juice came into a boil.
    pub(super) fn poured_at(&self, row: &BoilRow, own: impl Fn(&DrawRow) -> bool) -> UtcSecond {
        let inside = || self.draws.iter().filter(|draw| draw.boil_id == row.id);
        let first = inside().map(|draw| draw.noted_at).min();
        let finished = row.finish.as_ref().map(|finish| finish.finished_at);
        let own = inside().filter(|draw| own(draw));
        let poured = own.map(|draw| {
            let pour = PourMarks {
                pressed_at: draw.pressed_at,
                noted_at: draw.noted_at,
                with_first: Some(draw.noted_at) == first,
            };
            pour.poured_at(row.lit_at, finished)
        });
        poured.min().unwrap_or(row.lit_at)
    }

    /// Whose juice is in a boil besides the member's own.
    fn with(&self, boil: BoilId) -> (Vec<MemberName>, usize) {
        let inside = self.draws.iter().filter(|draw| draw.boil_id == boil);
        let others: BTreeMap<MemberId, &DrawRow> = inside
            .filter(|draw| draw.member_id != self.member)
            .map(|draw| (draw.member_id, draw))
            .collect();
        let named = others.values().filter(|draw| draw.named);
        let named: Vec<MemberName> = named.map(|draw| draw.member_name.clone()).collect();
        let rest = others.len() - named.len();
        (named, rest)
    }
}

/// A boil on the fire: the rows that belong to it, and its season.
#[derive(Debug)]
pub(super) struct OnFire {
    parts: Parts,
    season: Arc<SeasonBoils>,
}

impl OnFire {
    pub(super) fn of(row: &BoilRow, mark: Option<&Mark>) -> Question<Self> {
        let found = (Parts::of(row), SeasonBoils::of(mark, row.season_id)).together();
        found.map(|(parts, season)| Self { parts, season })
    }

    /// Nothing while no pan is set up, whose surface would say how fast water goes.
    pub(super) fn done_about(
        self,
        row: BoilRow,
        (height, at): (Altitude, UtcSecond),
    ) -> Stored<Option<DoneAbout>> {
        let boil = self.parts.of_season(row, &self.season, height)?;
        if boil.for_watch().is_none() {
            return Ok(None);
        }
        let looked = boil.looked_at(at);
        let told = looked.as_ref().map_or(FinishFrom::ByPlan, FinishFrom::of);
        let finish = looked.and_then(|looked| looked.finish);
        Ok(Some(DoneAbout {
            at: boil.done_about(at),
            between: finish.map(|told| (told.earliest.max(at), told.latest.max(at))),
            told,
        }))
    }
}
