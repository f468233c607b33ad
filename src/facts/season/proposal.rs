//! A season's proposal as the store has it: the cane that still waits for a day, the days that have room, and what is
//! proposed. What it costs to lose cane is `calc`'s.

use super::proposal_days::{Crew, ProposedDay, days, reckoned_day, to_come};
use super::proposal_fields::{Field, Spoken, fields_of, spoken, steepness, waits};
use super::proposal_kept::{beside_kept, kept_kg, put_kept};
use super::proposal_left::WhyLeft;
use super::proposal_placed::{Asked, found, least, placed, worst};
use super::proposal_places::{Places, pieces};
use super::proposal_stands::stand;
use super::proposal_told::{Costs, OneMoreDay, costs, one_more_day};
use super::proposal_wish::Wish;
use super::seasons::SeasonRules;
use crate::calc::chain::sha256_hex;
use crate::calc::season::proposal::{Piece, Season, WaitingPlanting};
use crate::calc::season::ripeness::{FirstFrost, Frosts, Steepness, lost};
use crate::calc::season::weights::Weights;
use crate::facts::cane::yields::{TicketJuice, juice_by_ticket};
use crate::facts::turns::turn_habit::Taught;
use crate::store::marks::{self, Mark};
use crate::store::season::forbidden_days::{self, SaidOfDay};
use crate::store::season::frosts::{self, Forecast, Frost};
use crate::store::season::plantings::{self, Planting};
use crate::store::season::{seasons, weights};
use crate::store::turns::press_days::PressDay;
use crate::store::{Conn, Question, Stored, Together};
use crate::units::{Grams, MemberId, PressDate, SeasonId, TicketId, UtcSecond, Zone};
use std::collections::{BTreeMap, BTreeSet, HashMap};

/// A season's proposal.
#[derive(Debug, Clone)]
pub struct SeasonProposal {
    /// The season with its rules.
    pub season: SeasonRules,
    /// What was written of the place's first frost.
    pub frost: Option<Frost>,
    /// What was written of a frost that is forecast.
    pub forecast: Option<Forecast>,
    /// What each loss and cost counts, by the rules.
    pub weights: Weights,
    /// What a planting loses each day.
    pub steep: Steepness,
    /// The plantings whose cane waits for a day.
    pub fields: Vec<Field>,
    /// The others: all their cane has a day.
    pub done: Vec<Field>,
    /// Turns and offers, and turns of the proposal that nobody took.
    pub spoken: Vec<Spoken>,
    /// The open press days.
    pub days: Vec<ProposedDay>,
    /// Cane that found no room: place of its field, how much, and why.
    pub left: Vec<(usize, Grams, WhyLeft)>,
    /// What the proposal costs.
    pub costs: Costs,
    /// What the steward has fixed.
    pub wish: Wish,
    /// The mark of what all this was proposed from.
    pub from: String,
    /// Part lost on each day by each field; `None`: it is not pressed then.
    pub lost: Vec<Vec<Option<f64>>>,
    /// The member who loses most beyond what no plan could spare, with the part of the own cane that is lost, and the part of it that would be
    /// lost in any case.
    pub worst: Option<(MemberId, f64, f64)>,
    /// Part of all sugar that is kept.
    pub kept: f64,
    /// Part of all sugar that a plan as good to the worst-off member could keep more, at most.
    pub more: f64,
    /// Whether it is proved that no better plan exists.
    pub exact: bool,
    /// What one more day would save of what is left over; `None`: nothing.
    pub one_more_day: Option<OneMoreDay>,
}

/// Characters of a mark: two proposals made from different things do not have the same by chance.
const MARK: usize = 16;

/// A season read and not proposed yet: that is work of its own, up to seconds for a large season.
#[derive(Debug)]
pub struct ToPropose {
    of: (SeasonRules, Option<Frost>, Option<Forecast>, Weights),
    fields: Vec<Field>,
    spoken: Vec<Spoken>,
    days: Vec<ProposedDay>,
    crew: Crew,
    steep: Steepness,
    at: UtcSecond,
    today: PressDate,
    wish: Wish,
}

/// What is written of a season, before anything is reckoned.
struct Written {
    frost: Option<Frost>,
    forecast: Option<Forecast>,
    forbidden: Vec<SaidOfDay>,
    planted: Vec<Planting>,
    juices: HashMap<TicketId, TicketJuice>,
    spoken: Vec<Spoken>,
    crew: Crew,
    /// The days that are still to come; whether each is a press day already.
    days: Vec<(PressDay, bool)>,
    mark: Option<Mark>,
}

impl Written {
    fn of(season: SeasonId, today: PressDate) -> Question<Self> {
        let found = (
            frosts::of_season(season),
            frosts::forecast(season),
            forbidden_days::of_season(season),
            plantings::of_season(season),
            juice_by_ticket(season),
            spoken(season),
            Crew::of(season),
            to_come(season, today),
            marks::mark(),
        );
        found.together().map(
            |(frost, forecast, forbidden, planted, juices, spoken, crew, days, mark)| Self {
                frost,
                forecast,
                forbidden,
                planted,
                juices,
                spoken,
                crew,
                days,
                mark,
            },
        )
    }
}

impl ToPropose {
    /// Reads a season; `None`: it was not opened.
    ///
    /// # Errors
    /// The store failed.
    pub async fn of_year(
        conn: &mut Conn,
        year: i64,
        (at, zone): (UtcSecond, &Zone),
        wish: Wish,
    ) -> Stored<Option<Self>> {
        let today = zone.local(at).0;
        let written = |season: &seasons::Season| Written::of(season.id, today);
        let found = SeasonRules::of_year_with(conn, year, today, written).await?;
        let Some((season, written)) = found else {
            return Ok(None);
        };
        let (mark, spoken, crew) = (written.mark.as_ref(), written.spoken, written.crew);
        let found = (
            weights::of_rules(season.rules.id),
            Taught::by(mark, season.season.id),
        );
        let (weights, taught) = found.together().ask(conn).await?;
        let habit = taught.whole(mark).ask(conn).await?;
        let steep = steepness(&written.planted, &written.juices, (&weights, zone));
        let fields = fields_of(written.planted, &spoken, (&season.rules, &habit));
        let of_days = (&*written.forbidden, &crew, &*fields);
        let days = days(conn, (written.days, mark), (at, zone), of_days).await?;
        Ok(Some(Self {
            fields,
            of: (season, written.frost, written.forecast, weights),
            spoken,
            days,
            crew,
            steep,
            at,
            today: zone.local(at).0,
            wish,
        }))
    }

    /// The mark of all that turns are proposed from, but for what of them is kept.
    fn mark(&self) -> String {
        let (season, frost, forecast, weights) = &self.of;
        let of_year = (season.season.id, frost, forecast, weights, self.steep);
        let all = (of_year, &self.fields, &self.days, &self.crew);
        sha256_hex(&format!("{all:?}"))[..MARK].to_owned()
    }

    /// Proposes its turns: gives every turn its time of day, and proposes again with less where the day's room, looked at
    /// turn by turn, does not hold what was put there.
    pub fn propose(self) -> SeasonProposal {
        let from = self.mark();
        let (season, frost, forecast, weights) = self.of;
        let (fields, done): (Vec<Field>, Vec<Field>) = self.fields.into_iter().partition(waits);
        let mut days = self.days;
        let first = frosts_of(frost.as_ref(), forecast.as_ref());
        let places = Places {
            fields: &fields,
            crew: &self.crew,
            at: self.at,
            before: &self.wish.before,
        };
        let hours = hours(&places, &days);
        put_kept(&places, &self.wish, &mut days);
        let parts = (first, self.steep, &weights);
        let whole = reckoned(&places, (&days, hours), parts, &self.wish);
        let may = |field: usize, n: usize| places.may(field, &days[n]);
        let beside = beside_kept(&whole, (&places, &days), &weights, may);
        let asked = Asked {
            whole: &whole,
            beside: &beside,
            weights: &weights,
        };
        // Where all is as it was, so is the proposal, whatever of it is kept by now.
        let mut shown = days.clone();
        let found = if from == self.wish.from && stand(&places, &self.wish, &mut shown) {
            days = shown;
            found(&asked, &places, &days)
        } else {
            placed(&asked, &places, &self.wish, &mut days)
        };
        let all: f64 = whole
            .patches
            .iter()
            .map(|p| p.cane_kg)
            .sum::<f64>()
            .max(1.0);
        let pieces = pieces(&days);
        let costs = costs(&whole, &pieces, (&fields, &days), (first, self.steep));
        let left = places.left(&days, &found.why);
        let lost = costs.lost_kg / all;
        let least = least(&whole, &days);
        let in_any_case: f64 = whole
            .patches
            .iter()
            .map(|p| p.cane_kg * least[p.owner])
            .sum();
        let spared = lost - in_any_case / all;
        SeasonProposal {
            one_more_day: one_more_day((&places, &days, self.today), &left, parts),
            kept: 1.0 - lost,
            exact: found.exact,
            more: (found.better_kg / all).min(spared).max(0.0),
            worst: worst(&whole, (&pieces, &least), owners(&fields).into_iter()),
            lost: whole.patches.into_iter().map(|p| p.lost).collect(),
            spoken: self.spoken,
            steep: self.steep,
            wish: self.wish,
            from,
            season,
            frost,
            forecast,
            weights,
            fields,
            done,
            days,
            left,
            costs,
        }
    }
}

/// What is known of frost, as it is reckoned with.
fn frosts_of(first: Option<&Frost>, forecast: Option<&Forecast>) -> Frosts {
    Frosts {
        first: first.map(|f| FirstFrost {
            early: f.early,
            middle: f.middle,
            late: f.late,
        }),
        forecast: forecast.and_then(|f| f.night),
    }
}

/// Cane that each field's member can bring on each day at most, by the hours of that member, kg.
fn hours(places: &Places<'_>, days: &[ProposedDay]) -> Vec<Vec<f64>> {
    let of_field = |field| {
        let most = days.iter().map(|day| places.most_within(field, day));
        most.collect()
    };
    (0..places.fields.len()).map(of_field).collect()
}

/// The members whose the fields are, in order.
fn owners(fields: &[Field]) -> BTreeSet<MemberId> {
    fields.iter().map(|f| f.planting.member_id).collect()
}

/// The season as it is reckoned; `hours`: cane that each field's member can bring on each day at most.
fn reckoned(
    places: &Places<'_>,
    (days, hours): (&[ProposedDay], Vec<Vec<f64>>),
    (frost, steep, weights): (Frosts, Steepness, &Weights),
    wish: &Wish,
) -> Season {
    let fields = places.fields;
    let owners = owners(fields);
    let owner = |id| owners.iter().position(|m| *m == id).unwrap_or_default();
    let patch = |((n, field), most_kg): ((usize, &Field), Vec<f64>)| {
        let id = field.planting.id;
        // What is kept with its minutes has them; what is kept without, or found no room, stays on its day alone.
        let has_turn = kept_kg(days, n, None) > 0.0;
        let only_there = !has_turn && wish.kept.iter().any(|k| k.planting == id);
        let was_put = wish.before_of(id).next().is_some();
        WaitingPlanting {
            owner: owner(field.planting.member_id),
            cane_kg: field.cane.kg(),
            lost: days
                .iter()
                .enumerate()
                .map(|(d, day)| {
                    let date = day.day.date;
                    let here = if only_there {
                        wish.keeps(id, date)
                    } else {
                        places.may(n, day) || kept_kg(days, n, Some(d)) > 0.0
                    };
                    lost(field.ready, date, frost, steep).filter(|_| here)
                })
                .collect(),
            moved: days
                .iter()
                .map(|day| {
                    if was_put && !wish.before_of(id).any(|b| b.date == day.day.date) {
                        weights.move_pct / 100.0
                    } else {
                        0.0
                    }
                })
                .collect(),
            most_kg,
        }
    };
    // A planting may have had several turns on a day: they are one piece here.
    let mut before: BTreeMap<(usize, usize), f64> = BTreeMap::new();
    for b in &wish.before {
        let day = days.iter().position(|d| d.day.date == b.date);
        let patch = fields.iter().position(|f| f.planting.id == b.planting);
        if let Some(place) = day.zip(patch) {
            *before.entry(place).or_default() += b.cane.kg();
        }
    }
    let before = before
        .into_iter()
        .map(|((day, patch), kg)| Piece { patch, day, kg });
    Season {
        before: before.collect(),
        patches: fields.iter().enumerate().zip(hours).map(patch).collect(),
        days: days.iter().map(|day| reckoned_day(day, weights)).collect(),
        step: weights.step_pct / 100.0,
        // Whoever hauls again is away from other work, as whoever comes to the mill is.
        haul_kg: weights.person.kg(),
    }
}
