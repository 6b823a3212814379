//! Stars of the catalogue that should be in the frame, where they are, and which of them have the place to themselves.

use crate::lens::{direction_of_star, dot, turn};
use crate::{LensSolution, StarField};

/// Stars that vary so much that they tell nothing: Mira, Algol, Betelgeuse, Rasalgethi, Dschubba, delta Cephei, eta Aquilae,
/// beta Lyrae, chi Cygni, mu Cephei, R Hydrae, L2 Puppis, R Doradus, zeta Geminorum (from memory: half a magnitude
/// and more).
const VARIABLE_HIP: [u32; 14] =
    [10_826, 14_576, 27_989, 84_345, 78_401, 110_991, 97_804, 92_420, 97_629, 107_259, 65_835, 34_922, 21_479, 34_088];
/// The catalogue is complete to here, V.
const CATALOGUE_LIMIT_MAG: f64 = 7.0;
/// How much fainter than the faintest star in use a neighbour may be and still be asked for, magnitudes.
const NEIGHBOUR_DEPTH_MAG: f64 = 2.5;
/// Distance within which another star spoils the light, in FWHM (common practice: three).
const BLEND_FWHM: f64 = 3.0;
/// Share of a star's light that neighbours may have: 5 %, 0.05 mag.
const BLEND_SHARE: f64 = 0.05;
/// How far from its place a star is looked for: in residuals of the lens, and at least in px.
const LOOK_RESIDUALS: f64 = 3.0;
const LOOK_PX: f64 = 2.0;
/// Share of the paired stars that are brighter than the depth: the rest may be chance pairs.
const DEPTH_QUANTILE: f64 = 0.95;

/// A star of the catalogue in the frame.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Target {
    pub(crate) v_mag: f64,
    /// B - V, magnitudes.
    pub(crate) colour_mag: f64,
    /// Where it is measured, px.
    pub(crate) place: [f64; 2],
    /// Whether a star was found there; otherwise the lens says that it should be there.
    pub(crate) found: bool,
    /// Found full, beside another star, known to vary, or without a colour.
    pub(crate) spoilt: bool,
}

/// Targets inside the frame, brightest first.
pub(crate) fn targets(field: &StarField, solution: &LensSolution, fwhm_px: f64) -> Vec<Target> {
    let catalogue = sky::catalogue();
    let mut magnitudes: Vec<f64> =
        solution.pairs.iter().filter_map(|pair| catalogue.star(pair.hip)).map(|star| star.v_mag).collect();
    magnitudes.sort_by(f64::total_cmp);
    let place = crate::whole::index((magnitudes.len() as f64 - 1.0).max(0.0) * DEPTH_QUANTILE);
    let Some(depth_mag) = magnitudes.get(place).copied() else { return Vec::new() };
    let depth_mag = depth_mag.min(CATALOGUE_LIMIT_MAG);

    let limit = (depth_mag + NEIGHBOUR_DEPTH_MAG).min(CATALOGUE_LIMIT_MAG);
    let stars: Vec<(&sky::Star, [f64; 2])> = in_frame(solution, field.size_px, limit);
    let places = ByX::new(stars.iter().map(|(_, place)| *place));
    let found = ByX::new(field.stars.iter().map(|star| [star.x_px, star.y_px]));
    let mut pairs: Vec<(u32, [f64; 2])> = solution.pairs.iter().map(|pair| (pair.hip, pair.found_px)).collect();
    pairs.sort_by_key(|pair| pair.0);

    let look_px = (LOOK_RESIDUALS * solution.residual_px).max(LOOK_PX);
    let reach_px = BLEND_FWHM * fwhm_px;
    let mut targets = Vec::new();
    for (index, (star, predicted)) in stars.iter().enumerate() {
        if star.v_mag > depth_mag {
            break;
        }
        let paired = pairs.binary_search_by_key(&star.hip, |pair| pair.0).ok().map(|index| pairs[index].1);
        let nearest = found.nearest(paired.unwrap_or(*predicted), look_px);
        let own = nearest.map(|index| &field.stars[index]);
        let place = own.map(|star| [star.x_px, star.y_px]).or(paired).unwrap_or(*predicted);
        let catalogued: f64 = places
            .near(*predicted, reach_px)
            .filter(|other| *other != index)
            .map(|other| 10f64.powf(-0.4 * (stars[other].0.v_mag - star.v_mag)))
            .sum();
        let shown: f64 = own.map_or(0.0, |own| {
            let others = found.near(place, reach_px).filter(|other| Some(*other) != nearest);
            others.map(|other| field.stars[other].flux / own.flux).sum()
        });
        targets.push(Target {
            v_mag: star.v_mag,
            colour_mag: star.colour_bv_mag.unwrap_or(f64::NAN),
            place,
            found: own.is_some() || paired.is_some(),
            spoilt: own.is_some_and(|own| own.saturated)
                || catalogued > BLEND_SHARE
                || shown > BLEND_SHARE
                || VARIABLE_HIP.contains(&star.hip)
                || star.colour_bv_mag.is_none(),
        });
    }
    targets
}

/// Catalogue stars inside the frame with their places, brightest first.
fn in_frame(
    solution: &LensSolution,
    [width, height]: [usize; 2],
    limit_mag: f64,
) -> Vec<(&'static sky::Star, [f64; 2])> {
    /// What the air lifts and the lens's fit may be off by, radians: two degrees.
    const SLACK_RAD: f64 = 0.035;
    let ready = solution.model.ready();
    let corners = [[0.0, 0.0], [width as f64, 0.0], [0.0, height as f64], [width as f64, height as f64]];
    // a corner without an image means that all the lens sees is in the frame
    let widest = corners
        .iter()
        .map(|corner| ready.direction_of(*corner).map_or(std::f64::consts::PI, |d| d[2].clamp(-1.0, 1.0).acos()))
        .fold(0.0, f64::max);
    let least_cos = (widest + SLACK_RAD).min(std::f64::consts::PI).cos();
    let axis = solution.attitude[2];
    let inside = |[x, y]: [f64; 2]| x > -0.5 && y > -0.5 && x < width as f64 - 0.5 && y < height as f64 - 0.5;
    sky::catalogue()
        .brighter_than(limit_mag)
        .filter_map(|star| {
            let direction = direction_of_star(star.right_ascension_deg, star.declination_deg);
            if dot(direction, axis) < least_cos {
                return None;
            }
            let seen = solution.ground.map_or(direction, |ground| ground.with_air(direction));
            let place = ready.pixel_of(turn(&solution.attitude, seen)).filter(|place| inside(*place))?;
            let is_up = solution.ground.is_none_or(|ground| ground.horizontal_of(seen).altitude_deg > 0.0);
            is_up.then_some((star, place))
        })
        .collect()
}

/// Places in order of x, for those near a pixel.
struct ByX {
    places: Vec<[f64; 2]>,
    order: Vec<(f64, usize)>,
}

impl ByX {
    fn new(places: impl Iterator<Item = [f64; 2]>) -> Self {
        let places: Vec<[f64; 2]> = places.collect();
        let mut order: Vec<(f64, usize)> = places.iter().enumerate().map(|(index, place)| (place[0], index)).collect();
        order.sort_by(|a, b| a.0.total_cmp(&b.0));
        Self { places, order }
    }

    fn near(&self, [x, y]: [f64; 2], reach_px: f64) -> impl Iterator<Item = usize> + '_ {
        let first = self.order.partition_point(|(other, _)| *other < x - reach_px);
        let beside = self.order[first..].iter().take_while(move |(other, _)| *other <= x + reach_px);
        beside.map(|(_, index)| *index).filter(move |index| {
            let [other_x, other_y] = self.places[*index];
            (other_x - x).powi(2) + (other_y - y).powi(2) <= reach_px * reach_px
        })
    }

    fn nearest(&self, [x, y]: [f64; 2], reach_px: f64) -> Option<usize> {
        let distance = |index: &usize| (self.places[*index][0] - x).hypot(self.places[*index][1] - y);
        self.near([x, y], reach_px).min_by(|a, b| distance(a).total_cmp(&distance(b)))
    }
}
