//! Catalogue stars as unit vectors, brightest first, with a grid to find those near a direction.

use super::vector::{Vector, dot};

/// Cells along each axis of the cube around the unit sphere: 3.6° each.
const CELLS: usize = 32;
/// The faintest star used, V: the catalogue is complete to here, whatever a star's motion.
pub(crate) const FAINTEST_V_MAG: f64 = 7.0;

/// Directions in order of brightness.
pub(crate) struct SkyIndex {
    pub(crate) hip: Vec<u32>,
    pub(crate) directions: Vec<Vector>,
    /// Where each cell's list begins in `members`.
    starts: Vec<u32>,
    /// Ranks, sorted within each cell.
    members: Vec<u32>,
}

impl SkyIndex {
    pub(crate) fn new(hip: Vec<u32>, directions: Vec<Vector>) -> Self {
        let mut keyed: Vec<(usize, u32)> = (0u32..).zip(&directions).map(|(rank, v)| (cell(*v), rank)).collect();
        keyed.sort_unstable();
        let mut starts = vec![0u32; CELLS * CELLS * CELLS + 1];
        for (key, _) in &keyed {
            starts[key + 1] += 1;
        }
        for i in 1..starts.len() {
            starts[i] += starts[i - 1];
        }
        Self { hip, directions, starts, members: keyed.into_iter().map(|(_, rank)| rank).collect() }
    }

    /// The catalogue at a Julian year, ICRS.
    pub(crate) fn at_epoch(year: f64) -> Self {
        let stars: Vec<&sky::Star> = sky::catalogue().brighter_than(FAINTEST_V_MAG).collect();
        let directions = stars.iter().map(|star| direction_at(star, year)).collect();
        Self::new(stars.iter().map(|star| star.hip).collect(), directions)
    }

    /// Calls `visit` with rank and cosine of the distance, for all stars of the first `depth` nearer than `radius_rad`.
    pub(crate) fn near(&self, v: Vector, radius_rad: f64, depth: usize, mut visit: impl FnMut(usize, f64)) {
        let least = radius_rad.cos();
        let low = v.map(|x| place(x - radius_rad));
        let high = v.map(|x| place(x + radius_rad));
        for i in low[0]..=high[0] {
            for j in low[1]..=high[1] {
                for k in low[2]..=high[2] {
                    let key = (i * CELLS + j) * CELLS + k;
                    for rank in &self.members[self.starts[key] as usize..self.starts[key + 1] as usize] {
                        let rank = *rank as usize;
                        if rank >= depth {
                            break;
                        }
                        let cos = dot(self.directions[rank], v);
                        if cos >= least {
                            visit(rank, cos);
                        }
                    }
                }
            }
        }
    }
}

#[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "clamped to the grid")]
fn place(x: f64) -> usize {
    ((x + 1.0) * 0.5 * CELLS as f64).clamp(0.0, (CELLS - 1) as f64) as usize
}

fn cell(v: Vector) -> usize {
    let [i, j, k] = v.map(place);
    (i * CELLS + j) * CELLS + k
}

pub(crate) fn direction(ra_deg: f64, dec_deg: f64) -> Vector {
    let ((sin_ra, cos_ra), (sin_dec, cos_dec)) = (ra_deg.to_radians().sin_cos(), dec_deg.to_radians().sin_cos());
    [cos_dec * cos_ra, cos_dec * sin_ra, sin_dec]
}

/// Moved along the tangent: even the fastest star (10" a year) moves a quarter of a degree in a century.
fn direction_at(star: &sky::Star, year: f64) -> Vector {
    let years = year - sky::CATALOGUE_EPOCH_YEAR;
    let [east, north] = [star.motion_ra_mas_yr, star.motion_dec_mas_yr].map(|m| (m * years / 3.6e6).to_radians());
    let v = direction(star.right_ascension_deg, star.declination_deg);
    let ((sin_ra, cos_ra), (sin_dec, cos_dec)) =
        (star.right_ascension_deg.to_radians().sin_cos(), star.declination_deg.to_radians().sin_cos());
    let e = [-sin_ra, cos_ra, 0.0];
    let n = [-sin_dec * cos_ra, -sin_dec * sin_ra, cos_dec];
    let moved: Vector = std::array::from_fn(|i| v[i] + east * e[i] + north * n[i]);
    super::vector::unit(moved).unwrap_or(v)
}
