//! The places of a picture's stars, brightest first.

use crate::StarField;

/// Stars of a picture used at most: more add little to a lens of nine numbers.
const MOST_SPOTS: usize = 500;

/// Places with a list in order of x for finding those near a pixel.
pub(crate) struct Spots {
    pub(crate) size_px: [f64; 2],
    /// Brightest first.
    pub(crate) places: Vec<[f64; 2]>,
    by_x: Vec<(f64, usize)>,
}

impl Spots {
    pub(crate) fn new(field: &StarField) -> Self {
        let mut stars: Vec<(f64, [f64; 2])> = field
            .stars
            .iter()
            .map(|star| (star.flux, [star.x_px, star.y_px]))
            .filter(|(flux, [x, y])| flux.is_finite() && x.is_finite() && y.is_finite())
            .collect();
        stars.sort_by(|a, b| b.0.total_cmp(&a.0));
        let places: Vec<[f64; 2]> = stars.into_iter().take(MOST_SPOTS).map(|(_, place)| place).collect();
        let mut by_x: Vec<(f64, usize)> = places.iter().enumerate().map(|(i, [x, _])| (*x, i)).collect();
        by_x.sort_by(|a, b| a.0.total_cmp(&b.0));
        Self { size_px: field.size_px.map(|side| side as f64), places, by_x }
    }

    pub(crate) fn middle(&self) -> [f64; 2] {
        self.size_px.map(|side| 0.5 * (side - 1.0))
    }

    pub(crate) fn diagonal_px(&self) -> f64 {
        self.size_px[0].hypot(self.size_px[1])
    }

    pub(crate) fn inside(&self, [x, y]: [f64; 2]) -> bool {
        x >= -0.5 && y >= -0.5 && x < self.size_px[0] - 0.5 && y < self.size_px[1] - 0.5
    }

    /// Number and distance of the spots nearer than `radius_px`.
    pub(crate) fn near(&self, [x, y]: [f64; 2], radius_px: f64) -> impl Iterator<Item = (usize, f64)> + '_ {
        let first = self.by_x.partition_point(|(other, _)| *other < x - radius_px);
        self.by_x[first..].iter().take_while(move |(other, _)| *other <= x + radius_px).filter_map(move |(other, i)| {
            let distance = (other - x).hypot(self.places[*i][1] - y);
            (distance <= radius_px).then_some((*i, distance))
        })
    }
}
