//! What no proposal can cost less than. Each day's room gets a price; with prices every planting finds its
//! cheapest day alone, and what that comes to, less what all the room is worth, is below every proposal's
//! cost, whatever the prices. Better prices are sought by steps along the shortage (subgradient method, a
//! textbook one).

use super::Season;

/// How many steps the prices take along the shortage.
const STEPS: usize = 600;

/// Prices of a day's room, by the minute and by the kilogram.
#[derive(Debug, Clone, Copy)]
struct Price {
    minute: f64,
    kg: f64,
}

/// The least that any proposal can cost, kg of cane. `known`: the cost of a proposal that is known.
pub fn least_cost(season: &Season, known: f64) -> f64 {
    let mut prices = vec![
        Price {
            minute: 0.0,
            kg: 0.0
        };
        season.days.len()
    ];
    let mut best = f64::NEG_INFINITY;
    let mut pace = 1.2;
    let mut since = 0;
    for _ in 0..STEPS {
        let (value, minutes, kg) = at_prices(season, &prices);
        if value > best + 1e-9 {
            best = value;
            since = 0;
        } else {
            since += 1;
            if since == 12 {
                pace *= 0.7;
                since = 0;
            }
        }
        // Both in kilograms, so that one step suits them.
        let rate = |d: usize| season.days[d].kg_per_minute;
        let norm: f64 = (0..prices.len())
            .map(|d| (minutes[d] * rate(d)).powi(2) + kg[d].powi(2))
            .sum();
        if norm < 1e-12 || known - best < 1e-9 {
            break;
        }
        let step = pace * (known - value).max(1e-6) / norm;
        for (d, price) in prices.iter_mut().enumerate() {
            price.minute = (price.minute + step * minutes[d] * rate(d).powi(2)).max(0.0);
            price.kg = (price.kg + step * kg[d]).max(0.0);
        }
    }
    best.max(0.0)
}

/// The value at those prices, and the shortage of minutes and kilograms of each day.
fn at_prices(season: &Season, prices: &[Price]) -> (f64, Vec<f64>, Vec<f64>) {
    let days = &season.days;
    let mut value = 0.0;
    let (mut minutes, mut kg) = (vec![0.0; days.len()], vec![0.0; days.len()]);
    for (d, day) in days.iter().enumerate() {
        // A day is opened if its room is worth more than it costs; of its kilograms as many are sold as pay most.
        let sold = |kg: &f64| day.cost_kg(*kg) - prices[d].minute * day.minutes - prices[d].kg * kg;
        let corners = [day.pan_kg, day.prompt_kg, day.most_kg].map(|kg| kg.clamp(0.0, day.most_kg));
        let best = corners
            .into_iter()
            .min_by(|a, b| sold(a).total_cmp(&sold(b)));
        if let Some(most) = best.filter(|most| sold(most) < 0.0) {
            value += sold(&most);
            minutes[d] -= day.minutes;
            kg[d] -= most;
        }
    }
    for (n, patch) in season.patches.iter().enumerate() {
        let mut cheapest = (patch.cane_kg, None);
        for (d, day) in days.iter().enumerate() {
            let Some(cost) = season.cost(n, d) else {
                continue;
            };
            let minute = prices[d].minute;
            let all = patch.cane_kg * (cost + minute / day.kg_per_minute + prices[d].kg)
                + minute * day.changeover;
            if all < cheapest.0 {
                cheapest = (all, Some(d));
            }
        }
        value += cheapest.0;
        if let Some(d) = cheapest.1 {
            minutes[d] += patch.cane_kg / days[d].kg_per_minute + days[d].changeover;
            kg[d] += patch.cane_kg;
        }
    }
    (value, minutes, kg)
}
