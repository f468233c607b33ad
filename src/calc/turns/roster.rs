//! Who does what at the mill on a press day: the shifts a day needs, and who of those that can come takes which.
//! Never one person at the rollers alone (common practice: one feeds, a second stands by the stop).
//! Knows no names and no dates; times are minutes since midnight.

/// Work at the mill that somebody is down for.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum Task {
    /// Feeding the rollers, or standing by them.
    Feed,
    /// Watching the pan and its fire.
    Boil,
    /// Weighing cane in and measuring juice.
    Weigh,
    /// Filling jars.
    Fill,
    /// Handing jars over.
    HandOver,
}

/// People that stand at the rollers together.
pub const AT_ROLLERS: usize = 2;
/// A shift is no longer than this, minutes (our own figure: half a day on one's feet).
pub const SHIFT_MOST_MIN: i64 = 300;
/// The first juice is ready to boil so long after the first turn began, minutes (our own figure).
const FIRST_JUICE_MIN: i64 = 60;

/// Whether somebody who can come from one minute of a day to another has any time of it; `None`: from its start, or to its end.
pub fn leaves_time(from: Option<i64>, to: Option<i64>) -> bool {
    from.unwrap_or(0) < to.unwrap_or(24 * 60)
}

impl Task {
    /// All of them, what may hurt most first: that is filled first.
    pub const ALL: [Self; 5] = [
        Self::Feed,
        Self::Boil,
        Self::Weigh,
        Self::Fill,
        Self::HandOver,
    ];

    /// The word under which the database keeps it.
    pub const fn word(self) -> &'static str {
        match self {
            Self::Feed => "feed",
            Self::Boil => "boil",
            Self::Weigh => "weigh",
            Self::Fill => "fill",
            Self::HandOver => "hand_over",
        }
    }

    /// The task that this word stands for.
    pub fn of(word: &str) -> Option<Self> {
        Self::ALL.into_iter().find(|task| task.word() == word)
    }

    /// The task in words for a page.
    pub const fn words(self) -> &'static str {
        match self {
            Self::Feed => "At the rollers",
            Self::Boil => "At the pan",
            Self::Weigh => "Weigh cane in, measure juice",
            Self::Fill => "Fill jars",
            Self::HandOver => "Hand jars over",
        }
    }

    /// How many people it takes at a time.
    const fn people(self) -> usize {
        match self {
            Self::Feed => AT_ROLLERS,
            _ => 1,
        }
    }
}

/// Work of one person for some hours.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Shift {
    /// The work.
    pub task: Task,
    /// Start, in minutes since midnight.
    pub from: i64,
    /// End, in minutes since midnight.
    pub to: i64,
}

impl Shift {
    const fn overlaps(self, other: Self) -> bool {
        self.from < other.to && other.from < self.to
    }

    /// Length of the shift, minutes.
    pub const fn minutes(self) -> i64 {
        self.to - self.from
    }
}

/// Somebody who can help.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Helper {
    /// The earliest that this person can come, in minutes since midnight.
    pub from: i64,
    /// The latest that this person can stay, in minutes since midnight.
    pub to: i64,
    /// What this person can do; empty: nothing was said, so anything but the pan.
    pub tasks: Vec<Task>,
    /// Minutes on the rosters of the season so far: who has fewer comes first.
    pub already: i64,
}

impl Helper {
    fn can(&self, shift: Shift) -> bool {
        let able = if self.tasks.is_empty() {
            shift.task != Task::Boil
        } else {
            self.tasks.contains(&shift.task)
        };
        able && self.from <= shift.from && shift.to <= self.to
    }
}

/// The shifts of a day on which cane is pressed from `first` to `pressed` and the mill closes at `closes`, all in minutes since
/// midnight: in the order of their hours, and of their tasks within the same hours. All tasks change hands at the same times,
/// so that nobody is kept from one shift by the last half hour of another: in equal parts, or, where that leaves more hours with
/// fewer people, when helpers come or go.
pub fn shifts(first: i64, pressed: i64, closes: i64, helpers: &[Helper]) -> Vec<Shift> {
    let closes = closes.max(pressed);
    let equal = parts(&[first, closes]);
    let of = |borders: &[i64]| parted(pressed, borders);
    let lacks = |borders: &[i64]| lacking(&of(borders), helpers);
    let mut borders = by_helpers((first, closes), helpers);
    let least = lacks(&borders);
    if lacks(&equal) <= least {
        return of(&equal);
    }
    // No more changes than serve.
    let mut n = 1;
    while n + 1 < borders.len() {
        let mut fewer = borders.clone();
        fewer.remove(n);
        if fewer[n] - fewer[n - 1] <= SHIFT_MOST_MIN && lacks(&fewer) <= least {
            borders = fewer;
        } else {
            n += 1;
        }
    }
    of(&borders)
}

/// The shifts of a day that changes hands at these times, both its ends included.
fn parted(pressed: i64, borders: &[i64]) -> Vec<Shift> {
    let (first, closes) = (borders[0], borders[borders.len() - 1]);
    let middle = first.midpoint(closes);
    let half = borders.iter().rfind(|at| **at <= middle);
    let mut all = Vec::new();
    for task in Task::ALL {
        let (from, to) = match task {
            Task::Feed | Task::Weigh => (first, pressed),
            Task::Boil => ((first + FIRST_JUICE_MIN).min(pressed), closes),
            // Jars are filled and fetched when a boil is done: not in the first part.
            Task::Fill | Task::HandOver => (half.copied().unwrap_or(first), closes),
        };
        for pair in borders.windows(2) {
            let (from, to) = (from.max(pair[0]), to.min(pair[1]));
            if from < to {
                let shift = Shift { task, from, to };
                all.extend(std::iter::repeat_n(shift, task.people()));
            }
        }
    }
    all.sort_by_key(|s| (s.from, s.task));
    all
}

/// Minutes that nobody takes: at the rollers, and at all work.
fn lacking(shifts: &[Shift], helpers: &[Helper]) -> (i64, i64) {
    let by = filled(shifts, helpers);
    let empty = || shifts.iter().zip(&by).filter(|(_, by)| by.is_none());
    let minutes = |only: Option<Task>| {
        let those = empty().filter(|(shift, _)| only.is_none_or(|task| shift.task == task));
        those.map(|(shift, _)| shift.minutes()).sum()
    };
    (minutes(Some(Task::Feed)), minutes(None))
}

/// Times at which each of the stretches between some times is cut into as few equal parts as are short enough, on full five minutes,
/// both ends included.
fn parts(ends: &[i64]) -> Vec<i64> {
    let mut all = vec![ends[0]];
    for pair in ends.windows(2) {
        let (from, to) = (pair[0], pair[1]);
        let many = ((to - from + SHIFT_MOST_MIN - 1) / SHIFT_MOST_MIN).max(1);
        all.extend((1..many).map(|n| (from + (to - from) * n / many) / 5 * 5));
        all.push(to);
    }
    all
}

/// The times of a day at which helpers come or go, on full five minutes, with what is too long between them cut in parts.
fn by_helpers((first, closes): (i64, i64), helpers: &[Helper]) -> Vec<i64> {
    let edges = helpers
        .iter()
        .flat_map(|h| [(h.from + 4).div_euclid(5) * 5, h.to.div_euclid(5) * 5]);
    let mut all: Vec<i64> = edges.filter(|at| first < *at && *at < closes).collect();
    all.extend([first, closes]);
    all.sort_unstable();
    // A day without an hour keeps both its ends.
    if first < closes {
        all.dedup();
    }
    parts(&all)
}

/// Who takes each shift, by place in `helpers`; `None`: nobody can. As many shifts are filled as can be: the most
/// dangerous task first, and nobody twice in the same hours; among those who can, who has had least so far.
pub fn filled(shifts: &[Shift], helpers: &[Helper]) -> Vec<Option<usize>> {
    let mut by: Vec<Option<usize>> = vec![None; shifts.len()];
    let mut order: Vec<usize> = (0..shifts.len()).collect();
    order.sort_by_key(|n| (shifts[*n].task, shifts[*n].from));
    for shift in order {
        let mut tried = vec![false; helpers.len()];
        take(shift, shifts, helpers, &mut by, &mut tried);
    }
    by
}

/// Minutes that a helper has by now.
fn minutes(helper: usize, shifts: &[Shift], helpers: &[Helper], by: &[Option<usize>]) -> i64 {
    let own = (0..shifts.len()).filter(|n| by[*n] == Some(helper));
    helpers[helper].already + own.map(|n| shifts[n].minutes()).sum::<i64>()
}

/// Gives a shift to somebody; whoever is taken in those hours passes an own shift on where that is possible (augmenting
/// paths, as in the textbook method for matchings).
fn take(
    shift: usize,
    shifts: &[Shift],
    helpers: &[Helper],
    by: &mut Vec<Option<usize>>,
    tried: &mut [bool],
) -> bool {
    let mut able: Vec<usize> = (0..helpers.len())
        .filter(|h| helpers[*h].can(shifts[shift]))
        .collect();
    able.sort_by_key(|h| (minutes(*h, shifts, helpers, by), *h));
    let in_the_way = |helper: usize, by: &[Option<usize>]| -> Vec<usize> {
        (0..shifts.len())
            .filter(|n| by[*n] == Some(helper) && shifts[*n].overlaps(shifts[shift]))
            .collect()
    };
    for helper in &able {
        if in_the_way(*helper, by).is_empty() {
            by[shift] = Some(*helper);
            return true;
        }
    }
    for helper in able {
        if std::mem::replace(&mut tried[helper], true) {
            continue;
        }
        if let [own] = in_the_way(helper, by)[..] {
            by[own] = None;
            by[shift] = Some(helper);
            if take(own, shifts, helpers, by, tried) {
                return true;
            }
            by[own] = Some(helper);
            by[shift] = None;
        }
    }
    false
}

/// Hours in which fewer than two people are down for the rollers while cane is pressed, in order: in the shifts at the rollers, and in
/// the turns, given as hours from and to, whether there is a shift for them or not.
pub fn too_few_at_rollers(
    shifts: &[Shift],
    by: &[Option<usize>],
    turns: &[(i64, i64)],
) -> Vec<(i64, i64)> {
    let feed: Vec<(Shift, Option<usize>)> = shifts
        .iter()
        .copied()
        .zip(by.iter().copied())
        .filter(|(shift, _)| shift.task == Task::Feed)
        .collect();
    let pressed: Vec<(i64, i64)> = feed
        .iter()
        .map(|(shift, _)| (shift.from, shift.to))
        .chain(turns.iter().copied())
        .collect();
    let mut edges: Vec<i64> = pressed.iter().flat_map(|(a, b)| [*a, *b]).collect();
    edges.sort_unstable();
    edges.dedup();
    let mut hours: Vec<(i64, i64)> = Vec::new();
    for pair in edges.windows(2) {
        let (from, to) = (pair[0], pair[1]);
        let mut who: Vec<usize> = feed
            .iter()
            .filter(|(shift, _)| shift.from <= from && to <= shift.to)
            .filter_map(|(_, by)| *by)
            .collect();
        who.sort_unstable();
        who.dedup();
        let is_pressed = pressed.iter().any(|(a, b)| *a <= from && to <= *b);
        if !is_pressed || who.len() >= AT_ROLLERS {
            continue;
        }
        match hours.last_mut().filter(|last| last.1 == from) {
            Some(last) => last.1 = to,
            None => hours.push((from, to)),
        }
    }
    hours
}

/// The stretches in which at least two of these people are there, in order, given as hours from and to; empty: there is none.
pub fn crew_hours(people: &[(i64, i64)]) -> Vec<(i64, i64)> {
    let mut edges: Vec<i64> = people.iter().flat_map(|(a, b)| [*a, *b]).collect();
    edges.sort_unstable();
    edges.dedup();
    let mut hours: Vec<(i64, i64)> = Vec::new();
    for pair in edges.windows(2) {
        let there = people
            .iter()
            .filter(|(from, to)| *from <= pair[0] && pair[1] <= *to)
            .count();
        if there < AT_ROLLERS {
            continue;
        }
        match hours.last_mut().filter(|last| last.1 == pair[0]) {
            Some(last) => last.1 = pair[1],
            None => hours.push((pair[0], pair[1])),
        }
    }
    hours
}

#[cfg(test)]
#[path = "roster_tests.rs"]
mod tests;
