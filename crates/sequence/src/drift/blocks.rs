use geomag::Sightline;
use quantity::{Basis, Estimate, GeoPosition, Horizontal};
use serde::Serialize;

use super::matching::{Found, LEAST_FILLED, block, found_again};
use super::sidereal::sidereal_motion_deg_per_s;
use crate::SequenceError;
use crate::robust::middle_and_spread;
use crate::view::{LightGrid, SkyView};

/// Cells between blocks.
const STRIDE: usize = 5;
/// Spread of a block's cells from which it has something to be known by, in units of the noise.
const LEAST_CONTRAST: f64 = 3.0;
/// Motion of the stars, cells, from which it can be told from rest, and how near to it a block must move.
const STARS_CELLS: f64 = 0.3;
/// Share of the blocks that must move as the stars do for the whole to be marked.
const MOST_WITH_STARS: f64 = 0.6;
/// Fewest blocks for a common motion.
const LEAST_BLOCKS: usize = 5;
/// Blocks that share cells: so many count as one.
const BLOCKS_SHARING: f64 = 3.0;

/// How motion over a picture is measured.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct FlowSettings {
    /// Lowest altitude of a block, degrees.
    pub least_altitude_deg: f64,
    /// Height at which the light is taken to be, km.
    pub height_km: f64,
}

impl Default for FlowSettings {
    /// Down to 15 degrees, light at 110 km.
    fn default() -> Self {
        Self { least_altitude_deg: 15.0, height_km: 110.0 }
    }
}

/// The motion of one block.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct FlowVector {
    /// Where it was.
    pub direction: Horizontal,
    /// Angular speed over the sky, degrees a second.
    pub deg_per_s: f64,
    /// Speed toward east at the height assumed, km/s.
    pub east_km_s: f64,
    /// Speed toward north at the height assumed, km/s.
    pub north_km_s: f64,
    /// How alike the block was in the later picture, up to 1.
    pub correlation: f64,
    /// The block holds a straight edge, so that only its motion across the edge is seen.
    pub edge_only: bool,
    /// It moved as the stars there did.
    pub like_the_stars: bool,
}

/// Motion between two pictures.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Flow {
    /// Blocks that were found again.
    pub vectors: Vec<FlowVector>,
    /// Blocks that stood out of the noise but were not found again: gone, changed or too fast.
    pub lost: usize,
    /// Common motion toward east, km/s: median of blocks that are no straight edge. None where they are fewer than five.
    pub east_km_s: Option<Estimate>,
    /// Common motion toward north, km/s.
    pub north_km_s: Option<Estimate>,
    /// Speed of the common motion overhead, degrees a second.
    pub deg_per_s: Option<f64>,
    /// Most blocks moved as the stars there did: what moved may be the sky itself.
    pub like_the_stars: bool,
}

/// Motion of light between two pictures of one lens and direction, block by block.
///
/// Blocks of nine cells are looked for within seven cells in the later picture by their correlation, and again backward: a block that
/// does not lead back to itself is not used. Cells of a [`LightMap`](frame::LightMap) are medians, so that stars do not carry a block along;
/// a common motion like the sky's turn is marked all the same.
///
/// * `seconds`: from the middle of the earlier exposure to that of the later.
///
/// # Errors
///
/// Pictures of different sizes; a time that is not above 0.
///
/// # Source
///
/// J. A. Leese, C. S. Novak & B. B. Clark, *J. Appl. Meteorol.* 10, 118 (1971), motion by maximum cross-correlation (from memory).
pub fn flow_between(
    view: &impl SkyView,
    observer: GeoPosition,
    [earlier, later]: [&LightGrid<'_>; 2],
    seconds: f64,
    settings: FlowSettings,
) -> Result<Flow, SequenceError> {
    if earlier.shape() != later.shape() {
        let [found, expected] = [later, earlier].map(|grid| grid.columns() * grid.rows());
        return Err(SequenceError::UnequalLengths { what: "the later picture", found, expected });
    }
    if !(seconds > 0.0 && seconds.is_finite()) {
        let (what, bound) = ("the time between pictures in seconds", "above 0");
        return Err(SequenceError::OutOfRange { what, value: seconds, bound });
    }
    let noise = [earlier, later].map(noise_of).into_iter().fold(0.0, f64::max);
    let mut vectors = Vec::new();
    let mut lost = 0;
    for row in (STRIDE..earlier.rows()).step_by(STRIDE) {
        for column in (STRIDE..earlier.columns()).step_by(STRIDE) {
            let at = [column, row];
            let [x, y] = [column, row].map(|place| place as f64);
            let Some(from) = view.direction_of(earlier.shape().middle_px(x, y)) else { continue };
            if from.altitude_deg < settings.least_altitude_deg || !stands_out(earlier, at, noise) {
                continue;
            }
            let vector = found_again(earlier, later, at).and_then(|found| {
                let to = view.direction_of(earlier.shape().middle_px(x + found.shift[0], y + found.shift[1]))?;
                let beside = view.direction_of(earlier.shape().middle_px(x + 1.0, y))?;
                let cell_deg = from.separation_deg(beside);
                motion(observer, [from, to], seconds, settings.height_km, &found, cell_deg)
            });
            match vector {
                Some(vector) => vectors.push(vector),
                None => lost += 1,
            }
        }
    }
    Ok(Flow::of(vectors, lost, settings.height_km))
}

impl Flow {
    fn of(vectors: Vec<FlowVector>, lost: usize, height_km: f64) -> Self {
        let placed: Vec<&FlowVector> = vectors.iter().filter(|vector| !vector.edge_only).collect();
        let common = |of: &dyn Fn(&FlowVector) -> f64| {
            let values: Vec<f64> = placed.iter().map(|vector| of(vector)).collect();
            let (middle, spread) = middle_and_spread(&values).filter(|_| values.len() >= LEAST_BLOCKS)?;
            let sigma = spread / (values.len() as f64 / BLOCKS_SHARING).max(1.0).sqrt();
            Some(Estimate::symmetric(middle, sigma, Basis::Measured))
        };
        let east_km_s = common(&|vector| vector.east_km_s);
        let north_km_s = common(&|vector| vector.north_km_s);
        let both = east_km_s.zip(north_km_s);
        let per_km = (1.0 / height_km).to_degrees();
        let with_stars = placed.iter().filter(|vector| vector.like_the_stars).count();
        let like_the_stars = placed.len() >= LEAST_BLOCKS && with_stars as f64 >= MOST_WITH_STARS * placed.len() as f64;
        let deg_per_s = both.map(|(east, north)| east.value.hypot(north.value) * per_km);
        Self { vectors, lost, east_km_s, north_km_s, deg_per_s, like_the_stars }
    }
}

/// Noise of a cell from how it differs from the mean of its neighbours left and right.
fn noise_of(grid: &LightGrid<'_>) -> f64 {
    let differences: Vec<f64> = (1..(grid.columns() * grid.rows()).saturating_sub(1))
        .filter_map(|index| {
            let [before, at, after] = [index - 1, index, index + 1].map(|place| grid.value(place).map(f64::from));
            Some(at? - 0.5 * (before? + after?))
        })
        .collect();
    // the difference has the noise of one cell and of half of two
    middle_and_spread(&differences).map_or(0.0, |(_, spread)| spread / 1.5_f64.sqrt())
}

fn stands_out(grid: &LightGrid<'_>, at: [usize; 2], noise: f64) -> bool {
    let Some(values) = block(grid, at, [0, 0]) else { return false };
    let present: Vec<f64> = values.iter().copied().filter(|value| value.is_finite()).collect();
    if (present.len() as f64) < LEAST_FILLED * values.len() as f64 {
        return false;
    }
    let mean = present.iter().sum::<f64>() / present.len() as f64;
    let spread = (present.iter().map(|value| (value - mean).powi(2)).sum::<f64>() / present.len() as f64).sqrt();
    spread > LEAST_CONTRAST * noise && spread > mean.abs() * 1e-6
}

fn motion(
    observer: GeoPosition,
    [from, to]: [Horizontal; 2],
    seconds: f64,
    height_km: f64,
    found: &Found,
    cell_deg: f64,
) -> Option<FlowVector> {
    let layer = |direction: Horizontal| {
        let airless = sky::Air::default().airless(direction);
        Sightline::new(observer, airless).at_height_km(height_km)
    };
    let (a, b) = (layer(from)?, layer(to)?);
    let radius_km = crate::keogram::EARTH_RADIUS_KM + height_km;
    let middle = f64::midpoint(a.latitude_deg, b.latitude_deg).to_radians();
    let east_deg = quantity::wrap_degrees_180(b.longitude_deg - a.longitude_deg) * middle.cos();
    let north_deg = b.latitude_deg - a.latitude_deg;
    let stars = sidereal_motion_deg_per_s(observer, from).map(|rate| rate * seconds);
    let (before, after) = (from.east_north_up(), to.east_north_up());
    let length = |v: [f64; 3]| v[0].hypot(v[1]).hypot(v[2]);
    let off_deg = length([0, 1, 2].map(|axis| (after[axis] - before[axis]).to_degrees() - stars[axis]));
    let stars_told = length(stars) > STARS_CELLS * cell_deg;
    Some(FlowVector {
        like_the_stars: stars_told && off_deg < STARS_CELLS * cell_deg,
        direction: from,
        deg_per_s: from.separation_deg(to) / seconds,
        east_km_s: east_deg.to_radians() * radius_km / seconds,
        north_km_s: north_deg.to_radians() * radius_km / seconds,
        correlation: found.correlation,
        edge_only: found.edge_only,
    })
}
