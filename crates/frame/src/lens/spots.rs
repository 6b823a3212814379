//! The places of a picture's stars, brightest first.

use super::hints::LensHints;
use super::model::LensModel;
use super::vector::length;
use crate::StarField;

/// Stars of a picture used at most: more add little to a lens of nine numbers.
const MOST_SPOTS: usize = 500;
/// No pixel is longer than this many of its widths (from memory).
const MOST_ASPECT: f64 = 4.0;
/// Pixels within this share of square are square.
const SQUARE: f64 = 1e-6;
/// How well recorders know the proportions of their pixels, one deviation: a stated 0.512 was found to be 0.518.
const ASPECT_SIGMA: f64 = 0.015;

/// What a fit knows of the picture.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Picture {
    pub(crate) middle: [f64; 2],
    pub(crate) diagonal_px: f64,
    /// See [`Spots::aspect_sigma`].
    pub(crate) aspect_sigma: Option<f64>,
    /// The lens, where it is known beforehand.
    pub(crate) known: Option<LensModel>,
}

/// Places with a list in order of x for finding those near a pixel.
///
/// Columns are counted in heights of a pixel, as if pixels were square.
pub(crate) struct Spots {
    /// Width of a pixel over its height.
    pub(crate) aspect: f64,
    /// How far that may be off, one deviation as a share; `None` where it is not to be doubted.
    pub(crate) aspect_sigma: Option<f64>,
    /// The lens, where it is known beforehand.
    pub(crate) known: Option<LensModel>,
    pub(crate) size_px: [f64; 2],
    /// Brightest first.
    pub(crate) places: Vec<[f64; 2]>,
    by_x: Vec<(f64, usize)>,
}

impl Spots {
    pub(crate) fn new(field: &StarField, hints: &LensHints) -> Self {
        let known = hints.lens.filter(LensModel::is_sane);
        let not_square = |lens: LensModel| ((lens.pixel_aspect - 1.0).abs() > SQUARE).then_some(lens.pixel_aspect);
        let aspect = known.map_or(hints.pixel_aspect, not_square);
        let aspect = aspect.filter(|aspect| (1.0 / MOST_ASPECT..=MOST_ASPECT).contains(aspect));
        let [width, height] = field.size_px.map(|side| side as f64);
        let size_px = [aspect.unwrap_or(1.0) * width, height];
        let mut stars: Vec<(f64, [f64; 2])> = field
            .stars
            .iter()
            .map(|star| (star.flux, [aspect.unwrap_or(1.0) * star.x_px, star.y_px]))
            .filter(|(flux, [x, y])| flux.is_finite() && x.is_finite() && y.is_finite())
            .collect();
        stars.sort_by(|a, b| b.0.total_cmp(&a.0));
        let places = stars.into_iter().take(MOST_SPOTS).map(|(_, place)| place).collect();
        // in square pixels, like the places
        let known = known.map(|lens| LensModel {
            centre_px: [aspect.unwrap_or(1.0) * lens.centre_px[0], lens.centre_px[1]],
            pixel_aspect: 1.0,
            ..lens
        });
        Self::at(places, size_px, aspect, known)
    }

    fn at(places: Vec<[f64; 2]>, size_px: [f64; 2], aspect: Option<f64>, known: Option<LensModel>) -> Self {
        let mut by_x: Vec<(f64, usize)> = places.iter().enumerate().map(|(i, [x, _])| (*x, i)).collect();
        by_x.sort_by(|a, b| a.0.total_cmp(&b.0));
        Self { aspect: aspect.unwrap_or(1.0), aspect_sigma: aspect.map(|_| ASPECT_SIGMA), known, size_px, places, by_x }
    }

    /// The brightest of them alone.
    pub(crate) fn brightest(&self, count: usize) -> Self {
        let places = self.places.iter().take(count).copied().collect();
        Self::at(places, self.size_px, self.aspect_sigma.map(|_| self.aspect), self.known)
    }

    pub(crate) fn middle(&self) -> [f64; 2] {
        [0.5 * (self.size_px[0] - self.aspect), 0.5 * (self.size_px[1] - 1.0)]
    }

    pub(crate) fn diagonal_px(&self) -> f64 {
        self.size_px[0].hypot(self.size_px[1])
    }

    /// A place in stored pixels.
    pub(crate) fn stored(&self, [x, y]: [f64; 2]) -> [f64; 2] {
        [x / self.aspect, y]
    }

    pub(crate) fn picture(&self) -> Picture {
        let (middle, diagonal_px) = (self.middle(), self.diagonal_px());
        Picture { middle, diagonal_px, aspect_sigma: self.aspect_sigma, known: self.known }
    }

    pub(crate) fn inside(&self, [x, y]: [f64; 2]) -> bool {
        x >= -0.5 && y >= -0.5 && x < self.size_px[0] - 0.5 && y < self.size_px[1] - 0.5
    }

    /// Number and distance of the spots nearer than `radius_px`.
    pub(crate) fn near(&self, [x, y]: [f64; 2], radius_px: f64) -> impl Iterator<Item = (usize, f64)> + '_ {
        let first = self.by_x.partition_point(|(other, _)| *other < x - radius_px);
        self.by_x[first..].iter().take_while(move |(other, _)| *other <= x + radius_px).filter_map(move |(other, i)| {
            let distance = length([other - x, self.places[*i][1] - y]);
            (distance <= radius_px).then_some((*i, distance))
        })
    }
}
