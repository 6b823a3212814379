//! A frame's numbers as light at the eye.

use frame::{Calibration, Frame, LightChannel};
use optics::{EyeScene, sky_luminance_cd_m2, xyz_of_linear_srgb};
use quantity::EmissionLine;

use super::lattice::Lattice;
use super::lines::SplitBlocks;
use crate::check::Looked;
use crate::check::preview::{balanced, white};

/// Altitude whose airmass is 1.4, degrees: for light whose altitude nobody tells.
pub(super) const MIDDLING_ALTITUDE_DEG: f64 = 45.6;
/// Field across of a lens that nobody tells, degrees: 24 mm on a full frame.
const ASSUMED_FIELD_DEG: f64 = 74.0;
/// Nodes across and down on which the scale of the light is worked out: it is smooth.
const NODES: [usize; 2] = [33, 25];

/// A small copy of a frame as light.
pub(super) struct FrameLight {
    pub(super) scene: EyeScene,
    pub(super) notes: Vec<String>,
    /// Kilorayleighs of 557.7 nm at the ground over those above the air, in the middle.
    pub(super) transmission: f64,
}

/// What the copy is made from.
pub(super) struct SmallCopy<'a> {
    pub(super) looked: &'a Looked,
    /// Pixels of the frame along a side of one of the copy.
    pub(super) step: usize,
    /// Columns and rows of the copy as stored.
    pub(super) size: [usize; 2],
    /// Means of its blocks in the unit of the frame's planes: red, green, blue.
    pub(super) planes: &'a [Vec<f32>],
}

impl SmallCopy<'_> {
    /// Its light, or why that cannot be told.
    pub(super) fn light(&self) -> Result<FrameLight, String> {
        let frame = &self.looked.frame;
        let calibration = self.looked.light.calibration.as_ref().ok_or_else(|| why_not(self.looked))?;
        if self.planes.len() < 3 {
            return Err("a grey picture does not tell how cones and rods would see its light".to_owned());
        }
        let [black, _] =
            calibration.black_level(LightChannel::Green).ok_or("the level of no light in this file is not known")?;
        let full = full_scale(frame);
        let sky = self.lattice(|pixel| {
            let mag = calibration.surface_brightness(LightChannel::Green, black + full, pixel)?.value;
            Some(sky_luminance_cd_m2(mag) / full)
        });
        let sky = sky.ok_or("the sky's brightness cannot be told from this file")?;
        let air = calibration.extinction();
        let altitude = |pixel| {
            let seen = self.looked.light.solution.as_ref().and_then(|solution| solution.horizontal_of(pixel));
            seen.map_or(MIDDLING_ALTITUDE_DEG, |seen| seen.altitude_deg)
        };
        let line = self.lattice(|pixel| {
            let above = calibration.line_kr(EmissionLine::Green5577, full, 0.0, pixel)?.value / full;
            Some(above * air.transmission(EmissionLine::Green5577.wavelength_nm(), altitude(pixel)))
        });
        let line = line.ok_or("557.7 nm cannot be told from this file")?;
        let mut notes = Vec::new();
        let blocks = SplitBlocks::of(self.looked, calibration);
        if blocks.is_none() {
            notes.push(
                "all of the aurora's light is taken for 557.7 nm: the red and blue lines are not calibrated".to_owned(),
            );
        }
        let scene = self.scene(calibration, &sky, &line, blocks.as_ref(), &mut notes);
        let middle = frame.stored_size.map(|side| 0.5 * (side as f64 - 1.0));
        let transmission = air.transmission(EmissionLine::Green5577.wavelength_nm(), altitude(middle));
        Ok(FrameLight { scene, notes, transmission })
    }

    /// A smooth number over the frame, by pixels as stored.
    fn lattice(&self, of: impl Fn([f64; 2]) -> Option<f64>) -> Option<Lattice> {
        let stored = self.looked.frame.stored_size;
        Lattice::of(NODES, |place| of([0, 1].map(|axis| place[axis] * (stored[axis] as f64 - 1.0))))
    }

    fn scene(
        &self,
        calibration: &Calibration,
        sky: &Lattice,
        line: &Lattice,
        blocks: Option<&SplitBlocks>,
        notes: &mut Vec<String>,
    ) -> EyeScene {
        let frame = &self.looked.frame;
        let [width, height] = self.size;
        let black = [LightChannel::Red, LightChannel::Green, LightChannel::Blue]
            .map(|channel| calibration.black_level(channel).map_or(0.0, |[level, _]| single(level)));
        let excess = self.excess();
        let neutral = frame.neutral.unwrap_or([1.0; 3]).map(|share| share.max(1e-6));
        let mut lines_kr = Vec::with_capacity(width * height);
        let mut other_xyz_cd_m2 = Vec::with_capacity(width * height);
        let on_map = |place: usize| ((place as f64 + 0.5) * self.step as f64 / self.looked.cells.cell_px) - 0.5;
        // columns lie alike in every row
        let columns: Vec<((usize, f64), Between)> = (0..width)
            .map(|x| (sky.across((x as f64 + 0.5) / width as f64), Between::of(on_map(x), self.looked.cells.columns)))
            .collect();
        for y in 0..height {
            let share = (y as f64 + 0.5) / height as f64;
            let (sky, line) = (sky.row(share), line.row(share));
            let across = |row: &[f64], (low, part): (usize, f64)| row[low] * (1.0 - part) + row[low + 1] * part;
            let excess: [Vec<f32>; 3] = std::array::from_fn(|c| excess[c].row(on_map(y)));
            let blocks = blocks.map(|blocks| blocks.row(on_map(y)));
            for (x, (node, cell)) in columns.iter().enumerate() {
                let level: [f32; 3] = std::array::from_fn(|c| (self.planes[c][y * width + x] - black[c]).max(0.0));
                let aurora: [f32; 3] = std::array::from_fn(|c| cell.along(&excess[c]).min(level[c]));
                lines_kr.push(if aurora[1] > 0.0 {
                    let green_kr = single(across(&line, *node) * f64::from(aurora[1]));
                    blocks.as_ref().map_or([0.0, green_kr, 0.0], |blocks| blocks.lines(on_map(x), green_kr))
                } else {
                    [0.0; 3]
                });
                let rest: [f64; 3] = std::array::from_fn(|c| f64::from(level[c] - aurora[c]) / neutral[c]);
                let luminance = across(&sky, *node) * f64::from(level[1] - aurora[1]);
                other_xyz_cd_m2.push(coloured(rest, luminance));
            }
        }
        EyeScene {
            width,
            height,
            cell_deg: self.cell_deg(notes),
            lines_kr,
            other_xyz_cd_m2,
            white_cd_m2: self.white(sky),
        }
    }

    /// Light above the sky's in the cells with aurora, 0 elsewhere, in the unit of planes.
    fn excess(&self) -> [Coarse; 3] {
        let finding = &self.looked.light.finding;
        let full = full_scale(&self.looked.frame);
        std::array::from_fn(|channel| {
            let cells = finding.excess.get(channel).map(|excess| excess.cells.as_slice()).unwrap_or_default();
            let of = |(excess, is_aurora): (&f32, &bool)| {
                if *is_aurora && excess.is_finite() { excess.max(0.0) * single(full) } else { 0.0 }
            };
            let mut values: Vec<f32> = cells.iter().zip(&finding.mask).map(of).collect();
            values.resize(self.looked.cells.columns * self.looked.cells.rows, 0.0);
            Coarse { columns: self.looked.cells.columns, rows: self.looked.cells.rows, values }
        })
    }

    fn cell_deg(&self, notes: &mut Vec<String>) -> f64 {
        let long = self.looked.frame.stored_size.into_iter().max().unwrap_or(1) as f64;
        let by_stars = self.looked.light.solution.as_ref().map(|solution| {
            let [across, down] = solution.field_deg;
            across.max(down) / long
        });
        let by_file = self.looked.report.settings.pixel_arcsec.map(|scale| scale.value / 3600.0);
        let pixel_deg = by_stars.or(by_file).unwrap_or_else(|| {
            notes.push(format!("the angle of view is not known: {ASSUMED_FIELD_DEG:.0} degrees across are assumed"));
            ASSUMED_FIELD_DEG / long
        });
        (pixel_deg * self.step as f64).clamp(1.0 / 3600.0, 10.0)
    }

    /// Luminance that the camera view shows as white.
    fn white(&self, sky: &Lattice) -> f64 {
        let frame = &self.looked.frame;
        let level = if frame.linearity.is_linear() {
            f64::from(white(&balanced(frame, self.planes.to_vec())))
        } else {
            full_scale(frame)
        };
        (sky.at([0.5, 0.5]) * level).max(f64::MIN_POSITIVE)
    }
}

/// Tristimulus values of light of a camera's colour and a luminance.
fn coloured(rgb: [f64; 3], luminance_cd_m2: f64) -> [f32; 3] {
    let xyz = xyz_of_linear_srgb(rgb);
    let scale = if xyz[1] > 0.0 { luminance_cd_m2 / xyz[1] } else { 0.0 };
    xyz.map(|value| single(value * scale))
}

fn why_not(looked: &Looked) -> String {
    let told = looked.report.not_measured.iter().find(|why| why.starts_with("light of the sky"));
    told.cloned().unwrap_or_else(|| "nothing in this picture tells how bright its light was".to_owned())
}

fn full_scale(frame: &Frame) -> f64 {
    frame.ceiling.filter(|ceiling| *ceiling > 0.0).map_or(1.0, f64::from)
}

/// Numbers of a light map's cells.
pub(super) struct Coarse {
    pub(super) columns: usize,
    pub(super) rows: usize,
    pub(super) values: Vec<f32>,
}

impl Coarse {
    /// The cells across at a height, between the middles of two rows; row 0 has its middle at 0.
    pub(super) fn row(&self, y: f64) -> Vec<f32> {
        let between = Between::of(y, self.rows);
        let row =
            |y: usize| self.values.get(y * self.columns..).and_then(|rest| rest.get(..self.columns)).unwrap_or(&[]);
        let (low, high) = (row(between.low), row(between.high));
        low.iter().zip(high).map(|(low, high)| low * (1.0 - between.part) + high * between.part).collect()
    }
}

/// A place between two cells of a row.
#[derive(Clone, Copy)]
pub(super) struct Between {
    low: usize,
    high: usize,
    part: f32,
}

impl Between {
    /// * `place`: in cells; beyond the middle of the first or the last of `count` that one stands in.
    pub(super) fn of(place: f64, count: usize) -> Self {
        let last = count.max(1) - 1;
        let place = place.clamp(0.0, last as f64);
        let low = index(place).min(last);
        Self { low, high: (low + 1).min(last), part: single(place - low as f64) }
    }

    /// The value there; 0 in a row that is too short.
    pub(super) fn along(self, row: &[f32]) -> f32 {
        let value = |at: usize| row.get(at).copied().unwrap_or(0.0);
        value(self.low) * (1.0 - self.part) + value(self.high) * self.part
    }
}

#[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "a place inside a grid")]
fn index(place: f64) -> usize {
    place as usize
}

#[expect(clippy::cast_possible_truncation, reason = "light that fits a float")]
pub(super) fn single(value: f64) -> f32 {
    value as f32
}
