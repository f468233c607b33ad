//! The page of turns that were moved together: whom it concerns, and who was told.

use crate::calc::turns::queue::{Stand, as_one};
use crate::calc::turns::repack::MoveKind;
use crate::calc::turns::starts::Span;
use crate::facts::people::notices::state_of;
use crate::facts::turns::brought_back::WayBack;
use crate::facts::turns::running_line::stood;
use crate::store::people::notices::Notice;
use crate::store::turns::day_changes::{DayChange, Moved};
use crate::store::turns::standstills::Standstill;
use crate::units::{DayClock, DayMinute, Minutes, UtcSecond, Zone};
use crate::web::error::PageError;
use crate::web::form::Sheet;
use crate::web::session::Visit;
use crate::web::shell::Shell;
use crate::web::{App, paths, statics};
use askama::Template;

/// One member whose turn was moved.
struct Concerned {
    /// A form of its own, as several are ticked off on one page.
    sheet: Sheet,
    name: String,
    card: String,
    turn: String,
    phone: String,
    dials: String,
    texts: String,
    was: String,
    now: String,
    words: String,
    told: &'static str,
    look: &'static str,
    /// Ticks the call off, or takes that back.
    tick: String,
    tick_words: &'static str,
}

/// The page of turns that were moved together.
#[derive(Template)]
#[template(path = "turns/day_changes/show.html")]
pub(super) struct ChangePage {
    shell: Shell,
    sheet: Sheet,
    script: String,
    said: String,
    why: String,
    stands: String,
    runs_again: String,
    /// Words of that button.
    runs_words: &'static str,
    /// Brings turns back to where they were; empty: not asked.
    back: String,
    /// The turns that could go back.
    goes_back: Vec<BackRow>,
    /// What is so of those that cannot; empty: nothing.
    stay: String,
    rows: Vec<Concerned>,
    change: String,
    day: String,
    day_words: String,
}

impl ChangePage {
    pub(super) fn new(
        app: &App,
        visit: &Visit,
        change: &DayChange,
        (turns, told): (&[Moved], &[Notice]),
        ((stands, of_day), way_back, steward): (
            (Option<&Standstill>, &[Standstill]),
            Option<&WayBack>,
            bool,
        ),
        sheet: Sheet,
    ) -> Result<Self, PageError> {
        let zone = visit.zone()?;
        let to_come = stands.is_some_and(|stands| {
            let clock = zone.clock(change.date);
            clock.instant(clock.kept(stands.start)) > visit.at
        });
        let goes_back: Vec<BackRow> = way_back.map_or_else(Vec::new, goes_back);
        let (stands, over) = stands.map_or((String::new(), true), |stands| {
            standstill((stands, of_day), zone.clock(change.date), visit)
        });
        let title = match change.kind {
            MoveKind::Later => format!("Turns of {} put off", change.date.show()),
            MoveKind::OtherDay => format!("Turns of {} moved to another day", change.date.show()),
            MoveKind::Frost => format!("Killed cane first, {}", change.date.show()),
        };
        Ok(Self {
            shell: Shell::new(app, visit, title),
            sheet,
            script: statics::calls_js(),
            said: format!("By {}, {}.", change.by, zone.show(change.at)),
            why: change.why.clone(),
            stands,
            runs_again: if steward && !over {
                paths::runs_again(change.id)
            } else {
                String::new()
            },
            runs_words: if to_come {
                "The mill will not stand after all"
            } else {
                "The mill runs again"
            },
            back: if steward && !goes_back.is_empty() {
                paths::bring_back(change.id)
            } else {
                String::new()
            },
            goes_back,
            stay: way_back.map_or_else(String::new, |way| stay_words(way.stay)),
            rows: turns
                .iter()
                .map(|turn| {
                    let about = |n: &&Notice| n.turn.is_some_and(|t| t.id == turn.turn_id);
                    let sheet = Sheet::blank(visit, &app.ids);
                    concerned(sheet, turn, told.iter().rev().find(about), (zone, visit.at))
                })
                .collect(),
            change: change.id.to_string(),
            day: paths::day(change.date),
            day_words: change.date.show(),
        })
    }
}

/// A turn that could go back to where it was.
struct BackRow {
    name: String,
    now: String,
    then: String,
}

fn goes_back(way: &WayBack) -> Vec<BackRow> {
    let rows = way.turns.iter().map(|one| BackRow {
        name: one.turn.member.to_string(),
        now: one.waits_for.map_or_else(
            || way.clock.show(way.clock.kept(one.turn.start)),
            |date| format!("on the waiting list of {}", date.show()),
        ),
        then: way.clock.show(one.to.start),
    });
    rows.collect()
}

fn stay_words(count: usize) -> String {
    match count {
        0 => String::new(),
        1 => {
            "One turn stays where it was put: its earlier time is past, or taken by now.".to_owned()
        }
        many => format!(
            "{many} turns stay where they were put: their earlier times are past, or taken by now."
        ),
    }
}

/// Words on when the mill stands, together with what of the day meets that, and whether that is over.
fn standstill(
    (stands, of_day): (&Standstill, &[Standstill]),
    clock: DayClock,
    visit: &Visit,
) -> (String, bool) {
    let show = |(from, to): Stand| {
        let minutes = Minutes::new(to - from);
        let start = DayMinute::new(from);
        Span { start, minutes }.show(&clock)
    };
    if let Some(ended) = stands.ended_at {
        let span = Span::kept(&clock, stands.start, stands.minutes);
        return (ended_words(span, &clock, clock.run(ended)), true);
    }
    let own = stood(stands, &clock);
    let spans: Vec<Stand> = of_day.iter().map(|one| stood(one, &clock)).collect();
    let whole = as_one(own, &spans);
    let says = if whole == own {
        format!("The mill stands {}.", show(own))
    } else {
        format!(
            "The mill stands {}: {} as noted here, and what was noted besides, which ends with it.",
            show(whole),
            show(own)
        )
    };
    (says, clock.instant(DayMinute::new(whole.1)) <= visit.at)
}

/// What was noted of a standstill and how it ended before its time: some of it, or all of it, never came.
fn ended_words(noted: Span, clock: &DayClock, ended: DayMinute) -> String {
    if ended <= noted.start {
        return format!(
            "The mill was to stand {}. At {} it was noted that it does not stand after all.",
            noted.show(clock),
            clock.show(ended)
        );
    }
    format!(
        "The mill stood from {} and runs again since {}; it was to stand until {}.",
        clock.show(noted.start),
        clock.show(ended),
        clock.show(DayMinute::new(noted.end()))
    )
}

fn concerned(
    sheet: Sheet,
    turn: &Moved,
    notice: Option<&Notice>,
    (zone, at): (&Zone, UtcSecond),
) -> Concerned {
    let from = zone.clock(turn.from_date);
    let to = zone.clock(turn.to_date);
    // What was changed again since is not so any more: nobody is to say it.
    let over = |n: &Notice| n.told_at.is_none() && state_of(n, zone, at).overtaken();
    let to_tell = notice.filter(|n| !over(n));
    let words = to_tell.map_or_else(String::new, |n| n.words.clone());
    let (told, look) = match notice {
        Some(n) if n.told_at.is_some() => ("told", "ok"),
        Some(n) if n.seen_at.is_some() => ("has read it", "ok"),
        Some(n) if over(n) => ("nothing to tell any more", ""),
        Some(_) => ("not told yet", "warn"),
        None => ("", ""),
    };
    Concerned {
        sheet,
        name: turn.member.to_string(),
        card: paths::member(turn.member_id),
        turn: paths::turn(turn.turn_id),
        phone: turn.phone.to_string(),
        dials: paths::dials(&turn.phone),
        texts: paths::texts(&turn.phone, &words),
        was: format!(
            "{}, {}",
            turn.from_date.show(),
            from.show(from.kept(turn.from))
        ),
        now: match turn.to {
            Some(start) => format!("{}, {}", turn.to_date.show(), to.show(to.kept(start))),
            None => format!("waiting list of {}", turn.to_date.show()),
        },
        words,
        told,
        look,
        tick: to_tell.map_or_else(String::new, |n| match n.told_at {
            Some(_) => paths::call_not_told(n.id),
            None => paths::call_told(n.id),
        }),
        tick_words: match notice.and_then(|n| n.told_at) {
            Some(_) => "Not told after all",
            None => "Told",
        },
    }
}

#[cfg(test)]
pub(super) fn samples() -> Vec<Box<dyn askama::DynTemplate>> {
    let page = |count: usize| ChangePage {
        shell: Shell::sample("Turns of Sat 10 Oct 2026 put off"),
        sheet: Sheet::sample(),
        script: statics::calls_js(),
        said: "By Ruth <Halloran>, Sat 10 Oct 2026 11:20.".to_owned(),
        why: "a <belt> broke & “so on”".to_owned(),
        stands: "The mill stands 10:00–10:45.".to_owned(),
        runs_again: if count > 0 {
            "/changes/1/runs-again".to_owned()
        } else {
            String::new()
        },
        runs_words: "The mill runs again",
        back: "/changes/1/bring-back".to_owned(),
        goes_back: (0..count)
            .map(|_| BackRow {
                name: "Maximiliana <b>Featherstonehaugh</b>".to_owned(),
                now: "09:45".to_owned(),
                then: "09:00".to_owned(),
            })
            .collect(),
        stay: stay_words(count),
        rows: (0..count)
            .map(|n| Concerned {
                sheet: Sheet::sample(),
                name: "Maximiliana <b>Featherstonehaugh</b>".to_owned(),
                card: "/members/1".to_owned(),
                turn: "/turns/1".to_owned(),
                phone: "615 555 0134".to_owned(),
                dials: "tel:6155550134".to_owned(),
                texts: "sms:6155550134?body=Your%20turn".to_owned(),
                was: "Sat 10 Oct 2026, 09:00".to_owned(),
                now: "Sat 10 Oct 2026, 09:45".to_owned(),
                words: "Your turn is <moved>.".to_owned(),
                told: if n == 0 { "told" } else { "not told yet" },
                look: if n == 0 { "ok" } else { "warn" },
                tick: "/calls/1/told".to_owned(),
                tick_words: "Told",
            })
            .collect(),
        change: "1".to_owned(),
        day: "/days/2026-10-10".to_owned(),
        day_words: "Sat 10 Oct 2026".to_owned(),
    };
    vec![Box::new(page(0)), Box::new(page(30))]
}
