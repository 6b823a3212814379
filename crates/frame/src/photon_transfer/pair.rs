//! Mean and noise of a pair of pictures, tile by tile.

use optics::Channel;

use super::failure::PhotonTransferFailure;
use crate::window::Windows;
use crate::{FileKind, Frame, Layout, LightChannel, SampleUnit};

/// Side of a tile, px: light hardly changes within, and a colour has 256 pixels of a mosaic's tile.
const TILE_PX: usize = 32;
/// Tiles looked at, at most, spread over the frame: a million pixels tell the variance to 0.2 %.
const MOST_TILES: usize = 1_200;
/// Fewest pixels of a channel in all: the variance is then known to 4 %.
const LEAST_PIXELS: usize = 1_000;
/// Fewest pixels of a channel in a tile.
const LEAST_IN_TILE: usize = 32;
/// Deviations from which the difference of two pixels is a cosmic ray or a flickering pixel: cuts off 1e-5 of a Gaussian's
/// variance.
const CLIP_SIGMA: f64 = 5.0;
/// Two settings alike within this: files round them.
const SAME: f64 = 0.01;

/// A tile of one channel.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) struct Tile {
    /// Means of the first and the second picture, the file's numbers.
    pub(crate) means: [f64; 2],
    /// Noise of one picture: half the variance of the difference, squared numbers.
    pub(crate) variance: f64,
    pub(crate) pixels: f64,
}

/// One channel of a pair.
#[derive(Debug, Clone, PartialEq)]
pub(crate) struct PairChannel {
    pub(crate) channel: LightChannel,
    pub(crate) tiles: Vec<Tile>,
    /// Highest number found and the share of pixels that have it.
    pub(crate) top: (f64, f64),
    /// Lowest number found and the share of pixels that have it.
    pub(crate) bottom: (f64, f64),
}

/// Mean and noise of two pictures of the same thing: two flats, or two biases.
///
/// Holds no pixels: a camera's pairs can be read one after the other.
#[derive(Debug, Clone, PartialEq)]
pub struct PairStatistics {
    pub(crate) channels: Vec<PairChannel>,
    pub(crate) size: [usize; 2],
    pub(crate) layout: Layout,
    pub(crate) exposure_s: Option<f64>,
    pub(crate) iso: Option<f64>,
    pub(crate) gain_setting: Option<f64>,
    /// The file's own number at which it is full, black taken off.
    pub(crate) ceiling: Option<f64>,
}

impl PairStatistics {
    /// Measures a pair.
    ///
    /// # Errors
    ///
    /// Developed or demosaicked pictures, two of different size or settings, too few pixels: [`PhotonTransferFailure`].
    pub fn of(first: &Frame, second: &Frame) -> Result<Self, PhotonTransferFailure> {
        for frame in [first, second] {
            if !frame.linearity.is_linear() || frame.kind == FileKind::Jpeg {
                return Err(PhotonTransferFailure::NotLinear { kind: frame.kind });
            }
            if frame.layout == Layout::Rgb {
                return Err(PhotonTransferFailure::Demosaicked);
            }
        }
        if first.stored_size != second.stored_size || first.layout != second.layout || first.unit != second.unit {
            return Err(PhotonTransferFailure::DifferentPictures);
        }
        let (a, b) = (&first.metadata, &second.metadata);
        same("exposure time", a.exposure_s, b.exposure_s)?;
        same("ISO", a.iso, b.iso)?;
        same("gain", a.gain_setting, b.gain_setting)?;
        same("f-number", a.f_number, b.f_number)?;

        // shares of full scale back to the file's numbers, black taken off
        let scale = match first.unit {
            SampleUnit::FullScale => {
                f64::from(first.white) - first.black.iter().map(|b| f64::from(*b)).sum::<f64>() / 4.0
            }
            SampleUnit::FileUnits => 1.0,
        };
        let channels: &[LightChannel] = match first.layout {
            Layout::Mosaic(_) => &[LightChannel::Red, LightChannel::Green, LightChannel::Blue],
            Layout::Grey | Layout::Rgb => &[LightChannel::Grey],
        };
        let mut found: Vec<PairChannel> = channels.iter().map(|channel| PairChannel::empty(*channel)).collect();
        Tiles::new(first, second, scale).each(|channel, pixels| {
            let index = channels.iter().position(|named| *named == channel);
            if let Some(found) = index.and_then(|index| found.get_mut(index)) {
                found.add(pixels);
            }
        });
        for channel in &mut found {
            channel.close()?;
        }
        Ok(Self {
            channels: found,
            size: first.stored_size,
            layout: first.layout,
            exposure_s: a.exposure_s.or(b.exposure_s),
            iso: a.iso.or(b.iso),
            gain_setting: a.gain_setting.or(b.gain_setting),
            ceiling: first.ceiling.map(|ceiling| f64::from(ceiling) * scale),
        })
    }
}

/// Refuses two settings that are both known and differ.
pub(crate) fn same(what: &'static str, first: Option<f64>, second: Option<f64>) -> Result<(), PhotonTransferFailure> {
    match (first, second) {
        (Some(first), Some(second)) if (first - second).abs() > SAME * first.abs().max(second.abs()) => {
            Err(PhotonTransferFailure::DifferentSettings { what, first, second })
        }
        _ => Ok(()),
    }
}

/// The tiles of two frames, one after the other.
struct Tiles<'a> {
    windows: [Windows<'a>; 2],
    layout: Layout,
    size: [usize; 2],
    scale: f64,
}

impl<'a> Tiles<'a> {
    fn new(first: &'a Frame, second: &'a Frame, scale: f64) -> Self {
        Self {
            windows: [Windows::new(first), Windows::new(second)],
            layout: first.layout,
            size: first.stored_size,
            scale,
        }
    }

    fn each(&self, mut visit: impl FnMut(LightChannel, &[[f64; 2]])) {
        let [columns, rows] = self.size.map(|side| side / TILE_PX);
        let step = (columns * rows).div_ceil(MOST_TILES).max(1);
        // the step shares no factor with the columns, so that the tiles do not stand in lines
        let step = (step..=2 * step + columns).find(|step| gcd(*step, columns.max(1)) == 1).unwrap_or(1);
        let (mut first, mut second) = (Vec::new(), Vec::new());
        let mut pixels: [Vec<[f64; 2]>; 3] = Default::default();
        for tile in (0..columns * rows).step_by(step) {
            let corner = [tile % columns * TILE_PX, tile / columns * TILE_PX];
            self.windows[0].numbers(corner, [TILE_PX; 2], &mut first);
            self.windows[1].numbers(corner, [TILE_PX; 2], &mut second);
            pixels.iter_mut().for_each(Vec::clear);
            for (index, (a, b)) in first.iter().zip(&second).enumerate() {
                let channel = match self.layout {
                    Layout::Mosaic(pattern) => pattern.at(corner[0] + index % TILE_PX, corner[1] + index / TILE_PX),
                    Layout::Grey | Layout::Rgb => Channel::Green,
                };
                let pair = [*a, *b].map(|value| f64::from(value) * self.scale);
                if pair.iter().all(|value| value.is_finite()) {
                    pixels[channel.index()].push(pair);
                }
            }
            match self.layout {
                Layout::Mosaic(_) => {
                    let named = [LightChannel::Red, LightChannel::Green, LightChannel::Blue];
                    named.into_iter().zip(&pixels).for_each(|(channel, pixels)| visit(channel, pixels));
                }
                Layout::Grey | Layout::Rgb => visit(LightChannel::Grey, &pixels[Channel::Green.index()]),
            }
        }
    }
}

fn gcd(a: usize, b: usize) -> usize {
    if b == 0 { a } else { gcd(b, a % b) }
}

impl PairChannel {
    fn empty(channel: LightChannel) -> Self {
        Self { channel, tiles: Vec::new(), top: (f64::NEG_INFINITY, 0.0), bottom: (f64::INFINITY, 0.0) }
    }

    fn add(&mut self, pixels: &[[f64; 2]]) {
        if pixels.len() < LEAST_IN_TILE {
            return;
        }
        for value in pixels.iter().flatten() {
            let (above, below) = (*value > self.top.0, *value < self.bottom.0);
            count_extreme(&mut self.top, *value, above);
            count_extreme(&mut self.bottom, *value, below);
        }
        self.tiles.extend(tile(pixels));
    }

    /// Turns counts into shares.
    fn close(&mut self) -> Result<(), PhotonTransferFailure> {
        let pixels: f64 = self.tiles.iter().map(|tile| tile.pixels).sum();
        if pixels < LEAST_PIXELS as f64 {
            let found = crate::whole::index(pixels);
            return Err(PhotonTransferFailure::TooSmall { pixels: found, needed: LEAST_PIXELS });
        }
        self.top.1 /= 2.0 * pixels;
        self.bottom.1 /= 2.0 * pixels;
        Ok(())
    }
}

/// Counts a value at an extreme, or begins anew where it is beyond.
fn count_extreme(extreme: &mut (f64, f64), value: f64, is_beyond: bool) {
    if is_beyond {
        *extreme = (value, 1.0);
    } else if (value - extreme.0).abs() <= 1e-9 * value.abs().max(1.0) {
        extreme.1 += 1.0;
    }
}

/// `None` where too little is left after clipping.
fn tile(pixels: &[[f64; 2]]) -> Option<Tile> {
    let count = pixels.len() as f64;
    let mut differences: Vec<f64> = pixels.iter().map(|[a, b]| a - b).collect();
    let middle = crate::focus::median(&mut differences);
    let mut distances: Vec<f64> = differences.iter().map(|difference| (difference - middle).abs()).collect();
    let mean_distance = distances.iter().sum::<f64>() / count;
    // numbers in coarse steps have a middle distance of 0
    let sigma = (1.4826 * crate::focus::median(&mut distances)).max(1.2533 * mean_distance);
    let kept = || pixels.iter().filter(|[a, b]| (a - b - middle).abs() <= CLIP_SIGMA * sigma);
    let left = kept().count() as f64;
    if left < LEAST_IN_TILE as f64 {
        return None;
    }
    let mean = |of: usize| kept().map(|pair| pair[of]).sum::<f64>() / left;
    let means = [mean(0), mean(1)];
    let offset = means[0] - means[1];
    let variance = kept().map(|[a, b]| (a - b - offset).powi(2)).sum::<f64>() / (2.0 * (left - 1.0));
    Some(Tile { means, variance, pixels: left })
}
