//! Stars, planets and lamps as points that trail.

use quantity::Horizontal;
use serde::{Deserialize, Serialize};
use sky::{ObserverSky, Planet, catalogue};

use crate::cloud::through;
use crate::error::SceneError;
use crate::field_stars::field_stars;
use crate::grid::{Grid, lifted};
use crate::land::{Skyline, Water};
use crate::spread::{Spread, Width};
use crate::star_light::{CHANNEL_NM, StarLight};
use crate::{Mosaic, SceneSpec};

/// A star whose whole light is less than this in green is left out, electrons.
const FAINTEST_E: f64 = 4.0;
/// Faintest star whose image in the water is drawn, V mag.
const FAINTEST_MIRRORED_MAG: f64 = 4.0;
/// Zones of the picture with a spread of their own.
const ZONES: usize = 5;
/// Steps along a trail, pixels.
const TRAIL_STEP_PX: f64 = 0.4;
/// Most steps along a trail.
const MOST_STEPS: f64 = 4000.0;
/// Light of a point comes to the pixel through this much of the exposure's parts.
const PATH_POINTS: usize = 3;

/// A star of the truth.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct TrueStar {
    /// Hipparcos number; 0 for a planet.
    pub hip: u32,
    /// Name, where it has one.
    pub name: Option<String>,
    /// V magnitude.
    pub v_mag: f64,
    /// Middle of its trail, pixels, without the camera's own movement.
    pub x_px: f64,
    /// Middle of its trail, pixels.
    pub y_px: f64,
    /// From the start to the end of its trail, pixels right and down, without the camera's own movement.
    pub trail_px: [f64; 2],
    /// Electrons in the green sites' light, if all pixels were green.
    pub green_e: f64,
    /// Apparent altitude, degrees.
    pub altitude_deg: f64,
    /// Azimuth, degrees.
    pub azimuth_deg: f64,
}

/// What points are drawn on: electrons by pixel, each of its site's channel.
pub(crate) struct StarField<'a> {
    pub(crate) spec: &'a SceneSpec,
    pub(crate) grid: &'a Grid,
    pub(crate) skyline: Option<&'a Skyline>,
    spreads: Vec<Spread>,
    half_diagonal_px: f64,
    size: [usize; 2],
    pub(crate) electrons: Vec<f32>,
}

impl<'a> StarField<'a> {
    pub(crate) fn new(spec: &'a SceneSpec, grid: &'a Grid, skyline: Option<&'a Skyline>) -> Self {
        let kit = &spec.kit;
        let size = [kit.sensor.width_px as usize, kit.sensor.height_px as usize];
        let spreads = (0..ZONES)
            .map(|zone| {
                let share = (zone as f64 / (ZONES - 1) as f64).powi(2);
                let sigma_px = kit.star_sigma_px + (kit.corner_sigma_px - kit.star_sigma_px) * share;
                Spread::new(Width { sigma_px, disc_px: spec.faults.defocus_px, dew: spec.faults.dew })
            })
            .collect();
        let half_diagonal_px = 0.5 * (size[0] as f64).hypot(size[1] as f64);
        Self { spec, grid, skyline, spreads, half_diagonal_px, size, electrons: vec![0.0; size[0] * size[1]] }
    }

    /// Draws the sky's points; the list is of the catalogue's stars and planets in the picture, brightest first.
    pub(crate) fn sky(&mut self, falloff: &dyn Fn(f64) -> f64) -> Result<Vec<TrueStar>, SceneError> {
        let spec = self.spec;
        let instants: [f64; PATH_POINTS] = [0.0, 0.5, 1.0];
        let mut skies = Vec::new();
        for share in instants {
            skies.push(ObserverSky::new(spec.after_opening(share * spec.exposure.seconds), spec.place)?);
        }
        let light = StarLight::new(&spec.kit.sensor, &spec.kit.lens, &spec.exposure);
        let mut stars = Vec::new();
        for star in catalogue().stars() {
            let path = |sky: &ObserverSky| sky.star(star);
            let truth = (star.hip, star.name(), star.v_mag);
            stars.extend(self.point(&skies, path, truth, light.rate(star.v_mag, star.colour_bv_mag), falloff));
        }
        for planet in Planet::ALL {
            let v_mag = skies[1].planet(planet).v_mag;
            let path = |sky: &ObserverSky| sky.planet(planet).horizontal;
            stars.extend(self.point(
                &skies,
                path,
                (0, Some(planet.name()), v_mag),
                light.rate(v_mag, Some(0.9)),
                falloff,
            ));
        }
        if spec.faint_stars {
            for star in field_stars() {
                let path = |sky: &ObserverSky| sky.icrs(star.right_ascension_deg, star.declination_deg);
                self.point(
                    &skies,
                    path,
                    (0, None, star.v_mag),
                    light.rate(star.v_mag, Some(star.colour_bv_mag)),
                    falloff,
                );
            }
        }
        stars.sort_by(|a, b| a.v_mag.total_cmp(&b.v_mag).then(a.hip.cmp(&b.hip)));
        Ok(stars)
    }

    fn point(
        &mut self,
        skies: &[ObserverSky],
        path: impl Fn(&ObserverSky) -> Horizontal,
        (hip, name, v_mag): (u32, Option<&str>, f64),
        rate: [f64; 3],
        falloff: &dyn Fn(f64) -> f64,
    ) -> Option<TrueStar> {
        let spec = self.spec;
        if rate[1] * spec.exposure.seconds < FAINTEST_E {
            return None;
        }
        let seen = |airless: Horizontal| lifted(&spec.air, airless.east_north_up());
        let middle = seen(path(&skies[1]));
        if middle[2] < 0.0 {
            return None;
        }
        let middle_px = self.grid.view.pixel_of_vector(middle)?;
        if !self.contains(middle_px, 0.1 * self.half_diagonal_px) {
            return None;
        }
        let direction = Horizontal::from_east_north_up(middle);
        if self.skyline.is_some_and(|skyline| skyline.at(direction.azimuth_deg) > direction.altitude_deg) {
            return None;
        }
        let ends = [0, 2].map(|i| self.grid.view.pixel_of_vector(seen(path(&skies[i]))).unwrap_or(middle_px));
        let radius_px = self.grid.radius_px(middle_px);
        let depth = spec.cloud.as_ref().map_or(0.0, |cloud| cloud.depth(middle, spec.forms_age_s()));
        let factor = spec.exposure.seconds * falloff(radius_px) * through(depth, direction.altitude_deg).0;
        let electrons: [f64; 3] = std::array::from_fn(|i| {
            rate[i] * factor * spec.extinction.transmission(CHANNEL_NM[i], direction.altitude_deg)
        });
        self.trail([ends[0], middle_px, ends[1]], electrons, radius_px);
        if v_mag < FAINTEST_MIRRORED_MAG {
            self.mirrored(middle, electrons);
        }
        self.contains(middle_px, 0.0).then(|| TrueStar {
            hip,
            name: name.map(str::to_owned),
            v_mag,
            x_px: middle_px[0],
            y_px: middle_px[1],
            trail_px: std::array::from_fn(|i| ends[1][i] - ends[0][i]),
            green_e: electrons[1],
            altitude_deg: direction.altitude_deg,
            azimuth_deg: direction.azimuth_deg,
        })
    }

    /// The star in the water, drawn out by the ripples.
    fn mirrored(&mut self, [east, north, up]: [f64; 3], electrons: [f64; 3]) {
        let altitude_deg = up.asin().to_degrees();
        let Some(water) = self.spec.water.filter(|water| (water.far_deg..water.near_deg).contains(&altitude_deg))
        else {
            return;
        };
        let azimuth_deg = east.atan2(north).to_degrees();
        // what stands on the far shore stands in the water too
        if self.skyline.is_some_and(|skyline| skyline.at(azimuth_deg) > altitude_deg - 2.0 * water.far_deg) {
            return;
        }
        let place =
            |below_deg: f64| self.grid.view.pixel_of_vector(Horizontal::new(-below_deg, azimuth_deg).east_north_up());
        let reach_deg = 2.0 * water.slope_deg;
        let places = [altitude_deg - reach_deg, altitude_deg, altitude_deg + reach_deg].map(place);
        if let [Some(above), Some(middle), Some(below)] = places {
            let share = Water::reflectance(altitude_deg);
            self.trail([above, middle, below], electrons.map(|e| e * share), self.grid.radius_px(middle));
        }
    }

    fn contains(&self, [x, y]: [f64; 2], margin: f64) -> bool {
        let inside = |v: f64, n: usize| v > -0.5 - margin && v < n as f64 - 0.5 + margin;
        inside(x, self.size[0]) && inside(y, self.size[1])
    }

    /// Light of a point along a path through start, middle and end, moved as the camera moves.
    pub(crate) fn trail(&mut self, [start, middle, end]: [[f64; 2]; 3], electrons: [f64; 3], radius_px: f64) {
        let faults = &self.spec.faults;
        let length = (end[0] - start[0]).hypot(end[1] - start[1]) + faults.longest_px();
        let steps = (length / TRAIL_STEP_PX).ceil().clamp(1.0, MOST_STEPS);
        let share = 1.0 / steps;
        let mut step = 0.5;
        while step < steps {
            let t = step * share;
            let moved = self.spec.faults.moved_px(t);
            let place = std::array::from_fn(|i| {
                // the parabola through the three places
                let (a, b) = (end[i] - start[i], 2.0 * (start[i] - 2.0 * middle[i] + end[i]));
                start[i] + (a - b) * t + b * t * t + moved[i]
            });
            self.stamp(place, electrons.map(|e| e * share), radius_px);
            step += 1.0;
        }
    }

    fn stamp(&mut self, place: [f64; 2], electrons: [f64; 3], radius_px: f64) {
        #[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "a zone of five")]
        let zone = ((radius_px / self.half_diagonal_px * (ZONES - 1) as f64).round() as usize).min(ZONES - 1);
        let spread = &self.spreads[zone];
        if !self.contains(place, spread.reach() as f64) {
            return;
        }
        let ([left, top], side, weights) = spread.at(place);
        for (j, row) in weights.chunks_exact(side).enumerate() {
            let Some(y) = inside(top, j, self.size[1]) else { continue };
            for (i, weight) in row.iter().enumerate() {
                let Some(x) = inside(left, i, self.size[0]) else { continue };
                #[expect(clippy::cast_possible_truncation, reason = "electrons in seven digits")]
                let light = electrons[Mosaic::channel(x, y).index()] as f32 * weight;
                self.electrons[y * self.size[0] + x] += light;
            }
        }
    }
}

fn inside(first: isize, i: usize, count: usize) -> Option<usize> {
    first.checked_add_unsigned(i).and_then(|at| usize::try_from(at).ok()).filter(|at| *at < count)
}
