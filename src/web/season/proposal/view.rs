//! The season's proposal, as text ready to print.

use super::form::{fill_frost, keep_box, planted, shut_box, write_pairs, write_turns};
use super::picture::{self, Picture};
use crate::calc::season::ripeness::{FARTHEST_DAYS, LEARNED_FROM};
use crate::facts::season::proposal::SeasonProposal;
use crate::facts::season::proposal_days::{ProposedDay, ProposedTurn};
use crate::units::{Grams, Units, fixed};
use crate::web::error::PageError;
use crate::web::form::Sheet;
use crate::web::session::Visit;
use crate::web::shell::Shell;
use crate::web::{App, paths};
use askama::Template;

/// A turn that is proposed.
struct TurnRow {
    span: String,
    member: String,
    planted: String,
    cane: String,
    lost: String,
    moved: String,
    /// Boxes that keep its plantings there, by name.
    keep: Vec<(String, bool)>,
}

/// A day of the proposal.
struct DayCard {
    date: String,
    load: String,
    /// Whether it is planned, and who can help.
    about: String,
    shut: String,
    is_shut: bool,
    rows: Vec<TurnRow>,
}

/// Cane that found no room.
struct LeftRow {
    member: String,
    planted: String,
    ready: String,
    cane: String,
    why: &'static str,
}

/// The proposal of a season.
#[derive(Template)]
#[template(path = "season/proposal/show.html")]
pub(super) struct ProposalPage {
    shell: Shell,
    sheet: Sheet,
    action: String,
    frost_action: String,
    summary: Vec<String>,
    picture: Option<Picture>,
    days: Vec<DayCard>,
    left: Vec<LeftRow>,
    more_day: String,
    turns: usize,
    before: String,
    dates: String,
    written: String,
    frost: String,
    /// A box of the frost form is wrong: it is shown without a tap.
    frost_wrong: bool,
    reckoned: String,
    possible: String,
    back: String,
}

impl ProposalPage {
    pub(super) fn new(
        app: &App,
        visit: &Visit,
        of: &SeasonProposal,
        mut sheet: Sheet,
    ) -> Result<Self, PageError> {
        let units = visit.units();
        let year = of.season.season.year;
        let turns: usize = of.days.iter().map(|d| d.turns.len()).sum();
        fill_frost(&mut sheet, of);
        let before = sheet.typed("before").to_owned();
        let days = of
            .days
            .iter()
            .map(|day| card(day, of, &sheet, (&before, units)))
            .collect();
        let frost = match &of.frost {
            Some(frost) => format!(
                "{}, written in by {} on {}.",
                frost.source,
                frost.by,
                visit.zone()?.show(frost.at)
            ),
            None => "Nothing was said of frost yet, so the plan leaves it out.".to_owned(),
        };
        Ok(Self {
            shell: Shell::new(app, visit, format!("The season {year} proposed")),
            action: paths::season_part(year, "proposal"),
            frost_action: paths::season_part(year, "frost"),
            summary: summary(of, turns, units),
            picture: picture::of(of),
            days,
            left: of
                .left
                .iter()
                .map(|left| left_row(left, of, units))
                .collect(),
            more_day: if of.one_more_day > Grams::ZERO {
                format!(
                    "One more press day like the last, at the right time, would take {} of it.",
                    of.one_more_day.show(units)
                )
            } else {
                String::new()
            },
            turns,
            before: write_pairs(of),
            dates: of
                .days
                .iter()
                .map(|d| d.day.date.to_string())
                .collect::<Vec<_>>()
                .join(","),
            written: write_turns(of),
            frost,
            frost_wrong: ["early", "middle", "late", "source"]
                .into_iter()
                .any(|name| sheet.at(name).problem.is_some()),
            reckoned: reckoned(of, units),
            possible: paths::season_part(year, "possible-days"),
            back: paths::season_part(year, "plan"),
            sheet,
        })
    }
}

/// How a proposal is worked out.
fn reckoned(of: &SeasonProposal, units: Units) -> String {
    let steep = of.steep;
    let from = match steep.turns {
        0 => format!(
            "(by the rules; {LEARNED_FROM} pressed turns or more of this season correct them)"
        ),
        turns => format!("(as the Brix of {turns} turns of this season says)"),
    };
    let learned = if steep.turns == 0 {
        ""
    } else {
        " Nor do the losses for each day: they come from the turns that were pressed."
    };
    format!(
        "Cane loses little within the days it is ready; for each day before them {} of its sugar, for each day after {} \
         {from}. Nobody is given a day more than {FARTHEST_DAYS} days off. Opening a day with its crew counts as {} of cane; {} of what is \
         missing to fill a pan counts, {} of the cane whose juice waits for the pan, and {} of what is moved. First the member who \
         loses most is helped, in steps of {}, then the loss of all together is kept small. These figures stand in the season’s rules. \
         The {FARTHEST_DAYS} days do not: they are the program’s own.{learned}",
        percent(steep.early, units),
        percent(steep.late, units),
        of.weights.opening().show(units),
        percent(of.weights.short_pct / 100.0, units),
        percent(of.weights.wait_pct / 100.0, units),
        percent(of.weights.move_pct / 100.0, units),
        percent(of.weights.step_pct / 100.0, units),
    )
}

fn percent(part: f64, units: Units) -> String {
    format!("{} %", fixed(part * 100.0, 1, units))
}

fn summary(of: &SeasonProposal, turns: usize, units: Units) -> Vec<String> {
    if of.fields.is_empty() {
        return vec!["Every planting on record has its turn, or none is on record.".to_owned()];
    }
    if of.days.is_empty() {
        return vec!["No press day is open after today. Please plan one first.".to_owned()];
    }
    let used = of.days.iter().filter(|d| !d.turns.is_empty()).count();
    let plantings = of.fields.len();
    let mut words = vec![format!(
        "{plantings} {} without a turn; {turns} {} proposed, on {used} of {} days.",
        if plantings == 1 {
            "planting is"
        } else {
            "plantings are"
        },
        if turns == 1 { "turn is" } else { "turns are" },
        of.days.len()
    )];
    let kept = percent(of.kept, units);
    words.push(if of.exact {
        format!(
            "{kept} of their sugar is kept. No better plan exists for these days and this cane."
        )
    } else {
        format!(
            "{kept} of their sugar is kept. A better plan, if there is one, keeps at most {} more.",
            percent(of.more, units)
        )
    });
    if let Some((member, part)) = of.worst.filter(|(_, part)| *part > 0.0005) {
        let name = of.fields.iter().find(|f| f.planting.member_id == member);
        if let Some(field) = name {
            words.push(format!(
                "Who loses most is {}: {}.",
                field.planting.member,
                percent(part, units)
            ));
        }
    }
    words
}

fn card(
    day: &ProposedDay,
    of: &SeasonProposal,
    sheet: &Sheet,
    (before, units): (&str, Units),
) -> DayCard {
    let cane: Grams = day.turns.iter().map(|t| t.cane).sum();
    let date = day.day.date;
    DayCard {
        date: date.show(),
        load: if day.turns.is_empty() {
            match day.most {
                Grams::ZERO => "Nothing is proposed: the day is full.".to_owned(),
                most => format!(
                    "Nothing is proposed; there is room for {}.",
                    most.show(units)
                ),
            }
        } else {
            format!(
                "{} of {} that the day can still take.",
                cane.show(units),
                day.most.show(units)
            )
        },
        about: about(day),
        is_shut: day.shut,
        shut: shut_box(date),
        rows: day
            .turns
            .iter()
            .map(|turn| row(turn, day, of, (sheet, before, units)))
            .collect(),
    }
}

/// Whether a day is planned, and who can help on it.
fn about(day: &ProposedDay) -> String {
    let planned = if day.planned {
        ""
    } else if day.turns.is_empty() {
        "Possible, not a press day. "
    } else {
        "Possible; it becomes a press day when the members are asked. "
    };
    let (opens, closes) = (day.room.day.opens.show(), day.room.day.closes.show());
    let helpers = match day.helpers {
        None => String::new(),
        Some(n) if day.too_few => {
            format!(
                "{n} can help: too few, since nobody feeds the rollers alone, so nothing is proposed."
            )
        }
        Some(n) => format!("{n} can help; two or more are there from {opens} to {closes}."),
    };
    format!("{planned}{helpers}")
}

fn row(
    turn: &ProposedTurn,
    day: &ProposedDay,
    of: &SeasonProposal,
    (sheet, before, units): (&Sheet, &str, Units),
) -> TurnRow {
    let place = of
        .days
        .iter()
        .position(|d| d.day.id == day.day.id)
        .unwrap_or_default();
    let lost: f64 = turn
        .of
        .iter()
        .map(|(field, cane)| cane.kg() * of.lost[*field][place].unwrap_or(1.0))
        .sum();
    let moved = turn.of.iter().any(|(field, _)| {
        let id = of.fields[*field].planting.id.to_string();
        before.contains(&id) && !before.contains(&format!("{id}:{}", day.day.date))
    });
    TurnRow {
        span: turn.span.show(&day.room.day.clock),
        member: of.fields[turn.of[0].0].planting.member.to_string(),
        planted: planted(of, turn.of.iter().map(|(field, _)| *field)),
        cane: turn.cane.show(units),
        lost: percent(lost / turn.cane.kg().max(1e-9), units),
        moved: if moved {
            "moved".to_owned()
        } else {
            String::new()
        },
        keep: turn
            .of
            .iter()
            .map(|(field, _)| {
                let name = keep_box(of.fields[*field].planting.id);
                let ticked = sheet.ticked(&name);
                (name, ticked)
            })
            .collect(),
    }
}

fn left_row((field, cane): &(usize, Grams), of: &SeasonProposal, units: Units) -> LeftRow {
    let own = &of.fields[*field];
    LeftRow {
        member: own.planting.member.to_string(),
        planted: own.planting.variety.clone(),
        ready: own.ready.show(),
        cane: cane.show(units),
        why: why_left(*field, of),
    }
}

/// Why cane was left without a day.
fn why_left(field: usize, of: &SeasonProposal) -> &'static str {
    let ready = of.fields[field].ready;
    let mut near = of
        .days
        .iter()
        .filter(|day| ready.days_off(day.day.date) <= FARTHEST_DAYS)
        .peekable();
    if of.lost[field].iter().any(Option::is_some) {
        "The days that suit it have no room left."
    } else if near.peek().is_none() {
        "No press day lies near enough to the days it is ready."
    } else if near.all(|day| day.shut || day.too_few) {
        "On the press days near enough nothing may be proposed."
    } else {
        "The member cannot come on the press days that are near enough."
    }
}

#[cfg(test)]
fn sample_picture() -> Picture {
    Picture {
        width: 720.0,
        height: 164.0,
        left: 150.0,
        base: 106.0,
        bars: vec![picture::Bar {
            x: 200.0,
            most_y: 16.0,
            most_height: 90.0,
            y: 50.0,
            height: 56.0,
            label: "19".to_owned(),
        }],
        lines: vec![picture::Line {
            y: 146.0,
            label: "Amos <b>Trout</b>".to_owned(),
            from: 180.0,
            width: 80.0,
            put: vec![200.0],
        }],
    }
}

#[cfg(test)]
pub(in crate::web) fn samples() -> Vec<Box<dyn askama::DynTemplate>> {
    let page = |full: bool| ProposalPage {
        shell: Shell::sample("The season 2026 proposed"),
        sheet: Sheet::sample(),
        action: "/seasons/2026/proposal".to_owned(),
        frost_action: "/seasons/2026/frost".to_owned(),
        summary: vec!["3 plantings are without a turn.".to_owned()],
        picture: full.then(sample_picture),
        days: vec![
            DayCard {
                date: "Sat 19 Sep 2026".to_owned(),
                load: "400 lb of 2,000 lb that the day can still take.".to_owned(),
                about: "3 can help; two or more are there from 07:00 to 15:00.".to_owned(),
                shut: "shut-2026-09-19".to_owned(),
                is_shut: false,
                rows: vec![TurnRow {
                    span: "09:00–09:40".to_owned(),
                    member: "Amos <b>Trout</b>".to_owned(),
                    planted: "Dale <early>".to_owned(),
                    cane: "400 lb".to_owned(),
                    lost: "0.4 %".to_owned(),
                    moved: "moved".to_owned(),
                    keep: vec![("keep-x".to_owned(), true)],
                }],
            },
            DayCard {
                date: "Sat 26 Sep 2026".to_owned(),
                load: "Nothing is proposed; there is room for 2,000 lb.".to_owned(),
                about: String::new(),
                shut: "shut-2026-09-26".to_owned(),
                is_shut: true,
                rows: Vec::new(),
            },
        ],
        left: if full {
            vec![LeftRow {
                member: "Zeb Ashe".to_owned(),
                planted: "Sugar Drip".to_owned(),
                ready: "Mon 9 Nov 2026 to Sun 29 Nov 2026".to_owned(),
                cane: "300 lb".to_owned(),
                why: "No press day lies near enough to the days it is ready.",
            }]
        } else {
            Vec::new()
        },
        more_day: "One more press day like the last, at the right time, would take 300 lb of it."
            .to_owned(),
        turns: usize::from(full),
        before: "x:2026-09-19".to_owned(),
        dates: "2026-09-19".to_owned(),
        written: "2026-09-19 09:00 x 181437 Dale".to_owned(),
        frost_wrong: full,
        frost: "Climate table <b>, written in by Delia.".to_owned(),
        reckoned: "Cane loses little.".to_owned(),
        possible: "/seasons/2026/possible-days".to_owned(),
        back: "/seasons/2026/plan".to_owned(),
    };
    vec![Box::new(page(true)), Box::new(page(false))]
}
