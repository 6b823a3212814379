//! A light map in magnitudes and kilorayleighs.

use quantity::EmissionLine;

use super::geometry::Place;
use super::result::Calibration;
use crate::{LightChannel, LightMap};

/// Place in the order of cells that is taken for sky without aurora: a fifth of the sky is free of it in most frames, and
/// fewer cells may be trees.
const DARK_QUANTILE: f64 = 0.2;
/// Cells that must be sky for that.
const LEAST_CELLS: usize = 10;

/// Brightness of the sky in the cells of a [`LightMap`], row by row.
#[derive(Debug, Clone, PartialEq)]
pub struct CalibratedCells {
    /// Cells across.
    pub columns: usize,
    /// Cells down.
    pub rows: usize,
    /// Side of a cell, px of the frame.
    pub cell_px: f64,
    /// V mag arcsec⁻² as seen from the ground; NaN where it cannot be told.
    pub mag_arcsec2: Vec<f32>,
    /// Its error.
    pub mag_sigma: Vec<f32>,
    /// What exceeds the dark part of the sky as 557.7 nm above the air, kR, at least 0; NaN where it cannot be told.
    pub green_kr: Vec<f32>,
    /// Lower ends of its ranges.
    pub green_kr_low: Vec<f32>,
    /// Upper ends.
    pub green_kr_high: Vec<f32>,
    /// Level of the dark part of the sky, plane units as a pixel on the axis would have them, black taken off; `None`
    /// where too few cells are sky.
    pub dark_level: Option<f64>,
}

impl Calibration {
    /// Turns a light map of the same frame into magnitudes and kilorayleighs.
    ///
    /// The aurora is what exceeds the sky's dark part: the level that a fifth of the sky cells are below, every cell freed
    /// from falloff first. In a frame full of aurora it is too little; the sky's own rise toward the horizon and the Milky
    /// Way count as aurora. Somebody who knows the sky better asks [`Calibration::line_kr`] with an excess of his own.
    ///
    /// * `ceiling`: that of the frame ([`crate::Frame::ceiling`]), in whose shares the map counts.
    /// * `sky`: which cells may be asked for the dark part; all that the lens sees if `None`.
    pub fn cells(&self, map: &LightMap, ceiling: Option<f32>, sky: Option<&[bool]>) -> CalibratedCells {
        let count = map.columns * map.rows;
        let none = || vec![f32::NAN; count];
        let mut cells = CalibratedCells {
            columns: map.columns,
            rows: map.rows,
            cell_px: map.cell_px,
            mag_arcsec2: none(),
            mag_sigma: none(),
            green_kr: none(),
            green_kr_low: none(),
            green_kr_high: none(),
            dark_level: None,
        };
        let (Some(light), Some([black, black_sigma])) = (map.green(), self.black_level(LightChannel::Green)) else {
            return cells;
        };
        let unit = ceiling.filter(|ceiling| *ceiling > 0.0).map_or(1.0, f64::from);
        let levels: Vec<f64> = light.medians.iter().map(|median| f64::from(*median) * unit - black).collect();
        let geometry = self.geometry();
        let places: Vec<Place> = (0..count).map(|cell| Place::of(geometry.as_ref(), map.middle_px(cell))).collect();
        let shares: Vec<f64> = places.iter().map(|place| self.share(place)).collect();
        let is_sky =
            |cell: usize| sky.is_none_or(|sky| sky.get(cell).copied().unwrap_or(false)) && !light.is_light[cell];
        let mut dark: Vec<f64> = (0..count)
            .filter(|cell| is_sky(*cell))
            .map(|cell| levels[cell] / shares[cell])
            .filter(|level| level.is_finite() && *level > 0.0)
            .collect();
        dark.sort_by(f64::total_cmp);
        let place = crate::whole::index(DARK_QUANTILE * dark.len() as f64);
        cells.dark_level = dark.get(place).copied().filter(|_| dark.len() >= LEAST_CELLS);
        for cell in 0..count {
            let place = &places[cell];
            if let Some(mag) = self.mag_arcsec2(place, LightChannel::Green, levels[cell] + black) {
                cells.mag_arcsec2[cell] = crate::whole::single(mag.value);
                cells.mag_sigma[cell] = crate::whole::single(mag.high - mag.value);
            }
            let excess = cells.dark_level.map(|dark| levels[cell] - dark * shares[cell]);
            if let Some(kr) =
                excess.and_then(|excess| self.one_line_kr(place, EmissionLine::Green5577, [excess, black_sigma]))
            {
                cells.green_kr[cell] = crate::whole::single(kr.value);
                cells.green_kr_low[cell] = crate::whole::single(kr.low);
                cells.green_kr_high[cell] = crate::whole::single(kr.high);
            }
        }
        cells
    }

    /// Excess over the sky of some cells as 557.7 nm above the air, kR; `None` elsewhere and where it cannot be told.
    ///
    /// * `ceiling`: that of the frame, in whose shares the excess counts.
    /// * `excess`: of the green channel, cell by cell, the sky's own light taken off.
    /// * `wanted`: which cells.
    pub fn excess_kr(&self, map: &LightMap, ceiling: Option<f32>, excess: &[f32], wanted: &[bool]) -> Vec<Option<f64>> {
        let unit = ceiling.filter(|ceiling| *ceiling > 0.0).map_or(1.0, f64::from);
        let geometry = self.geometry();
        let of_cell = |(cell, (excess, wanted)): (usize, (&f32, &bool))| {
            let level = [unit * f64::from(*excess), 0.0];
            let place = wanted.then(|| Place::of(geometry.as_ref(), map.middle_px(cell)))?;
            self.one_line_kr(&place, EmissionLine::Green5577, level).map(|kr| kr.value)
        };
        excess.iter().zip(wanted).enumerate().map(of_cell).collect()
    }

    /// 557.7 nm above the air behind an excess of 1 over the sky in the green channel, cell by cell, kR: that of any excess is so many
    /// times as much, in the unit of [`crate::Frame::plane`]. `None` where it cannot be told.
    ///
    /// For many frames of a camera that stands still: what the lens and the air do is worked out once.
    pub fn kr_per_excess(&self, map: &LightMap) -> Vec<Option<f64>> {
        let geometry = self.geometry();
        let of_cell = |cell| {
            let place = Place::of(geometry.as_ref(), map.middle_px(cell));
            self.one_line_kr(&place, EmissionLine::Green5577, [1.0, 0.0]).map(|kr| kr.value)
        };
        (0..map.columns * map.rows).map(of_cell).collect()
    }

    /// Light that a place has of what a pixel on the axis would have; NaN where there is none.
    fn share(&self, place: &Place) -> f64 {
        let sight = match place {
            Place::Outside => return f64::NAN,
            Place::NoLens => return 1.0,
            Place::At(sight) => sight,
        };
        let lost = self
            .channel(LightChannel::Green)
            .map_or(0.0, |fitted| super::brightness::lost_mag(fitted, sight.falloff_terms()));
        sight.solid_angle_share * 10f64.powf(-0.4 * lost)
    }
}
