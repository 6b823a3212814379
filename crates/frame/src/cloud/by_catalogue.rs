//! Catalogue stars that the frame should show, against those it does.

use quantity::{Basis, Estimate};
use sky::Extinction;

use super::regions::{Regions, wilson};
use super::{CloudCover, CloudMethod, DIMMED_MAG};
use crate::lens::{angle_rad, turn};
use crate::sky_mask::features::quantile;
use crate::whole::index;
use crate::{CellKind, LensSolution, SkyMask, Star, StarField};

/// Faintest stars looked for, V: the catalogue is complete to here.
const FAINTEST_V_MAG: f64 = 7.0;
/// Margins over the faintest star that noise lets through, magnitudes, the first good one of which is taken: noise reduction and
/// packing hide stars that noise alone would show.
const SAFE_MAG: [f64; 7] = [0.7, 1.0, 1.4, 1.8, 2.2, 2.6, 3.0];
/// Stars this much brighter are compared, magnitudes; so many of each; and the share by which fewer of them may be hidden.
const STEP_MAG: f64 = 0.75;
const LEAST_COMPARED: f64 = 8.0;
const MOST_RISE: f64 = 0.04;
/// Share of such stars that is found under a clear sky, and its deviation: close pairs, satellites and hot pixels hide a
/// few (clear real frames: 0.93 to 1).
const FOUND_WHEN_CLEAR: f64 = 0.96;
const FOUND_SIGMA: f64 = 0.03;
/// Expected stars below which nothing is said.
const LEAST_EXPECTED: usize = 15;
/// Stars whose fluxes fix the frame's own zero point.
const LEAST_FOR_ZERO: usize = 10;
/// Angle off the axis beyond which nothing is expected, degrees: haze and trees along the horizon of a fisheye, and the lens itself.
const WIDEST_DEG: f64 = 70.0;
/// Lowest altitude at which stars are expected, where it is known, degrees: below it clear air alone hides and dims at will.
const LOWEST_DEG: f64 = 10.0;
/// Distance of star and prediction, px, beyond three deviations of the lens.
const MISS_PX: f64 = 1.5;
/// Place in the order of losses of a star under a clear sky, should half of the sky be veiled.
const CLEAR_PLACE: f64 = 0.3;
/// Stars in a region from which its cover is told.
const LEAST_IN_REGION: f64 = 4.0;
/// Wavelength of V, nm.
const V_NM: f64 = 550.0;

struct Expected {
    place: [f64; 2],
    mag: f64,
    off_axis_square: f64,
    colour: f64,
    /// Magnitudes above the faintest that its place shows.
    margin: f64,
    found: Option<Star>,
}

/// The least margin from which brighter stars are hidden no less often: what noise and packing hide is the faint ones, what cloud
/// hides is any.
fn safe_margin(stars: &[Expected], is_hidden: impl Fn(&Expected) -> bool) -> Option<f64> {
    SAFE_MAG.into_iter().find(|margin| {
        // stars and hidden ones just above the margin and well above it
        let mut counts = [[0.0; 2]; 2];
        for star in stars.iter().filter(|star| star.margin > *margin) {
            let count = &mut counts[usize::from(star.margin > margin + STEP_MAG)];
            count[0] += 1.0;
            count[1] += f64::from(u8::from(is_hidden(star)));
        }
        let [[faint, faint_hidden], [bright, bright_hidden]] = counts;
        if faint < LEAST_COMPARED || bright < LEAST_COMPARED {
            return faint + bright >= LEAST_EXPECTED as f64;
        }
        let share = (faint_hidden + bright_hidden) / (faint + bright);
        let sigma = (share * (1.0 - share) * (1.0 / faint + 1.0 / bright)).sqrt();
        faint_hidden / faint - bright_hidden / bright <= MOST_RISE.max(sigma)
    })
}

pub(super) fn cover(field: &StarField, mask: &SkyMask, lens: &LensSolution) -> Result<CloudCover, String> {
    let spots = Spots::new(field);
    let mut stars = shown(field, mask, lens, &spots);
    let zero = Zero::fit(&stars).ok_or("too few catalogue stars with a flux for a zero point")?;
    let limit = Limit::of(field).ok_or("no stars to take the faintest visible one from")?;
    let regions = Regions::of(field.size_px);
    for star in &mut stars {
        star.margin = limit.at(field, star.place) - zero.instrumental(star);
    }
    let dimmed = DIMMED_MAG.max(2.5 * zero.scatter);
    let is_hidden = |star: &Expected| match &star.found {
        None => true,
        // a star that burns out tells no flux; it is there
        Some(found) => !found.saturated && magnitude(found.flux) - zero.instrumental(star) > dimmed,
    };
    let safe =
        safe_margin(&stars, is_hidden).ok_or("the brighter the star, the oftener it is found: no margin is safe")?;
    stars.retain(|star| star.margin > safe);
    if stars.len() < LEAST_EXPECTED {
        return Err(format!("only {} catalogue stars are bright enough to be expected", stars.len()));
    }
    let hidden: Vec<bool> = stars.iter().map(is_hidden).collect();
    let areas = regions.sky_px2(mask, 1.0);
    let mut counts = vec![[0.0; 2]; regions.count()];
    for (star, hidden) in stars.iter().zip(&hidden) {
        let count = &mut counts[regions.at(star.place)];
        count[0] += 1.0;
        count[1] += f64::from(u8::from(*hidden));
    }
    // each region counts by its sky, however many stars it has
    let (mut bad, mut weights, mut squares) = (0.0, 0.0, 0.0);
    for ([all, hidden], area) in counts.iter().zip(&areas) {
        if *all > 0.0 {
            let each = area / all;
            bad += each * hidden;
            weights += each * all;
            squares += each * each * all;
        }
    }
    let (share, independent) = if squares > 0.0 {
        (bad / weights, weights * weights / squares)
    } else {
        let all = hidden.len() as f64;
        (hidden.iter().filter(|hidden| **hidden).count() as f64 / all, all)
    };
    let [low, high] = wilson(share * independent, independent);
    let cloud = |seen_missing: f64, found: f64| ((seen_missing - (1.0 - found)) / found).clamp(0.0, 1.0);
    let best = cloud(share, FOUND_WHEN_CLEAR);
    let fraction = Estimate {
        value: best,
        low: cloud(low, FOUND_WHEN_CLEAR - FOUND_SIGMA).min(best),
        high: cloud(high, FOUND_WHEN_CLEAR + FOUND_SIGMA).max(best),
        basis: Basis::Measured,
    };
    let cover = counts
        .iter()
        .map(|[all, hidden]| (*all >= LEAST_IN_REGION).then(|| cloud(hidden / all, FOUND_WHEN_CLEAR)))
        .collect();
    let missing = hidden.iter().filter(|hidden| **hidden).count();
    Ok(CloudCover {
        fraction: Some(fraction),
        method: Some(CloudMethod::CatalogueStars),
        map: Some(regions.map(cover)),
        counted: stars.len(),
        why: format!(
            "{missing} of {} catalogue stars that a clear sky shows are missing or dimmed by more than {dimmed:.1} mag",
            stars.len()
        ),
    })
}

/// Catalogue stars on the sky of the frame, with what was found in their places.
fn shown(field: &StarField, mask: &SkyMask, lens: &LensSolution, spots: &Spots<'_>) -> Vec<Expected> {
    let [width, height] = field.size_px.map(|side| side as f64);
    let air = Extinction::clear(0.0);
    let ready = lens.model.ready();
    let miss = 3.0 * lens.residual_px + MISS_PX;
    let widest = WIDEST_DEG.to_radians();
    let mut claimed = vec![false; field.stars.len()];
    // brightest first: each spot belongs to its brightest star, and the fainter ones that merge with it are not looked for
    sky::catalogue()
        .brighter_than(FAINTEST_V_MAG)
        .filter_map(|star| {
            let direction = crate::lens::direction(star.right_ascension_deg, star.declination_deg);
            let off_axis = angle_rad(turn(&lens.attitude, direction), [0.0, 0.0, 1.0]);
            if off_axis > widest {
                return None;
            }
            // quickly first; the lift of the air is added where it is known
            let rough = ready.pixel_of(turn(&lens.attitude, direction))?;
            let margin = 0.05 * width.max(height);
            let is_near = |[x, y]: [f64; 2], by: f64| x > -by && y > -by && x < width + by && y < height + by;
            if !is_near(rough, margin) {
                return None;
            }
            let place = lens.pixel_of_sky(star.right_ascension_deg, star.declination_deg)?;
            if !is_near(place, -3.0 * miss) || mask.at(place) != CellKind::Sky {
                return None;
            }
            let altitude = lens.horizontal_of(place).map(|seen| seen.altitude_deg);
            if altitude.is_some_and(|altitude| altitude < LOWEST_DEG) {
                return None;
            }
            let lost = altitude.map_or(0.0, |altitude| -2.5 * air.transmission(V_NM, altitude).max(1e-9).log10());
            let spot = spots.nearest(place, miss);
            if spot.is_some_and(|spot| std::mem::replace(&mut claimed[spot], true)) {
                return None;
            }
            Some(Expected {
                margin: f64::NEG_INFINITY,
                place,
                mag: star.v_mag + lost,
                off_axis_square: off_axis * off_axis,
                colour: star.colour_bv_mag.unwrap_or(0.6),
                found: spot.map(|spot| field.stars[spot]),
            })
        })
        .collect()
}

fn magnitude(flux: f64) -> f64 {
    -2.5 * flux.max(f64::MIN_POSITIVE).log10()
}

/// Zero point of the frame, with the falloff of its lens and the colour of its filter.
struct Zero {
    /// At the axis, per square radian off it, per magnitude of B - V.
    terms: [f64; 3],
    scatter: f64,
}

impl Zero {
    /// From the stars that lose least: cloud only ever dims.
    fn fit(stars: &[Expected]) -> Option<Self> {
        let pairs: Vec<(&Expected, f64)> = stars
            .iter()
            .filter_map(|star| {
                let found = star.found.as_ref().filter(|found| !found.saturated && found.flux > 0.0)?;
                Some((star, magnitude(found.flux) - star.mag))
            })
            .collect();
        if pairs.len() < LEAST_FOR_ZERO {
            return None;
        }
        let start = quantile(&pairs.iter().map(|pair| pair.1).collect::<Vec<_>>(), CLEAR_PLACE)?;
        let mut zero = Self { terms: [start, 0.0, 0.0], scatter: 0.5 };
        for _ in 0..6 {
            let mut normal = [[0.0; 4]; 3];
            for (star, difference) in &pairs {
                let z = (difference - zero.of(star)) / zero.scatter;
                // much dimmer than the model is cloud, much brighter a wrong match: both weigh little
                let weight = 1.0 / (1.0 + z.powi(4));
                let terms = [1.0, star.off_axis_square, star.colour - 0.6, *difference];
                for (i, row) in normal.iter_mut().enumerate() {
                    for (entry, term) in row.iter_mut().zip(&terms) {
                        *entry += weight * terms[i] * term;
                    }
                }
            }
            // lenses fall off by 0.5 to 2 magnitudes per square radian; filters differ by 0.5 per magnitude of colour
            normal[1][1] += 0.2;
            normal[2][2] += 4.0;
            let Some(terms) = solved(normal) else { break };
            zero.terms = terms;
            // the brighter side alone tells the scatter: cloud makes none there
            let brighter: Vec<f64> =
                pairs.iter().map(|(star, difference)| zero.of(star) - difference).filter(|off| *off > 0.0).collect();
            zero.scatter = (1.4826 * quantile(&brighter, 0.5).unwrap_or(0.1)).clamp(0.08, 0.5);
        }
        Some(zero)
    }

    fn of(&self, star: &Expected) -> f64 {
        self.terms[0] + self.terms[1] * star.off_axis_square + self.terms[2] * (star.colour - 0.6)
    }

    /// Magnitude of the flux that a clear sky gives.
    fn instrumental(&self, star: &Expected) -> f64 {
        star.mag + self.of(star)
    }
}

fn solved(mut rows: [[f64; 4]; 3]) -> Option<[f64; 3]> {
    for i in 0..3 {
        let own = rows[i];
        if own[i].abs() <= 1e-9 || !own[i].is_finite() {
            return None;
        }
        for (_, row) in rows.iter_mut().enumerate().filter(|(j, _)| *j != i) {
            let factor = row[i] / own[i];
            for (entry, other) in row.iter_mut().zip(&own) {
                *entry -= factor * other;
            }
        }
    }
    Some(std::array::from_fn(|i| rows[i][3] / rows[i][i]))
}

/// Faintest star that the noise of a place lets through.
struct Limit {
    /// Flux over noise of one pixel of a star at the threshold.
    flux_per_noise: f64,
}

impl Limit {
    fn of(field: &StarField) -> Option<Self> {
        let each: Vec<f64> = field
            .stars
            .iter()
            .filter(|star| star.snr > 0.0 && star.flux > 0.0 && !star.saturated)
            .map(|star| star.flux / star.snr / field.noise.at(star.x_px, star.y_px).max(f64::MIN_POSITIVE))
            .collect();
        let threshold = field.stars.iter().map(|star| star.snr).fold(f64::INFINITY, f64::min);
        Some(Self { flux_per_noise: quantile(&each, 0.5)? * threshold })
    }

    fn at(&self, field: &StarField, [x, y]: [f64; 2]) -> f64 {
        magnitude(self.flux_per_noise * field.noise.at(x, y).max(f64::MIN_POSITIVE))
    }
}

/// Stars found, by place.
struct Spots<'a> {
    field: &'a StarField,
    columns: usize,
    cell_px: f64,
    lists: Vec<Vec<usize>>,
}

impl<'a> Spots<'a> {
    fn new(field: &'a StarField) -> Self {
        let cell_px = (field.size_px[0].max(field.size_px[1]) as f64 / 64.0).max(8.0);
        let [columns, rows] = field.size_px.map(|side| index(side as f64 / cell_px) + 1);
        let mut lists = vec![Vec::new(); columns * rows];
        for (i, star) in field.stars.iter().enumerate() {
            let [c, r] = [star.x_px, star.y_px].map(|px| index(px / cell_px));
            if let Some(list) = lists.get_mut(r * columns + c.min(columns - 1)) {
                list.push(i);
            }
        }
        Self { field, columns, cell_px, lists }
    }

    /// The brightest star within `reach` of a place.
    fn nearest(&self, [x, y]: [f64; 2], reach: f64) -> Option<usize> {
        let span =
            |px: f64| index((px - reach).max(0.0) / self.cell_px)..index((px + reach).max(0.0) / self.cell_px) + 1;
        let mut best: Option<usize> = None;
        for r in span(y) {
            for c in span(x).filter(|c| *c < self.columns) {
                for i in self.lists.get(r * self.columns + c).into_iter().flatten() {
                    let star = &self.field.stars[*i];
                    let is_near = (star.x_px - x).hypot(star.y_px - y) <= reach;
                    if is_near && best.is_none_or(|best| star.flux > self.field.stars[best].flux) {
                        best = Some(*i);
                    }
                }
            }
        }
        best
    }
}
