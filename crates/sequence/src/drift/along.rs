use quantity::{Basis, Estimate};
use serde::Serialize;

use super::correlate::{Ensemble, Maximum};
use super::sidereal::sidereal_motion_deg_per_s;
use crate::keogram::{EARTH_RADIUS_KM, Keogram};
use crate::robust::{median, middle_and_spread};

/// Fewest columns of a window.
const LEAST_COLUMNS: usize = 6;
/// Longest lag looked at, columns.
const LONGEST_LAG: usize = 12;
/// Mean correlation below which the rows are not alike.
const LEAST_CORRELATION: f64 = 0.5;
/// Share of the line that the light may move between the rows compared.
const LARGEST_SHIFT: f64 = 0.35;
/// Pieces of a window whose speeds are compared for the error.
const PIECES: usize = 4;
/// What the place of a maximum between bins is good for, bins: common practice in particle image velocimetry.
const BIN_ERROR: f64 = 0.1;
/// Contrast of the structure above its noise from which rows can be compared.
const LEAST_CONTRAST: f64 = 3.0;

/// Columns of a keogram to be looked at together.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
pub struct DriftWindow {
    /// First column.
    pub from: usize,
    /// One past the last.
    pub to: usize,
}

/// A drift along a line; positive toward the line's azimuth.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct Drift {
    /// Angular speed at the zenith if the light is at the height assumed, degrees a second.
    pub deg_per_s: Estimate,
    /// Speed at that height, km/s.
    pub km_per_s: Estimate,
    /// Mean correlation of the rows compared.
    pub correlation: f64,
    /// Longest lag used, s.
    pub lag_s: f64,
    /// The stars' own speed along the line at the zenith, degrees a second: where the drift is like it, it may be theirs.
    pub stars_deg_per_s: f64,
    /// The drift cannot be told from the turning of the sky.
    pub like_the_stars: bool,
}

/// Contrast of the structure as a share of the line's own background from which it counts: smaller is a flicker of exposure or haze.
const LEAST_SHARE: f64 = 0.05;
/// Lags that must follow on from one another: at a single one, noise has a best shift as well.
const LEAST_LAGS: usize = 3;

/// What could be said of a drift.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum DriftOutcome {
    /// A speed.
    Measured(Drift),
    /// Nothing stands out of the noise and the fixed background.
    NoStructure,
    /// What stands out changes its shape from column to column, or moves further than can be followed.
    NotFollowed {
        /// Speed above which light could not have been followed, km/s.
        limit_km_per_s: f64,
    },
    /// Too few columns with light, or no place of the line in the layer.
    TooLittle,
}

/// Drift of the light along the line of a keogram within some columns.
///
/// The line is laid out evenly in km at the height assumed. The level that each bin hardly ever falls below is taken off, so that lamps
/// and the lens's fall-off do not stand for standing light. Rows a lag apart are correlated at every shift, the correlations of all pairs
/// of a lag averaged, and the speed is the slope of the best shifts over lags. Rows are medians over patches of sky, so that stars are
/// not in them. The error is the scatter of the speeds of four pieces of the window, and a tenth of a bin over the longest lag.
///
/// # Source
///
/// Motion by cross-correlation: J. A. Leese, C. S. Novak & B. B. Clark, *J. Appl. Meteorol.* 10, 118 (1971). Averaging the correlations rather
/// than the shifts: C. D. Meinhart, S. T. Wereley & J. G. Santiago, *J. Fluids Eng.* 122, 285 (2000). Both from memory.
pub fn drift_along(keogram: &Keogram, window: DriftWindow) -> DriftOutcome {
    let Some(even) = EvenLine::of(keogram) else { return DriftOutcome::TooLittle };
    let to = window.to.min(keogram.len());
    let rows: Vec<Option<Vec<f64>>> = (window.from..to).map(|column| even.row(keogram, column)).collect();
    if rows.iter().flatten().count() < LEAST_COLUMNS {
        return DriftOutcome::TooLittle;
    }
    if !has_structure(&rows, even.usual()) {
        return DriftOutcome::NoStructure;
    }
    let column_s = keogram.column_s();
    let whole = fit(&rows, even.bins);
    let Some(fitted) = whole.filter(|fit| fit.correlation >= LEAST_CORRELATION && fit.lag >= LEAST_LAGS) else {
        let limit_km_per_s = even.bins as f64 * LARGEST_SHIFT * even.step_km / column_s;
        return DriftOutcome::NotFollowed { limit_km_per_s };
    };
    let pieces: Vec<f64> = rows
        .chunks((rows.len() / PIECES).max(LEAST_COLUMNS))
        .filter_map(|piece| fit(piece, even.bins))
        .filter(|fit| fit.correlation >= LEAST_CORRELATION)
        .map(|fit| fit.bins_per_column)
        .collect();
    let scatter = match middle_and_spread(&pieces) {
        // an even spread of a few pieces says little: not less than a third of their range
        Some((_, spread)) if pieces.len() >= 3 => spread.max(range(&pieces) / 3.0) / (pieces.len() as f64).sqrt(),
        _ => BIN_ERROR,
    };
    let bin_error = BIN_ERROR / fitted.lag as f64;
    let to_km_s = even.step_km / column_s;
    let km_per_s = fitted.bins_per_column * to_km_s;
    let sigma_km_per_s = scatter.hypot(bin_error) * to_km_s;
    let per_km = 1.0 / even.height_km;
    let deg = |km: f64| (km * per_km).to_degrees();
    let azimuth = keogram.line().azimuth_deg.to_radians();
    let [east, north, _] = sidereal_motion_deg_per_s(keogram.line().observer, keogram.line().direction(0.0, 0.0));
    let stars_deg_per_s = east * azimuth.sin() + north * azimuth.cos();
    let off = (deg(km_per_s) - stars_deg_per_s).abs();
    let moves = km_per_s.abs() > 2.0 * sigma_km_per_s;
    DriftOutcome::Measured(Drift {
        deg_per_s: Estimate::symmetric(deg(km_per_s), deg(sigma_km_per_s), Basis::Measured),
        km_per_s: Estimate::symmetric(km_per_s, sigma_km_per_s, Basis::Measured),
        correlation: fitted.correlation,
        lag_s: fitted.lag as f64 * column_s,
        stars_deg_per_s,
        like_the_stars: moves && off < 2.0 * deg(sigma_km_per_s) && stars_deg_per_s.abs() > deg(sigma_km_per_s),
    })
}

fn range(values: &[f64]) -> f64 {
    let [low, high] = [
        values.iter().copied().fold(f64::INFINITY, f64::min),
        values.iter().copied().fold(f64::NEG_INFINITY, f64::max),
    ];
    high - low
}

/// A line laid out evenly in km.
struct EvenLine {
    /// For each even bin the keogram's bin below and the share of the next.
    places: Vec<(usize, f64)>,
    background: Vec<f64>,
    bins: usize,
    step_km: f64,
    height_km: f64,
}

impl EvenLine {
    fn of(keogram: &Keogram) -> Option<Self> {
        let line = keogram.line();
        let along: Vec<f64> = line.bins.iter().map(|bin| bin.place.map_or(f64::NAN, |place| place.along_km)).collect();
        let steps: Vec<f64> = along.windows(2).map(|pair| pair[1] - pair[0]).filter(|step| *step > 0.0).collect();
        // as fine as the bins are around the zenith; further out the sky is seen more coarsely than that
        let finest_km = steps.iter().copied().fold(f64::INFINITY, f64::min);
        let step_km = finest_km.max(median(&mut steps.clone())? / 2.0);
        let [first, last] = [along.iter(), along.iter()].map(|list| list.copied().filter(|km| km.is_finite()));
        let (low_km, high_km) = (first.fold(f64::INFINITY, f64::min), last.fold(f64::NEG_INFINITY, f64::max));
        let mut places = Vec::new();
        let mut bin = 0;
        let mut at_km = low_km;
        while at_km <= high_km && places.len() < MOST_EVEN_BINS {
            while along.get(bin + 1).is_some_and(|next| *next < at_km) {
                bin += 1;
            }
            let (a, b) = (*along.get(bin)?, along.get(bin + 1).copied().unwrap_or(f64::NAN));
            let share = if b > a { ((at_km - a) / (b - a)).clamp(0.0, 1.0) } else { 0.0 };
            places.push((bin, share));
            at_km += step_km;
        }
        let bins = places.len();
        let height_km = line.settings.height_km;
        debug_assert!(height_km < EARTH_RADIUS_KM);
        (bins >= 16).then_some(Self { places, background: keogram.background(), bins, step_km, height_km })
    }

    /// Middle level of the background; 0 where there is none.
    fn usual(&self) -> f64 {
        let mut levels: Vec<f64> = self.background.iter().copied().filter(|level| level.is_finite()).collect();
        median(&mut levels).unwrap_or(0.0)
    }

    /// A column above the background; none where no frame fell into it.
    fn row(&self, keogram: &Keogram, column: usize) -> Option<Vec<f64>> {
        let above =
            |bin: usize| f64::from(keogram.value(column, bin)) - self.background.get(bin).copied().unwrap_or(f64::NAN);
        let row: Vec<f64> = self
            .places
            .iter()
            .map(
                |(bin, share)| {
                    if *share > 0.0 { above(*bin) * (1.0 - share) + above(bin + 1) * share } else { above(*bin) }
                },
            )
            .collect();
        let present = row.iter().filter(|value| value.is_finite()).count();
        (2 * present >= self.bins).then_some(row)
    }
}

/// Most bins of an even line.
const MOST_EVEN_BINS: usize = 4000;

/// Whether light stands out of what changes from bin to bin without rule.
///
/// * `usual`: middle level of the background.
fn has_structure(rows: &[Option<Vec<f64>>], usual: f64) -> bool {
    let mut contrasts: Vec<f64> = rows
        .iter()
        .flatten()
        .filter_map(|row| {
            let present: Vec<f64> = row.iter().copied().filter(|value| value.is_finite()).collect();
            let second: Vec<f64> = present.windows(3).map(|three| three[0] - 2.0 * three[1] + three[2]).collect();
            // noise of one bin makes sqrt(6) of itself in a second difference
            let (_, noise) = middle_and_spread(&second)?;
            let noise = noise / 6.0_f64.sqrt();
            let mut sorted = present;
            let [low, high] = [0.1, 0.95].map(|place| crate::robust::quantile(&mut sorted, place).unwrap_or(0.0));
            let enough = high - low >= LEAST_SHARE * usual.abs();
            Some(if enough { (high - low) / noise.max(f64::MIN_POSITIVE) } else { 0.0 })
        })
        .filter(|contrast| contrast.is_finite())
        .collect();
    median(&mut contrasts).is_some_and(|contrast| contrast >= LEAST_CONTRAST)
}

struct Fit {
    bins_per_column: f64,
    correlation: f64,
    lag: usize,
}

/// The slope of best shifts over lags; lags at which the rows are not alike any more are left out.
fn fit(rows: &[Option<Vec<f64>>], bins: usize) -> Option<Fit> {
    #[expect(clippy::cast_possible_truncation, reason = "a share of a few thousand")]
    let whole = |bins: f64| bins as i32;
    let reach = whole(bins as f64 * LARGEST_SHIFT).max(2);
    let mut found: Vec<(usize, Maximum)> = Vec::new();
    for lag in 1..=LONGEST_LAG.min(rows.len().saturating_sub(1)) {
        // longer lags are worth it only as long as they follow on
        let expected = found.last().map(|(before, last)| last.shift / *before as f64 * lag as f64);
        let allowed = expected.map(|expected| 1.5 + 0.25 * expected.abs());
        let range = expected.zip(allowed).map_or([-reach, reach], |(expected, allowed)| {
            [whole((expected - allowed).floor()) - 1, whole((expected + allowed).ceil()) + 1]
                .map(|end| end.clamp(-reach, reach))
        });
        let mut ensemble = Ensemble::new(range);
        for (earlier, later) in rows.iter().zip(rows.iter().skip(lag)) {
            if let (Some(earlier), Some(later)) = (earlier, later) {
                ensemble.add(earlier, later);
            }
        }
        let Some(maximum) = ensemble.maximum() else { break };
        let follows =
            expected.zip(allowed).is_none_or(|(expected, allowed)| (maximum.shift - expected).abs() <= allowed);
        if !follows || (lag > 1 && maximum.correlation < LEAST_CORRELATION) {
            break;
        }
        found.push((lag, maximum));
    }
    let weight = |maximum: &Maximum| maximum.correlation.max(0.0);
    let [along, squares] = found.iter().fold([0.0, 0.0], |[along, squares], (lag, maximum)| {
        let lag = *lag as f64;
        [along + weight(maximum) * lag * maximum.shift, squares + weight(maximum) * lag * lag]
    });
    let (lag, _) = *found.last()?;
    let correlation = found.first()?.1.correlation;
    (squares > 0.0).then(|| Fit { bins_per_column: along / squares, correlation, lag })
}
