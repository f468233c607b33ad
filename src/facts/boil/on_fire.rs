//! A boil on the fire: as the watch takes it, what the watch says of it, and when it should be done.

use super::boils::Boil;
use super::kept_watch::KeptWatch;
use crate::calc::boil::call::Call;
use crate::calc::boil::looked::Looked;
use crate::calc::boil::on_fire::{self, By, FIRE_DRAWN, FIRE_RELIT, Reading, Taught};
use crate::calc::boil::sums::Stage;
use crate::store::boil::boils;
use crate::store::{Conn, Stored};
use crate::units::{BrixAt20C, Grams, LotCode, UtcSecond};

/// What is called at a moment of the boils of these lots that are on the fire and can be watched.
pub async fn calls(
    conn: &mut Conn,
    lots: &[LotCode],
    at: UtcSecond,
) -> Stored<Vec<(LotCode, Call)>> {
    let mut all = Vec::new();
    for lot in lots {
        let Some(row) = boils::find(lot).ask(conn).await? else {
            continue;
        };
        let boil = Boil::read(conn, row).await?;
        if boil.row.stage() == Stage::Lit
            && let Some(mut watch) = boil.watch()
        {
            all.push((lot.clone(), watch.call_at(at)));
        }
    }
    Ok(all)
}

impl Boil {
    /// The readings as the watch takes them, by hand and of probes, in order of time; remarks alone are left
    /// out.
    pub fn readings_for_watch(&self) -> Vec<Reading> {
        let sent = self.probes.iter().flat_map(|probe| &probe.readings);
        let sent = sent.map(|read| Reading {
            at: read.at,
            temp: Some(read.temp),
            brix: None,
            fire: None,
            by: By::Probe,
            sure: false,
        });
        let mut all: Vec<Reading> = self
            .readings
            .iter()
            .map(|r| Reading {
                at: r.read_at,
                temp: r.temp,
                brix: r.brix.and_then(|b| BrixAt20C::new(b.get()).ok()),
                fire: on_fire::fire_said(&r.note),
                by: By::Hand,
                sure: on_fire::is_confirmed(&r.note),
            })
            .filter(|r| r.temp.is_some() || r.brix.is_some() || r.fire.is_some())
            .chain(sent)
            .collect();
        all.sort_by_key(|reading| reading.at);
        all
    }

    /// The boil as the watch takes it; nothing without a pan, juice or a target above the juice.
    pub fn for_watch(&self) -> Option<on_fire::Boil> {
        let under = self.under.as_ref()?;
        let settings = &under.settings;
        let (pan, rate_boils) = self
            .habit
            .pan(settings.area.get(), Some(settings.rate_l_m2_h));
        let k = self.habit.factor_learned.map(|learned| Taught {
            value: learned.middle,
            boils: learned.boils,
        });
        Some(on_fire::Boil {
            lit: self.row.lit_at,
            solids: self.brought.solids,
            juice: self.expected?.brix,
            target: self.target()?,
            water: self.day.target.water,
            k,
            pan,
            rate_boils,
        })
    }

    /// The watch of this boil, with all its readings taken in; nothing when it cannot be watched.
    pub fn watch(&self) -> Option<KeptWatch> {
        let (boil, readings) = (self.for_watch()?, self.readings_for_watch());
        Some(KeptWatch::of(boil, readings, self.fire_drawn()))
    }

    /// What the watch says at a moment; `None` when the boil cannot be watched.
    pub fn looked_at(&self, at: UtcSecond) -> Option<Looked> {
        Some(self.watch()?.look(at))
    }

    /// When the fire was drawn, if it was and was not lit again.
    pub fn fire_drawn(&self) -> Option<UtcSecond> {
        self.readings
            .iter()
            .rev()
            .find(|r| r.note == FIRE_DRAWN || r.note == FIRE_RELIT)
            .filter(|r| r.note == FIRE_DRAWN)
            .map(|r| r.read_at)
    }

    /// The Brix that the boil is to be finished at.
    pub fn target(&self) -> Option<BrixAt20C> {
        BrixAt20C::new(self.row.target).ok()
    }

    /// When a boil on the fire should be done: as its readings say, else as planned; never before the present, and
    /// at present once it is called there or the fire is drawn.
    pub fn done_about(&self, at: UtcSecond) -> UtcSecond {
        let Some(of) = self.for_watch() else {
            return at;
        };
        let looked = self.looked_at(at);
        if looked.as_ref().is_some_and(Looked::is_there) {
            return at;
        }
        let told = looked.and_then(|looked| looked.finish);
        let done = told.map_or_else(
            || {
                let water = self.expected.map_or(Grams::ZERO, |e| e.water);
                of.lit.plus(60 * of.pan.minutes_from_lighting(water).get())
            },
            |forecast| forecast.finish,
        );
        done.max(at)
    }
}
