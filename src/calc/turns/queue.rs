//! The line at the mill: one at a time, in the order of turns, in minutes
//! that the day has run. When each will begin, how long each
//! waits, and what is said of each on the board. Knows no names.

use super::starts::Span;
use crate::units::{DayMinute, Minutes};

/// One turn or walk-in of the line. All times are whole counts of one unit (minutes on the board).
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct InLine {
    /// When it may begin at the earliest: at the start of the turn, or when the cane is there.
    pub ready: i64,
    /// How long it takes the mill, change-over included.
    pub service: i64,
}

/// When one in the line begins and ends.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Begins {
    /// The mill takes the first cane.
    pub start: i64,
    /// Time from being ready to the start.
    pub wait: i64,
    /// The mill is free again.
    pub end: i64,
}

/// Minutes of the day in which the mill stands: from the first, before the second.
pub type Stand = (i64, i64);

/// The first time from this one on at which the mill does not stand.
pub fn runs_from(mut at: i64, stands: &[Stand]) -> i64 {
    while let Some((_, ends)) = stands.iter().find(|(from, to)| (*from..*to).contains(&at)) {
        at = *ends;
    }
    at
}

/// The whole time in which the mill stands around one of its standstills: those that meet or overlap are one, however often they were
/// noted.
pub fn as_one((mut from, mut to): Stand, stands: &[Stand]) -> Stand {
    let mut meets = true;
    while meets {
        let before = (from, to);
        for (begins, ends) in stands {
            if *begins <= to && *ends >= from {
                (from, to) = (from.min(*begins), to.max(*ends));
            }
        }
        meets = (from, to) != before;
    }
    (from, to)
}

/// The times in which the mill stands that are not over at this minute, in order, those that meet as one.
pub fn stands_left(stands: &[Stand], minute: i64) -> Vec<Stand> {
    let whole = stands.iter().map(|stand| as_one(*stand, stands));
    let mut left: Vec<Stand> = whole.filter(|(_, to)| *to > minute).collect();
    left.sort_unstable();
    left.dedup();
    left
}

/// When work of that many minutes ends that begins at a time at which the mill runs: it waits while the mill stands.
pub(in crate::calc) fn done_at(start: i64, minutes: i64, stands: &[Stand]) -> i64 {
    let (mut at, mut left) = (start, minutes.max(0));
    while left > 0 {
        at = runs_from(at, stands);
        let next = stands
            .iter()
            .map(|(from, _)| *from)
            .filter(|from| *from > at);
        let until = next.min().map_or(at + left, |from| from.min(at + left));
        left -= until - at;
        at = until;
    }
    at
}

/// When each begins, in the order given: when it is ready, or when the one before is done, whichever
/// is later (the recursion of Lindley, 1952, for one server; from memory), and the mill does not stand. `free`: the mill is
/// taken until then.
pub fn serve(mut free: i64, line: &[InLine], stands: &[Stand]) -> Vec<Begins> {
    line.iter()
        .map(|one| {
            let start = runs_from(free.max(one.ready), stands);
            free = done_at(start, one.service, stands);
            Begins {
                start,
                wait: start - one.ready,
                end: free,
            }
        })
        .collect()
}

/// One turn or walk-in of a day, as the board needs it.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Coming {
    /// Start of the turn; `None`: walked in.
    pub start: Option<DayMinute>,
    /// How long it is expected to take the mill.
    pub minutes: Minutes,
    /// Place in the order of weighing in, and the minute of the day; `None`: not weighed in yet.
    pub weighed: Option<(i64, i64)>,
    /// Whether its juice is measured.
    pub pressed: bool,
}

/// How far one in the line has come.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Stage {
    /// Pressed, and its juice measured.
    Done,
    /// It is being pressed.
    AtTheMill,
    /// Weighed in, waiting; begins about this minute of the day.
    Waits(i64),
    /// Not weighed in yet; begins about this minute of the day.
    Expected(i64),
    /// Its start is past and it is not weighed in; begins about this minute of the day.
    Late(i64),
}

/// How far each turn and walk-in of a day has come at that minute of it, in the order given. The first of those
/// weighed in has the mill, unless it came while the mill stands; then come the others weighed in, then the turns in order of
/// their starts. Nothing is pressed while the mill stands.
pub fn stages(day: &[Coming], stands: &[Stand], minute: i64) -> Vec<Stage> {
    let mut waiting: Vec<usize> = (0..day.len()).filter(|i| !day[*i].pressed).collect();
    waiting.sort_by_key(|i| match (day[*i].weighed, day[*i].start) {
        (Some((place, _)), _) => (0, place),
        (None, start) => (1, start.map_or(i64::MAX, DayMinute::get)),
    });
    let mut stages = vec![Stage::Done; day.len()];
    let mut free = minute;
    let (mut places, mut line) = (Vec::new(), Vec::new());
    for (nth, i) in waiting.iter().enumerate() {
        let one = day[*i];
        if let (0, Some((_, since))) = (nth, one.weighed)
            && runs_from(since, stands) <= minute
        {
            stages[*i] = Stage::AtTheMill;
            // However long it has taken already, it is not done before this minute.
            free = done_at(since, one.minutes.get(), stands).max(minute);
            continue;
        }
        let ready = match (one.weighed, one.start) {
            (None, Some(start)) => start.get().max(minute),
            _ => minute,
        };
        let service = one.minutes.get();
        places.push(*i);
        line.push(InLine { ready, service });
    }
    for (i, Begins { start, .. }) in places.into_iter().zip(serve(free, &line, stands)) {
        stages[i] = match (day[i].weighed, day[i].start) {
            (Some(_), _) => Stage::Waits(start),
            (None, Some(planned)) if planned.get() < minute => Stage::Late(start),
            (None, _) => Stage::Expected(start),
        };
    }
    stages
}

/// How far behind its plan the mill is, at the moment that the stages were made for: of those with a turn who
/// are here or still expected, the one it takes next, from the start that was planned to the one to come. Whoever
/// is late says nothing of the mill. None: nobody of them is left.
pub fn behind(day: &[Coming], stages: &[Stage]) -> Option<Minutes> {
    let next = day.iter().zip(stages).filter_map(|(one, stage)| {
        let start = one.start?.get();
        match stage {
            Stage::Waits(about) | Stage::Expected(about) => Some((*about, about - start)),
            Stage::Done | Stage::AtTheMill | Stage::Late(_) => None,
        }
    });
    let (_, behind) = next.min()?;
    Some(Minutes::new(behind.max(0)))
}

/// When each that is there already is really pressed, in the order given: the one at the mill and those who wait from about when
/// the mill takes them; what is pressed as it was planned, but not after this minute. `None`: it is not there yet, its plan holds.
pub fn really_pressed(day: &[Coming], stands: &[Stand], minute: i64) -> Vec<Option<Span>> {
    let span = |start: i64, end: i64| Span {
        start: DayMinute::new(start),
        minutes: Minutes::new((end - start).max(0)),
    };
    let stages = stages(day, stands, minute);
    let spans = day.iter().zip(stages).map(|(one, stage)| {
        let (_, since) = one.weighed?;
        let takes = one.minutes.get();
        match stage {
            Stage::Done => {
                let planned = one.start.map_or(since, DayMinute::get);
                let start = planned.min(minute - takes);
                Some(span(start, start + takes))
            }
            Stage::AtTheMill => Some(span(
                since.min(minute),
                done_at(since, takes, stands).max(minute),
            )),
            Stage::Waits(about) => Some(span(about, done_at(about, takes, stands))),
            Stage::Expected(_) | Stage::Late(_) => None,
        }
    });
    spans.collect()
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    fn coming(start: i64, minutes: i64, weighed: Option<(i64, i64)>, pressed: bool) -> Coming {
        Coming {
            start: (start >= 0).then(|| DayMinute::new(start)),
            minutes: Minutes::new(minutes),
            weighed,
            pressed,
        }
    }

    #[test]
    fn one_that_takes_long_makes_the_next_wait_until_a_gap_swallows_it() {
        let line = [(0, 40), (30, 30), (60, 20), (120, 10)]
            .map(|(ready, service)| InLine { ready, service });
        let waits: Vec<i64> = serve(0, &line, &[]).iter().map(|b| b.wait).collect();
        assert_eq!(waits, [0, 10, 10, 0]);
        let late = serve(15, &line[..1], &[])[0];
        assert_eq!((late.start, late.end), (15, 55));
    }

    #[test]
    fn a_day_that_runs_behind_says_about_when_each_will_begin() {
        // 08:20; the second turn came first and has the mill since 07:50 for 40 minutes.
        let day = [
            coming(420, 30, Some((1, 415)), true),
            coming(460, 40, Some((2, 470)), false),
            coming(490, 60, None, false),
            coming(560, 20, Some((3, 495)), false),
            coming(660, 20, None, false),
        ];
        assert_eq!(
            stages(&day, &[], 500),
            [
                Stage::Done,
                Stage::AtTheMill,
                Stage::Late(530),
                Stage::Waits(510),
                Stage::Expected(660),
            ]
        );
        // Overdue: the next is not promised for the past.
        assert_eq!(stages(&day, &[], 520)[3], Stage::Waits(520));
        assert!(stages(&[], &[], 500).is_empty());
    }

    #[test]
    fn the_mill_is_as_far_behind_as_the_next_who_is_here_or_expected_waits_past_the_plan() {
        let day = [
            coming(460, 40, Some((1, 470)), false),
            coming(490, 60, None, false),
            coming(495, 20, Some((2, 480)), false),
            coming(560, 20, None, false),
        ];
        let behind_at = |minute| behind(&day, &stages(&day, &[], minute)).map(Minutes::get);
        // The mill is free at 08:30, a quarter of an hour past the start planned for the third.
        assert_eq!(behind_at(500), Some(15));
        // Before anything was weighed in, all stands as planned.
        let fresh = [coming(460, 40, None, false), coming(500, 20, None, false)];
        assert_eq!(
            behind(&fresh, &stages(&fresh, &[], 400)),
            Some(Minutes::new(0))
        );
        // The only one left is late: that is no delay of the mill.
        let late = [coming(460, 40, None, false)];
        assert_eq!(behind(&late, &stages(&late, &[], 500)), None);
        assert_eq!(behind(&[], &[]), None);
    }

    #[test]
    fn nothing_is_pressed_while_the_mill_stands_and_what_it_cuts_ends_later() {
        // It stands from 09:00 to 10:30. The first has the mill since 08:40 for forty minutes: twenty are left at 10:30.
        let stands = [(540, 630)];
        let day = [
            coming(-1, 40, Some((1, 520)), false),
            coming(545, 30, Some((2, 530)), false),
            coming(700, 20, None, false),
        ];
        assert_eq!(
            stages(&day, &stands, 550),
            [Stage::AtTheMill, Stage::Waits(650), Stage::Expected(700)]
        );
        // Nobody is at the mill: the next begins when it runs again.
        let waiting = [coming(560, 30, None, false)];
        assert_eq!(stages(&waiting, &stands, 550), [Stage::Expected(630)]);
        // Cane that comes to a mill that stands waits until it runs again.
        let came = [
            coming(-1, 40, Some((1, 545)), false),
            coming(-1, 30, Some((2, 548)), false),
        ];
        let waits = [Stage::Waits(630), Stage::Waits(670)];
        assert_eq!(stages(&came, &stands, 550), waits);
        assert_eq!(stages(&came, &stands, 630)[0], Stage::AtTheMill);
        // Two standstills that meet are one; work of no minutes ends where it begins.
        assert_eq!(runs_from(550, &[(540, 600), (600, 660)]), 660);
        assert_eq!(done_at(500, 60, &[(510, 520), (530, 600)]), 640);
        assert_eq!(done_at(500, 0, &stands), 500);
        // What is done before it stands is not held up by it.
        assert_eq!(done_at(500, 20, &[(600, 660)]), 520);
    }

    #[test]
    fn cane_that_is_there_has_the_minutes_in_which_the_mill_takes_it_not_those_planned() {
        let span = |start: i64, minutes: i64| {
            Some(Span {
                start: DayMinute::new(start),
                minutes: Minutes::new(minutes),
            })
        };
        // 08:20. The first, planned for ten, is pressed; the second, planned for eleven, has the mill since 08:10; the third, planned
        // for half past eight, waits behind it; the fourth has not come.
        let day = [
            coming(600, 30, Some((1, 460)), true),
            coming(660, 40, Some((2, 490)), false),
            coming(510, 20, Some((3, 495)), false),
            coming(700, 20, None, false),
        ];
        assert_eq!(
            really_pressed(&day, &[], 500),
            [span(470, 30), span(490, 40), span(530, 20), None]
        );
        // What was pressed as it was planned stays there; what has had the mill for longer than it should has it until now.
        let slow = [
            coming(420, 30, Some((1, 410)), true),
            coming(450, 20, Some((2, 450)), false),
        ];
        assert_eq!(
            really_pressed(&slow, &[], 500),
            [span(420, 30), span(450, 50)]
        );
        // While the mill stands nothing is pressed.
        assert_eq!(
            really_pressed(&day[1..2], &[(500, 560)], 500),
            [span(490, 100)]
        );
    }

    #[test]
    fn standstills_that_meet_or_overlap_are_one() {
        let stands = [(600, 720), (660, 780), (840, 900), (780, 800)];
        assert_eq!(as_one((660, 780), &stands), (600, 800));
        assert_eq!(as_one((840, 900), &stands), (840, 900));
        assert_eq!(as_one((500, 510), &[]), (500, 510));
        assert_eq!(stands_left(&stands, 700), [(600, 800), (840, 900)]);
        assert_eq!(stands_left(&stands, 800), [(840, 900)]);
        assert!(stands_left(&stands, 900).is_empty());
    }

    proptest! {
        #[test]
        fn prop_the_mill_has_one_at_a_time_in_order_and_is_never_idle_while_one_waits(
            line in proptest::collection::vec((0..600_i64, 0..90_i64), 0..20),
        ) {
            let line: Vec<InLine> = line.into_iter()
                .map(|(ready, service)| InLine { ready, service }).collect();
            let mut free = 0;
            for (one, begins) in line.iter().zip(serve(0, &line, &[])) {
                prop_assert!(begins.start >= free && begins.wait >= 0);
                prop_assert_eq!(begins.start, free.max(one.ready));
                free = begins.end;
            }
        }
    }
}
