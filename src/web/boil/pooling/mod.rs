//! Which juices to boil next: proposals for a press day, each with its why. The crew decides.

mod view;

use super::boils;
use super::boils::load::{FinishOfDay, finish_of_day, load as load_boil};
use crate::calc::boil::boil_plan;
use crate::calc::boil::day_sum::{OVERHEAD, litres_h};
use crate::calc::boil::pooling::{self, PanDay, Proposals};
use crate::calc::boil::sums::{Stage, total};
use crate::facts::boil::season_boils::{self, Season};
use crate::facts::boil::boil_sums::Stocked;
use crate::store::boil::pans::Pan;
use crate::store::season::seasons::{self, JarSize, Rules};
use crate::store::turns::press_days::{self, PressDay};
use crate::units::{BrixAt20C, Grams, MemberId, PanId, PressDate, UtcSecond};
use crate::web::error::PageError;
use crate::web::session::Visit;
use crate::web::{App, Page, page};
use axum::extract::{Path, Query, State};
use view::PlanPage;
#[cfg(test)]
pub(in crate::web) use view::samples;

/// What the page is made from.
struct Ready {
    day: PressDay,
    rules: Rules,
    sizes: Vec<JarSize>,
    season: Season,
    /// Juices with something left, oldest first.
    waiting: Vec<Stocked>,
    target: BrixAt20C,
    finish: FinishOfDay,
    /// When the fire is free: after the boils of the day that are on it.
    free: UtcSecond,
    /// Place of the pan among those in use.
    pan: Option<usize>,
}

impl Ready {
    fn pan(&self) -> Option<&Pan> {
        self.season.pans.get(self.pan?)
    }

    /// The pan at the rate it is known by.
    fn pan_to_plan(&self) -> Option<boil_plan::Pan> {
        let settings = &self.pan()?.settings;
        let (pan, _) = self
            .season
            .habit
            .pan(settings.area.get(), Some(settings.rate_l_m2_h));
        Some(pan)
    }
}

async fn ready(
    app: &App,
    visit: &Visit,
    date: &str,
    asked: &[(String, String)],
) -> Result<Ready, PageError> {
    let date = PressDate::parse(date).map_err(|_| PageError::NotFound)?;
    let mut snapshot = app.read().await?;
    let day = press_days::of_date(&mut snapshot, date)
        .await?
        .ok_or(PageError::NotFound)?;
    let rules = seasons::rules_in_force(&mut snapshot, day.season_id).await?;
    let sizes = seasons::jar_sizes(&mut snapshot, rules.id).await?;
    let season = season_boils::read(&mut snapshot, day.season_id).await?;
    drop(snapshot);
    let water = season.water_of_day(day.id);
    let finish = finish_of_day(&season, water, visit, rules.target_bx)?;
    let mut free = visit.at;
    for boil in &season.boils {
        if boil.press_day_id == day.id && boil.stage() == Stage::Lit {
            let on_fire = load_boil(app, visit, boil.clone()).await?;
            // Half an hour of the hour between boils comes after the fire is drawn.
            let done = boils::done_about(&on_fire, visit.at).plus(30 * 60);
            free = free.max(done);
        }
    }
    let waiting: Vec<Stocked> = season
        .juices
        .iter()
        .filter(|j| j.poured.left.mass > Grams::ZERO)
        .cloned()
        .collect();
    let wanted = asked
        .iter()
        .find(|(name, _)| name == "pan")
        .and_then(|(_, id)| PanId::parse(id));
    let all = total(waiting.iter().map(|j| j.poured.left));
    let usual = season.pan_for(all.volume).map(|p| p.id);
    let pan = season
        .pans
        .iter()
        .position(|p| Some(p.id) == wanted)
        .or_else(|| season.pans.iter().position(|p| Some(p.id) == usual));
    Ok(Ready {
        target: BrixAt20C::new(rules.target_bx)
            .map_err(|refused| PageError::Fault(refused.to_string()))?,
        sizes,
        rules,
        waiting,
        finish,
        free,
        pan,
        season,
        day,
    })
}

/// Proposes boils for what waits; nothing without a pan or juice.
fn propose(of: &Ready, visit: &Visit) -> Option<Result<Proposals, String>> {
    let (pan, settings) = (of.pan_to_plan()?, of.pan()?.settings);
    let all = total(of.waiting.iter().map(|j| j.poured.left));
    let litres_h = litres_h(pan, all, of.target)?;
    let day = PanDay {
        least: settings.least,
        greatest: settings.most,
        free: of.free,
        overhead: OVERHEAD,
        litres_h,
    };
    let labels: Vec<String> = of.waiting.iter().map(label).collect();
    let members = members(&of.waiting);
    let waiting: Vec<pooling::Waiting<'_>> = of
        .waiting
        .iter()
        .zip(&labels)
        .map(|(juice, label)| pooling::Waiting {
            label,
            member: place(&members, juice.row.member_id),
            volume: juice.poured.left.volume,
            due: juice.row.pressed_at.plus(60 * of.rules.hold_red.get()),
            pools: juice.row.pools,
        })
        .collect();
    let found = pooling::propose(&waiting, &day, visit.units());
    Some(found.map_err(|unmet| unmet.sentence))
}

/// What sentences call a juice.
fn label(juice: &Stocked) -> String {
    format!(
        "{}, ticket {} ({})",
        juice.row.member_name, juice.row.ticket, juice.row.vessel
    )
}

fn members(waiting: &[Stocked]) -> Vec<MemberId> {
    let mut seen = Vec::new();
    for juice in waiting {
        if !seen.contains(&juice.row.member_id) {
            seen.push(juice.row.member_id);
        }
    }
    seen
}

fn place(members: &[MemberId], member: MemberId) -> u64 {
    members
        .iter()
        .position(|m| *m == member)
        .and_then(|n| u64::try_from(n).ok())
        .unwrap_or(u64::MAX)
}

/// `GET /days/{date}/plan`
pub async fn show(
    State(app): State<App>,
    visit: Visit,
    Path(date): Path<String>,
    Query(asked): Query<Vec<(String, String)>>,
) -> Page {
    let ready = ready(&app, &visit, &date, &asked).await?;
    let proposals = propose(&ready, &visit);
    page(&PlanPage::new(&app, &visit, &ready, proposals)?)
}
