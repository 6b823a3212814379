use super::line::SliceLine;
use crate::SequenceError;
use crate::robust::median;
use crate::view::{GridShape, LightGrid, SkyView};

/// Directions sampled along each bin.
const ALONG: i32 = 3;
/// Directions sampled across the strip.
const ACROSS: i32 = 9;
/// Share of a bin's cells that must hold light for it to have a value.
const LEAST_SHARE: f64 = 1.0 / 3.0;

/// Reads a line of the sky off pictures that share one lens, direction and size.
///
/// A bin's value is the median over its part of the strip, so that stars and satellites do not show.
#[derive(Debug, Clone)]
pub struct SliceSampler {
    shape: GridShape,
    cells: Vec<Vec<usize>>,
}

impl SliceSampler {
    /// Finds the cells of a grid under each bin of a line.
    ///
    /// * `like`: a picture of the size and cells that all will have.
    ///
    /// # Errors
    ///
    /// No part of the line lies within the picture.
    pub fn new(line: &SliceLine, view: &impl SkyView, like: &LightGrid<'_>) -> Result<Self, SequenceError> {
        let shape = like.shape();
        let step = line.settings.step_deg / f64::from(ALONG);
        let across_step = line.settings.half_width_deg * 2.0 / f64::from(ACROSS - 1);
        let cells: Vec<Vec<usize>> = line
            .bins
            .iter()
            .map(|bin| {
                let mut found: Vec<usize> = (-ALONG / 2..=ALONG / 2)
                    .flat_map(|along| (-ACROSS / 2..=ACROSS / 2).map(move |across| (along, across)))
                    .map(|(along, across)| {
                        let angle_deg = bin.zenith_angle_deg + f64::from(along) * step;
                        line.direction(angle_deg, f64::from(across) * across_step)
                    })
                    .filter_map(|direction| shape.cell_of(view.pixel_of(direction)?))
                    .collect();
                found.sort_unstable();
                found.dedup();
                found
            })
            .collect();
        if cells.iter().all(Vec::is_empty) {
            return Err(SequenceError::LineOutside);
        }
        Ok(Self { shape, cells })
    }

    /// One value a bin, in the picture's unit; NaN where the bin lies outside or is hidden.
    ///
    /// # Errors
    ///
    /// A picture of another size than the sampler was made for.
    pub fn sample(&self, picture: &LightGrid<'_>) -> Result<Vec<f32>, SequenceError> {
        sample_cells(self.shape, &self.cells, picture)
    }
}

/// The median of each group of cells; NaN where too few of them hold light.
pub(crate) fn sample_cells(
    shape: GridShape,
    cells: &[Vec<usize>],
    picture: &LightGrid<'_>,
) -> Result<Vec<f32>, SequenceError> {
    if picture.shape() != shape {
        let [found, expected] = [picture.columns() * picture.rows(), shape.columns * shape.rows];
        return Err(SequenceError::UnequalLengths { what: "a picture's grid", found, expected });
    }
    let mut held: Vec<f64> = Vec::new();
    #[expect(clippy::cast_possible_truncation, reason = "came from f32")]
    let values = cells
        .iter()
        .map(|cells| {
            held.clear();
            held.extend(cells.iter().filter_map(|index| picture.value(*index)).map(f64::from));
            let enough = !held.is_empty() && held.len() as f64 >= cells.len() as f64 * LEAST_SHARE;
            if enough { median(&mut held).map_or(f32::NAN, |value| value as f32) } else { f32::NAN }
        })
        .collect();
    Ok(values)
}
