//! From an altitude a degree to a skyline of few corners.

use job::HorizonPoint;

/// Most corners of a skyline: more is no use in a form and no gain in a picture.
const MOST_CORNERS: usize = 72;
/// How the tolerance grows until they suffice.
const TOLERANCE_STEP: f64 = 1.4;

/// A simplified skyline.
pub(super) struct Profile {
    pub(super) corners: Vec<HorizonPoint>,
    /// How far, at most, it departs from the altitudes it was made of, degrees.
    pub(super) largest_departure_deg: f64,
}

/// Corners such that straight lines between them keep within the tolerance of every altitude, all around.
///
/// `altitudes_deg`: one an equal step of azimuth, from north through east. The corners are taken from them, first the
/// highest, then wherever the line is farthest off (Ramer 1972; Douglas & Peucker 1973, with the departure measured in
/// altitude). The tolerance grows where it would take more than 72.
pub(super) fn simplified(altitudes_deg: &[f64], tolerance_deg: f64) -> Profile {
    let count = altitudes_deg.len();
    let highest = (0..count).max_by(|&a, &b| altitudes_deg[a].total_cmp(&altitudes_deg[b]));
    let Some(start) = highest else { return Profile { corners: Vec::new(), largest_departure_deg: 0.0 } };
    // once around, from the highest to itself
    let around: Vec<f64> = (0..=count).map(|i| altitudes_deg[(start + i) % count]).collect();
    let mut tolerance_deg = tolerance_deg;
    let mut kept = corners(&around, tolerance_deg);
    while kept.len() > MOST_CORNERS {
        tolerance_deg *= TOLERANCE_STEP;
        kept = corners(&around, tolerance_deg);
    }
    let largest_departure_deg =
        kept.windows(2).filter_map(|pair| farthest(&around, pair[0], pair[1])).map(|(_, off)| off).fold(0.0, f64::max);
    kept.pop();
    let step_deg = 360.0 / count as f64;
    let mut corners: Vec<HorizonPoint> = kept
        .into_iter()
        .map(|i| HorizonPoint { azimuth_deg: ((start + i) % count) as f64 * step_deg, altitude_deg: around[i] })
        .collect();
    corners.sort_by(|a, b| a.azimuth_deg.total_cmp(&b.azimuth_deg));
    Profile { corners, largest_departure_deg }
}

/// Indices kept, the first and the last included.
fn corners(altitudes: &[f64], tolerance: f64) -> Vec<usize> {
    let mut kept = vec![0, altitudes.len() - 1];
    let mut open = vec![(0, altitudes.len() - 1)];
    while let Some((from, to)) = open.pop() {
        if let Some((at, _)) = farthest(altitudes, from, to).filter(|(_, off)| *off > tolerance) {
            kept.push(at);
            open.extend([(from, at), (at, to)]);
        }
    }
    kept.sort_unstable();
    kept
}

/// The point between two farthest from the line that joins them, and how far.
fn farthest(altitudes: &[f64], from: usize, to: usize) -> Option<(usize, f64)> {
    let line = |at: usize| {
        let share = (at - from) as f64 / (to - from) as f64;
        altitudes[from] + share * (altitudes[to] - altitudes[from])
    };
    (from + 1..to).map(|at| (at, (altitudes[at] - line(at)).abs())).max_by(|a, b| a.1.total_cmp(&b.1))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_flat_skyline_needs_one_corner() {
        let profile = simplified(&[0.5; 360], 0.2);
        assert_eq!(profile.corners.len(), 1);
        assert!(profile.largest_departure_deg < 1e-12);
    }

    #[test]
    fn a_rough_one_is_bounded_and_says_how_far_it_departs() {
        let rough: Vec<f64> = (0..360).map(|i| if i % 2 == 0 { 0.0 } else { f64::from(i % 7) }).collect();
        let profile = simplified(&rough, 0.2);
        assert!(profile.corners.len() <= MOST_CORNERS);
        assert!(profile.largest_departure_deg > 0.2);
    }
}
