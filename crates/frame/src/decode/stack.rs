//! Several pictures in one file, as recorders of all-sky cameras write them: their mean.

use std::ops::{ControlFlow, Range};

use jiff::SignedDuration;

use super::gzip::unpacked;
use super::{guarded, netpbm, open};
use crate::metadata::TakenAt;
use crate::samples::Values;
use crate::{FileKind, Frame, FrameError, Layout, Limits, SampleUnit, fits, sniff};

/// Pictures further than this from the first are left out: in 70 s the sky turns by a third of a degree, which is a pixel
/// of the cameras that write such files.
const LONGEST_SPAN: SignedDuration = SignedDuration::from_secs(70);
/// Pictures averaged at most: recorders write 6 to 20 a minute.
const MOST_PICTURES: usize = 120;
/// Numbers of one picture up to which pictures are averaged: cameras that write stacks have a megapixel at most.
const MOST_VALUES: usize = 16_000_000;
/// Pixels whose width is this share of their height are joined in pairs along the rows: sensors of interlaced video, one of
/// whose rows is two of the light's. Their mosaic of complementary colours, where there is one, is evened out by it.
const HALF_WIDE: [f64; 2] = [0.4, 0.65];

/// A picture made of all that a file holds.
#[derive(Debug, Clone, PartialEq)]
pub struct Stack {
    /// The mean, or the one picture.
    pub frame: Frame,
    /// Pictures averaged.
    pub count: usize,
}

/// Opens a file like [`crate::open`], but a file of several pictures of one size gives their mean: of those that began within
/// 70 s of the first. A pixel that is full in one of them is full in the mean. The time is the mean of their beginnings.
///
/// Grey pixels half as wide as high are joined in pairs along the rows. What was done is in [`Frame::notes`].
///
/// # Errors
///
/// As [`crate::open`].
pub fn open_stack(bytes: &[u8], limits: &Limits) -> Result<Stack, FrameError> {
    limits.judge_file(bytes)?;
    let inside = unpacked(bytes, limits)?;
    let bytes = inside.as_deref().unwrap_or(bytes);
    if sniff(bytes) != Ok(FileKind::Netpbm) {
        return Ok(Stack { frame: open(bytes, limits)?, count: 1 });
    }
    let Mean { mut frame, count, late } = guarded(FileKind::Netpbm, || mean(bytes, limits))?;
    super::name_grey(&mut frame);
    crate::metadata::attach(&mut frame, bytes);
    if let Some(taken) = &mut frame.metadata.taken {
        taken.local = taken.local.saturating_add(late);
    }
    join_columns(&mut frame);
    Ok(Stack { frame, count })
}

/// Opens the pictures of a file one after another, each with its own metadata, and hands each on; only one is held at a time.
///
/// Portable grey maps may hold several, as recorders of all-sky cameras write them, and FITS a cube of them; any other file holds
/// one. Grey pixels half as wide as high are joined in pairs along the rows of grey maps, as [`open_stack`] does. The pictures of a
/// cube have a time where its third axis is one; of others only the first has.
///
/// * `each`: given every picture in the order of the file, or why it cannot be read: the reading goes on at the next head that
///   is one. A picture in whose numbers another begins has lost a part and is not handed on. Its `Break` ends the reading.
///
/// # Errors
///
/// The file as a whole is too large, or its packing is broken.
pub fn open_each(
    bytes: &[u8],
    limits: &Limits,
    each: &mut dyn FnMut(Result<Frame, FrameError>) -> ControlFlow<()>,
) -> Result<(), FrameError> {
    limits.judge_file(bytes)?;
    let inside = unpacked(bytes, limits)?;
    let mut rest = inside.as_deref().unwrap_or(bytes);
    if sniff(rest) == Ok(FileKind::Fits) && fits::pictures(rest).claimed > 1 {
        each_of_cube(rest, limits, each);
        return Ok(());
    }
    if sniff(rest) != Ok(FileKind::Netpbm) {
        let _whether_more = each(open(bytes, limits));
        return Ok(());
    }
    let mut aspect = None;
    while !rest.is_empty() {
        let read = guarded(FileKind::Netpbm, || netpbm::decode_first(rest, limits));
        let (found, after) = match read {
            Ok((_, after)) if next_head(rest, 1..rest.len() - after.len(), limits).is_some() => {
                let lost = FrameError::damaged(FileKind::Netpbm, "another picture begins among its numbers".to_owned());
                (Err(lost), &rest[1..])
            }
            Ok((mut frame, after)) => {
                super::name_grey(&mut frame);
                crate::metadata::attach(&mut frame, rest);
                // recorders describe the camera in the first head alone
                aspect = frame.metadata.pixel_aspect.or(aspect);
                frame.metadata.pixel_aspect = aspect;
                join_columns(&mut frame);
                (Ok(frame), after)
            }
            Err(error) => (Err(error), &rest[1..]),
        };
        if each(found).is_break() {
            break;
        }
        rest = next_head(after, 0..after.len(), limits).and_then(|at| after.get(at..)).unwrap_or_default();
    }
    Ok(())
}

/// The pictures of a FITS cube, and one error for those that are not there.
fn each_of_cube(bytes: &[u8], limits: &Limits, each: &mut dyn FnMut(Result<Frame, FrameError>) -> ControlFlow<()>) {
    let (pictures, step_s) = (fits::pictures(bytes), fits::step_s(bytes));
    for place in 0..pictures.there {
        let read = guarded(FileKind::Fits, || fits::decode_one(bytes, limits, place));
        let found = read.map(|mut frame| {
            super::name_grey(&mut frame);
            crate::metadata::attach(&mut frame, bytes);
            let late = step_s.and_then(|step_s| SignedDuration::try_from_secs_f64(step_s * place as f64).ok());
            frame.metadata.taken = match (frame.metadata.taken, late) {
                (taken, _) if place == 0 => taken,
                (Some(taken), Some(late)) => Some(TakenAt { local: taken.local.saturating_add(late), ..taken }),
                _ => None,
            };
            frame
        });
        if each(found).is_break() {
            return;
        }
    }
    if (pictures.there as u64) < pictures.claimed {
        let lost = format!("{} of {} pictures are there", pictures.there, pictures.claimed);
        let _whether_more = each(Err(FrameError::damaged(FileKind::Fits, lost)));
    }
}

/// Where the next picture begins among `bytes[places]`. The bytes of a head come up among numbers too: past the first byte it
/// must be one that reads.
fn next_head(bytes: &[u8], places: Range<usize>, limits: &Limits) -> Option<usize> {
    places.into_iter().find(|at| {
        let rest = bytes.get(*at..).unwrap_or_default();
        matches!(rest, [b'P', b'5' | b'6', blank, ..] if blank.is_ascii_whitespace())
            && (*at == 0 || guarded(FileKind::Netpbm, || netpbm::decode_first(rest, limits)).is_ok())
    })
}

struct Mean {
    frame: Frame,
    count: usize,
    /// Mean of the beginnings after the first.
    late: SignedDuration,
}

fn mean(bytes: &[u8], limits: &Limits) -> Result<Mean, FrameError> {
    let (mut frame, mut rest) = netpbm::decode_first(bytes, limits)?;
    let more = !rest.is_empty();
    let mut sum: Option<Sum> = None;
    let mut count = 1;
    let may = frame.linearity.is_linear() && frame.values.len() <= MOST_VALUES;
    let first_start = crate::metadata::netpbm_start(bytes);
    let mut late_s = 0.0;
    // a mean of encoded values is no mean of light
    while may && count < MOST_PICTURES && sniff(rest) == Ok(FileKind::Netpbm) {
        let Ok((next, after)) = netpbm::decode_first(rest, limits) else { break };
        let late = crate::metadata::netpbm_start(rest)
            .zip(first_start)
            .map_or(SignedDuration::ZERO, |(start, first)| start.duration_since(first));
        let alike = (next.stored_size, next.layout, next.white.to_bits())
            == (frame.stored_size, frame.layout, frame.white.to_bits());
        if late > LONGEST_SPAN || !alike {
            break;
        }
        sum.get_or_insert_with(|| Sum::of(&frame)).add(&next.values);
        count += 1;
        late_s += late.as_secs_f64();
        rest = after;
    }
    if let Some(sum) = sum {
        frame.values = Values::F32(sum.mean(count));
        frame.notes.push(format!("{count} pictures of the file are averaged"));
    } else if more {
        frame.notes.push("more follows in the file: the first picture is read".to_owned());
    }
    let late = SignedDuration::try_from_secs_f64(late_s / count as f64).unwrap_or_default();
    Ok(Mean { frame, count, late })
}

struct Sum {
    values: Vec<f32>,
    full: Vec<bool>,
    white: f32,
}

impl Sum {
    fn of(frame: &Frame) -> Self {
        let pixels = frame.values.len();
        let mut sum = Self { values: vec![0.0; pixels], full: vec![false; pixels], white: frame.white };
        sum.add(&frame.values);
        sum
    }

    fn add(&mut self, values: &Values) {
        let places = self.values.iter_mut().zip(&mut self.full);
        for ((sum, full), value) in places.zip(numbers(values)) {
            *sum += value;
            *full |= value >= self.white;
        }
    }

    fn mean(&self, count: usize) -> Vec<f32> {
        let share = 1.0 / count as f32;
        self.values.iter().zip(&self.full).map(|(sum, full)| if *full { self.white } else { sum * share }).collect()
    }
}

fn numbers(values: &Values) -> Box<dyn Iterator<Item = f32> + '_> {
    match values {
        Values::U8(values) => Box::new(values.iter().map(|value| f32::from(*value))),
        Values::U16(values) => Box::new(values.iter().map(|value| f32::from(*value))),
        Values::F32(values) => Box::new(values.iter().copied()),
    }
}

/// Joins pairs of columns where pixels are half as wide as high.
fn join_columns(frame: &mut Frame) {
    let Some(aspect) = frame.metadata.pixel_aspect.filter(|aspect| (HALF_WIDE[0]..HALF_WIDE[1]).contains(aspect))
    else {
        return;
    };
    let [width, height] = frame.stored_size;
    let half = width / 2;
    if frame.layout != Layout::Grey || frame.unit != SampleUnit::FullScale || half == 0 || !frame.linearity.is_linear()
    {
        return;
    }
    let white = frame.white;
    let pair = |row: &[f32]| -> Vec<f32> {
        let joined = |pair: &[f32]| {
            if pair.iter().any(|value| *value >= white) { white } else { 0.5 * pair.iter().sum::<f32>() }
        };
        row.chunks_exact(2).map(joined).collect()
    };
    let values: Vec<f32> = numbers(&frame.values).collect();
    let joined: Vec<f32> = values.chunks_exact(width).take(height).flat_map(pair).collect();
    if joined.len() != half * height {
        return;
    }
    frame.values = Values::F32(joined);
    frame.stored_size = [half, height];
    frame.metadata.pixel_aspect = Some(2.0 * aspect);
    frame.notes.push("pixels are half as wide as high: pairs along the rows are joined".to_owned());
}
