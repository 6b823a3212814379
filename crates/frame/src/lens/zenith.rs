//! All-sky pictures whose time and place are known: the zenith lies near the middle, so little but the azimuth is to be found.

use optics::{Projection, RadialLaw};

use super::chance::log10_poisson_tail;
use super::circle::ImageCircle;
use super::fit::{Pose, fit};
use super::ground::Ground;
use super::grow::{self, Grown, matched, pairs_of, settle, shown};
use super::hints::LensHints;
use super::judge::{self, Verdict};
use super::model::LensModel;
use super::sky_index::SkyIndex;
use super::spots::Spots;
use super::vector::{Rotation, Vector, compose, small_turn};

/// Numbers of the brightest spots that are looked at together, and as many of the brightest stars.
const SETS: [usize; 4] = [14, 28, 50, 90];
/// Brightest stars of the whole sky among which those up are found.
const MOST_VOTERS: usize = 400;
/// Stars lower than this are not looked for, degrees: haze and trees.
const LOWEST_DEG: f64 = 12.0;
/// Loss of light per airmass, magnitudes: clear air in V.
const LOSS_PER_AIRMASS: f64 = 0.2;
/// Steps of the azimuth and of the tilt, and the largest tilt, degrees: cameras are levelled by a spirit level or by eye.
const AZIMUTH_STEP_DEG: f64 = 2.0;
const TILT_STEP_DEG: f64 = 2.5;
const MOST_TILT_DEG: f64 = 7.6;
/// Angles off the axis at which the picture may end, degrees, and the ratio of one guess to the next.
const EDGE_DEG: [f64; 2] = [70.0, 104.0];
const SCALE_STEP: f64 = 1.045;
/// Scales tried at most.
const MOST_SCALES: usize = 32;
/// How far a star may be from its place in the first look, in radii of the circle (2.7 degrees), and at least, px.
const MISS: f64 = 0.03;
const LEAST_MISS_PX: f64 = 1.5;
/// Cells of the map of places in one miss.
const CELLS_PER_MISS: f64 = 3.0;
/// Chance below which a pose is worth a fit, decimal logarithm, and poses fitted at most.
const WORTH_A_FIT: f64 = -2.5;
const MOST_FITTED: usize = 48;
/// Fewest hits of such a pose, and how many more than by chance.
const FEWEST_HITS: u32 = 4;
const LEAST_OVER_CHANCE: f64 = 1.5;
/// Poses nearer than this to a better one are the same, degrees.
const SAME_POSE_DEG: f64 = 5.0;
/// Misses of the fit from round to round, in those of the first look.
const ROUNDS: [f64; 5] = [1.0, 0.8, 0.6, 0.45, 0.35];
/// Pairs to go on with.
const FEWEST_PAIRS: usize = 6;

/// A pose of the first look.
#[derive(Debug, Clone, Copy)]
struct Candidate {
    pose: Pose,
    set: usize,
    azimuth_deg: f64,
    log10_chance: f64,
}

/// Finds the pose with which the stars over the ground stand where the spots are, if it is more than chance.
pub(crate) fn search(spots: &Spots, hints: &LensHints, over_ground: &(Ground, SkyIndex)) -> Option<(Grown, f64)> {
    let (ground, index) = over_ground;
    let circle = hints.image_circle?;
    let look = Look::new(spots, &circle, hints)?;
    let voters = voters(ground, index);
    let mut found = Vec::new();
    let mut before = 0;
    for count in SETS.map(|count| count.min(spots.places.len())) {
        if count > before {
            look.first(count, &voters, &mut found);
        }
        before = count;
    }
    found.sort_by(|a: &Candidate, b| a.log10_chance.total_cmp(&b.log10_chance));
    for candidate in apart(&found) {
        let Some(grown) = look.refined(&candidate, ground, index) else { continue };
        let stars = super::stars(spots, &grown.pose, index);
        let Verdict::Sure { .. } = judge::judge(&grown, spots, &stars) else { continue };
        let Some(kind) = super::by_projection(&grown, spots, hints, &stars) else { continue };
        let Verdict::Sure { log10_chance } = judge::judge(&kind, spots, &stars) else { continue };
        return Some((kind, log10_chance));
    }
    None
}

/// The best candidates, each far from the better ones.
fn apart(sorted: &[Candidate]) -> Vec<Candidate> {
    let mut kept: Vec<Candidate> = Vec::new();
    for candidate in sorted {
        let same = |other: &Candidate| {
            let turned = (candidate.azimuth_deg - other.azimuth_deg + 540.0).rem_euclid(360.0) - 180.0;
            candidate.set == other.set
                && candidate.pose.model.mirrored == other.pose.model.mirrored
                && turned.abs() < SAME_POSE_DEG
        };
        if !kept.iter().any(same) {
            kept.push(*candidate);
        }
        if kept.len() == MOST_FITTED {
            break;
        }
    }
    kept
}

/// A star to look for: east, north, up as seen.
struct Voter {
    seen: Vector,
    mag: f64,
}

/// Stars up, the brightest as seen first.
fn voters(ground: &Ground, index: &SkyIndex) -> Vec<Voter> {
    let least = LOWEST_DEG.to_radians().sin();
    let mut found: Vec<Voter> = index
        .hip
        .iter()
        .zip(&index.directions)
        .take(MOST_VOTERS)
        .filter_map(|(hip, v)| {
            let seen = ground.horizontal_of(*v).east_north_up();
            let v_mag = sky::catalogue().star(*hip)?.v_mag;
            (seen[2] > least).then(|| Voter { seen, mag: v_mag + LOSS_PER_AIRMASS / seen[2] })
        })
        .collect();
    found.sort_by(|a, b| a.mag.total_cmp(&b.mag));
    found
}

struct Look<'a> {
    spots: &'a Spots,
    /// Middle and radius of the circle in square pixels.
    centre: [f64; 2],
    radius_px: f64,
    miss_px: f64,
    /// The lens of the first look, for each way round it may be.
    lenses: Vec<LensModel>,
    focal_px: Vec<f64>,
}

impl<'a> Look<'a> {
    fn new(spots: &'a Spots, circle: &ImageCircle, hints: &LensHints) -> Option<Self> {
        let radius_px = (spots.aspect * circle.radii_px[0] * circle.radii_px[1]).sqrt();
        if !(radius_px.is_finite() && radius_px > 0.0) {
            return None;
        }
        let centre =
            spots.known.map_or([spots.aspect * circle.centre_px[0], circle.centre_px[1]], |lens| lens.centre_px);
        let miss_px = (MISS * radius_px).max(LEAST_MISS_PX);
        if let Some(known) = spots.known {
            return Some(Self {
                spots,
                centre,
                radius_px,
                miss_px,
                lenses: vec![known],
                focal_px: vec![known.focal_px],
            });
        }
        let projection = hints.projection.filter(|p| *p != Projection::Rectilinear).unwrap_or(Projection::Equidistant);
        // the distance of the edge in focal lengths
        let law = RadialLaw::new(projection, 1.0, 0.0, 0.0);
        let edge = |deg: f64| law.radius_px(deg.to_radians().sin(), deg.to_radians().cos()).unwrap_or(1.0);
        let (low, high) = match hints.focal_px {
            Some([low, high]) if low > 0.0 && high >= low && high.is_finite() => (low, high),
            _ => (radius_px / edge(EDGE_DEG[1]), radius_px / edge(EDGE_DEG[0])),
        };
        let mut focal_px = vec![low];
        while focal_px.len() < MOST_SCALES && focal_px.last().is_some_and(|last| *last < high) {
            focal_px.push(focal_px.last()? * SCALE_STEP);
        }
        let lenses = [false, true].map(|mirrored| LensModel::plain(projection, 1.0, centre, mirrored)).to_vec();
        Some(Self { spots, centre, radius_px, miss_px, lenses, focal_px })
    }

    /// The first look at all poses by so many spots and stars.
    fn first(&self, count: usize, voters: &[Voter], found: &mut Vec<Candidate>) {
        let map = Map::new(self, count);
        let voters = &voters[..count.min(voters.len())];
        let Some(first) = self.lenses.first() else { return };
        let plain = LensModel { focal_px: 1.0, centre_px: [0.0, 0.0], mirrored: false, ..*first }.ready();
        let mut places: Vec<[f64; 2]> = Vec::with_capacity(voters.len());
        for tilt_deg in tilts() {
            let mut azimuth_deg = 0.0;
            while azimuth_deg < 360.0 {
                let to_camera = up(azimuth_deg, tilt_deg);
                places.clear();
                places.extend(
                    voters.iter().filter_map(|voter| plain.pixel_of(super::vector::turn(&to_camera, voter.seen))),
                );
                for lens in &self.lenses {
                    let across = if lens.mirrored { -1.0 } else { 1.0 };
                    for focal_px in &self.focal_px {
                        let (mut looked, mut hits) = (0u32, 0u32);
                        for [x, y] in &places {
                            let place = [self.centre[0] + across * focal_px * x, self.centre[1] + focal_px * y];
                            if let Some(hit) = map.at(place) {
                                looked += 1;
                                hits += u32::from(hit);
                            }
                        }
                        let expected = map.share * f64::from(looked);
                        // cheap to tell: most poses have no more than chance
                        if hits < FEWEST_HITS || f64::from(hits) < LEAST_OVER_CHANCE * expected {
                            continue;
                        }
                        let log10_chance = log10_poisson_tail(crate::whole::index(f64::from(hits)), expected);
                        if log10_chance < WORTH_A_FIT {
                            let model = LensModel { focal_px: *focal_px, ..*lens };
                            let pose = Pose { model, attitude: to_camera };
                            found.push(Candidate { pose, set: count, azimuth_deg, log10_chance });
                        }
                    }
                }
                azimuth_deg += AZIMUTH_STEP_DEG;
            }
        }
    }

    /// Fitted with ever closer matches, then over all spots.
    fn refined(&self, candidate: &Candidate, ground: &Ground, index: &SkyIndex) -> Option<Grown> {
        let picture = self.spots.picture();
        let few = self.spots.brightest(candidate.set);
        let mut pose = candidate.pose;
        pose.attitude = compose(&candidate.pose.attitude, &ground.rotation());
        let mut sigma = 1.0;
        let stars = super::stars(&few, &pose, index);
        for share in ROUNDS {
            let miss = (share * self.miss_px).max(grow::LEAST_MISS_PX);
            let mut expected = shown(&pose, &stars, &few);
            expected.truncate(2 * candidate.set);
            let matches = matched(&expected, &few, miss);
            if matches.len() < FEWEST_PAIRS {
                return None;
            }
            (pose, sigma) = fit(&pose, &pairs_of(&matches, index, &few), &picture)?;
        }
        let stars = super::stars(self.spots, &pose, index);
        settle(&pose, sigma, self.spots, &stars)
    }
}

/// Tilts to try, degrees about the camera's right and down.
fn tilts() -> Vec<[f64; 2]> {
    const STEPS: i8 = 3;
    let all = (-STEPS..=STEPS)
        .flat_map(|i| (-STEPS..=STEPS).map(move |j| [i, j].map(|step| TILT_STEP_DEG * f64::from(step))));
    all.filter(|[x, y]| x.hypot(*y) <= MOST_TILT_DEG).collect()
}

/// From east, north, up to the axes of a camera that looks up: its up at an azimuth, tilted.
fn up(azimuth_deg: f64, tilt_deg: [f64; 2]) -> Rotation {
    let (sin, cos) = azimuth_deg.to_radians().sin_cos();
    // right, down, forward: seen from below, east is to the left of north
    let level = [[-cos, sin, 0.0], [-sin, -cos, 0.0], [0.0, 0.0, 1.0]];
    compose(&small_turn([tilt_deg[0].to_radians(), tilt_deg[1].to_radians(), 0.0]), &level)
}

/// Where a spot is near.
struct Map {
    cell_px: f64,
    columns: usize,
    rows: usize,
    near: Vec<bool>,
    /// Share of the circle that is near a spot.
    share: f64,
    centre: [f64; 2],
    radius_px: f64,
}

impl Map {
    fn new(look: &Look<'_>, count: usize) -> Self {
        let cell_px = look.miss_px / CELLS_PER_MISS;
        let [columns, rows] = look.spots.size_px.map(|side| crate::whole::index((side / cell_px).ceil()).max(1));
        let mut map = Self {
            cell_px,
            columns,
            rows,
            near: vec![false; columns * rows],
            share: 0.0,
            centre: look.centre,
            radius_px: look.radius_px,
        };
        let middle = |i: usize| (i as f64 + 0.5) * cell_px - 0.5;
        for [x, y] in look.spots.places.iter().take(count) {
            let reach = CELLS_PER_MISS.ceil() + 1.0;
            let range = |at: f64, cells: usize| {
                let at = (at + 0.5) / cell_px;
                crate::whole::index((at - reach).max(0.0))..crate::whole::index((at + reach).max(0.0)).min(cells)
            };
            for j in range(*y, rows) {
                for i in range(*x, columns) {
                    if (middle(i) - x).hypot(middle(j) - y) <= look.miss_px {
                        map.near[j * columns + i] = true;
                    }
                }
            }
        }
        let (mut inside, mut near) = (0usize, 0usize);
        for j in 0..rows {
            for i in 0..columns {
                if map.inside([middle(i), middle(j)]) {
                    inside += 1;
                    near += usize::from(map.near[j * columns + i]);
                }
            }
        }
        map.share = near as f64 / inside.max(1) as f64;
        map
    }

    fn inside(&self, [x, y]: [f64; 2]) -> bool {
        (x - self.centre[0]).hypot(y - self.centre[1]) < self.radius_px
    }

    /// Whether a spot is near; `None` outside circle and picture.
    fn at(&self, [x, y]: [f64; 2]) -> Option<bool> {
        if !self.inside([x, y]) || x < -0.5 || y < -0.5 {
            return None;
        }
        let [i, j] = [x, y].map(|at| crate::whole::index((at + 0.5) / self.cell_px));
        (i < self.columns && j < self.rows).then(|| self.near[j * self.columns + i])
    }
}
