//! Sky, mirror, land and points put together, row by row.

use crate::cells::Cells;
use crate::grid::{Grid, RadiusTable};
use crate::land::Skyline;
use crate::moon::Disc;
use crate::vector::{norm, scaled};
use crate::{Mosaic, SceneSpec};

/// Light of a warm lamp in red, green and blue over that in green.
const WARM: [f64; 3] = [1.7, 1.0, 0.45];

/// The light of a picture before its noise.
pub(crate) struct Picture<'a> {
    pub(crate) spec: &'a SceneSpec,
    pub(crate) grid: &'a Grid,
    pub(crate) cells: &'a Cells,
    pub(crate) points: &'a [f32],
    pub(crate) skyline: Option<&'a Skyline>,
    pub(crate) disc: Option<Disc>,
    pub(crate) falloff: &'a RadiusTable,
}

/// What a pixel looks at, in shares.
#[derive(Debug, Clone, Copy, Default)]
pub(crate) struct Shares {
    pub(crate) land: f32,
    pub(crate) water: f32,
}

/// Cells around a pixel and their weights.
struct Corner {
    first: usize,
    weights: [f32; 4],
}

impl Picture<'_> {
    /// Mean electrons of a row's pixels, each of its own channel, dark current left out.
    pub(crate) fn row(&self, y: usize, row: &mut [f32]) {
        let light = 1.0; // points already are electrons of this exposure
        for (x, value) in row.iter_mut().enumerate() {
            *value = self.smooth(x, y) + light * self.points[y * self.spec.kit.sensor.width_px as usize + x];
        }
        self.moon(y, row);
    }

    fn smooth(&self, x: usize, y: usize) -> f32 {
        let channel = Mosaic::channel(x, y).index();
        let corner = self.corner(x, y);
        let sky = self.mixed(&corner, &self.cells.sky, channel);
        let shares = self.shares(&corner);
        if shares.land <= 0.0 && shares.water <= 0.0 {
            return sky;
        }
        let land = self.mixed(&corner, &self.cells.land, channel);
        let mirror = if shares.water > 0.0 { self.mixed(&corner, &self.cells.mirror, channel) } else { 0.0 };
        sky * (1.0 - shares.land - shares.water)
            + land * shares.land
            + mirror * shares.water
            + self.window(&corner, channel)
    }

    fn corner(&self, x: usize, y: usize) -> Corner {
        let [cx, cy] = self.grid.cell([x as f64, y as f64]);
        #[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "pixels lie inside the cells")]
        let (column, row) = (cx as usize, cy as usize);
        #[expect(clippy::cast_possible_truncation, reason = "a share")]
        let (s, t) = ((cx - column as f64) as f32, (cy - row as f64) as f32);
        Corner {
            first: row * self.grid.columns + column,
            weights: [(1.0 - s) * (1.0 - t), s * (1.0 - t), (1.0 - s) * t, s * t],
        }
    }

    fn indices(&self, corner: &Corner) -> [usize; 4] {
        let columns = self.grid.columns;
        [corner.first, corner.first + 1, corner.first + columns, corner.first + columns + 1]
    }

    fn mixed(&self, corner: &Corner, plane: &[[f32; 3]], channel: usize) -> f32 {
        let values = self.indices(corner).map(|cell| plane.get(cell).map_or(0.0, |light| light[channel]));
        values.iter().zip(corner.weights).map(|(value, weight)| value * weight).sum()
    }

    fn direction(&self, corner: &Corner) -> [f64; 3] {
        let mut sum = [0.0f64; 3];
        for (cell, weight) in self.indices(corner).into_iter().zip(corner.weights) {
            for (sum, part) in sum.iter_mut().zip(self.grid.directions[cell]) {
                *sum += f64::from(weight * part);
            }
        }
        scaled(sum, 1.0 / norm(sum).max(1e-9))
    }

    /// Shares of land and water in a cell's middle.
    pub(crate) fn shares_of_cell(&self, cell: usize) -> Shares {
        let [e, n, u] = self.grid.directions[cell].map(f64::from);
        self.shares_at([e, n, u])
    }

    fn shares(&self, corner: &Corner) -> Shares {
        let Some(skyline) = self.skyline else { return Shares::default() };
        // well above everything that stands there is only sky
        let highest = (skyline.highest_deg + 2.0).min(89.0).to_radians().sin();
        let indices = self.indices(corner);
        if indices.iter().all(|cell| f64::from(self.grid.directions[*cell][2]) > highest) {
            return Shares::default();
        }
        self.shares_at(self.direction(corner))
    }

    fn shares_at(&self, [east, north, up]: [f64; 3]) -> Shares {
        let Some(skyline) = self.skyline else { return Shares::default() };
        if up.is_nan() {
            return Shares::default();
        }
        let altitude_deg = up.clamp(-1.0, 1.0).asin().to_degrees();
        if altitude_deg > skyline.highest_deg + 2.0 {
            return Shares::default();
        }
        let edge = skyline.at(east.atan2(north).to_degrees());
        let pixel_deg = self.grid.pixel_sr(0.0).sqrt().to_degrees();
        let softness = pixel_deg * (1.0 + 0.7 * self.spec.faults.defocus_px + 0.5 * self.spec.faults.longest_px());
        let covered = |below: f64| {
            #[expect(clippy::cast_possible_truncation, reason = "a share")]
            let share = (0.5 + below / softness).clamp(0.0, 1.0) as f32;
            share
        };
        let Some(water) = self.spec.water else {
            return Shares { land: covered(edge.max(0.0) - altitude_deg), water: 0.0 };
        };
        // water from the far shore to the near one; in it the land again, upside down
        let wet = covered(-water.far_deg - altitude_deg) * covered(altitude_deg + water.near_deg);
        let mirrored_land = covered(edge - (-altitude_deg - 2.0 * water.far_deg).max(0.0));
        let land = covered(edge.max(0.0) - altitude_deg) * (1.0 - wet) + wet * mirrored_land;
        Shares { land, water: wet * (1.0 - mirrored_land) }
    }

    /// Light of the hut's window.
    fn window(&self, corner: &Corner, channel: usize) -> f32 {
        let Some(hut) = self.spec.land.as_ref().and_then(|land| land.hut).filter(|hut| hut.window_cd_m2 > 0.0) else {
            return 0.0;
        };
        let [east, north, up] = self.direction(corner);
        let off = quantity::wrap_degrees_180(east.atan2(north).to_degrees() - hut.azimuth_deg) / (0.5 * hut.width_deg);
        let height = up.asin().to_degrees() / hut.wall_deg.max(1e-6);
        // a pane with soft edges of a pixel, as the lens draws it
        let soft = self.grid.pixel_sr(0.0).sqrt().to_degrees() / (0.5 * hut.width_deg);
        let (dx, dy) = ((off + 0.3).abs(), (height - 0.55).abs() * 2.0 * hut.wall_deg / hut.width_deg);
        let half_height = 0.28 * 2.0 * hut.wall_deg / hut.width_deg;
        let inside = |off: f64, half: f64| (0.5 + 0.5 * (half - off) / soft).clamp(0.0, 1.0);
        let share = inside(dx, 0.14) * inside(dy, half_height);
        if share <= 0.0 {
            return 0.0;
        }
        let fall = self.falloff.at(self
            .grid
            .radius_px(self.grid.pixel(corner.first % self.grid.columns, corner.first / self.grid.columns)));
        #[expect(clippy::cast_possible_truncation, reason = "electrons in seven digits")]
        let light = (fall * share * hut.window_cd_m2 * self.cells.per_cd_m2_e[channel] * WARM[channel]) as f32;
        light
    }

    /// The Moon's disc over a row.
    fn moon(&self, y: usize, row: &mut [f32]) {
        let Some(disc) = &self.disc else { return };
        let Some([cx, cy]) = self.grid.view.pixel_of_vector(disc.direction) else { return };
        // half a degree is the Moon's diameter; the disc is looked for within twice its radius
        let reach = 0.6f64.to_radians() / self.grid.pixel_sr(self.grid.radius_px([cx, cy])).sqrt();
        if (y as f64 - cy).abs() > reach {
            return;
        }
        let shot =
            optics::Shot { sensor: &self.spec.kit.sensor, lens: &self.spec.kit.lens, exposure: self.spec.exposure };
        let electrons = shot.continuum_electrons([1.12, 1.0, 0.78].map(|c| c * disc.light));
        for (x, value) in row.iter_mut().enumerate() {
            if (x as f64 - cx).abs() > reach {
                continue;
            }
            let corner = self.corner(x, y);
            let shares = self.shares(&corner);
            let Some(direction) = self.grid.view.direction_of([x as f64, y as f64]) else { continue };
            if disc.at(direction.east_north_up()) == Some(true) {
                let fall = self.falloff.at(self.grid.radius_px([x as f64, y as f64]));
                let open = f64::from(1.0 - shares.land - shares.water).max(0.0);
                #[expect(clippy::cast_possible_truncation, reason = "electrons in seven digits")]
                let light = (electrons[Mosaic::channel(x, y).index()] * fall * open) as f32;
                *value += light;
            }
        }
    }
}
