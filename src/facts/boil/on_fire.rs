//! A boil on the fire: as the watch takes it, what the watch says of it, and when it should be done.

use super::boils::Boil;
use super::kept_watch::KeptWatch;
use crate::calc::boil::fire::belief_at::BeliefAt;
use crate::calc::boil::fire::call::Call;
use crate::calc::boil::fire::on_fire::{self, By, Done, Pour, Reading, Taught};
use crate::calc::boil::fire::probe_sense::{Amiss, Use, sense};
use crate::calc::boil::poured_later::{poured_later, with_lighting_until};
use crate::calc::boil::probes::TempAt;
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
    /// The readings as the watch takes them, by hand and of probes, with what was done to the fire and poured in, in order
    /// of time; other remarks alone are left out, and what a probe sent that cannot be believed.
    pub fn readings_for_watch(&self) -> Vec<Reading> {
        let by_hand = self.by_hand();
        let water = self.day.target.water;
        let sent = self.probes.iter();
        let sent = sent.flat_map(|probe| sense(&probe.readings, &by_hand, water).readings);
        let mut all: Vec<Reading> = sent
            .map(|read| Reading {
                at: read.at,
                temp: Some(read.temp),
                brix: None,
                done: None,
                by: By::Probe,
                sure: false,
            })
            .collect();
        all.splice(0..0, by_hand);
        all.sort_by_key(|reading| reading.at);
        all
    }

    /// What is amiss with the probes of the boil.
    pub fn probes_amiss(&self) -> Vec<Amiss> {
        let (by_hand, water) = (self.by_hand(), self.day.target.water);
        let probes = self.probes.iter();
        probes
            .filter_map(|probe| sense(&probe.readings, &by_hand, water).amiss)
            .collect()
    }

    /// The newest figure of a probe, put right where it is off by one and the same difference, if the finish shows so much.
    pub fn probe_at_finish(&self) -> Option<TempAt> {
        let (by_hand, finish) = (self.by_hand(), &self.day.target);
        let newest = self.probes.iter().filter_map(|probe| {
            let sensed = sense(&probe.readings, &by_hand, finish.water);
            match sensed.amiss {
                Some(Amiss::Apart {
                    how: Use::Corrected,
                    ..
                }) => sensed.readings.last().copied(),
                _ => probe.readings.last().copied(),
            }
        });
        let least = finish.temp.get() - finish.plus_minus.get();
        let newest = newest.max_by_key(|read| read.at)?;
        (newest.temp.get() >= least).then_some(newest)
    }

    /// What was noted by hand, and poured in after it was lit, by time.
    fn by_hand(&self) -> Vec<Reading> {
        let read = self.readings.iter().map(|r| Reading {
            at: r.read_at,
            temp: r.temp,
            brix: r.brix.and_then(|b| BrixAt20C::new(b.get()).ok()),
            done: on_fire::fire_said(&r.note).map(Done::Fire),
            by: By::Hand,
            sure: on_fire::is_confirmed(&r.note),
        });
        let read = read.filter(|r| r.temp.is_some() || r.brix.is_some() || r.done.is_some());
        let poured = self.pours().into_iter().map(|(at, pour)| Reading {
            at,
            temp: None,
            brix: None,
            done: Some(Done::Poured(pour)),
            by: By::Hand,
            sure: false,
        });
        let mut all: Vec<Reading> = read.chain(poured).collect();
        all.sort_by_key(|reading| reading.at);
        all
    }

    /// What was poured in after it was lit, and when that was written down.
    fn pours(&self) -> Vec<(UtcSecond, Pour)> {
        let first = self.drawn.iter().map(|then| then.at).min();
        let read = self
            .readings
            .iter()
            .filter(|r| r.temp.is_some() || r.brix.is_some());
        let until = with_lighting_until(self.row.lit_at, first, read.map(|r| r.at).min());
        let mut out = Vec::new();
        for juice in &self.pan {
            let own: Vec<(UtcSecond, Grams)> = self
                .drawn
                .iter()
                .filter(|then| then.juice_id == juice.row.id)
                .map(|then| (then.at, then.amount))
                .collect();
            for later in poured_later(until, &own) {
                let part = |of: Grams| Grams::nearest(later.share * of.as_f64());
                let pour = Pour {
                    solids: part(juice.part.solids),
                    water: part(juice.part.mass - juice.part.solids),
                    temp: juice.row.temp,
                    plain: later.plain,
                };
                out.push((later.at, pour));
            }
        }
        out
    }

    /// The boil as it was lit: without what was poured in since.
    fn as_lit(&self) -> Option<on_fire::Boil> {
        let all = self.for_watch()?;
        let pours = self.pours();
        if pours.is_empty() {
            return Some(all);
        }
        let later: Grams = pours.iter().map(|(_, pour)| pour.solids).sum();
        let water: Grams = pours.iter().map(|(_, pour)| pour.water).sum();
        let solids = all.solids - later;
        let mass = self.brought.mass - later - water;
        Some(on_fire::Boil {
            solids,
            juice: BrixAt20C::new(100.0 * solids.as_f64() / mass.as_f64().max(1.0)).ok()?,
            ..all
        })
    }

    /// The boil with all that is in it; nothing without a pan, juice or a target above the juice.
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
        let mut watch = KeptWatch::of(self.as_lit()?, self.readings_for_watch());
        watch.probe_at_finish(self.probe_at_finish().map(|read| read.at));
        let amiss = self.probes_amiss();
        watch.probe_counts_until(amiss.iter().find_map(Amiss::counts_until));
        Some(watch)
    }

    /// What the watch says at a moment; `None` when the boil cannot be watched.
    pub fn looked_at(&self, at: UtcSecond) -> Option<BeliefAt> {
        Some(self.watch()?.look(at))
    }

    /// The finish aimed at.
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
        if looked.as_ref().is_some_and(BeliefAt::is_there) {
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
