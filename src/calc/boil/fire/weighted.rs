//! Draws and quantiles of what carries weights.

use rand::RngExt;
use rand_pcg::Pcg64Mcg;

/// Draws places by their weights, one from each of equal strata. Not at even steps: the courses that
/// explain a reading stand at even steps themselves, and all or none of them would be drawn.
#[expect(clippy::cast_precision_loss, reason = "some hundred")]
pub(super) fn stratified(weights: &[f64], many: usize, chance: &mut Pcg64Mcg) -> Vec<usize> {
    let each = 1.0 / many as f64;
    let (mut sum, mut place) = (weights[0], 0);
    (0..many)
        .map(|n| {
            let mark = each * (n as f64 + chance.random::<f64>());
            while mark > sum && place + 1 < weights.len() {
                place += 1;
                sum += weights[place];
            }
            place
        })
        .collect()
}

/// Figures below which the given shares of the weight lie.
pub(super) fn quantiles_of<const N: usize>(all: &mut [(f64, f64)], shares: [f64; N]) -> [f64; N] {
    all.sort_unstable_by(|a, b| a.0.total_cmp(&b.0));
    let whole: f64 = all.iter().map(|(_, w)| w).sum();
    shares.map(|share| {
        let mut sum = 0.0;
        for (figure, weight) in all.iter() {
            sum += weight;
            if sum >= share * whole {
                return *figure;
            }
        }
        all.last().map_or(f64::NAN, |(f, _)| *f)
    })
}

#[cfg(test)]
mod tests {
    use super::*;
    use rand::SeedableRng;

    #[test]
    fn places_are_drawn_by_their_weights_one_from_each_part() {
        let mut chance = Pcg64Mcg::seed_from_u64(1);
        for _ in 0..20 {
            let drawn = stratified(&[0.5, 0.25, 0.0, 0.25], 8, &mut chance);
            assert_eq!(drawn, [0, 0, 0, 0, 1, 1, 3, 3]);
        }
        // Nowhere in particular within its part: of two weights of a half, one draw takes each as often.
        let first = (0..200)
            .filter(|_| stratified(&[0.5, 0.5], 1, &mut chance) == [0])
            .count();
        assert!((70..=130).contains(&first), "{first} of 200");
        // Weights that fall a hair short of one leave the last to the last place.
        assert_eq!(stratified(&[0.5, 0.1], 10, &mut chance).last(), Some(&1));
    }

    #[test]
    fn a_quantile_is_the_first_figure_with_so_much_of_the_weight_up_to_it() {
        let mut all = [(3.0, 1.0), (1.0, 2.0), (2.0, 1.0)];
        let found = quantiles_of(&mut all, [0.0, 0.5, 0.51, 0.75, 0.76, 1.0]);
        let wanted = [1.0, 1.0, 2.0, 2.0, 3.0, 3.0];
        let same = found.iter().zip(wanted).all(|(f, w)| (f - w).abs() < 1e-12);
        assert!(same, "{found:?}");
        assert!(quantiles_of(&mut [], [0.5])[0].is_nan());
    }
}
