//! Whether the light of two pictures agrees everywhere, and not in the fixed surroundings of one camera alone.

use super::grey::{Grey, whole};

/// Side of the squares that are looked at one by one, px of the small copies.
const SQUARE_PX: usize = 8;
/// Spread of the detail from which a square tells something, steps of 8 bits: packing leaves up to half of it.
const TELLING: f64 = 1.5;
/// Share of telling squares below which the detail lies in so few places that they may be what stands about a fixed camera: the
/// rim of an all-sky lens, a mast. Cuts of one such camera's other nights had a thirteenth, its whole pictures a fifth.
const IN_FEW_PLACES: f64 = 0.15;
/// Difference that packing and rounding leave in any square, steps of 8 bits.
const ROUNDING: f64 = 2.0;
/// Share of the squares that agree better than what is given.
const AGREEING: f64 = 0.75;
/// Disagreement beyond which such pictures have only those places in common. Cuts of such pictures had 0.167 at the most, of
/// another night 0.182 and 0.226.
const NOT_ONE: f64 = 0.175;
/// The same for whole pictures, whose place is known: copies of starry ones, which lose their faint stars, had up to 0.213.
const NOT_ONE_WHOLE: f64 = 0.25;

/// Whether two pictures laid over each other may have no more in common than what stands about one fixed camera: their detail
/// lies in few places, and the light of the others differs.
pub(super) fn may_be_surroundings(a: &Grey, b: &Grey, is_whole: bool) -> bool {
    let telling = [a, b].map(|grey| telling(&grey.detail()));
    telling[0].min(telling[1]) < IN_FEW_PLACES && disagreement(a, b) > if is_whole { NOT_ONE_WHOLE } else { NOT_ONE }
}

/// Share of the squares that have detail.
fn telling(detail: &Grey) -> f64 {
    let spreads: Vec<f64> = squares(detail).map(|square| square.spread()).collect();
    spreads.iter().filter(|spread| **spread >= TELLING).count() as f64 / spreads.len().max(1) as f64
}

/// How far the light of two pictures of the same size differs once their tones are alike: root mean square in squares, in
/// shares of the square's own spread, exceeded by a quarter of them. The tones of either are given to the other and the
/// better one counts: light that was clipped cannot be told apart again.
fn disagreement(a: &Grey, b: &Grey) -> f64 {
    of_toned(&a.toned_like(b), b).min(of_toned(&b.toned_like(a), a))
}

fn of_toned(toned: &Grey, other: &Grey) -> f64 {
    let mut shares: Vec<f64> = squares(toned)
        .zip(squares(other))
        .map(|(toned, other)| {
            let apart = other.values.iter().zip(&toned.values).map(|(a, b)| f64::from(a - b).powi(2)).sum::<f64>();
            let rms = (apart / other.values.len().max(1) as f64).sqrt();
            rms / (other.spread().max(toned.spread()) + ROUNDING)
        })
        .collect();
    shares.sort_by(f64::total_cmp);
    let place = whole(AGREEING * shares.len() as f64).min(shares.len().saturating_sub(1));
    shares.get(place).copied().unwrap_or(0.0)
}

fn squares(grey: &Grey) -> impl Iterator<Item = Grey> {
    let tops = (0..grey.rows).step_by(SQUARE_PX);
    tops.flat_map(move |top| (0..grey.columns).step_by(SQUARE_PX).map(move |left| square(grey, left, top)))
}

fn square(grey: &Grey, left: usize, top: usize) -> Grey {
    let columns = SQUARE_PX.min(grey.columns - left);
    let rows = SQUARE_PX.min(grey.rows - top);
    let lines = grey.values.chunks(grey.columns).skip(top).take(rows);
    Grey { columns, rows, values: lines.flat_map(|line| line[left..left + columns].to_vec()).collect() }
}

#[cfg(test)]
mod tests {
    use super::*;

    const SIDES: [usize; 2] = [96, 64];

    /// A bright rim with masts about a dark sky, over which an even glow stands on one side.
    fn all_sky(glow_from: f32) -> Grey {
        let [columns, rows] = SIDES;
        let light = |index: usize| {
            let (column, row) = (index % columns, index / columns);
            let is_rim = column < 4 && !(row / 3).is_multiple_of(2);
            let along = (row as f32 / rows as f32 - glow_from).abs();
            if is_rim { 180.0 } else { 40.0 - 25.0 * along }
        };
        Grey { columns, rows, values: (0..columns * rows).map(light).collect() }
    }

    #[test]
    fn another_night_behind_the_same_rim_may_be_its_surroundings_alone() {
        assert!(may_be_surroundings(&all_sky(0.1), &all_sky(0.8), false));
        assert!(!may_be_surroundings(&all_sky(0.1), &all_sky(0.1), false));
    }

    #[test]
    fn a_brighter_copy_is_no_other_night() {
        let night = all_sky(0.3);
        let brighter = Grey { values: night.values.iter().map(|value| (1.33 * value).min(255.0)).collect(), ..night };
        assert!(!may_be_surroundings(&all_sky(0.3), &brighter, false));
    }
}
