use std::collections::BTreeMap;

use quantity::Horizontal;
use serde::Serialize;

use crate::SequenceError;
use crate::keogram::sample_cells;
use crate::view::{GridShape, LightGrid, SkyView};

/// A piece of the sky.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct SkyCell {
    /// Its middle.
    pub direction: Horizontal,
    /// Its size, sr.
    pub solid_angle_sr: f64,
}

/// The sky over a picture in cells of about one size.
#[derive(Debug, Clone)]
pub struct SkyCells {
    /// Side of a cell, degrees.
    pub size_deg: f64,
    /// The cells that the picture shows.
    pub cells: Vec<SkyCell>,
    shape: GridShape,
    members: Vec<Vec<usize>>,
}

impl SkyCells {
    /// Divides the sky down to an altitude; pulsation is looked for in cells of 2 to 5 degrees.
    ///
    /// * `like`: a picture of the size and cells that all will have.
    ///
    /// # Errors
    ///
    /// A size outside 0.5 to 45 degrees, or nothing of the sky in the picture.
    pub fn new(
        view: &impl SkyView,
        like: &LightGrid<'_>,
        size_deg: f64,
        least_altitude_deg: f64,
    ) -> Result<Self, SequenceError> {
        if !(0.5..=45.0).contains(&size_deg) {
            let (what, bound) = ("the size of a cell in degrees", "0.5 to 45");
            return Err(SequenceError::OutOfRange { what, value: size_deg, bound });
        }
        let shape = like.shape();
        let mut members: BTreeMap<(i32, i32), Vec<usize>> = BTreeMap::new();
        for row in 0..shape.rows {
            for column in 0..shape.columns {
                let Some(direction) = view.direction_of(shape.middle_px(column as f64, row as f64)) else { continue };
                if direction.altitude_deg >= least_altitude_deg {
                    let place = Ring::of(direction, size_deg).place(direction);
                    members.entry(place).or_default().push(row * shape.columns + column);
                }
            }
        }
        if members.is_empty() {
            return Err(SequenceError::LineOutside);
        }
        let cells = members.keys().map(|(ring, index)| Ring { index: *ring, size_deg }.cell(*index)).collect();
        Ok(Self { size_deg, cells, shape, members: members.into_values().collect() })
    }

    /// One value a cell, the median of its part of a picture; NaN where it is hidden.
    ///
    /// # Errors
    ///
    /// A picture of another size.
    pub fn sample(&self, picture: &LightGrid<'_>) -> Result<Vec<f32>, SequenceError> {
        sample_cells(self.shape, &self.members, picture)
    }

    /// All light of the sky seen: the sum of the cells' values times their sizes, unit times sr. Cells without light count as the
    /// mean of the others. NaN where none has any.
    pub fn total_light(&self, values: &[f32]) -> f64 {
        let all_sr: f64 = self.cells.iter().map(|cell| cell.solid_angle_sr).sum();
        let lit = self.cells.iter().zip(values).filter(|(_, value)| value.is_finite());
        let (light, lit_sr) = lit.fold((0.0, 0.0), |(light, sr), (cell, value)| {
            (light + f64::from(*value) * cell.solid_angle_sr, sr + cell.solid_angle_sr)
        });
        light / lit_sr * all_sr
    }
}

/// A ring of cells of one altitude.
struct Ring {
    index: i32,
    size_deg: f64,
}

impl Ring {
    fn of(direction: Horizontal, size_deg: f64) -> Self {
        #[expect(clippy::cast_possible_truncation, reason = "at most 180 rings each way")]
        let index = (direction.altitude_deg.min(89.999_999) / size_deg).floor() as i32;
        Self { index, size_deg }
    }

    /// Altitudes of its lower and upper edge.
    fn edges_deg(&self) -> [f64; 2] {
        [f64::from(self.index), f64::from(self.index + 1)].map(|edge| (edge * self.size_deg).clamp(-90.0, 90.0))
    }

    fn cells(&self) -> f64 {
        let [low, high] = self.edges_deg();
        (360.0 * f64::midpoint(low, high).to_radians().cos() / self.size_deg).round().max(1.0)
    }

    fn place(&self, direction: Horizontal) -> (i32, i32) {
        #[expect(clippy::cast_possible_truncation, reason = "at most 720 cells")]
        let cell = (direction.azimuth_deg / 360.0 * self.cells()).floor() as i32;
        (self.index, cell)
    }

    fn cell(&self, index: i32) -> SkyCell {
        let [low, high] = self.edges_deg();
        let share = (f64::from(index) + 0.5) / self.cells();
        let area_sr = std::f64::consts::TAU * (high.to_radians().sin() - low.to_radians().sin()) / self.cells();
        SkyCell { direction: Horizontal::new(f64::midpoint(low, high), share * 360.0), solid_angle_sr: area_sr }
    }
}
