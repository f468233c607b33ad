//! Between a simulated boil and whoever watches it. Times are minutes since the fire was lit.

/// What the mill knows when the fire is lit.
#[derive(Debug, Clone, Copy)]
pub struct Setup {
    /// Dissolved solids poured in, g, as measured (about 1-3 % off the truth).
    pub solids_g: f64,
    /// Brix of the pooled juice, as measured.
    pub juice_brix: f64,
    /// Brix aimed at.
    pub target_brix: f64,
    /// Where water boiled this morning with the thermometer used, °C, as read (rounded; day's pressure).
    pub water_c: f64,
    /// The mill's factor K and from how many finished boils; none: nobody has learned it (default 1.10).
    /// K multiplies the rise over boiling water of pure sucrose (Starzak & Peacock) at the same Brix.
    pub k: Option<(f64, u32)>,
    /// Surface of the pan, m2.
    pub area_m2: f64,
    /// Water driven off, L a square metre an hour: learned or the pan's starting figure.
    pub rate_l_m2_h: f64,
    /// From how many finished boils the rate was learned; 0: only the maker's or a guessed figure.
    pub rate_boils: u32,
}

/// What is read at one moment and noted.
#[derive(Debug, Clone, Copy)]
pub struct Reading {
    /// When it was noted, min.
    pub at: f64,
    /// Thermometer in the pan, °C.
    pub temp_c: Option<f64>,
    /// Refractometer, a cooled drop, °Bx; may have been taken some minutes before it is noted.
    pub brix: Option<f64>,
    /// From a probe in the pan and not from a hand.
    pub probe: bool,
}

/// What the cook is told.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum Call {
    Heating,
    TooEarly,
    Going,
    Check,
    Draw,
    Past,
}

/// What a look at the page says.
#[derive(Debug, Clone, Copy)]
pub struct Look {
    pub call: Call,
    /// Earliest, middle, latest of the finish, min since lit, if it is told.
    pub finish: Option<[f64; 3]>,
    /// When the next reading is asked for, min since lit.
    pub next_reading: f64,
    /// The page asks for a refractometer reading.
    pub wants_brix: bool,
}

/// A watcher: keeps the readings itself; `look` may be asked at any later minute, again and again.
pub trait Watch {
    fn start(setup: &Setup) -> Self
    where
        Self: Sized;
    fn take(&mut self, reading: Reading);
    /// The cook says at that minute that the fire was let down, or that it stays as it is.
    fn fire(&mut self, _at: f64, _let_down: bool) {}
    fn look(&mut self, at: f64) -> Look;
}

/// A simulated boil.
pub trait Boil {
    fn setup(&self) -> Setup;
    /// Goes on to this minute (never back).
    fn advance(&mut self, to_min: f64);
    /// The cook lets the fire go down (told "check"); only obeyed by boils whose cook eases.
    fn ease(&mut self);
    /// The cook draws the fire; the pan goes on boiling on its own heat for a little.
    fn draw(&mut self);
    /// What a hand reads off the thermometer at this moment, °C (lag, offset, rounding, noise in it).
    fn thermometer(&mut self) -> f64;
    /// What a refractometer says of a drop taken at this moment, °Bx at 20 °C.
    fn drop_brix(&mut self) -> f64;
    /// What a probe sends at this moment, °C.
    fn probe(&mut self) -> f64;
    /// Minutes between taking a drop and noting it, drawn anew for each.
    fn drop_delay(&mut self) -> f64;
    /// The truth: Brix of the pan; only for judging.
    fn brix(&self) -> f64;
    /// The truth: at the boil?
    fn boiling(&self) -> bool;
}

/// What the mill has learned of its factor K from earlier boils.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum KKnown {
    /// Nobody has learned it: `Setup::k` is `None`; `rate_boils` is 0 or a few.
    Unknown,
    /// Learned from `boils` finished boils of the same mill: `Setup::k` is `Some((true K + error, boils))`.
    /// The error is the mill's own median's: normal, deviation 0.03, however far out the true K lies (nothing is clamped).
    Learned { boils: u32 },
}

/// Which boils are to be simulated: `Sim::new(seed: u64, cell: Cell)` draws all else from the seed.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Cell {
    /// True effective K at the target Brix (rise of the simulated syrup there over that of pure sucrose by
    /// Starzak & Peacock at the same Brix), drawn evenly from this range.
    pub k_range: (f64, f64),
    /// The cook lets the fire go down when told "check" (`Boil::ease` is obeyed).
    pub eased: bool,
    /// What the setup says of K.
    pub k_known: KKnown,
}

/// A simulated boil that can be made from a seed. `Sim::new` of each make is this.
pub trait Make: Boil {
    /// The same seed and cell give the same boil.
    fn new(seed: u64, cell: Cell) -> Self
    where
        Self: Sized;
    /// The truth: effective K of this boil at the target Brix; only for judging.
    fn true_k(&self) -> f64;
}

/// A boil of which all can be known but what chance does from a moment on: for the bound that no watcher can beat.
pub trait Known: Make + Clone {
    /// From this moment on chance goes another way; pan, juice, weather and instruments stay what they are.
    fn astray(&mut self, seed: u64);
    /// What the thermometer shows at this moment before the hand's unsteadiness, °C, and the deviation of a reading.
    fn shown(&self) -> (f64, f64);
    /// What a drop taken at this moment would say before its unsteadiness, °Bx, and the deviation of a reading.
    fn drop_shown(&self) -> (f64, f64);
}
