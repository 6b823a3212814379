//! The frame that the others are laid on.

use frame::{
    CellKind, Frame, LensHints, LensSolution, LightMap, SkyMask, StarAlignment, StarField, StarSearch, find_stars,
    pixel_scale, solve_lens_on,
};

use super::warp::{Optics, between_pixels};
use crate::tell::clip::picture::whole;
use crate::tell::{ClipGeometry, ClipPicture};

/// Stars below which a frame is said to show none.
const FEWEST_STARS: usize = 10;
/// Weight of the ground from which a frame's light is not taken for sky.
const GROUND: f32 = 0.5;
/// Camera moved by less than this is not noticed, px of the frame: a clock of whole seconds and the air's lift make as much.
const STANDS_PX: f64 = 4.0;
/// Share of a cell of the mask by which a camera may have moved: the rim kept around the ground is one cell wide.
const STANDS_CELLS: f64 = 0.5;

/// A frame laid on the reference.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct AlignedFrame {
    /// By its stars.
    pub alignment: StarAlignment,
    /// Median half-flux diameter of its stars, px.
    pub hfd_px: Option<f64>,
}

/// The frame that the others are laid on: its lens, its stars, and which of it is ground.
#[derive(Debug, Clone)]
pub struct StackReference {
    optics: Optics,
    lens: LensSolution,
    field: StarField,
    /// Share of ground of every pixel of the stack.
    ground: Vec<u8>,
    cell_px: f64,
    has_ground: bool,
}

impl StackReference {
    /// Asks a frame's stars, and tells its ground from its sky.
    ///
    /// # Errors
    ///
    /// One sentence on why it cannot be a reference: no stars, or none that are known.
    pub fn of(frame: &Frame, geometry: &ClipGeometry) -> Result<Self, String> {
        let plane = frame.luminance().map_err(|error| error.to_string())?;
        let field = find_stars(&plane, &StarSearch::default());
        enough(&field)?;
        let mut hints = LensHints { pixel_aspect: frame.metadata.pixel_aspect, ..LensHints::default() };
        if let Some(scale) = pixel_scale(&frame.metadata, frame.stored_size) {
            hints = hints.with_scale(&scale);
        }
        let lens = solve_lens_on(&plane, &field, &hints).map_err(|failure| format!("{failure}; {}", failure.hint()))?;
        let cells = LightMap::of(frame).map_err(|error| error.to_string())?;
        let mask = SkyMask::of(&cells, &field, Some(&lens), frame.orientation);
        let optics = Optics {
            model: lens.model,
            orientation: frame.orientation,
            stored: frame.stored_size,
            size_px: geometry.clip_px,
        };
        let has_ground = mask.kinds.iter().any(|kind| *kind != CellKind::Sky);
        let ground = weights(&mask, &optics);
        Ok(Self { optics, lens, field, ground, cell_px: mask.cell_px, has_ground })
    }

    /// Share of the ground at a pixel of the stack, 0 to 1.
    pub fn ground_weight(&self, pixel: usize) -> f32 {
        self.ground.get(pixel).map_or(0.0, |weight| f32::from(*weight) / 255.0)
    }

    /// Share of the picture that is kept as ground, 0 to 1; `None` where none was told.
    pub fn ground_share(&self) -> Option<f64> {
        let sum: u64 = self.ground.iter().map(|weight| u64::from(*weight)).sum();
        self.has_ground.then(|| sum as f64 / 255.0 / self.ground.len().max(1) as f64)
    }

    /// Lays a frame on this one by its stars.
    ///
    /// * `seconds`: how much later it was taken, below 0 earlier; where the clocks say so.
    ///
    /// # Errors
    ///
    /// One sentence on why it cannot: another size, no stars, a camera that stood otherwise.
    pub fn align(&self, frame: &Frame, seconds: Option<f64>) -> Result<AlignedFrame, String> {
        if frame.stored_size != self.optics.stored || frame.orientation != self.optics.orientation {
            let ([width, height], [own_width, own_height]) =
                (frame.displayed_size(), self.optics.orientation.displayed_size(self.optics.stored));
            return Err(format!(
                "{width} x {height} px, held otherwise than the reference of {own_width} x {own_height} px"
            ));
        }
        let plane = frame.luminance().map_err(|error| error.to_string())?;
        let field = find_stars(&plane, &StarSearch::default());
        enough(&field)?;
        let by_clock = seconds.map(|seconds| self.lens.turn_after(seconds));
        let guesses: Vec<_> = [by_clock, Some(self.lens.turn_after(0.0))].into_iter().flatten().collect();
        let by_neighbours = self.lens.align_stars(&self.field, &field, &guesses);
        let by_catalogue = || {
            let hints = LensHints { lens: Some(self.lens.model), ..LensHints::default() };
            let other = solve_lens_on(&plane, &field, &hints).ok()?;
            self.lens.align_stars(&self.field, &field, &[self.lens.turn_from(&other)])
        };
        let alignment = by_neighbours
            .or_else(by_catalogue)
            .ok_or("its stars could not be laid on those of the others: cloud, or another part of the sky")?;
        if let Some(by_clock) = by_clock {
            self.stood(&alignment, &by_clock)?;
        }
        Ok(AlignedFrame { alignment, hfd_px: field.typical.map(|typical| typical.hfd_px) })
    }

    /// Says whether the camera stood as it did for the reference.
    fn stood(&self, alignment: &StarAlignment, by_clock: &[[f64; 3]; 3]) -> Result<(), String> {
        if !self.has_ground {
            return Ok(());
        }
        let [width, height] = self.optics.stored.map(|side| side as f64 - 1.0);
        let moved = |place: [f64; 2]| {
            let seen = self.optics.model.direction_of(place)?;
            let pixel = |turn: &[[f64; 3]; 3]| {
                self.optics.model.pixel_of(turn.map(|row| row.iter().zip(seen).map(|(a, b)| a * b).sum()))
            };
            let [[ax, ay], [bx, by]] = [pixel(&alignment.turn)?, pixel(by_clock)?];
            Some((ax - bx).hypot(ay - by))
        };
        let places = [[0.5 * width, 0.5 * height], [0.2 * width, 0.2 * height], [0.8 * width, 0.8 * height]];
        let most = places.into_iter().filter_map(moved).fold(0.0, f64::max);
        if most > STANDS_PX.max(STANDS_CELLS * self.cell_px) {
            return Err(format!(
                "the camera stood {most:.0} px otherwise than for the reference, or its clock was set: its ground would smear into the sky"
            ));
        }
        Ok(())
    }

    /// The light of another frame at the sky of this one's pixels: the pixel's number and its light.
    ///
    /// Left out are pixels of ground, those whose sky is outside the other frame, and those whose sky was behind the ground there.
    pub fn each_sky_pixel(&self, picture: &ClipPicture, turn: &[[f64; 3]; 3], mut each: impl FnMut(usize, [u16; 3])) {
        let size_px = self.optics.size_px;
        let width = size_px[0];
        self.optics.each_place(turn, |pixel, place| {
            if self.ground_weight(pixel) >= 1.0 {
                return;
            }
            let Some(light) = between_pixels(picture.pixels(), size_px, place) else { return };
            let near = whole(place[1] + 0.5) * width + whole(place[0] + 0.5);
            if self.ground_weight(near) < GROUND {
                each(pixel, light);
            }
        });
    }
}

fn enough(field: &StarField) -> Result<(), String> {
    let found = field.stars.len();
    if found >= FEWEST_STARS {
        return Ok(());
    }
    Err(format!("{found} stars are seen on it, and {FEWEST_STARS} are needed: cloud, light, or a short exposure"))
}

/// Share of the ground for every pixel of the stack: one from the ground to a cell beyond it, then falling to nothing over
/// another one, so that no seam is seen.
fn weights(mask: &SkyMask, optics: &Optics) -> Vec<u8> {
    let is_ground = |column: usize, row: usize| {
        mask.kinds.get(row * mask.columns + column).is_some_and(|kind| *kind != CellKind::Sky)
    };
    let grown: Vec<f32> = (0..mask.columns * mask.rows)
        .map(|cell| {
            let (column, row) = (cell % mask.columns.max(1), cell / mask.columns.max(1));
            let near = |middle: usize, end: usize| middle.saturating_sub(1)..(middle + 2).min(end);
            let is_near =
                near(row, mask.rows).any(|row| near(column, mask.columns).any(|column| is_ground(column, row)));
            f32::from(u8::from(is_near))
        })
        .collect();
    let of = |column: f64, row: f64| {
        let last = |end: usize| end.saturating_sub(1) as f64;
        let (column, row) = (column.clamp(0.0, last(mask.columns)), row.clamp(0.0, last(mask.rows)));
        let (left, top) = (column.floor(), row.floor());
        let at = |column: f64, row: f64| {
            let (column, row) = (whole(column.min(last(mask.columns))), whole(row.min(last(mask.rows))));
            f64::from(grown.get(row * mask.columns + column).copied().unwrap_or(0.0))
        };
        let (across, down) = (column - left, row - top);
        let line = |row: f64| at(left, row) + across * (at(left + 1.0, row) - at(left, row));
        line(top) + down * (line(top + 1.0) - line(top))
    };
    let [width, height] = optics.size_px;
    (0..width * height)
        .map(|pixel| {
            let place = optics.stored_place([(pixel % width) as f64, (pixel / width) as f64]);
            let [column, row] = place.map(|px| (px + 0.5) / mask.cell_px - 0.5);
            #[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "a share of 255")]
            let weight = (255.0 * of(column, row)).round() as u8;
            weight
        })
        .collect()
}
