//! The edge of the picture on the sky.

use quantity::Horizontal;
use sequence::SkyView;

/// Points along each side of the picture: curves of wide lenses then look round.
const PER_SIDE: usize = 16;

/// Directions along the edge of a picture, all around; empty where the lens makes no image at some of it, as with an all-sky picture.
///
/// * `size_px`: columns and rows as stored.
pub(super) fn outline(view: &impl SkyView, [width, height]: [usize; 2]) -> Vec<Horizontal> {
    let (right, bottom) = (width as f64 - 0.5, height as f64 - 0.5);
    let corners = [[-0.5, -0.5], [right, -0.5], [right, bottom], [-0.5, bottom]];
    let side = |from: [f64; 2], to: [f64; 2]| {
        (0..PER_SIDE).map(move |step| {
            let share = step as f64 / PER_SIDE as f64;
            [from[0] + share * (to[0] - from[0]), from[1] + share * (to[1] - from[1])]
        })
    };
    let edge = (0..corners.len()).flat_map(|corner| side(corners[corner], corners[(corner + 1) % corners.len()]));
    edge.map(|pixel| view.direction_of(pixel)).collect::<Option<Vec<_>>>().unwrap_or_default()
}

#[cfg(test)]
mod tests {
    use super::*;

    /// A window that looks north: one degree a pixel, straight lines.
    struct Window;

    impl SkyView for Window {
        fn pixel_of(&self, _direction: Horizontal) -> Option<[f64; 2]> {
            None
        }
        fn direction_of(&self, [x, y]: [f64; 2]) -> Option<Horizontal> {
            (x < 60.0).then(|| Horizontal::new(40.0 - y, x - 20.0))
        }
    }

    #[test]
    fn the_edge_runs_once_around_or_is_not_told() {
        let edge = outline(&Window, [40, 30]);
        assert_eq!(edge.len(), 4 * PER_SIDE);
        assert!((edge[0].altitude_deg - 40.5).abs() < 1e-9 && (edge[0].azimuth_deg - 339.5).abs() < 1e-9);
        let opposite = edge[2 * PER_SIDE];
        assert!((opposite.altitude_deg - 10.5).abs() < 1e-9 && (opposite.azimuth_deg - 19.5).abs() < 1e-9);
        assert!(outline(&Window, [100, 30]).is_empty());
    }
}
