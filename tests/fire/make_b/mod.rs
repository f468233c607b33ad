//! Simulated boils of another make: no heat balance, but what a practitioner has in his notebook. Water leaves by
//! a power law of depth and thickness, the fire is stoked and dies down, the pan foams over and is damped, thermometers
//! stand in warm and cold spots, the weather's pressure goes on after the morning's reading of boiling water, the rise of
//! the boiling point comes from printed tables, and drops are read hot, late and to the nearest five.
//!
//! What it leaves out: juice added while it boils, syrup drawn in parts, scorching, an open thermometer case in the steam.

pub mod chance;
pub mod fire;
pub mod glass;
pub mod pan;
pub mod rise;

use crate::fire::face::{Boil, Cell, KKnown, Known, Make, Setup};
use chance::{Chance, Stray};
use fire::Fire;
use glass::{Refractometer, Thermometer};
use pan::Pan;
use rise::{Rise, water_boils_c};

/// Minutes of one step; a boil goes on by whole steps, so that looks and readings leave it as it was.
const STEP_MIN: f64 = 0.025;
/// Under this share of the mean fire a pan no longer boils.
const BOILS_ABOVE: f64 = 0.12;

/// Weather over the day.
#[derive(Debug, Clone)]
struct Weather {
    /// When the fire was lit, hPa.
    lit_hpa: f64,
    /// On the way since, hPa a minute.
    goes: f64,
    hpa: f64,
}

/// Scum, foam and boiling over.
#[derive(Debug, Clone)]
struct Scum {
    /// Share of solids that goes with it, all told.
    loss: f64,
    /// °Bx at which it is clear.
    clear_at: f64,
    /// Boilings over a minute while it foams.
    rises: f64,
    /// Foam about the bulb: 1 just boiled over, 0 none.
    foam: f64,
    /// Foam of 1 takes so much off what the bulb feels, °C.
    cools_c: f64,
}

/// Spots of a pan that is not yet well stirred by its own boil.
#[derive(Debug, Clone)]
struct Spots {
    /// Where the thermometer hangs, deviation about 1, and what it comes to early and late, °C.
    wander: Stray,
    early_c: f64,
    late_c: f64,
    /// The stand slips, °C a minute.
    slips: f64,
}

/// The cook.
#[derive(Debug, Clone)]
struct Cook {
    eases: bool,
    /// Lets the fire down to this share.
    down_to: f64,
    /// By laying on no more wood, too.
    feeds_on: bool,
    /// Eases unasked when it is this thick, °Bx.
    unasked_at: Option<f64>,
}

/// One simulated boil.
#[derive(Debug, Clone)]
pub struct Sim {
    setup: Setup,
    pan: Pan,
    true_k: f64,
    rise: Rise,
    fire: Fire,
    weather: Weather,
    scum: Scum,
    spots: Spots,
    cook: Cook,
    by_hand: Thermometer,
    probe: Thermometer,
    refractometer: Refractometer,
    /// Where water boiled in the morning, °C, truly.
    morning_c: f64,
    steps: u32,
    solids_kg: f64,
    water_kg: f64,
    /// Minutes of simmering before the boil is full.
    comes_up_min: f64,
    /// Below its boil by so much, °C, since the fire has gone.
    cooled_c: f64,
    goes_on: Chance,
    hand: Chance,
}

impl Make for Sim {
    fn new(seed: u64, cell: Cell) -> Self {
        let mut chance = Chance::new(seed, 0xb0);
        let mut pan = Pan::new(&mut chance);
        let true_k = chance.between(cell.k_range.0, cell.k_range.1);
        let weights = [(); 4].map(|()| chance.unit().powi(2) + 0.01);
        let rise = Rise::new(weights, true_k, pan.target_brix);
        let by_hand = Thermometer::by_hand(pan.starts_c, &mut chance);
        let probe = Thermometer::probe_beside(&by_hand, pan.starts_c, &mut chance);
        let morning_hpa = chance.between(915.0, 1025.0);
        let morning_c = water_boils_c(morning_hpa);
        let weather = Weather::new(morning_hpa, &mut chance);
        let setup = setup(&pan, &by_hand, morning_c, true_k, cell, &mut chance);
        // This boil's wood is not the mean of all boils' wood.
        pan.scale_flux(chance.factor(0.10));
        let solids_kg = pan.juice_kg * pan.juice_brix / 100.0;
        let own_heat_min = pan.own_heat_min(&mut chance);
        Self {
            setup,
            true_k,
            rise,
            fire: Fire::new(own_heat_min, &mut chance),
            weather,
            scum: Scum::new(&mut chance),
            spots: Spots::new(&mut chance),
            cook: Cook::new(cell.eased, &mut chance),
            by_hand,
            probe,
            refractometer: Refractometer::new(&mut chance),
            morning_c,
            steps: 0,
            solids_kg,
            water_kg: pan.juice_kg - solids_kg,
            comes_up_min: chance.between(1.0, 5.0),
            cooled_c: 0.0,
            goes_on: Chance::new(seed, 0xb1),
            hand: Chance::new(seed, 0xb2),
            pan,
        }
    }

    fn true_k(&self) -> f64 {
        self.true_k
    }
}

/// What the mill knows of it, with its errors: juice weighed to 2 %, its Brix read to 3 %.
fn setup(
    pan: &Pan,
    by_hand: &Thermometer,
    morning_c: f64,
    k: f64,
    cell: Cell,
    chance: &mut Chance,
) -> Setup {
    let juice_brix = pan.juice_brix * (1.0 + chance.normal_within(0.013, 0.03));
    let juice_kg = pan.juice_kg * (1.0 + chance.normal_within(0.01, 0.02));
    let mean = pan.mean_flux();
    // Thrown whatever the cell, so that cells of the same seed differ in nothing else.
    let (k_off, rate_off) = (chance.normal(), chance.normal());
    let starts_with_makers = chance.happens(0.5);
    let (k, rate_l_m2_h, rate_boils) = match cell.k_known {
        KKnown::Learned { boils } => {
            let spread = 0.04 + 0.12 / f64::from(boils.max(1)).sqrt();
            (
                Some((k + 0.03 * k_off, boils)),
                mean * (spread * rate_off).exp(),
                boils,
            )
        }
        // A gallon a square foot an hour, the trade's round figure, or a guess at the pan.
        KKnown::Unknown if starts_with_makers => (None, 40.7, 0),
        KKnown::Unknown => (None, mean * (0.3 * rate_off).exp(), 0),
    };
    Setup {
        solids_g: juice_kg * juice_brix * 10.0,
        juice_brix: (juice_brix * 10.0).round() / 10.0,
        target_brix: pan.target_brix,
        water_c: by_hand.read_water(morning_c, chance),
        k,
        area_m2: pan.area_m2,
        rate_l_m2_h,
        rate_boils,
    }
}

impl Weather {
    fn new(morning_hpa: f64, chance: &mut Chance) -> Self {
        // 3 hPa either way from the morning until five hours after lighting, at most.
        let by_then = chance.between(-3.0, 3.0);
        let lit_share = chance.between(0.1, 0.6);
        let lit_hpa = morning_hpa + by_then * lit_share;
        Self {
            lit_hpa,
            goes: by_then * (1.0 - lit_share) / 300.0,
            hpa: lit_hpa,
        }
    }
}

impl Scum {
    fn new(chance: &mut Chance) -> Self {
        Self {
            loss: chance.between(0.0, 0.06),
            clear_at: chance.between(22.0, 45.0),
            rises: chance.weighed([(0.4, 0.0), (0.4, 0.012), (0.2, 0.04)]),
            foam: 0.0,
            cools_c: chance.between(0.2, 1.5),
        }
    }
}

impl Spots {
    fn new(chance: &mut Chance) -> Self {
        Self {
            wander: Stray::new(1.0, chance.log_between(3.0, 25.0), chance),
            early_c: chance.between(0.2, 0.6),
            late_c: chance.between(0.05, 0.3),
            slips: chance.normal_within(0.12, 0.3) / 60.0,
        }
    }

    /// °C between the thermometer's spot and the pan, within 1 °C but for a slipping stand.
    fn off_c(&self, brix: f64, min: f64) -> f64 {
        // A pan stirs itself better the harder and the thicker it boils.
        let late = ((brix - 20.0) / 30.0).clamp(0.0, 1.0);
        let wide = self.early_c + (self.late_c - self.early_c) * late;
        (self.wander.value * wide).clamp(-1.0, 1.0) + self.slips * min.min(240.0)
    }
}

impl Cook {
    fn new(eases: bool, chance: &mut Chance) -> Self {
        let (down_to, feeds_on) = (chance.between(0.40, 0.85), chance.happens(0.6));
        let (unasked, at) = (chance.happens(0.3), chance.between(68.0, 76.0));
        Self {
            eases,
            down_to,
            feeds_on,
            unasked_at: (eases && unasked).then_some(at),
        }
    }
}

impl Sim {
    /// Minutes since the fire was lit.
    fn min(&self) -> f64 {
        f64::from(self.steps) * STEP_MIN
    }

    /// What burns, how deep, how fast: for a reader of the table.
    pub fn pan(&self) -> &Pan {
        &self.pan
    }

    /// Where water truly boiled this morning, °C.
    pub fn morning_c(&self) -> f64 {
        self.morning_c
    }

    /// Solids that are still in the pan, kg.
    pub fn solids_kg(&self) -> f64 {
        self.solids_kg
    }

    /// What the fire gives now; 1 is its mean.
    pub fn fire_gives(&self) -> f64 {
        self.fire.reaches_pan()
    }

    /// The pan's true temperature, °C.
    pub fn pan_c(&self) -> f64 {
        let boils = water_boils_c(self.weather.hpa) + self.rise.at(self.brix(), self.weather.hpa);
        let share = (self.min() / self.pan.heat_up_min).min(1.0);
        self.pan.starts_c + (boils - self.pan.starts_c) * share.powf(1.15) - self.cooled_c
    }

    fn step(&mut self) {
        self.steps += 1;
        let min = self.min();
        self.fire.step(min, STEP_MIN, &mut self.goes_on);
        self.weather.hpa = self.weather.lit_hpa + self.weather.goes * min;
        self.evaporate(min);
        self.skim(min);
        if self.cook.unasked_at.is_some_and(|at| self.brix() >= at) {
            self.ease();
        }
        if self.fire.reaches_pan() < BOILS_ABOVE {
            self.cooled_c += 0.4 * STEP_MIN;
        } else {
            self.cooled_c -= self.cooled_c * STEP_MIN;
        }
        self.spots.wander.step(STEP_MIN, &mut self.goes_on);
        let feels =
            self.pan_c() + self.spots.off_c(self.brix(), min) - self.scum.foam * self.scum.cools_c;
        self.by_hand.feel(feels, STEP_MIN);
        self.probe.feel(feels, STEP_MIN);
    }

    /// Water leaves: a little while it heats, more as it simmers, by the pan's law once it boils.
    fn evaporate(&mut self, min: f64) {
        let since = min - self.pan.heat_up_min;
        let vigour = if since < 0.0 {
            0.1 * (min / self.pan.heat_up_min).powi(4)
        } else {
            1.0 - 0.9 * (-since / self.comes_up_min).exp()
        };
        let flux = self.pan.flux(self.solids_kg, self.water_kg) * self.fire.reaches_pan() * vigour;
        let leaves = flux * self.pan.area_m2 * STEP_MIN / 60.0;
        // Candy of 95 % is as far as these laws go.
        self.water_kg = (self.water_kg - leaves).max(self.solids_kg * 0.053);
    }

    /// Scum takes syrup with it until the pan is clear; a pan that foams may boil over and is damped.
    fn skim(&mut self, min: f64) {
        self.scum.foam -= self.scum.foam * STEP_MIN / 4.0;
        let brix = self.brix();
        if !self.boiling() {
            return;
        }
        if brix < self.scum.clear_at {
            // Even over the way from juice to clear, measured by water driven off.
            let way = 1.0 / self.pan.juice_brix - 1.0 / self.scum.clear_at;
            let an_hour = self.pan.flux(self.solids_kg, self.water_kg) * self.pan.area_m2;
            let hours = (self.solids_kg * 100.0 * way / an_hour).max(0.05);
            self.lose(self.scum.loss / hours * STEP_MIN / 60.0);
        }
        let rises = match brix {
            b if b < 20.0 => 0.4,
            b if b < 50.0 => 1.0,
            b if b < 70.0 => 0.3,
            _ => 0.6,
        };
        if self.scum.foam < 0.2 && self.goes_on.happens(self.scum.rises * rises * STEP_MIN) {
            self.scum.foam = 1.0;
            let until = min + self.goes_on.between(1.5, 6.0);
            self.fire.damp(self.goes_on.between(0.3, 0.7), until);
            let over = self.goes_on.between(0.0, 0.006);
            self.lose(over);
        }
    }

    /// This share of the pan is gone, water and solids alike.
    fn lose(&mut self, share: f64) {
        self.solids_kg *= 1.0 - share;
        self.water_kg *= 1.0 - share;
    }
}

impl Known for Sim {
    fn astray(&mut self, seed: u64) {
        self.goes_on = Chance::new(seed, 0xb3);
        self.hand = Chance::new(seed, 0xb4);
    }

    fn shown(&self) -> (f64, f64) {
        self.by_hand.shown(self.morning_c)
    }

    fn drop_shown(&self) -> (f64, f64) {
        self.refractometer.shown(self.brix())
    }
}

impl Boil for Sim {
    fn setup(&self) -> Setup {
        self.setup
    }

    fn advance(&mut self, to_min: f64) {
        while self.min() + STEP_MIN <= to_min + 1e-9 {
            self.step();
        }
    }

    fn ease(&mut self) {
        if self.cook.eases {
            // Wood left to burn down eases by itself as well, so the damper is shut less.
            let share = if self.cook.feeds_on {
                self.cook.down_to
            } else {
                self.cook.down_to.max(0.65)
            };
            self.fire.ease(share, self.cook.feeds_on);
        }
    }

    fn draw(&mut self) {
        self.fire.draw();
    }

    fn thermometer(&mut self) -> f64 {
        self.by_hand.read(self.morning_c, &mut self.hand)
    }

    fn drop_brix(&mut self) -> f64 {
        // Juice is not yet of one thickness everywhere.
        let uneven = (0.02 * (40.0 - self.brix())).clamp(0.0, 0.5) * self.hand.normal();
        let brix = (self.brix() + uneven).max(0.0);
        self.refractometer.read(brix, &mut self.hand)
    }

    fn probe(&mut self) -> f64 {
        // Common digital probes send 85 °C after they were without power (their maker's data sheet, from memory).
        if self.hand.happens(0.002) {
            return 85.0;
        }
        self.probe.read(self.morning_c, &mut self.hand)
    }

    fn drop_delay(&mut self) -> f64 {
        self.refractometer.delay(&mut self.hand)
    }

    fn brix(&self) -> f64 {
        100.0 * self.solids_kg / (self.solids_kg + self.water_kg)
    }

    fn boiling(&self) -> bool {
        self.min() >= self.pan.heat_up_min && self.fire.reaches_pan() >= BOILS_ABOVE
    }
}
