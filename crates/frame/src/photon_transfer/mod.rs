//! Gain and read noise of a camera from pairs of its own flats and biases: photon transfer.

mod failure;
mod pair;

pub use failure::PhotonTransferFailure;
pub use pair::PairStatistics;

use quantity::{Basis, Estimate};
use serde::Serialize;

use crate::LightChannel;
use pair::{PairChannel, Tile, same};

/// Share of the full range up to which a flat tells the gain: above, sensors are less than linear and electrons spread.
const MOST_SHARE: f64 = 0.7;
/// Share of pixels at the file's highest number from which a flat is full.
const FULL_PIXELS: f64 = 0.001;
/// The same from which the height of that number is the full well: the rest of the picture follows.
const CLIPPED_PIXELS: f64 = 0.2;
/// Share of bias pixels at the lowest number from which its noise is cut off below.
const FLOOR_PIXELS: f64 = 0.2;
/// Tiles left out at each end of the order of their gains: dust that moved, edges, hot columns.
const TRIMMED: f64 = 0.05;
/// How much the light of a pair may change.
const MOST_CHANGE: f64 = 0.03;
/// How much it may change from place to place beyond its noise, one standard deviation.
const MOST_MOVED: f64 = 0.01;
/// Noise of the place-to-place change that is let pass, in its own expectation.
const MOVED_SIGMAS: f64 = 3.0;
/// Least light of a flat, in read noises: below, its photon noise is lost in them.
const LEAST_SIGNAL: f64 = 3.0;
/// Error of the gain that no count of pixels removes: crosstalk between pixels, truncation of tails (judgement).
const SYSTEMATIC: f64 = 0.005;
/// The same where one level alone tells the gain.
const SYSTEMATIC_ONE_LEVEL: f64 = 0.02;
/// Levels from which the fall of the ratio with light is fitted, and in how many deviations it must stand out.
const LEVELS_FOR_BEND: usize = 3;
const BEND_SIGMAS: f64 = 3.0;
/// Variance below which noise is lost in the steps of whole numbers, squared numbers.
const LEAST_VARIANCE: f64 = 0.25;

/// One level of light in one channel.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct TransferPoint {
    /// Mean less the bias, the file's numbers.
    pub mean: f64,
    /// Variance of one picture, squared numbers.
    pub variance: f64,
    /// Its standard error.
    pub variance_sigma: f64,
    /// Exposure time, s, where the file says it.
    pub exposure_s: Option<f64>,
    /// Whether the gain rests on it: above the bias, below 70 % of full, not clipped.
    pub used: bool,
}

/// Gain and read noise of one channel.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct ChannelTransfer {
    /// Which.
    pub channel: LightChannel,
    /// Electrons for each number of the file.
    pub gain_e: Estimate,
    /// Read noise of one picture, electrons rms, with the rounding to whole numbers in it; `None` where the bias is cut off
    /// at its lowest number.
    pub read_noise_e: Option<Estimate>,
    /// Electrons at which the file is full, at this gain; `None` where no flat is full.
    pub full_well_e: Option<Estimate>,
    /// Largest deviation of a level in use from light in proportion to time, a share; `None` without three times.
    pub linearity_residual: Option<f64>,
    /// Largest deviation of a level in use from variance in proportion to light, a share; `None` of one level.
    pub transfer_residual: Option<f64>,
    /// Every level given, by light.
    pub points: Vec<TransferPoint>,
}

/// What the pairs say of a camera.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct PhotonTransfer {
    /// Red, green, blue, or the one grey.
    pub channels: Vec<ChannelTransfer>,
    /// ISO setting, where the files say it.
    pub iso: Option<f64>,
    /// Gain setting, where they say it.
    pub gain_setting: Option<f64>,
    /// What the reader should know.
    pub notes: Vec<String>,
}

impl PhotonTransfer {
    /// The channel that counts: green, or the one grey.
    pub fn main(&self) -> Option<&ChannelTransfer> {
        self.channels.iter().find(|channel| matches!(channel.channel, LightChannel::Green | LightChannel::Grey))
    }
}

/// Finds gain, read noise and full well.
///
/// The difference of two flats holds no dust, gradient or pixel that differs from its neighbours, only noise; half its
/// variance, less that of the biases, grows with the light as 1 over the gain. One pair of flats suffices (then its formula
/// is the well-known one of two flats and two biases); three levels and more show whether the sensor is linear.
///
/// # Errors
///
/// Pictures that differ, light that changed, no level between dark and full: [`PhotonTransferFailure`].
///
/// # Source
///
/// Janesick, *Photon Transfer* (SPIE Press, 2007); the form with two flats and two biases: Massey's task findgain of IRAF.
pub fn photon_transfer(
    flats: &[PairStatistics],
    bias: &PairStatistics,
) -> Result<PhotonTransfer, PhotonTransferFailure> {
    for flat in flats {
        if flat.size != bias.size || flat.layout != bias.layout {
            return Err(PhotonTransferFailure::DifferentPictures);
        }
        same("ISO", bias.iso, flat.iso)?;
        same("gain", bias.gain_setting, flat.gain_setting)?;
    }
    let mut notes = Vec::new();
    let mut channels = Vec::new();
    for (index, dark) in bias.channels.iter().enumerate() {
        channels.push(channel_transfer(flats, dark, index, &mut notes)?);
    }
    if flats.len() < LEVELS_FOR_BEND {
        notes.push("fewer than three levels of light: whether the sensor is linear is not seen".to_owned());
    }
    let first = flats.first();
    Ok(PhotonTransfer {
        channels,
        iso: bias.iso.or(first.and_then(|flat| flat.iso)),
        gain_setting: bias.gain_setting.or(first.and_then(|flat| flat.gain_setting)),
        notes,
    })
}

/// A level with what the fit needs.
struct Level {
    point: TransferPoint,
    /// Variance less that of the bias, over the mean: 1 over the gain.
    ratio: f64,
    ratio_sigma: f64,
    /// Share of pixels at the highest number, and that number less the bias.
    full: (f64, f64),
}

fn channel_transfer(
    flats: &[PairStatistics],
    dark: &PairChannel,
    index: usize,
    notes: &mut Vec<String>,
) -> Result<ChannelTransfer, PhotonTransferFailure> {
    let dark_level = weighted(&dark.tiles, |tile| 0.5 * (tile.means[0] + tile.means[1]));
    let mut variances: Vec<f64> = dark.tiles.iter().map(|tile| tile.variance).collect();
    let dark_variance = trimmed_mean(&mut variances).unwrap_or(0.0);
    let mut levels = Vec::new();
    for (number, flat) in flats.iter().enumerate() {
        let Some(channel) = flat.channels.get(index) else { continue };
        let ceiling = flat.ceiling.map(|ceiling| ceiling - dark_level);
        levels.extend(level(channel, dark, flat, [dark_level, dark_variance], ceiling, number + 1)?);
    }
    // a flat that is full shows where the range ends, also for files that do not say it
    let range = levels.iter().filter(|level| level.full.0 >= FULL_PIXELS).map(|level| level.full.1).reduce(f64::max);
    let range = range.or(flats.first().and_then(|flat| flat.ceiling).map(|ceiling| ceiling - dark_level));
    for level in &mut levels {
        level.point.used &= range.is_none_or(|range| level.point.mean < MOST_SHARE * range);
    }
    levels.sort_by(|a, b| a.point.mean.total_cmp(&b.point.mean));
    let used: Vec<&Level> = levels.iter().filter(|level| level.point.used).collect();
    if used.is_empty() {
        return Err(PhotonTransferFailure::NoUsableLevel { pairs: flats.len() });
    }
    let (ratio, sigma) = inverse_gain(&used);
    if ratio <= 0.0 || ratio < sigma {
        return Err(PhotonTransferFailure::NoPhotonNoise);
    }
    let share = (sigma / ratio).hypot(if used.len() > 1 { SYSTEMATIC } else { SYSTEMATIC_ONE_LEVEL });
    let gain = ratio.recip();
    let measured = |value: f64, share: f64| Estimate::symmetric(value, value * share, Basis::Measured);
    let pixels: f64 = dark.tiles.iter().map(|tile| tile.pixels).sum();
    let name = format!("{:?}", dark.channel).to_lowercase();
    let is_cut = dark.bottom.1 > FLOOR_PIXELS && dark.bottom.0 <= dark_level - f64::EPSILON;
    if is_cut {
        notes.push(format!("{name}: the bias is cut off at its lowest number, so its read noise cannot be told"));
    } else if dark_variance < LEAST_VARIANCE {
        notes.push(format!("{name}: the read noise is below one number of the file, which rounds it"));
    }
    let read_share = share.hypot((2.0 * pixels).sqrt().recip());
    let full = levels.iter().filter(|level| level.full.0 >= CLIPPED_PIXELS).map(|level| level.full.1).reduce(f64::max);
    let off = |level: &&Level| (level.ratio / ratio - 1.0).abs();
    Ok(ChannelTransfer {
        channel: dark.channel,
        gain_e: measured(gain, share),
        read_noise_e: (!is_cut).then(|| measured(gain * dark_variance.sqrt(), read_share)),
        full_well_e: full.map(|full| measured(full * gain, share)),
        linearity_residual: linearity(&used),
        transfer_residual: (used.len() > 1).then(|| used.iter().map(off).fold(0.0, f64::max)),
        points: levels.iter().map(|level| level.point).collect(),
    })
}

/// One pair of flats in one channel; `None` where it has no light.
fn level(
    channel: &PairChannel,
    dark: &PairChannel,
    flat: &PairStatistics,
    [dark_level, dark_variance]: [f64; 2],
    ceiling: Option<f64>,
    pair: usize,
) -> Result<Option<Level>, PhotonTransferFailure> {
    let means = [0, 1].map(|of| weighted(&channel.tiles, |tile| tile.means[of]) - dark_level);
    let mean = 0.5 * (means[0] + means[1]);
    let dark_sigma = dark_variance.sqrt().max(f64::MIN_POSITIVE);
    let is_full = channel.top.1 >= FULL_PIXELS
        && ceiling.is_none_or(|ceiling| channel.top.0 - dark_level >= MOST_SHARE * ceiling)
        && channel.top.0 - dark_level < 2.0 * mean;
    if mean <= 0.0 {
        return Ok(None);
    }
    let usable = mean > LEAST_SIGNAL * dark_sigma && !is_full;
    if usable {
        let change = (means[0] / means[1]).ln().abs();
        if change.is_nan() || change > MOST_CHANGE {
            return Err(PhotonTransferFailure::LightChanged { pair, percent: 100.0 * change });
        }
        let moved = moved(&channel.tiles, dark_level);
        if moved > MOST_MOVED {
            return Err(PhotonTransferFailure::LightMoved { pair, percent: 100.0 * moved });
        }
    }
    let light = |tile: &Tile| 0.5 * (tile.means[0] + tile.means[1]) - dark_level;
    let mut order: Vec<(f64, &Tile)> = channel
        .tiles
        .iter()
        .filter(|tile| light(tile) > 0.0)
        .map(|tile| ((tile.variance - dark_variance) / light(tile), tile))
        .collect();
    order.sort_by(|a, b| a.0.total_cmp(&b.0));
    let cut = crate::whole::index(TRIMMED * order.len() as f64);
    let kept: Vec<Tile> =
        order.iter().skip(cut).take(order.len().saturating_sub(2 * cut)).map(|pair| *pair.1).collect();
    let pixels: f64 = kept.iter().map(|tile| tile.pixels).sum();
    if pixels <= 0.0 {
        return Ok(None);
    }
    let variance = weighted(&kept, |tile| tile.variance);
    let mean = weighted(&kept, light);
    let variance_sigma = variance * (2.0 / pixels).sqrt();
    let dark_pixels: f64 = dark.tiles.iter().map(|tile| tile.pixels).sum();
    let dark_error = dark_variance * (2.0 / dark_pixels).sqrt();
    Ok(Some(Level {
        point: TransferPoint { mean, variance, variance_sigma, exposure_s: flat.exposure_s, used: usable },
        ratio: (variance - dark_variance) / mean,
        ratio_sigma: variance_sigma.hypot(dark_error) / mean,
        full: (channel.top.1, channel.top.0 - dark_level),
    }))
}

/// Scatter of the light's change from tile to tile beyond its noise, as a share.
fn moved(tiles: &[Tile], dark_level: f64) -> f64 {
    let mut changes: Vec<f64> = Vec::new();
    let mut noises: Vec<f64> = Vec::new();
    for tile in tiles {
        let [first, second] = tile.means.map(|mean| mean - dark_level);
        if first > 0.0 && second > 0.0 {
            changes.push((first / second).ln());
            noises.push((2.0 * tile.variance / tile.pixels).sqrt() / first);
        }
    }
    if changes.is_empty() {
        return 0.0;
    }
    let middle = crate::focus::median(&mut changes);
    let mut distances: Vec<f64> = changes.iter().map(|change| (change - middle).abs()).collect();
    let scatter = 1.4826 * crate::focus::median(&mut distances);
    let noise = crate::focus::median(&mut noises);
    if scatter > MOVED_SIGMAS * noise { (scatter * scatter - noise * noise).sqrt() } else { 0.0 }
}

/// 1 over the gain with its error: the weighted mean, or its value without light where it clearly falls with light.
fn inverse_gain(used: &[&Level]) -> (f64, f64) {
    let mut sums = [0.0; 5];
    for level in used {
        // levels differ by more than their counts of pixels say: none weighs more than one in a thousand
        let weight = level.ratio_sigma.hypot(1e-3 * level.ratio).max(f64::MIN_POSITIVE).powi(-2);
        let (x, y) = (level.point.mean, level.ratio);
        for (sum, part) in sums.iter_mut().zip([1.0, x, x * x, y, x * y]) {
            *sum += weight * part;
        }
    }
    let [s, sx, sxx, sy, sxy] = sums;
    let mean = (sy / s, s.recip().sqrt());
    let determinant = s * sxx - sx * sx;
    if used.len() < LEVELS_FOR_BEND || determinant <= 0.0 {
        return mean;
    }
    let (slope, slope_sigma) = ((s * sxy - sx * sy) / determinant, (s / determinant).sqrt());
    if slope < -BEND_SIGMAS * slope_sigma {
        ((sxx * sy - sx * sxy) / determinant, (sxx / determinant).sqrt())
    } else {
        mean
    }
}

/// Largest deviation from light in proportion to time; `None` of fewer than three different times.
fn linearity(used: &[&Level]) -> Option<f64> {
    let rates: Vec<(f64, f64)> = used
        .iter()
        .filter_map(|level| level.point.exposure_s.filter(|s| *s > 0.0).map(|s| (s, level.point.mean / s)))
        .collect();
    let mut times: Vec<f64> = rates.iter().map(|pair| pair.0).collect();
    times.sort_by(f64::total_cmp);
    times.dedup_by(|a, b| (*a - *b).abs() <= 0.01 * b.abs());
    if times.len() < LEVELS_FOR_BEND {
        return None;
    }
    let mut sorted: Vec<f64> = rates.iter().map(|pair| pair.1).collect();
    let middle = crate::focus::median(&mut sorted);
    Some(rates.iter().map(|(_, rate)| (rate / middle - 1.0).abs()).fold(0.0, f64::max))
}

fn weighted(tiles: &[Tile], value: impl Fn(&Tile) -> f64) -> f64 {
    let pixels: f64 = tiles.iter().map(|tile| tile.pixels).sum();
    tiles.iter().map(|tile| tile.pixels * value(tile)).sum::<f64>() / pixels
}

/// Mean without the lowest and highest twentieth; `None` of nothing.
fn trimmed_mean(values: &mut [f64]) -> Option<f64> {
    values.sort_by(f64::total_cmp);
    let cut = crate::whole::index(TRIMMED * values.len() as f64);
    let kept = values.get(cut..values.len().saturating_sub(cut)).filter(|kept| !kept.is_empty())?;
    Some(kept.iter().sum::<f64>() / kept.len() as f64)
}
