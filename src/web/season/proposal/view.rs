//! The season's proposal, as text ready to print.

use super::booked_and_asked::{AskedRow, Counts};
use super::form::{fill_frost, in_address, write_before, write_kept, write_turns};
use super::picture::{self, Picture};
use super::rows::{DayCard, LeftRow, Writer, percent};
use crate::calc::season::ripeness::{FARTHEST_DAYS, LEARNED_FROM};
use crate::facts::season::proposal::SeasonProposal;
use crate::units::{Grams, Units, Zone};
use crate::web::error::PageError;
use crate::web::form::Sheet;
use crate::web::session::Visit;
use crate::web::shell::Shell;
use crate::web::{App, paths};
use askama::Template;

/// A sentence in which somebody is named.
pub(super) struct Named {
    pub(super) before: String,
    pub(super) name: String,
    pub(super) after: String,
}

/// The proposal of a season.
#[derive(Template)]
#[template(path = "season/proposal/show.html")]
pub(super) struct ProposalPage {
    pub(super) shell: Shell,
    pub(super) sheet: Sheet,
    pub(super) action: String,
    pub(super) frost_action: String,
    pub(super) summary: Vec<String>,
    /// Who comes off worst; `None`: that is told of nobody.
    pub(super) worst: Option<Named>,
    /// What changed against what was shown before.
    pub(super) changed: String,
    pub(super) picture: Option<Picture>,
    pub(super) asked: Vec<AskedRow>,
    pub(super) days: Vec<DayCard>,
    pub(super) left: Vec<LeftRow>,
    pub(super) more_day: String,
    pub(super) costs: Vec<String>,
    /// How many turns members are asked about.
    pub(super) turns: usize,
    pub(super) before: String,
    pub(super) kept: String,
    /// The mark of what these turns are proposed from.
    pub(super) from: String,
    pub(super) written: String,
    pub(super) frost: Named,
    /// Whether the frost form came back: it is shown without a tap, and says what is wrong.
    pub(super) frost_back: bool,
    /// Sentence on the night for which frost is forecast; `None`: for none.
    pub(super) forecast: Option<Named>,
    /// Whether the form of the forecast came back, with what is wrong.
    pub(super) forecast_back: bool,
    pub(super) forecast_action: String,
    pub(super) reckoned: String,
    pub(super) possible: String,
    pub(super) back: String,
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
        let all = of.days.iter().flat_map(|day| &day.turns);
        let asks = all.filter(|turn| turn.against.is_none()).count();
        let frost_back = sheet.was_sent("source");
        let forecast_back = sheet.was_sent("night");
        fill_frost(&mut sheet, of);
        let zone = visit.zone()?;
        let writer = Writer { of, zone, units };
        let (days, left) = (writer.cards(), writer.left());
        let (asked, counts) = writer.asked(visit.at);
        let before = write_before(of);
        Ok(Self {
            shell: Shell::new(app, visit, format!("The season {year} proposed")),
            action: paths::season_part(year, "proposal"),
            frost_action: paths::season_part(year, "frost"),
            summary: summary(of, (turns, counts), units),
            changed: writer.changed(&days, &left),
            worst: worst_off(of, units),
            costs: costs(of, turns, units),
            asked,
            picture: picture::of(of),
            days,
            left,
            more_day: of.one_more_day.map_or_else(String::new, |more| {
                format!(
                    "One more press day like the last, on {}, would take {} of it and keep the sugar of {}.",
                    more.date.show(),
                    more.cane.show(units),
                    more.kept.show(units)
                )
            }),
            turns: asks,
            kept: write_kept(&of.wish),
            from: of.from.clone(),
            written: write_turns(of),
            frost: frost(of, zone),
            frost_back,
            forecast: forecast(of, zone),
            forecast_back,
            forecast_action: paths::season_part(year, "frost-forecast"),
            reckoned: reckoned(of, units),
            possible: paths::season_part(year, "possible-days") + &in_address(&of.wish, (&before, &of.from)),
            before,
            back: paths::season_part(year, "plan"),
            sheet,
        })
    }
}

/// Sentence on what was written in of the frosts of other years.
fn frost(of: &SeasonProposal, zone: &Zone) -> Named {
    let nobody = |words: &str| Named {
        before: words.to_owned(),
        name: String::new(),
        after: String::new(),
    };
    match &of.frost {
        Some(frost) => Named {
            before: format!("{}, written in by ", frost.source),
            name: frost.by.to_string(),
            after: format!(" on {}.", zone.show(frost.at)),
        },
        None if of.forecast.as_ref().is_some_and(|f| f.night.is_some()) => nobody(
            "Of the frosts of other years nothing was written in yet, so the plan goes by that night alone.",
        ),
        None => nobody("Nothing was said of frost yet, so the plan leaves it out."),
    }
}

/// Sentence on the night for which frost is forecast; `None`: for none.
fn forecast(of: &SeasonProposal, zone: &Zone) -> Option<Named> {
    let said = of.forecast.as_ref()?;
    Some(Named {
        before: format!(
            "Frost is forecast for the night after {}, written in by ",
            said.night?.show()
        ),
        name: said.by.to_string(),
        after: format!(
            " on {}. What is pressed after it counts as killed.",
            zone.show(said.at)
        ),
    })
}

/// Words on how the proposal was worked out.
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
         {from}. Nobody is given a day more than {FARTHEST_DAYS} days before or after those. So that plans can be compared, all else \
         is counted as cane, too: a day that the crew opens as {}; each further day on which one planting is hauled as {}; what is \
         missing to fill a pan at {} of its weight; cane whose juice waits for the pan at {}; cane that is moved to another day than \
         was shown at {}. The member who would lose most beyond what these days take in any case is helped first, in steps of {}; \
         then the loss of all together is kept small. These figures stand in the season’s rules. The {FARTHEST_DAYS} days do not: \
         they are the program’s own.{learned}",
        percent(steep.early, units),
        percent(steep.late, units),
        of.weights.opening().show(units),
        of.weights.person.show(units),
        percent(of.weights.short_pct / 100.0, units),
        percent(of.weights.wait_pct / 100.0, units),
        percent(of.weights.move_pct / 100.0, units),
        percent(of.weights.step_pct / 100.0, units),
    )
}

/// A number of turns in words.
fn turns_words(n: usize, is: &str, are: &str) -> String {
    match n {
        1 => format!("1 turn {is}"),
        n => format!("{n} turns {are}"),
    }
}

/// Sentence on the turns that were booked or asked about; empty: there are none.
fn standing(counts: Counts) -> String {
    let mut parts = Vec::new();
    if counts.booked > 0 {
        parts.push(turns_words(counts.booked, "is booked", "are booked"));
    }
    if counts.asked > 0 {
        let (is, are) = (
            "is asked about and not answered yet",
            "are asked about and not answered yet",
        );
        parts.push(turns_words(counts.asked, is, are));
    }
    if counts.not_taken > 0 {
        let (was, were) = ("was not taken", "were not taken");
        parts.push(turns_words(counts.not_taken, was, were));
    }
    if parts.is_empty() {
        return String::new();
    }
    format!("On the days to come: {}.", parts.join("; "))
}

fn summary(of: &SeasonProposal, (turns, counts): (usize, Counts), units: Units) -> Vec<String> {
    let standing = Some(standing(counts)).filter(|words| !words.is_empty());
    if of.fields.is_empty() {
        let first = if of.done.is_empty() {
            "No planting is on record."
        } else if counts.asked > 0 {
            "All cane on record has a day, as far as those who were asked take theirs."
        } else {
            "Every planting on record has its turn."
        };
        return std::iter::once(first.to_owned()).chain(standing).collect();
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
            "{kept} of their sugar is kept. No better plan exists for this cane and the room of these days."
        )
    } else {
        format!(
            "{kept} of their sugar is kept. A better plan, if there is one, keeps at most {} more.",
            percent(of.more, units)
        )
    });
    if of
        .worst
        .is_some_and(|(_, lost, least)| lost > LEAST_TOLD && lost - least <= LEAST_TOLD)
    {
        words.push("Nobody loses more sugar than is lost on these days in any case.".to_owned());
    }
    words.extend(standing);
    words
}

/// Part of a member's sugar that is told of at least.
const LEAST_TOLD: f64 = 0.0005;

/// Sentence on the member who loses most beyond what no plan could spare; `None`: nobody loses more than that.
fn worst_off(of: &SeasonProposal, units: Units) -> Option<Named> {
    let (member, lost, least) = of.worst?;
    if of.days.is_empty() || lost - least <= LEAST_TOLD {
        return None;
    }
    let own = of.fields.iter().find(|f| f.planting.member_id == member)?;
    let show = |part: f64| percent(part, units);
    Some(Named {
        before: String::new(),
        name: own.planting.member.to_string(),
        after: if least <= LEAST_TOLD {
            format!(" comes off worst, and loses {} of the sugar.", show(lost))
        } else {
            format!(
                " comes off worst, and loses {} of the sugar: {} would be lost on these days in any case, {} more because they are shared.",
                show(lost),
                show(least),
                show(lost - least)
            )
        },
    })
}

/// What the plan costs, line by line.
fn costs(of: &SeasonProposal, turns: usize, units: Units) -> Vec<String> {
    if turns == 0 {
        return Vec::new();
    }
    let costs = of.costs;
    let show = |cane: Grams| cane.show(units);
    let mut lines = vec![format!(
        "Cut early or late: the sugar of {} of cane is lost.",
        show(costs.off)
    )];
    lines.push(match costs.frost {
        Some(frost) => format!(
            "Frost: the sugar of {} of cane is expected to be lost, by what is said of frost below.",
            show(frost)
        ),
        None => "Frost: not counted, since nothing was said of it.".to_owned(),
    });
    lines.push(if costs.waits == Grams::ZERO {
        "The pans keep up with the mill, so that no juice has to wait for them.".to_owned()
    } else {
        format!(
            "The juice of {} of cane waits, since the pans boil slower than the mill presses.",
            show(costs.waits)
        )
    });
    lines.push(match costs.days {
        0 => "The crew comes only on days that have turns already.".to_owned(),
        1 => format!(
            "The crew comes on 1 day just for these turns: {} people.",
            costs.people
        ),
        n => format!(
            "The crew comes on {n} days just for these turns: {} people, if each is counted for each day.",
            costs.people
        ),
    });
    lines.push(match costs.short_days {
        0 => "On those days there is cane enough to fill the pan.".to_owned(),
        n => format!(
            "On {n} of those days there is not cane enough to fill the pan: {} is missing.",
            show(costs.short)
        ),
    });
    if costs.days == 0 {
        lines.pop();
    }
    lines
}
