//! Turns that are booked and turns that members were asked about, as text ready to print.

use super::rows::Writer;
use crate::calc::turns::starts::{Span, span_words};
use crate::facts::season::proposal_days::ProposedDay;
use crate::facts::season::proposal_fields::{How, Spoken};
use crate::units::{PlantingId, UtcSecond};

/// A turn that is booked, or that its member was asked about.
pub(super) struct AskedRow {
    pub(super) when: String,
    pub(super) member: String,
    pub(super) planted: String,
    pub(super) cane: String,
    pub(super) state: String,
    pub(super) look: &'static str,
    /// What has come to stand against that turn; empty: nothing.
    pub(super) against: &'static str,
}

/// How many turns are booked, asked about, or not taken.
#[derive(Clone, Copy, Default)]
pub(super) struct Counts {
    pub(super) booked: usize,
    pub(super) asked: usize,
    /// Turns not answered in time, or declined.
    pub(super) not_taken: usize,
}

impl Writer<'_> {
    /// The turns and offers on the days that are still to come, with how they stand.
    pub(super) fn asked(&self, at: UtcSecond) -> (Vec<AskedRow>, Counts) {
        let mut counts = Counts::default();
        let mut rows = Vec::new();
        for one in &self.of.spoken {
            let Some(day) = self.of.days.iter().find(|d| d.day.date == one.date) else {
                continue;
            };
            match one.how {
                How::Booked => counts.booked += 1,
                How::Asked(_) => counts.asked += 1,
                How::RanOut | How::Declined => counts.not_taken += 1,
            }
            rows.push(self.asked_row(one, day, at));
        }
        (rows, counts)
    }

    fn asked_row(&self, one: &Spoken, day: &ProposedDay, at: UtcSecond) -> AskedRow {
        let clock = self.zone.clock(one.date);
        let span = Span::kept(&clock, one.start, one.minutes);
        let mut hours = day.hours.iter();
        let staffed = hours.any(|(from, to)| day.room.within(span, (Some(*from), Some(*to))));
        let night = self.of.forecast.as_ref().and_then(|f| f.night);
        let frozen = night.is_some_and(|night| one.date > night);
        let (state, look) = match one.how {
            How::Booked => ("booked".to_owned(), "ok"),
            How::Asked(until) if until <= at => ("not answered in time".to_owned(), "bad"),
            How::Asked(until) => {
                let until = self.zone.show_by(until, at);
                (format!("asked, may answer by {until}"), "warn")
            }
            How::RanOut => ("not answered in time".to_owned(), "bad"),
            How::Declined => ("not wanted".to_owned(), "bad"),
        };
        AskedRow {
            when: format!(
                "{}, {}",
                one.date.show(),
                span_words(&clock, one.start, one.minutes)
            ),
            member: one.member.to_string(),
            planted: self.varieties(&one.named),
            cane: one.cane.show(self.units),
            state,
            look,
            against: if !one.counts() {
                ""
            } else if !staffed {
                "too few people at the rollers then"
            } else if frozen {
                "after the frost that is forecast"
            } else {
                ""
            },
        }
    }

    /// The plantings that a turn was offered for, by variety.
    fn varieties<T>(&self, named: &[(PlantingId, T)]) -> String {
        let all = || self.of.fields.iter().chain(&self.of.done);
        let name = |id: PlantingId| all().find(|f| f.planting.id == id);
        let found = named.iter().filter_map(|(id, _)| name(*id));
        let mut said: Vec<&str> = found.map(|f| f.planting.variety.as_str()).collect();
        said.dedup();
        said.join(", ")
    }
}
