//! Who came to the demo's mill, with what. All invented.

/// One member's coming to the mill: whose, the turn (none: walked in), what was told (lb; ft of row
/// when negative), gross and tare (lb), days since it was cut, when the juice was measured (none: not
/// yet), how much (gal; lb when negative), at what temperature (°F), Brix twice, sediment (gal or
/// lb), and the barrel it stands in.
pub(super) struct Coming {
    pub(super) who: usize,
    pub(super) turn: Option<&'static str>,
    pub(super) told: f64,
    pub(super) weighed: Option<&'static str>,
    pub(super) gross: f64,
    pub(super) tare: f64,
    pub(super) cut_days: i64,
    pub(super) juice: Option<Pressed>,
}

pub(super) struct Pressed {
    pub(super) at: &'static str,
    pub(super) amount: f64,
    pub(super) temp_f: f64,
    pub(super) brix: (f64, f64),
    pub(super) sediment: f64,
    pub(super) barrel: usize,
}

const fn pressed(
    at: &'static str,
    amount: f64,
    temp_f: f64,
    brix: (f64, f64),
    sediment: f64,
    barrel: usize,
) -> Pressed {
    Pressed {
        at,
        amount,
        temp_f,
        brix,
        sediment,
        barrel,
    }
}

const fn coming(
    who: usize,
    turn: &'static str,
    told: f64,
    weighed: (&'static str, f64, f64),
    cut_days: i64,
    juice: Option<Pressed>,
) -> Coming {
    Coming {
        who,
        turn: Some(turn),
        told,
        weighed: Some(weighed.0),
        gross: weighed.1,
        tare: weighed.2,
        cut_days,
        juice,
    }
}

#[rustfmt::skip] // one line a member
pub(super) const LAST_DAY: [Coming; 9] = [
    coming(3, "07:00", 400.0, ("06:55", 612.5, 195.0), 1, Some(pressed("07:52", 22.4, 66.0, (16.2, 16.0), 0.6, 1))),
    coming(6, "07:50", 400.0, ("07:45", 588.0, 195.0), 2, Some(pressed("08:44", -180.5, 66.5, (15.1, 15.3), 5.5, 2))),
    coming(7, "08:40", -250.0, ("08:35", 541.5, 195.0), 1, Some(pressed("09:30", 18.1, 67.0, (17.4, 17.4), 0.5, 3))),
    coming(9, "09:25", 300.0, ("09:25", 498.0, 210.5), 3, Some(pressed("10:10", 14.2, 68.5, (13.1, 13.0), 0.7, 4))),
    coming(5, "10:05", 200.0, ("10:02", 402.0, 195.0), 1, Some(pressed("10:40", 11.0, 70.0, (16.8, 16.9), 0.4, 5))),
    coming(10, "10:35", 450.0, ("10:37", 655.0, 195.0), 2, Some(pressed("11:35", 24.9, 71.0, (14.2, 14.4), 0.9, 6))),
    coming(14, "11:30", 400.0, ("11:33", 604.5, 195.0), 1, Some(pressed("12:25", 21.8, 72.0, (17.9, 18.0), 0.6, 7))),
    coming(16, "12:20", -240.0, ("12:22", 533.0, 195.0), 2, Some(pressed("13:05", 16.4, 72.5, (15.6, 15.4), 0.5, 8))),
    Coming { who: 19, turn: None, told: 0.0, weighed: Some("13:10"), gross: 471.0, tare: 210.5, cut_days: 4, juice: Some(pressed("13:45", 12.3, 73.0, (12.1, 12.3), 0.6, 9)) },
];

#[rustfmt::skip] // one line a member
pub(super) const THIS_DAY: [Coming; 9] = [
    coming(5, "06:00", 200.0, ("05:58", 407.5, 195.0), 1, Some(pressed("06:28", 10.7, 58.0, (17.2, 17.1), 0.4, 1))),
    coming(4, "06:30", 400.0, ("06:31", 618.0, 195.0), 1, Some(pressed("07:20", 23.0, 58.5, (15.9, 16.1), 0.7, 2))),
    coming(11, "07:20", 420.0, ("07:18", 640.5, 195.0), 2, Some(pressed("08:12", 24.1, 60.0, (14.8, 14.9), 0.8, 3))),
    coming(15, "08:15", -280.0, ("08:12", 566.0, 195.0), 1, Some(pressed("08:58", 19.9, 61.5, (17.6, 17.8), 0.5, 4))),
    coming(20, "09:05", 380.0, ("09:02", 571.5, 195.0), 1, Some(pressed("09:50", 19.6, 63.0, (16.4, 16.3), 0.6, 5))),
    coming(21, "09:55", 400.0, ("09:53", 597.0, 195.0), 3, Some(pressed("10:46", 17.1, 65.0, (15.2, 15.0), 0.7, 6))),
    coming(12, "10:45", 300.0, ("10:49", 489.5, 195.0), 1, None),
    Coming { who: 3, turn: Some("12:30"), told: 350.0, weighed: None, gross: 0.0, tare: 0.0, cut_days: 1, juice: None },
    Coming { who: 17, turn: Some("13:30"), told: -200.0, weighed: None, gross: 0.0, tare: 0.0, cut_days: 1, juice: None },
];

/// Turns on the day to come: whose, start, lb (ft of row when negative).
#[rustfmt::skip] // one line a member
pub(super) const NEXT_DAY: [(usize, &str, f64); 6] = [
    (6, "07:00", 420.0),
    (7, "08:00", -260.0),
    (13, "09:00", 260.0),
    (18, "10:00", 380.0),
    (22, "13:00", -300.0),
    (23, "14:00", 300.0),
];

/// Turns on the day that is full: whose, start, lb (ft of row when negative).
#[rustfmt::skip] // one line a member
pub(super) const FULL_DAY: [(usize, &str, f64); 4] = [
    (9, "13:00", 500.0),
    (10, "14:00", 480.0),
    (14, "15:00", 500.0),
    (16, "16:00", 490.0),
];

/// Who waits for that day: whose, since when, lb.
pub(super) const WAITING: [(usize, &str, f64); 2] = [(4, "19:40", 480.0), (6, "20:05", 300.0)];
