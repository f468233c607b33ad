//! The days of a season's proposal with their turns, and the cane that is left without a day, as text ready to print.

use super::form::{day_button, keep_box, planted};
use crate::calc::season::proposal::LEAST_PIECE_KG;
use crate::facts::season::proposal::SeasonProposal;
use crate::facts::season::proposal_days::{Against, ProposedDay, ProposedTurn};
use crate::facts::season::proposal_left::WhyLeft;
use crate::facts::season::proposal_loads::Load;
use crate::facts::season::proposal_wish::{Before, Kept};
use crate::units::{DayMinute, Grams, MinuteOfDay, Minutes, PlantingId, Units, Zone, fixed};
use std::collections::BTreeSet;

/// A turn that is proposed.
pub(super) struct TurnRow {
    pub(super) span: String,
    pub(super) member: String,
    pub(super) planted: String,
    pub(super) cane: String,
    pub(super) lost: String,
    /// Against what was shown before: "moved", "changed", "new", or nothing.
    pub(super) moved: &'static str,
    /// What has come to stand against a turn that is kept; empty: nothing.
    pub(super) against: &'static str,
    /// The place its plantings had before; empty: the same, or none.
    pub(super) was: String,
    /// The box that keeps it there, by name; none: another turn's does.
    pub(super) keep: Option<(String, bool)>,
}

/// A day of the proposal.
pub(super) struct DayCard {
    pub(super) date: String,
    pub(super) load: String,
    /// Whether it is planned, and who can help.
    pub(super) about: String,
    /// How far mill, pan and vessels are taken by all its turns; empty: by none.
    pub(super) loads: String,
    /// Who forbade it, and when; `None`: nobody did.
    pub(super) forbidden: Option<(String, String)>,
    /// What the button says that forbids it, or allows it again.
    pub(super) button: String,
    pub(super) rows: Vec<TurnRow>,
}

/// Cane that found no room.
pub(super) struct LeftRow {
    pub(super) member: String,
    pub(super) planted: String,
    pub(super) ready: String,
    pub(super) cane: String,
    pub(super) why: String,
    pub(super) was: String,
}

pub(super) fn percent(part: f64, units: Units) -> String {
    format!("{} %", fixed(part * 100.0, 1, units))
}

/// Writes the rows of a proposal in the reader's units and the co-op's time.
#[derive(Clone, Copy)]
pub(super) struct Writer<'a> {
    pub(super) of: &'a SeasonProposal,
    pub(super) zone: &'a Zone,
    pub(super) units: Units,
}

/// How many grams more or less a planting may bring to a turn that still counts as unchanged: grams are rounded.
const SAME: i64 = 1_000;

impl Writer<'_> {
    /// The turns that a planting has now.
    fn now(&self, planting: PlantingId) -> Vec<Before> {
        let of_day = |day: &ProposedDay| {
            let date = day.day.date;
            let turns = day.turns.iter();
            let one = |turn: &ProposedTurn| {
                let own = turn.of.iter();
                let own = own.filter(|(f, _)| self.of.fields[*f].planting.id == planting);
                let own = own.map(|(_, cane)| Before {
                    planting,
                    date,
                    start: turn.span.start,
                    cane: *cane,
                });
                own.collect::<Vec<_>>()
            };
            turns.flat_map(one).collect::<Vec<_>>()
        };
        self.of.days.iter().flat_map(of_day).collect()
    }

    /// Where a planting stood before and does not stand any more: "Sat 17 Oct 2026, 09:00, 400 lb".
    fn was(&self, planting: PlantingId) -> Vec<String> {
        let now = self.now(planting);
        let gone = self.of.wish.before_of(planting);
        let gone = gone.filter(|was| !now.iter().any(|now| same(was, now)));
        gone.map(|was| {
            let clock = self.zone.clock(was.date);
            let (date, start) = (was.date.show(), clock.show(was.start));
            format!("{date}, {start}, {}", was.cane.show(self.units))
        })
        .collect()
    }

    pub(super) fn cards(&self) -> Vec<DayCard> {
        let mut seen = BTreeSet::new();
        let days = self.of.days.iter();
        days.map(|day| self.card(day, &mut seen)).collect()
    }

    fn card(&self, day: &ProposedDay, seen: &mut BTreeSet<PlantingId>) -> DayCard {
        let cane: Grams = day.turns.iter().map(|t| t.cane).sum();
        let date = day.day.date;
        // How much a day can take is found out by filling it with other turns: these may fill it better.
        let most = day.most.max(cane).show(self.units);
        let none = day.turns.is_empty();
        DayCard {
            date: date.show(),
            load: if !none {
                let cane = cane.show(self.units);
                format!("{cane} of {most} that the day can still take.")
            } else if day.most == Grams::ZERO {
                "Nothing is proposed: the day is full.".to_owned()
            } else {
                format!("Nothing is proposed; there is room for {most}.")
            },
            about: about(day),
            loads: loads_words(day),
            forbidden: day.forbidden.as_ref().map(|said| {
                let at = self.zone.show(said.at);
                (said.by.to_string(), format!("on {at}"))
            }),
            button: day_button(date, day.forbidden.is_none()),
            rows: day.turns.iter().map(|t| self.row(t, day, seen)).collect(),
        }
    }

    fn row(
        &self,
        turn: &ProposedTurn,
        day: &ProposedDay,
        seen: &mut BTreeSet<PlantingId>,
    ) -> TurnRow {
        let of = self.of;
        let place = of.days.iter().position(|d| d.day.id == day.day.id);
        let place = place.unwrap_or_default();
        let lost: f64 = turn
            .of
            .iter()
            .map(|(field, cane)| cane.kg() * of.lost[*field][place].unwrap_or(1.0))
            .sum();
        let ids = turn
            .of
            .iter()
            .map(|(field, _)| of.fields[*field].planting.id);
        let ids: Vec<PlantingId> = ids.collect();
        let (moved, was) = self.moved(turn, day, &ids);
        TurnRow {
            span: turn.span.show(&day.room.day.clock),
            member: of.fields[turn.of[0].0].planting.member.to_string(),
            planted: planted(of, turn.of.iter().map(|(field, _)| *field)),
            cane: turn.cane.show(self.units),
            lost: percent(lost / turn.cane.kg().max(1e-9), self.units),
            moved,
            against: match turn.against {
                None => "",
                Some(Against::CannotCome) => "cannot come any more: is not asked",
                Some(Against::TooFew) => "too few people at the rollers: is not asked",
                Some(Against::Forbidden) => "the day is forbidden: is not asked",
            },
            was,
            // A turn has one box, whatever plantings it brings; a planting of several turns is kept with all of them, by one box.
            keep: ids.into_iter().find(|id| seen.insert(*id)).map(|id| {
                // Of an address that keeps the day alone no turn is told.
                let day_alone = |k: &Kept| k.planting == id && k.turn.is_none();
                let kept = turn.kept || of.wish.kept.iter().any(day_alone);
                (keep_box(id), kept)
            }),
        }
    }

    /// What became of a turn against what was shown before, and where its plantings stood.
    fn moved(
        &self,
        turn: &ProposedTurn,
        day: &ProposedDay,
        ids: &[PlantingId],
    ) -> (&'static str, String) {
        let wish = &self.of.wish;
        if wish.before.is_empty() {
            return ("", String::new());
        }
        let mut was = Vec::new();
        let mut word = "";
        for (id, (_, cane)) in ids.iter().zip(&turn.of) {
            let now = Before {
                planting: *id,
                date: day.day.date,
                start: turn.span.start,
                cane: *cane,
            };
            if wish.before_of(*id).any(|was| same(was, &now)) {
                continue;
            }
            was.extend(self.was(*id));
            let there = wish.before_of(*id).any(|b| b.date == now.date);
            word = match wish.before_of(*id).next() {
                Some(_) if there => "changed",
                Some(_) => "moved",
                None => "new",
            };
        }
        (word, was.join("; "))
    }

    pub(super) fn left(&self) -> Vec<LeftRow> {
        let row = |(field, cane, why): &(usize, Grams, WhyLeft)| {
            let own = &self.of.fields[*field];
            LeftRow {
                member: own.planting.member.to_string(),
                planted: own.planting.variety.clone(),
                ready: own.ready.show(),
                cane: cane.show(self.units),
                why: why_left(*why, self.units),
                was: self.was(own.planting.id).join("; "),
            }
        };
        self.of.left.iter().map(row).collect()
    }

    /// What changed against what was shown before, in a sentence; empty: nothing was shown before.
    pub(super) fn changed(&self, cards: &[DayCard], left: &[LeftRow]) -> String {
        if self.of.wish.before.is_empty() {
            return String::new();
        }
        let rows = || cards.iter().flat_map(|card| &card.rows);
        let many = |word: &str| rows().filter(|row| row.moved == word).count();
        let mut parts: Vec<String> = ["moved", "changed", "new"]
            .into_iter()
            .filter(|word| many(word) > 0)
            .map(|word| format!("{} {word}", many(word)))
            .collect();
        let gone = left.iter().filter(|row| !row.was.is_empty()).count();
        if gone > 0 {
            parts.push(format!("{gone} left without a turn, or with less cane"));
        }
        if parts.is_empty() {
            return "Nothing changed against what stood here before.".to_owned();
        }
        format!(
            "Against what stood here before: {}. Each says below where it was.",
            parts.join(", ")
        )
    }
}

fn same(a: &Before, b: &Before) -> bool {
    let off = (a.cane.get() - b.cane.get()).abs();
    a.date == b.date && a.start == b.start && off <= SAME
}

/// Whether a day is planned, and who can help on it.
fn about(day: &ProposedDay) -> String {
    let planned = if day.planned {
        ""
    } else if day.turns.is_empty() {
        "Possible, not a press day. "
    } else {
        "Possible; it becomes a press day when the members are asked. "
    };
    let kept = if !day.turns.is_empty() && day.is_shut() {
        "What is kept stays here, though nothing is to be proposed on this day. "
    } else {
        ""
    };
    let show =
        |minute: &i64| MinuteOfDay::new(*minute).map_or_else(|_| String::new(), MinuteOfDay::show);
    let hours = day.hours.iter();
    let hours = hours.map(|(from, to)| format!("from {} to {}", show(from), show(to)));
    let hours = hours.collect::<Vec<_>>().join(" and ");
    let helpers = match day.helpers {
        None => String::new(),
        Some(n) => {
            let who = match day.feeders {
                f if f == n => format!("{n} can help"),
                f => format!("{n} can help, {f} of them at the rollers"),
            };
            if day.too_few {
                format!(
                    "{who}: too few, since nobody feeds the rollers alone, so nothing is proposed."
                )
            } else {
                format!("{who}; two or more are there {hours}.")
            }
        }
    };
    format!("{planned}{kept}{helpers}")
}

/// The reason why cane was left without a day, in words.
fn why_left(why: WhyLeft, units: Units) -> String {
    match why {
        WhyLeft::Full => "The days that suit it have no room left.",
        WhyLeft::NoDay => "No press day lies near enough to the days it is ready.",
        WhyLeft::Shut => "On the press days near enough nothing may be proposed.",
        WhyLeft::CannotCome => "The member cannot come on the press days that are near enough.",
        WhyLeft::Hours => {
            "The days that suit it have no room in the hours in which the member can come."
        }
        WhyLeft::NotWorth => "A day has room for it, but opening it would cost more than is saved.",
        WhyLeft::TooLittle => {
            let least = Grams::nearest(LEAST_PIECE_KG * 1000.0).show(units);
            return format!("It is too little for a turn of its own: less than {least}.");
        }
    }
    .to_owned()
}

/// Until when a pan burns, and whether that is after the mill has closed.
fn burns(day: &ProposedDay, until: DayMinute) -> String {
    let of = &day.room.day;
    let (shown, ends) = (of.clock.show(until), of.ends());
    if until <= ends {
        return format!(" The pan burns until about {shown}.");
    }
    let later = Minutes::new(until.get() - ends.get()).show();
    format!(
        " The pan burns until about {shown}, {later} after the mill stops: somebody must stay with it."
    )
}

/// How far mill, pans and vessels are taken by all turns of a day; empty: there is none.
fn loads_words(day: &ProposedDay) -> String {
    if day.turns.is_empty() && day.is_anew() {
        return String::new();
    }
    let loads = day.loads();
    let minutes = |load: Load<Minutes>| format!("{} of {}", load.taken.show(), load.of.show());
    let mut parts = vec![format!("mill {}", minutes(loads.mill))];
    if let Some(pans) = loads.pans {
        let name = if loads.pans_many == 1 { "pan" } else { "pans" };
        // A pan boils on after the mill has closed: then its minutes are no part of the day's.
        let over = pans.taken > pans.of;
        let taken = if over {
            pans.taken.show()
        } else {
            minutes(pans)
        };
        parts.push(format!("{name} {taken}"));
    }
    if let Some(vessels) = loads.vessels {
        parts.push(format!(
            "up to {} of {} vessels at a time",
            vessels.taken, vessels.of
        ));
    }
    let booked = if day.is_anew() {
        "Taken"
    } else {
        "Taken, with what is booked"
    };
    let until = loads
        .pans_until
        .map_or_else(String::new, |at| burns(day, at));
    format!("{booked}: {}.{until}", parts.join("; "))
}
