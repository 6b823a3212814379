//! The three lines of an aurora over a frame, in coarse blocks: an eye sees faint colour in large patches only.

use frame::{Calibration, LineExcess};
use quantity::EmissionLine;

use super::light::{Between, Coarse, MIDDLING_ALTITUDE_DEG, single};
use crate::check::Looked;

/// Cells of the light map along a side of a block.
const BLOCK: usize = 8;
/// Fewest auroral cells for the lines of a block.
const LEAST_CELLS: usize = 6;

/// Light of the lines at the ground, relative to what the green channel alone would call 557.7 nm.
pub(super) struct SplitBlocks {
    /// 557.7 nm over that of the green channel alone, 0..=1.
    green_share: Coarse,
    /// 427.8 and 630.0 nm over the same.
    blue_ratio: Coarse,
    red_ratio: Coarse,
    /// 427.8 and 630.0 nm of blocks in which green has too little to be a measure, kR.
    blue_kr: Coarse,
    red_kr: Coarse,
}

/// Most kilorayleighs of another line for one of green that follow the green light's fine structure; above, they are spread evenly.
const MOST_RATIO: f64 = 3.0;

impl SplitBlocks {
    /// `None` where the calibration tells no lines apart.
    pub(super) fn of(looked: &Looked, calibration: &Calibration) -> Option<Self> {
        let [columns, rows] = [looked.cells.columns, looked.cells.rows].map(|side| side.div_ceil(BLOCK));
        let coarse = |value: f32| Coarse { columns, rows, values: vec![value; columns * rows] };
        let mut blocks = Self {
            green_share: coarse(1.0),
            blue_ratio: coarse(0.0),
            red_ratio: coarse(0.0),
            blue_kr: coarse(0.0),
            red_kr: coarse(0.0),
        };
        let mut told = false;
        let mut asked = false;
        for row in 0..rows {
            for column in 0..columns {
                let Some((excess, pixel)) = block_excess(looked, [column, row]) else { continue };
                asked = true;
                let Some([blue, green, red, alone]) = at_ground(looked, calibration, &excess, pixel) else { continue };
                told = true;
                let block = row * columns + column;
                blocks.set(block, [blue, green, red], alone);
            }
        }
        // without aurora there is nothing to be told apart
        (told || !asked).then_some(blocks)
    }

    fn set(&mut self, block: usize, [blue, green, red]: [f64; 3], alone: f64) {
        let per = alone.max(f64::MIN_POSITIVE);
        self.green_share.values[block] = single((green / per).clamp(0.0, 1.0));
        for (kr, ratio, even) in
            [(blue, &mut self.blue_ratio, &mut self.blue_kr), (red, &mut self.red_ratio, &mut self.red_kr)]
        {
            if kr > MOST_RATIO * alone {
                even.values[block] = single(kr);
            } else {
                ratio.values[block] = single(kr / per);
            }
        }
    }

    /// A row of them.
    ///
    /// * `map_y`: in cells of the light map.
    pub(super) fn row(&self, map_y: f64) -> SplitRow {
        let y = in_blocks(map_y);
        let of = |coarse: &Coarse| coarse.row(y);
        SplitRow {
            green_share: of(&self.green_share),
            ratio: [of(&self.blue_ratio), of(&self.red_ratio)],
            even: [of(&self.blue_kr), of(&self.red_kr)],
        }
    }
}

/// The same along a row of a picture; blue and red.
pub(super) struct SplitRow {
    green_share: Vec<f32>,
    ratio: [Vec<f32>; 2],
    even: [Vec<f32>; 2],
}

impl SplitRow {
    /// 427.8, 557.7 and 630.0 nm of a cell with aurora, kR.
    ///
    /// * `map_x`: in cells of the light map.
    /// * `alone_kr`: 557.7 nm if all of the green channel's light were that, above 0.
    pub(super) fn lines(&self, map_x: f64, alone_kr: f32) -> [f32; 3] {
        let place = Between::of(in_blocks(map_x), self.green_share.len());
        let [blue, red] = [0, 1].map(|line| place.along(&self.ratio[line]) * alone_kr + place.along(&self.even[line]));
        [blue, place.along(&self.green_share) * alone_kr, red]
    }
}

/// Cells of the light map in blocks.
fn in_blocks(map_place: f64) -> f64 {
    (map_place + 0.5) / BLOCK as f64 - 0.5
}

/// Mean excess of a block's auroral cells with its error, in the unit of planes, and the pixel of its middle.
fn block_excess(looked: &Looked, [column, row]: [usize; 2]) -> Option<(LineExcess, [f64; 2])> {
    let (map, finding) = (&looked.cells, &looked.light.finding);
    let unit = looked.frame.ceiling.filter(|ceiling| *ceiling > 0.0).map_or(1.0, f64::from);
    let inside = |first: usize, most: usize| first * BLOCK..((first + 1) * BLOCK).min(most);
    let cells: Vec<usize> = inside(row, map.rows)
        .flat_map(|y| inside(column, map.columns).map(move |x| y * map.columns + x))
        .filter(|cell| finding.mask.get(*cell).copied().unwrap_or(false))
        .collect();
    if cells.len() < LEAST_CELLS || finding.excess.len() < 3 {
        return None;
    }
    let count = cells.len() as f64;
    let mut level = [0.0; 3];
    let mut sigma = [0.0; 3];
    // a map in colour has red, green, blue in this order
    for (index, excess) in finding.excess.iter().take(3).enumerate() {
        let values: Vec<f64> =
            cells.iter().filter_map(|cell| excess.cells.get(*cell)).map(|value| f64::from(*value)).collect();
        let mean = values.iter().sum::<f64>() / count;
        let spread = values.iter().map(|value| (value - mean).powi(2)).sum::<f64>() / count;
        if !mean.is_finite() {
            return None;
        }
        level[index] = unit * mean;
        sigma[index] = unit * (spread / count).sqrt();
    }
    let middle = cells[cells.len() / 2];
    Some((LineExcess { level, sigma }, map.middle_px(middle)))
}

/// 427.8, 557.7 and 630.0 nm at the ground, and what the green channel alone would call 557.7 nm, kR.
fn at_ground(looked: &Looked, calibration: &Calibration, excess: &LineExcess, pixel: [f64; 2]) -> Option<[f64; 4]> {
    let split = calibration.split(excess, pixel)?;
    let alone = calibration.line_kr(EmissionLine::Green5577, excess.level[1], 0.0, pixel)?.value;
    let seen = looked.light.solution.as_ref().and_then(|solution| solution.horizontal_of(pixel));
    let altitude_deg = seen.map_or(MIDDLING_ALTITUDE_DEG, |seen| seen.altitude_deg);
    let air = calibration.extinction();
    let arrives = |line: EmissionLine| air.transmission(line.wavelength_nm(), altitude_deg);
    let [blue, green, red] = split.kr.map(|kr| kr.value);
    Some([
        blue * arrives(EmissionLine::Blue4278),
        green * arrives(EmissionLine::Green5577),
        red * arrives(EmissionLine::Red6300),
        alone * arrives(EmissionLine::Green5577),
    ])
}
