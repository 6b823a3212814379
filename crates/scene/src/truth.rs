use optics::{Camera, Shot};
use quantity::{Fraction, Horizontal};
use serde::{Deserialize, Serialize};
use sky::{SunMoon, sun_moon};

use crate::picture::Picture;
use crate::readout::electrons_per_step;
use crate::sky_light::SkyLight;
use crate::stars::TrueStar;
use crate::{Faults, SceneSpec};

/// Columns of the truth's maps, about.
const MAP_COLUMNS: usize = 96;

/// What the picture shows, as it was put into it.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Truth {
    /// Seed of the noise.
    pub seed: u64,
    /// Shutter opens, UTC.
    pub opens_at: jiff::Timestamp,
    /// Lens and pointing as rendered, with the axis and distortion; directions are apparent.
    pub camera: Camera,
    /// Direction of the picture's middle (not of the axis).
    pub middle: Horizontal,
    /// Where rays meet: apparent direction of the magnetic zenith at 110 km over the site.
    pub magnetic_zenith: Horizontal,
    /// Magnetic latitude of the field line over the site, degrees.
    pub magnetic_latitude_deg: f64,
    /// Full width at half maximum of a sharp star's core in the middle and the corner, pixels.
    pub star_fwhm_px: [f64; 2],
    /// Electrons per step of the converter.
    pub electrons_per_step: f64,
    /// Electrons at which a pixel clips.
    pub saturation_e: f64,
    /// Electrons on the axis per kR of 557.7 nm, red, green and blue sites.
    pub electrons_per_kr_5577: [f64; 3],
    /// Faults put in.
    pub faults: Faults,
    /// Sun's airless altitude in the middle of the exposure, degrees.
    pub sun_altitude_deg: f64,
    /// Moon's airless altitude, degrees.
    pub moon_altitude_deg: f64,
    /// Lit share of the Moon.
    pub moon_lit: Fraction,
    /// Share of the picture that is land.
    pub land_share: f64,
    /// Share that is water.
    pub water_share: f64,
    /// Share of the sky's pixels behind cloud that takes half a beam or more.
    pub cloud_share: f64,
    /// Brightest 557.7 nm in the sky's part, as it reaches the camera, kR.
    pub brightest_5577_kr: f64,
    /// Maps over the picture.
    pub map: TruthMap,
    /// Catalogue stars and planets in the picture, not hidden by land, brightest first.
    pub stars: Vec<TrueStar>,
}

/// Maps with one value in the middle of each square of pixels, row by row from the top left.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct TruthMap {
    /// Columns.
    pub columns: usize,
    /// Rows.
    pub rows: usize,
    /// Pixel of the first value.
    pub first_px: [f64; 2],
    /// Pixels between values.
    pub step_px: f64,
    /// 427.8, 557.7, 630.0 nm as they reach the camera in that direction of the sky, land or not, kR.
    pub arriving_kr: Vec<[f32; 3]>,
    /// The same above air and cloud, kR.
    pub above_kr: Vec<[f32; 3]>,
    /// Clear sky without aurora, V mag arcsec⁻².
    pub sky_mag_arcsec2: Vec<f32>,
    /// Optical depth of cloud overhead of where the sightline meets it.
    pub cloud_depth: Vec<f32>,
    /// Share of land.
    pub land: Vec<f32>,
    /// Share of water.
    pub water: Vec<f32>,
}

impl Truth {
    pub(crate) fn new(
        spec: &SceneSpec,
        seed: u64,
        picture: &Picture<'_>,
        bodies: &SunMoon,
        stars: Vec<TrueStar>,
        magnetic: (f64, Horizontal),
    ) -> Self {
        let kit = &spec.kit;
        let camera = spec.camera();
        let shot = Shot { sensor: &kit.sensor, lens: &kit.lens, exposure: spec.exposure };
        let one_kr = quantity::LineBrightness { green_5577_kr: 1.0, ..Default::default() };
        let middle_px = [0.5 * (f64::from(camera.width_px) - 1.0), 0.5 * (f64::from(camera.height_px) - 1.0)];
        let sharp = 2.354_82;
        let map = TruthMap::new(spec, picture, bodies);
        let share = |values: &[f32]| f64::from(values.iter().sum::<f32>()) / values.len().max(1) as f64;
        let open = |i: usize| map.land[i] + map.water[i] < 0.5;
        let sky_values = (0..map.land.len()).filter(|i| open(*i));
        let cloudy = sky_values.clone().filter(|i| map.cloud_depth[*i] > std::f32::consts::LN_2).count();
        let brightest = sky_values.clone().map(|i| map.arriving_kr[i][1]).fold(0.0, f32::max);
        Self {
            seed,
            opens_at: spec.opens_at,
            middle: camera
                .direction_of(middle_px)
                .unwrap_or(Horizontal::new(spec.pointing.altitude_deg, spec.pointing.azimuth_deg)),
            camera,
            magnetic_zenith: magnetic.1,
            magnetic_latitude_deg: magnetic.0,
            star_fwhm_px: [kit.star_sigma_px, kit.corner_sigma_px].map(|sigma| sharp * sigma),
            electrons_per_step: electrons_per_step(&kit.sensor, spec.exposure.iso, kit.black_level),
            saturation_e: kit.sensor.saturation_e(spec.exposure.iso),
            electrons_per_kr_5577: shot.line_electrons(&one_kr),
            faults: spec.faults.clone(),
            sun_altitude_deg: bodies.sun.horizontal.altitude_deg,
            moon_altitude_deg: bodies.moon.horizontal.altitude_deg,
            moon_lit: bodies.moon.lit_fraction,
            land_share: share(&map.land),
            water_share: share(&map.water),
            cloud_share: cloudy as f64 / sky_values.count().max(1) as f64,
            brightest_5577_kr: f64::from(brightest),
            map,
            stars,
        }
    }
}

impl TruthMap {
    /// Pixel that a value belongs to.
    pub fn pixel(&self, index: usize) -> [f64; 2] {
        let columns = self.columns.max(1);
        [index % columns, index / columns].map(|step| self.first_px[0] + self.step_px * step as f64)
    }

    /// Index of the value nearest to a pixel; `None` outside the picture.
    pub fn index(&self, [x, y]: [f64; 2]) -> Option<usize> {
        let step = |px: f64, first: f64| ((px - first) / self.step_px).round();
        let (column, row) = (step(x, self.first_px[0]), step(y, self.first_px[1]));
        let inside = |at: f64, count: usize| at >= 0.0 && at < count as f64;
        #[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "inside the map")]
        let index = row as usize * self.columns + column as usize;
        (inside(column, self.columns) && inside(row, self.rows)).then_some(index)
    }

    fn new(spec: &SceneSpec, picture: &Picture<'_>, bodies: &SunMoon) -> Self {
        let grid = picture.grid;
        let (width, height) = (spec.kit.sensor.width_px as usize, spec.kit.sensor.height_px as usize);
        // whole cells, so that nothing is mixed
        let step_cells = (width / (MAP_COLUMNS * grid.cell_px)).max(1);
        let step_px = step_cells * grid.cell_px;
        let first = (step_cells / 2) * grid.cell_px;
        let places = |side: usize| (first..side).step_by(step_px).collect::<Vec<_>>();
        let (xs, ys) = (places(width), places(height));
        let margin = grid.cell([0.0, 0.0]);
        #[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "a whole number of cells")]
        let cell = |px: usize, i: usize| px / grid.cell_px + margin[i] as usize;
        let cells: Vec<usize> =
            ys.iter().flat_map(|y| xs.iter().map(|x| cell(*y, 1) * grid.columns + cell(*x, 0))).collect();
        let light = SkyLight::new(spec, bodies);
        let all = picture.cells;
        let shares: Vec<_> = cells.iter().map(|cell| picture.shares_of_cell(*cell)).collect();
        Self {
            columns: xs.len(),
            rows: ys.len(),
            first_px: [first as f64; 2],
            step_px: step_px as f64,
            arriving_kr: cells.iter().map(|cell| all.arriving_kr[*cell]).collect(),
            above_kr: cells.iter().map(|cell| all.above_kr[*cell]).collect(),
            sky_mag_arcsec2: cells
                .iter()
                .map(|cell| {
                    #[expect(clippy::cast_possible_truncation, reason = "a magnitude")]
                    let mag = light.clear_mag_arcsec2(grid.direction(*cell)) as f32;
                    mag
                })
                .collect(),
            cloud_depth: cells.iter().map(|cell| all.cloud_depth[*cell]).collect(),
            land: shares.iter().map(|shares| shares.land).collect(),
            water: shares.iter().map(|shares| shares.water).collect(),
        }
    }
}

/// Sun and Moon of a scene.
pub(crate) fn bodies(spec: &SceneSpec) -> Result<SunMoon, sky::SkyError> {
    sun_moon(spec.middle(), spec.place)
}
