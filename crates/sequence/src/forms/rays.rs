//! Where rays meet in perspective, by least squares, against the magnetic zenith.

use quantity::Horizontal;

/// One ray as traced in the sky: two directions along it, as seen from the ground.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct RayTrace {
    /// One end.
    pub foot: Horizontal,
    /// The other end.
    pub head: Horizontal,
}

/// The direction nearest to the great circles of all rays.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct RayMeeting {
    /// Where they meet, above the horizon.
    pub direction: Horizontal,
    /// One standard deviation along its worst direction, degrees, from the scatter of the rays themselves.
    pub error_deg: f64,
    /// How many rays took part.
    pub rays: usize,
}

/// What the rays say of being along the magnetic field.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum RayVerdict {
    /// They meet at the magnetic zenith, within the errors.
    AlongField {
        /// Distance of the meeting point from the magnetic zenith, degrees.
        distance_deg: f64,
        /// They stand on all sides of it: a corona.
        corona: bool,
    },
    /// They meet elsewhere: streaks of cloud, beams or trails do.
    Elsewhere {
        /// Distance of the meeting point from the magnetic zenith, degrees.
        distance_deg: f64,
    },
    /// Too few rays, too alike, or too scattered to say.
    CannotTell,
}

/// Rays below this number leave no freedom to tell scatter from a meeting point: two always meet.
const LEAST_RAYS: usize = 4;
/// A meeting point less sure than this says nothing, degrees (our judgement).
const WORST_ERROR_DEG: f64 = 5.0;
/// Field at the light against that at the ground and bent curtains, degrees (under 1 degree overhead; the rest our judgement).
const FIELD_ERROR_DEG: f64 = 2.0;
/// Standard deviations beyond which a distance is no chance (common practice).
const SIGNIFICANT: f64 = 3.0;

/// The meeting point of rays; none for fewer than four, or for rays along one and the same great circle.
pub fn meeting_of_rays(rays: &[RayTrace]) -> Option<RayMeeting> {
    if rays.len() < LEAST_RAYS {
        return None;
    }
    let [mut xx, mut xy, mut xz, mut yy, mut yz, mut zz] = [0.0; 6];
    for ray in rays {
        // The product's length is the sine of the ray's: a long ray has the better direction.
        let [x, y, z] = cross(ray.foot.east_north_up(), ray.head.east_north_up());
        (xx, xy, xz) = (xx + x * x, xy + x * y, xz + x * z);
        (yy, yz, zz) = (yy + y * y, yz + y * z, zz + z * z);
    }
    // The adjugate shares the eigenvectors; its largest eigenvalue is at the smallest of the sums.
    let adjugate = [
        [yy * zz - yz * yz, xz * yz - xy * zz, xy * yz - xz * yy],
        [xz * yz - xy * zz, xx * zz - xz * xz, xy * xz - xx * yz],
        [xy * yz - xz * yy, xy * xz - xx * yz, xx * yy - xy * xy],
    ];
    let mut at = adjugate.into_iter().max_by(|a, b| dot(*a, *a).total_cmp(&dot(*b, *b))).and_then(unit)?;
    for _ in 0..200 {
        at = unit(adjugate.map(|row| dot(row, at)))?;
    }
    let least = dot(at, [dot([xx, xy, xz], at), dot([xy, yy, yz], at), dot([xz, yz, zz], at)]).max(0.0);
    let (sum, pairs) = (xx + yy + zz - least, adjugate[0][0] + adjugate[1][1] + adjugate[2][2]);
    let product = pairs - least * sum;
    let middle = (sum - (sum * sum - 4.0 * product).max(0.0).sqrt()) / 2.0;
    if !middle.is_finite() || middle <= 1e-9 * sum {
        return None;
    }
    let freedom = f64::from(u32::try_from(rays.len() - 2).ok()?);
    let direction = Horizontal::from_east_north_up(if at[2] < 0.0 { at.map(|part| -part) } else { at });
    Some(RayMeeting { direction, error_deg: (least / freedom / middle).sqrt().to_degrees(), rays: rays.len() })
}

/// Rays against the magnetic zenith of the place (see `geomag::magnetic_zenith`).
pub fn rays_against_field(rays: &[RayTrace], magnetic_zenith: Horizontal) -> RayVerdict {
    let Some(meeting) = meeting_of_rays(rays).filter(|meeting| meeting.error_deg <= WORST_ERROR_DEG) else {
        return RayVerdict::CannotTell;
    };
    let distance_deg = meeting.direction.separation_deg(magnetic_zenith);
    if distance_deg > SIGNIFICANT * meeting.error_deg.hypot(FIELD_ERROR_DEG) {
        return RayVerdict::Elsewhere { distance_deg };
    }
    RayVerdict::AlongField { distance_deg, corona: on_all_sides(rays, magnetic_zenith) }
}

/// Whether no half of the sky about a direction is free of rays.
fn on_all_sides(rays: &[RayTrace], about: Horizontal) -> bool {
    let pole = about.east_north_up();
    let Some(side) = unit(cross(pole, [1.0, 0.0, 0.0])).or_else(|| unit(cross(pole, [0.0, 1.0, 0.0]))) else {
        return false;
    };
    let across = cross(pole, side);
    let mut bearings: Vec<f64> = rays
        .iter()
        .map(|ray| {
            let (foot, head) = (ray.foot.east_north_up(), ray.head.east_north_up());
            let middle = [foot[0] + head[0], foot[1] + head[1], foot[2] + head[2]];
            dot(middle, across).atan2(dot(middle, side)).to_degrees()
        })
        .collect();
    bearings.sort_by(f64::total_cmp);
    let around = bearings.first().zip(bearings.last()).map_or(360.0, |(first, last)| first + 360.0 - last);
    bearings.windows(2).filter_map(|pair| Some(pair.last()? - pair.first()?)).fold(around, f64::max) < 180.0
}

fn dot(a: [f64; 3], b: [f64; 3]) -> f64 {
    a[0] * b[0] + a[1] * b[1] + a[2] * b[2]
}

fn cross(a: [f64; 3], b: [f64; 3]) -> [f64; 3] {
    [a[1] * b[2] - a[2] * b[1], a[2] * b[0] - a[0] * b[2], a[0] * b[1] - a[1] * b[0]]
}

fn unit(a: [f64; 3]) -> Option<[f64; 3]> {
    let length = dot(a, a).sqrt();
    (length.is_finite() && length > 0.0).then(|| a.map(|part| part / length))
}
