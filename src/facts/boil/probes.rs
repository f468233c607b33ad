//! Probes with their offsets, and what they sent of a boil, with the offset taken off.

use super::finish_of_day::height;
use super::season_boils::SeasonBoils;
use crate::calc::boil::probes::{TempAt, corrected};
use crate::calc::physics::elevation::WaterBoil;
use crate::store::boil::probes::{self, Offset, Probe};
use crate::store::people::coop;
use crate::store::turns::press_days;
use crate::store::{Conn, Question, StoreError, Stored, Together};
use crate::units::{BoilId, Celsius, ProbeId, UtcSecond};

/// A probe with what is known of its offset.
#[derive(Debug, Clone)]
pub struct KnownProbe {
    /// The probe.
    pub probe: Probe,
    /// The offsets learned in boiling water, in order of time.
    pub offsets: Vec<Offset>,
}

impl KnownProbe {
    /// A probe with its own of the offsets of all.
    fn of(probe: Probe, offsets: &[(ProbeId, Offset)]) -> Self {
        let own = offsets.iter().filter(|(of, _)| *of == probe.id);
        Self {
            offsets: own.map(|(_, offset)| offset.clone()).collect(),
            probe,
        }
    }

    /// Reads the probe with this id.
    pub fn find(id: ProbeId) -> Question<Option<Self>> {
        let found = (probes::find(id), probes::offsets()).together();
        found.map(|(probe, offsets)| probe.map(|probe| Self::of(probe, &offsets)))
    }

    /// All probes, those whose token is taken first.
    pub fn list() -> Question<Vec<Self>> {
        let found = (probes::list(), probes::offsets()).together();
        found.map(|(all, offsets)| {
            let all = all.into_iter();
            all.map(|probe| Self::of(probe, &offsets)).collect()
        })
    }

    /// A reading with the offset taken off that was learned last before it; as it is when none was.
    pub fn corrected(&self, read: TempAt) -> TempAt {
        let learned = self.offsets.iter().rev().find(|o| o.at <= read.at);
        TempAt {
            temp: learned.map_or(read.temp, |o| corrected(read.temp, o.off())),
            ..read
        }
    }

    /// Its last reading, with the offset taken off.
    pub fn last(&self) -> Option<TempAt> {
        self.probe.last.map(|last| self.corrected(last.read))
    }
}

/// A probe of a boil with what it sent of it.
#[derive(Debug, Clone)]
pub struct ProbeOfBoil {
    /// The probe.
    pub known: KnownProbe,
    /// What it read in this boil, thinned but for the newest, by time, with its offset taken off.
    pub readings: Vec<TempAt>,
}

/// The probes that stand in the pan of a boil or sent something of it.
pub fn of_boil(boil: BoilId) -> Question<Vec<ProbeOfBoil>> {
    let found = (
        probes::of_boil(boil),
        probes::kept_of_boil(boil),
        probes::offsets(),
    );
    found.together().map(move |(all, kept, offsets)| {
        let one = |probe: Probe| {
            let own = kept.iter().filter(|(of, _)| *of == probe.id);
            let mut raw: Vec<TempAt> = own.map(|(_, read)| *read).collect();
            let newest = probe.last.filter(|last| last.boil == Some(boil));
            let after = raw.last().map(|kept| kept.at);
            raw.extend(
                newest
                    .map(|last| last.read)
                    .filter(|read| after.is_none_or(|kept| kept < read.at)),
            );
            let known = KnownProbe::of(probe, &offsets);
            let readings = raw.into_iter().map(|read| known.corrected(read)).collect();
            ProbeOfBoil { known, readings }
        };
        all.into_iter().map(one).collect()
    })
}

/// Boiling point of water at the mill on one civil day.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct WaterOfDay {
    /// Temperature at which water boils.
    pub boils_at: Celsius,
    /// Whether somebody read it that day; else it is by the mill's height.
    pub measured: bool,
}

impl WaterOfDay {
    /// As it was read that morning, else when a boil was lit that day, else by the mill's height.
    pub async fn read(conn: &mut Conn, at: UtcSecond) -> Stored<Self> {
        let corrupt = |found: String| StoreError::Corrupt {
            what: "coop.altitude_m",
            found,
        };
        let card = coop::find()
            .ask(conn)
            .await?
            .ok_or_else(|| corrupt("no card of the co-op".to_owned()))?;
        let day = press_days::of_date(card.zone.local(at).0).ask(conn).await?;
        let mut measured = None;
        if let Some(day) = day {
            let season = SeasonBoils::read(conn, day.season_id).await?;
            measured = season.water_of_day(day.id);
        }
        if let Some(boils_at) = measured {
            return Ok(Self {
                boils_at,
                measured: true,
            });
        }
        let (boils_at, _) = WaterBoil::Altitude(height().ask(conn).await?)
            .known()
            .map_err(|refusal| corrupt(refusal.sentence))?;
        Ok(Self {
            boils_at,
            measured: false,
        })
    }
}
