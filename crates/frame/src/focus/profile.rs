use serde::{Deserialize, Serialize};

use crate::whole::index;
use crate::{Plane, Star};

/// Rings per half-flux diameter.
const RINGS_PER_HFD: f64 = 10.0;
/// Narrowest ring, px.
const LEAST_RING_PX: f64 = 0.3;
/// Reach of the profile in half-flux diameters: a halo of dew shows there, a star's own wings hardly. Where stars stand
/// too close for it, the nearer reaches still tell a disc from a peak.
const REACHES_HFD: [f64; 3] = [6.0, 3.0, 1.6];
/// From here outwards the profile is taken for sky, in half-flux diameters.
const SKY_FROM_HFD: f64 = 5.0;
/// Largest reach, px: time is bounded on a hopelessly blurred picture.
const MOST_REACH_PX: f64 = 120.0;
/// Stars stacked at most, the most significant ones.
const MOST_STARS: usize = 60;
/// Stars that make a profile.
const LEAST_STARS: usize = 4;
/// Significance of the stars stacked: their rings are then known to some per cent together.
const LEAST_SNR: f64 = 25.0;
/// Share of its light by which a neighbour within the reach spoils a star for stacking.
const NEIGHBOUR_SHARE: f64 = 0.05;
/// The centre is what lies within this many half-flux diameters.
const CENTRE_HFD: f64 = 0.12;

/// Mean light of stars by distance from their centres, each star scaled to the same flux.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct StackedProfile {
    /// Width of a ring, px; ring `i` lies from `i` to `i + 1` of it.
    pub ring_px: f64,
    /// Light per px² over the star's flux; the median of the stars.
    pub light_per_px2: Vec<f64>,
    /// Stars in the stack.
    pub stars: usize,
    /// Half-flux diameter of the stack itself, px.
    pub hfd_px: f64,
}

/// What the stack's shape says.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
pub struct ProfileShape {
    /// How far the middle lies below the brightest ring, 0 to 1; a donut has a dip.
    pub central_dip: f64,
    /// Radius with 80 % of the light over that with half: 1.26 for an even disc, 1.52 for a Gaussian, more with wings.
    pub r80_over_r50: f64,
    /// Share of the light from two to five half-flux diameters out: a halo of dew or frost. `None` where stars stand too
    /// close to see that far.
    pub halo_share: Option<f64>,
}

impl StackedProfile {
    /// Stacks the best isolated stars; `None` with fewer than four of them.
    ///
    /// Radii are those of the star's own ellipse, scaled to its short axis, so that a trail does not look like a blur.
    pub fn of(plane: &Plane, stars: &[Star]) -> Option<Self> {
        let good = |star: &&Star| star.shape_measured && !star.saturated && star.snr >= LEAST_SNR && star.flux > 0.0;
        let mut widths: Vec<f64> = stars.iter().filter(good).map(across_hfd_px).collect();
        widths.sort_by(f64::total_cmp);
        let hfd_px = *widths.get(widths.len() / 2)?;
        REACHES_HFD.iter().find_map(|reach_hfd| {
            let reach = (reach_hfd * hfd_px).min(MOST_REACH_PX);
            let alone = stars.iter().filter(good).filter(|star| is_alone(star, stars, reach + hfd_px));
            Self::stacked(plane, alone, hfd_px, reach)
        })
    }

    fn stacked<'a>(plane: &Plane, stars: impl Iterator<Item = &'a Star>, hfd_px: f64, reach: f64) -> Option<Self> {
        let ring_px = (hfd_px / RINGS_PER_HFD).max(LEAST_RING_PX);
        let rings = index(reach / ring_px).max(1);
        let mut stack: Vec<Vec<f64>> = vec![Vec::new(); rings];
        let added = stars.filter(|star| add(plane, star, ring_px, &mut stack)).take(MOST_STARS).count();
        if added < LEAST_STARS {
            return None;
        }
        let mut light_per_px2: Vec<f64> = stack.iter_mut().map(|values| median(values)).collect();
        let sky_from = index(SKY_FROM_HFD * hfd_px / ring_px);
        if let Some(outside) = light_per_px2.get(sky_from..).filter(|outside| !outside.is_empty()) {
            let sky = median(&mut outside.to_vec());
            for light in &mut light_per_px2 {
                *light -= sky;
            }
        }
        let mut profile = Self { ring_px, light_per_px2, stars: added, hfd_px };
        profile.hfd_px = 2.0 * profile.radius_of_share(0.5);
        Some(profile)
    }

    /// What its shape says.
    pub fn shape(&self) -> ProfileShape {
        let centre_rings = index((CENTRE_HFD * self.hfd_px / self.ring_px).ceil()).clamp(1, self.light_per_px2.len());
        let centre = self.sum(0, centre_rings) / (std::f64::consts::PI * (centre_rings as f64 * self.ring_px).powi(2));
        let highest = self.light_per_px2.iter().copied().fold(f64::MIN, f64::max);
        let at = |hfd: f64| index(hfd * self.hfd_px / self.ring_px);
        let all = self.sum(0, at(SKY_FROM_HFD));
        let far = at(SKY_FROM_HFD) < self.light_per_px2.len() && all > 0.0;
        ProfileShape {
            central_dip: if highest > 0.0 { (1.0 - centre / highest).clamp(0.0, 1.0) } else { 0.0 },
            r80_over_r50: self.radius_of_share(0.8) / self.radius_of_share(0.5),
            halo_share: far.then(|| (self.sum(at(2.0), at(SKY_FROM_HFD)) / all).clamp(0.0, 1.0)),
        }
    }

    /// Light of the rings from `from` to before `to`.
    fn sum(&self, from: usize, to: usize) -> f64 {
        let area = |i: usize| std::f64::consts::PI * self.ring_px * self.ring_px * (2.0 * i as f64 + 1.0);
        (from..to.min(self.light_per_px2.len())).map(|i| area(i) * self.light_per_px2[i]).sum()
    }

    /// Radius with a share of the light within 1.5 half-flux diameters, px: wings and the sky's error stay out.
    fn radius_of_share(&self, share: f64) -> f64 {
        let end = index(1.5 * self.hfd_px / self.ring_px).clamp(1, self.light_per_px2.len());
        let wanted = share * self.sum(0, end);
        let mut below = 0.0;
        for i in 0..end {
            let next = below + self.sum(i, i + 1);
            if next >= wanted && next > below {
                // within a ring the light grows with the square of the radius
                let part = (wanted - below) / (next - below);
                let (a, b) = (i as f64, i as f64 + 1.0);
                return self.ring_px * (a * a + part * (b * b - a * a)).sqrt();
            }
            below = next;
        }
        end as f64 * self.ring_px
    }
}

/// Half-flux diameter a star would have if it were as narrow every way as across its long axis, px.
pub(crate) fn across_hfd_px(star: &Star) -> f64 {
    let [long, short] = star.moments.axes_px2();
    if long > 0.0 { star.hfd_px * (short.max(0.0) / long).powf(0.25) } else { star.hfd_px }
}

fn is_alone(star: &Star, stars: &[Star], reach: f64) -> bool {
    !stars.iter().any(|other| {
        let apart_px2 = other.apart_px2(star);
        apart_px2 > 0.0 && apart_px2 < reach * reach && other.flux > NEIGHBOUR_SHARE * star.flux
    })
}

/// Adds a star's ring means to the stack; false if it is cut by the plane's edge.
fn add(plane: &Plane, star: &Star, ring_px: f64, stack: &mut [Vec<f64>]) -> bool {
    let reach = stack.len() as f64 * ring_px;
    let Some(inverse) = star.moments.inverse() else { return false };
    let [long, short] = star.moments.axes_px2();
    let span = reach * (long / short).sqrt();
    let inside = |c: f64, n: usize| c - span >= 0.0 && c + span <= n as f64 - 1.0;
    if !inside(star.x_px, plane.width()) || !inside(star.y_px, plane.height()) {
        return false;
    }
    // one pixel of the ellipse's own circle covers this many of the picture's
    let stretch = (long / short).sqrt();
    let mut sums = vec![[0.0, 0.0]; stack.len()];
    for y in index((star.y_px - span).ceil())..=index(star.y_px + span) {
        let row = plane.row(y);
        let first = index((star.x_px - span).ceil());
        for (x, value) in (first..).zip(row.part(first..index(star.x_px + span) + 1)) {
            let r = (inverse.form(x as f64 - star.x_px, y as f64 - star.y_px) * short).sqrt();
            if let (Some(sum), true) = (sums.get_mut(index(r / ring_px)), value.is_finite()) {
                sum[0] += f64::from(value) - star.background;
                sum[1] += 1.0;
            }
        }
    }
    for (values, [sum, n]) in stack.iter_mut().zip(sums) {
        if n > 0.0 {
            values.push(stretch * sum / n / star.flux);
        }
    }
    true
}

/// The middle one; 0 without any.
pub(crate) fn median(values: &mut [f64]) -> f64 {
    if values.is_empty() {
        return 0.0;
    }
    let middle = values.len() / 2;
    *values.select_nth_unstable_by(middle, f64::total_cmp).1
}
