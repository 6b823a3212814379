use std::panic::{AssertUnwindSafe, catch_unwind};

use frame::{FileKind, Frame, FrameError, Limits, MosaicPattern, RawNumbers, judge_directories};
use optics::Channel;
use rawler::decoders::RawDecodeParams;
use rawler::rawimage::{RawImage, RawImageData, RawPhotometricInterpretation};
use rawler::rawsource::RawSource;

/// The numbers, and as much again while they are unpacked.
const BYTES_PER_PIXEL: u64 = 4;
/// Longest account of the decoder that is passed on, characters.
const LONGEST_CAUSE: usize = 160;

/// Unpacks a raw file of a maker: its mosaic, cut to the part that sees light.
///
/// The sizes are read and judged before pixels are unpacked. The decoder has many places that panic on a broken file;
/// they end in an error here, though a panic hook of the program may print a line. It also takes memory for the size a
/// file claims before it looks: what is built on TIFF (DNG, NEF, CR2, ARW, PEF) is judged beforehand; of other builds
/// (CR3, RAF) a file made to harm could still claim more than the machine has, which ends the process. Give it files of
/// one's own cameras, not of strangers.
///
/// # Errors
///
/// Unknown or broken files, patterns other than two by two, pictures that are larger than the limits.
pub fn unpack(bytes: &[u8], limits: &Limits) -> Result<Frame, FrameError> {
    match catch_unwind(AssertUnwindSafe(|| unpack_unguarded(bytes, limits))) {
        Ok(result) => result,
        Err(_panic) => Err(FrameError::DecoderFailed { kind: FileKind::CameraRaw }),
    }
}

fn unpack_unguarded(bytes: &[u8], limits: &Limits) -> Result<Frame, FrameError> {
    let size = u64::try_from(bytes.len()).unwrap_or(u64::MAX);
    if size > limits.most_bytes {
        return Err(FrameError::TooLarge { quantity: "bytes of the file", value: size, limit: limits.most_bytes });
    }
    judge_directories(bytes, limits)?;
    let source = RawSource::new_from_slice(bytes);
    let head = rawler::decode_dummy(&source).map_err(damaged)?;
    let side = |pixels: usize| u64::try_from(pixels).unwrap_or(u64::MAX);
    limits.judge(side(head.width), side(head.height), BYTES_PER_PIXEL * side(head.cpp.max(1)))?;
    let image = rawler::decode(&source, &RawDecodeParams::default()).map_err(damaged)?;
    Frame::from_raw(numbers(image)?, bytes)
}

fn numbers(image: RawImage) -> Result<RawNumbers, FrameError> {
    let packed = |what: &str| FrameError::PackedRaw { what: what.to_owned() };
    let RawPhotometricInterpretation::Cfa(filters) = &image.photometric else {
        return Err(packed("a raw picture that is no mosaic"));
    };
    let cfa = &filters.cfa;
    if image.cpp != 1 || (cfa.width, cfa.height) != (2, 2) {
        return Err(packed("a raw picture whose colours lie in another pattern than two by two"));
    }
    let area = Area::of(&image);
    let mut sites = [Channel::Green; 4];
    for (site, colour) in sites.iter_mut().enumerate() {
        *colour = match cfa.color_at(area.top + site / 2, area.left + site % 2) {
            rawler::cfa::CFA_COLOR_R => Channel::Red,
            rawler::cfa::CFA_COLOR_G => Channel::Green,
            rawler::cfa::CFA_COLOR_B => Channel::Blue,
            _ => return Err(packed("a raw picture in other colours than red, green and blue")),
        };
    }
    let white = image.whitelevel.0.iter().copied().min().and_then(|white| u16::try_from(white).ok());
    let white = f32::from(white.unwrap_or(u16::MAX));
    let black = black(&image);
    let neutral = neutral(image.wb_coeffs);
    let bits = u8::try_from(image.bps).unwrap_or(16);
    let RawImageData::Integer(values) = image.data else {
        return Err(packed("a raw picture in floating point"));
    };
    if image.width.checked_mul(image.height) != Some(values.len()) {
        return Err(damaged("it has another number of pixels than its size says"));
    }
    let values = area.cut(values, image.width);
    let pattern = MosaicPattern(sites);
    Ok(RawNumbers { size: [area.width, area.height], values, pattern, bits, black, white, neutral })
}

/// The part of the sensor that sees light.
struct Area {
    left: usize,
    top: usize,
    width: usize,
    height: usize,
}

impl Area {
    fn of(image: &RawImage) -> Self {
        let whole = Self { left: 0, top: 0, width: image.width, height: image.height };
        let Some(area) = image.active_area else { return whole };
        let fits =
            |at: usize, length: usize, side: usize| length > 0 && at.checked_add(length).is_some_and(|e| e <= side);
        if fits(area.p.x, area.d.w, image.width) && fits(area.p.y, area.d.h, image.height) {
            Self { left: area.p.x, top: area.p.y, width: area.d.w, height: area.d.h }
        } else {
            whole
        }
    }

    fn cut(&self, mut values: Vec<u16>, stride: usize) -> Vec<u16> {
        for row in 0..self.height {
            let from = (self.top + row) * stride + self.left;
            values.copy_within(from..from + self.width, row * self.width);
        }
        values.truncate(self.width * self.height);
        values
    }
}

/// The black of each site of a two-by-two cell; of any other cell the mean.
fn black(image: &RawImage) -> [f32; 4] {
    let level = &image.blacklevel;
    let levels: Vec<f32> = level.levels.iter().map(|ratio| narrow(f64::from(ratio.n) / f64::from(ratio.d))).collect();
    match (level.width, level.height, levels.as_slice()) {
        (2, 2, [a, b, c, d]) => [*a, *b, *c, *d],
        (_, _, []) => [0.0; 4],
        (_, _, all) => [all.iter().sum::<f32>() / all.len() as f32; 4],
    }
}

#[expect(clippy::cast_possible_truncation, reason = "a level of 16 bits")]
fn narrow(level: f64) -> f32 {
    level as f32
}

/// The decoder gives factors that make white even; the answer to white is their inverse.
fn neutral(factors: [f32; 4]) -> Option<[f64; 3]> {
    let [red, green, blue, _] = factors.map(f64::from);
    let neutral = [green / red, 1.0, green / blue];
    neutral.iter().all(|share| share.is_finite() && *share > 0.0).then_some(neutral)
}

fn damaged(cause: impl std::fmt::Display) -> FrameError {
    FrameError::Damaged { kind: FileKind::CameraRaw, cause: cause.to_string().chars().take(LONGEST_CAUSE).collect() }
}
