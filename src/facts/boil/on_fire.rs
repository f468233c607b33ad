//! A boil on the fire: as the watch takes it, and when it should be done.

use super::boils::Boil;
use crate::calc::boil::boil_watch::{self, Reading, Stage};
use crate::units::{BrixAt20C, Grams, UtcSecond};

impl Boil {
    /// The readings as the watch takes them, with what they came from; remarks alone are left out,
    /// and so is a Brix read before the pan is known to boil, which says nothing of when it does.
    pub fn readings_for_watch(&self) -> Vec<Reading> {
        let hot = |t: f64| t >= self.day.target.water.get() - 1.5;
        let boils_at = self
            .readings
            .iter()
            .position(|r| r.temp.is_some_and(|t| hot(t.get())));
        self.readings
            .iter()
            .enumerate()
            .filter(|(n, r)| r.temp.is_some() || boils_at.is_some_and(|b| *n >= b))
            .map(|(_, r)| Reading {
                at: r.read_at,
                temp: r.temp,
                brix: r.brix.and_then(|b| BrixAt20C::new(b.get()).ok()),
                depth_mm: None,
            })
            .filter(|r| r.temp.is_some() || r.brix.is_some())
            .collect()
    }

    /// The boil as the watch takes it; nothing without a pan, juice or a target above the juice.
    pub fn for_watch(&self) -> Option<boil_watch::Boil> {
        let under = self.under.as_ref()?;
        let settings = &under.settings;
        let (pan, rate_boils) = self
            .habit
            .pan(settings.area.get(), Some(settings.rate_l_m2_h));
        Some(boil_watch::Boil {
            lit: self.row.lit_at,
            solids: self.brought.solids,
            juice: self.expected?.brix,
            target: self.target()?,
            water: self.day.target.water,
            factor: self.habit.factor,
            pan,
            rate_boils,
        })
    }

    /// The finish aimed at.
    pub fn target(&self) -> Option<BrixAt20C> {
        BrixAt20C::new(self.row.target).ok()
    }

    /// When it should be done, on the fire: as its readings say, else as planned; never before the
    /// present.
    pub fn done_about(&self, at: UtcSecond) -> UtcSecond {
        let Some(of) = self.for_watch() else {
            return at;
        };
        let done = match boil_watch::watch(&of, &self.readings_for_watch()).stage {
            Stage::Going(_, forecast) | Stage::There(_, forecast) => forecast.finish,
            Stage::Heating | Stage::TooEarly(_) => {
                let water = self.expected.map_or(Grams::ZERO, |e| e.water);
                of.lit.plus(60 * of.pan.minutes_from_lighting(water).get())
            }
        };
        done.max(at)
    }
}
