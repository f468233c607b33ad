//! The pans of a press day in charges, as they will be lit: which juice stands in which vessel and
//! goes on the fire when. Knows no members and no turns by name; see `day_room`.
//!
//! What is taken for granted:
//! - The mill presses one turn after another; the juice of each runs evenly while its cane is pressed.
//! - A vessel holds the juice of one turn. Juice runs into the smallest empty vessel that takes what is
//!   still to come of its turn; where none does, into the largest empty one, and then into the next.
//! - When a vessel is full, or its turn pressed, its juice settles. The time it may be held runs from
//!   the first of it that came into the vessel until it is on the fire.
//! - A free pan is lit as soon as its least charge has settled, oldest juice first, with its greatest
//!   charge at most. Below its least charge it is lit only with juice that nothing more comes to, or
//!   that may wait no longer.
//! - Who does not pool is boiled alone; all others together.
//! - Of several free pans the smallest that takes all that has settled is lit, else the largest.

/// The juice of one turn.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct TurnJuice {
    /// When its cane comes to the rollers, in seconds that the day has run.
    pub start_s: i64,
    /// How long its cane is pressed, seconds; above nought.
    pub presses_s: i64,
    /// All its juice, mL; above nought.
    pub ml: i64,
    /// Whether it may be boiled together with the juice of others.
    pub pools: bool,
}

/// Size and speed of a pan.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct PanSize {
    /// Least charge, mL.
    pub least: i64,
    /// Greatest charge, mL; above nought.
    pub most: i64,
    /// Juice it boils down in an hour, mL; above nought.
    pub ml_per_h: i64,
    /// Heating up, finishing, draining and cleaning of each charge, seconds.
    pub round_s: i64,
}

impl PanSize {
    /// Seconds that a charge takes the pan, from lighting it to the next.
    pub const fn seconds(&self, ml: i64) -> i64 {
        self.round_s + (ml * 3600 + self.ml_per_h - 1) / self.ml_per_h
    }
}

/// Vessels, pans and times of a mill.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Equipment {
    /// Volume of each vessel, mL; empty: none is kept, and there are as many as are needed, each of the
    /// greatest charge.
    pub vessels: Vec<i64>,
    /// The pans; never empty.
    pub pans: Vec<PanSize>,
    /// How long juice settles, seconds.
    pub settles_s: i64,
    /// How long juice may be held, seconds.
    pub hold_s: i64,
}

/// A charge of a pan.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Charge {
    /// Place of the pan in the list given.
    pub pan: usize,
    /// When it is lit, in seconds that the day has run.
    pub lit_s: i64,
    /// When the pan is free again, in seconds that the day has run.
    pub free_s: i64,
    /// Juice in it, mL.
    pub ml: i64,
}

/// Juice that no vessel was empty for.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Overflow {
    /// Place of its turn in the list given.
    pub turn: usize,
    /// When it runs over, in seconds that the day has run.
    pub at_s: i64,
    /// How much of that turn's juice was still to come, mL.
    pub ml: i64,
}

/// A day's charges and what they come to.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Plan {
    /// The charges, in the order they are lit.
    pub charges: Vec<Charge>,
    /// The longest that juice of each turn waits before it is on the fire, seconds.
    pub waits_s: Vec<i64>,
    /// Where the vessels would overflow, if they would: nothing is planned after that.
    pub overflow: Option<Overflow>,
    /// Most vessels that hold juice at any one time.
    pub vessels_most: usize,
}

/// Plans a day: its juices in the order they are pressed.
pub fn plan(equipment: &Equipment, juices: &[TurnJuice]) -> Plan {
    let mut day = Day::new(equipment, juices);
    loop {
        day.close_vessel();
        day.light_pans();
        if let Err(overflow) = day.open_vessel() {
            day.plan.overflow = Some(overflow);
            break;
        }
        match day.next_moment() {
            Some(next) => day.clock = next,
            None => break,
        }
    }
    day.plan
}

/// Juice in a vessel that is not filled any more.
#[derive(Debug, Clone, Copy)]
struct StandingJuice {
    turn: usize,
    vessel: usize,
    first_s: i64,
    settled_s: i64,
    ml: i64,
}

/// Juice that runs into a vessel.
#[derive(Debug, Clone, Copy)]
struct Running {
    vessel: usize,
    first_s: i64,
    until_s: i64,
    ml: i64,
}

struct Day<'a> {
    equipment: &'a Equipment,
    juices: &'a [TurnJuice],
    clock: i64,
    /// The turn at the mill, or the next one.
    turn: usize,
    /// When the turn at the mill began to run, and how much of it stands in vessels that are full.
    began_s: i64,
    run_ml: i64,
    running: Option<Running>,
    /// The juice that stands in vessels, the oldest first.
    standing: Vec<StandingJuice>,
    vessels: Vec<i64>,
    empty: Vec<bool>,
    free_s: Vec<i64>,
    /// Place after that of the last turn whose juice may be pooled.
    pools_until: usize,
    plan: Plan,
}

impl<'a> Day<'a> {
    fn new(equipment: &'a Equipment, juices: &'a [TurnJuice]) -> Self {
        Self {
            equipment,
            juices,
            clock: juices.first().map_or(0, |juice| juice.start_s),
            turn: 0,
            began_s: 0,
            run_ml: 0,
            running: None,
            standing: Vec::with_capacity(2 * juices.len()),
            vessels: equipment.vessels.clone(),
            empty: vec![true; equipment.vessels.len()],
            free_s: vec![i64::MIN; equipment.pans.len()],
            pools_until: juices.iter().rposition(|j| j.pools).map_or(0, |n| n + 1),
            plan: Plan {
                charges: Vec::with_capacity(juices.len()),
                waits_s: vec![0; juices.len()],
                overflow: None,
                vessels_most: 0,
            },
        }
    }

    /// A vessel is full, or its turn is pressed: its juice begins to settle.
    fn close_vessel(&mut self) {
        let Some(running) = self.running.take_if(|r| r.until_s <= self.clock) else {
            return;
        };
        self.standing.push(StandingJuice {
            turn: self.turn,
            vessel: running.vessel,
            first_s: running.first_s,
            settled_s: self.clock + self.equipment.settles_s,
            ml: running.ml,
        });
        self.run_ml += running.ml;
        if self.run_ml == self.juices[self.turn].ml {
            self.turn += 1;
            self.run_ml = 0;
        }
    }

    /// Lets the juice of the turn at the mill run into an empty vessel.
    fn open_vessel(&mut self) -> Result<(), Overflow> {
        let Some(juice) = self.juices.get(self.turn) else {
            return Ok(());
        };
        if self.running.is_some() || juice.start_s > self.clock {
            return Ok(());
        }
        if self.run_ml == 0 {
            self.began_s = self.clock;
        }
        let rest = juice.ml - self.run_ml;
        let vessel = self.empty_vessel(rest).ok_or(Overflow {
            turn: self.turn,
            at_s: self.clock,
            ml: rest,
        })?;
        self.empty[vessel] = false;
        let taken = self.empty.iter().filter(|empty| !**empty).count();
        self.plan.vessels_most = self.plan.vessels_most.max(taken);
        let ml = rest.min(self.vessels[vessel]);
        let until = ((self.run_ml + ml) * juice.presses_s + juice.ml - 1) / juice.ml;
        self.running = Some(Running {
            vessel,
            first_s: self.clock,
            until_s: self.began_s + until,
            ml,
        });
        Ok(())
    }

    fn empty_vessel(&mut self, rest: i64) -> Option<usize> {
        if self.equipment.vessels.is_empty() {
            let most = self.equipment.pans.iter().map(|pan| pan.most).max()?;
            self.vessels.push(most);
            self.empty.push(true);
            return Some(self.vessels.len() - 1);
        }
        let empty = (0..self.vessels.len()).filter(|n| self.empty[*n]);
        smallest_that_takes(empty, rest, |n| self.vessels[n])
    }

    fn light_pans(&mut self) {
        while self.free_s.iter().any(|free| *free <= self.clock) {
            let Some((oldest, ml, pan)) = self.next_charge() else {
                return;
            };
            self.light(oldest, ml, pan);
        }
    }

    /// The juice that is lit next, by the place of its oldest, how much of it, and in which pan.
    fn next_charge(&self) -> Option<(usize, i64, usize)> {
        let mut pool_tried = false;
        for (oldest, one) in self.standing.iter().enumerate() {
            let pools = self.juices[one.turn].pools;
            let tried = if pools {
                pool_tried
            } else {
                self.standing[..oldest].iter().any(|o| o.turn == one.turn)
            };
            if tried {
                continue;
            }
            pool_tried |= pools;
            let settled: i64 = self.settled_with(one).map(|n| self.standing[n].ml).sum();
            if settled > 0
                && let Some(pan) = self.free_pan(settled, self.may_be_short(one))
            {
                return Some((oldest, settled.min(self.equipment.pans[pan].most), pan));
            }
        }
        None
    }

    /// Settled juice that is boiled together with that one, oldest first.
    fn settled_with<'s>(
        &'s self,
        one: &'s StandingJuice,
    ) -> impl Iterator<Item = usize> + use<'s, 'a> {
        (0..self.standing.len()).filter(move |n| {
            let other = &self.standing[*n];
            other.settled_s <= self.clock && self.together(one.turn, other.turn)
        })
    }

    fn together(&self, one: usize, other: usize) -> bool {
        one == other || (self.juices[one].pools && self.juices[other].pools)
    }

    /// Whether it would be lit below the least charge, too: it may wait no longer, or nothing comes to
    /// it any more.
    fn may_be_short(&self, one: &StandingJuice) -> bool {
        let unsettled = |other: &StandingJuice| {
            other.settled_s > self.clock && self.together(one.turn, other.turn)
        };
        let still_pressed = if self.juices[one.turn].pools {
            self.turn < self.pools_until
        } else {
            self.turn == one.turn
        };
        one.first_s + self.equipment.hold_s <= self.clock
            || !(still_pressed || self.standing.iter().any(unsettled))
    }

    fn free_pan(&self, settled: i64, may_be_short: bool) -> Option<usize> {
        let pans = &self.equipment.pans;
        let free = (0..pans.len()).filter(|n| self.free_s[*n] <= self.clock);
        let covered = free.clone().filter(|n| pans[*n].least <= settled);
        smallest_that_takes(covered, settled, |n| pans[n].most).or_else(|| {
            may_be_short
                .then(|| smallest_that_takes(free, settled, |n| pans[n].most))
                .flatten()
        })
    }

    fn light(&mut self, oldest: usize, ml: i64, pan: usize) {
        let one = self.standing[oldest];
        let drawn: Vec<usize> = self.settled_with(&one).collect();
        let mut left = ml;
        for n in drawn {
            let draw = left.min(self.standing[n].ml);
            if draw == 0 {
                break;
            }
            left -= draw;
            let from = &mut self.standing[n];
            from.ml -= draw;
            let waited = self.clock - from.first_s;
            let longest = &mut self.plan.waits_s[from.turn];
            *longest = waited.max(*longest);
            self.empty[from.vessel] = from.ml == 0;
        }
        self.standing.retain(|juice| juice.ml > 0);
        let free_s = self.clock + self.equipment.pans[pan].seconds(ml);
        self.free_s[pan] = free_s;
        self.plan.charges.push(Charge {
            pan,
            lit_s: self.clock,
            free_s,
            ml,
        });
    }

    /// When something may happen next; `None` once the last charge is lit.
    fn next_moment(&self) -> Option<i64> {
        let mill = match self.running {
            Some(running) => Some(running.until_s),
            None => self.juices.get(self.turn).map(|juice| juice.start_s),
        };
        if mill.is_none() && self.standing.is_empty() {
            return None;
        }
        let juice = self
            .standing
            .iter()
            .flat_map(|one| [one.settled_s, one.first_s + self.equipment.hold_s]);
        juice
            .chain(self.free_s.iter().copied())
            .chain(mill)
            .filter(|at| *at > self.clock)
            .min()
    }
}

/// The place of the smallest size that takes this much; if none does, that of the largest.
fn smallest_that_takes(
    places: impl Iterator<Item = usize> + Clone,
    ml: i64,
    size: impl Fn(usize) -> i64,
) -> Option<usize> {
    places
        .clone()
        .filter(|n| size(*n) >= ml)
        .min_by_key(|n| size(*n))
        .or_else(|| places.max_by_key(|n| size(*n)))
}

#[cfg(test)]
#[path = "pan_charges_tests.rs"]
mod tests;
