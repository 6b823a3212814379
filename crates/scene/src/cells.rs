//! All smooth light by cell: sky, mirror and land in electrons, and what it is made of.

use optics::{Channel, Shot, relative_response};
use quantity::{EmissionLine, Horizontal};
use sky::SunMoon;
use sky::photometry::{mag_from_luminance_cd_m2, rayleighs_per_angstrom_from_mag};

use crate::SceneSpec;
use crate::canvas::Canvas;
use crate::cloud::through;
use crate::curtain::{self, Easel};
use crate::forms::{Form, Glow};
use crate::glow;
use crate::grid::{Grid, RadiusTable};
use crate::land::Water;
use crate::moon::{Ghost, Glare};
use crate::ripples::rippled;
use crate::sky_light::SkyLight;
use crate::texture::fractal_over;

/// Every so many cells the sky without aurora is worked out.
const SKY_STEP: usize = 4;
/// The molecular bands beside the lines, as multiples of 427.8 nm (Vallance Jones, Aurora, 1974, from memory, within 40 %):
/// wavelength in nm and share. 470.9 nm is of the same ion; the rest is the first positive system of N2, five times 427.8
/// between 580 and 700 nm, mostly beyond 655 nm.
const BANDS: [(f64, f64); 5] = [(470.9, 0.2), (595.0, 0.7), (650.0, 1.3), (662.4, 1.4), (670.5, 1.6)];
/// 636.4 nm over 630.0 nm: the branching of one state.
const SECOND_RED: (f64, f64) = (636.4, 1.0 / 3.1);

/// Share of all light that full dew spreads over the whole picture (our choice).
const DEW_VEIL: f64 = 0.45;
/// Light of hills and trees over that of the ground before them.
const HILL_SHARE: f64 = 0.25;

/// Light by cell.
pub(crate) struct Cells {
    /// Electrons of a pixel by channel, lens included: the sky.
    pub(crate) sky: Vec<[f32; 3]>,
    /// The same in the water.
    pub(crate) mirror: Vec<[f32; 3]>,
    /// The same of the ground.
    pub(crate) land: Vec<[f32; 3]>,
    /// Lines as they reach the camera, kR.
    pub(crate) arriving_kr: Vec<[f32; 3]>,
    /// Lines above air and cloud, kR.
    pub(crate) above_kr: Vec<[f32; 3]>,
    /// Optical depth of cloud overhead where the sightline meets it.
    pub(crate) cloud_depth: Vec<f32>,
    /// Electrons of a white light of 1 cd m⁻² on the axis, by channel.
    pub(crate) per_cd_m2_e: [f64; 3],
}

/// Losses of light by altitude, every twentieth of a degree.
struct ByAltitude(Vec<[f32; 3]>);

impl ByAltitude {
    const STEPS_PER_DEG: f32 = 20.0;

    fn new(f: impl Fn(f64) -> [f64; 3]) -> Self {
        Self((0..=1801u16).map(|i| crate::grid::narrow(f(f64::from(i) / f64::from(Self::STEPS_PER_DEG)))).collect())
    }

    fn at(&self, altitude_deg: f32) -> [f32; 3] {
        let position = (altitude_deg * Self::STEPS_PER_DEG).clamp(0.0, 1800.0);
        #[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "clamped to the table")]
        let index = position as usize;
        let share = position - index as f32;
        std::array::from_fn(|i| self.0[index][i] * (1.0 - share) + self.0[index + 1][i] * share)
    }
}

/// Electrons per kR of each line (inner) in each channel (outer).
fn electrons_per_kr(spec: &SceneSpec, shot: &Shot<'_>) -> [[f32; 3]; 3] {
    let per_kr = 1000.0 * shot.photons_per_rayleigh();
    let sensor = &spec.kit.sensor;
    Channel::ALL.map(|channel| {
        let qe = sensor.peak_qe[channel.index()];
        let mut lines = EmissionLine::ALL.map(|line| sensor.line_qe(channel, line));
        if spec.molecular_bands {
            lines[0] += BANDS.iter().map(|(nm, share)| share * qe * relative_response(channel, *nm)).sum::<f64>();
            lines[2] += SECOND_RED.1 * qe * relative_response(channel, SECOND_RED.0);
        }
        crate::grid::narrow(lines.map(|line| line * per_kr))
    })
}

/// Works all smooth light out.
pub(crate) fn cells(
    spec: &SceneSpec,
    easel: &Easel<'_>,
    bodies: &SunMoon,
    falloff: &RadiusTable,
    glares: &[Glare],
    ghosts: &[Ghost],
) -> Cells {
    let grid = easel.grid;
    let shot = Shot { sensor: &spec.kit.sensor, lens: &spec.kit.lens, exposure: spec.exposure };
    let maker = Maker {
        spec,
        grid,
        sky_light: SkyLight::new(spec, bodies),
        per_kr: electrons_per_kr(spec, &shot),
        per_ra: crate::grid::narrow(shot.continuum_electrons([1.0; 3])),
        air_loss: ByAltitude::new(|altitude| {
            EmissionLine::ALL.map(|line| spec.extinction.glow_transmission(line.wavelength_nm(), altitude))
        }),
        glares,
    };
    let (above, mirrored) = drawn(spec, easel);
    let mut sky = maker.light(&above, 1.0);
    let mean_sky_e = mean(grid, &sky.electrons);
    veiled(&mut sky.electrons, mean_sky_e, DEW_VEIL * spec.faults.dew);
    if !ghosts.is_empty() {
        for (cell, light) in sky.electrons.iter_mut().enumerate() {
            let pixel = grid.pixel(cell % grid.columns, cell / grid.columns);
            for ghost in ghosts {
                let extra = crate::grid::narrow(ghost.at(pixel));
                *light = std::array::from_fn(|i| light[i] + maker.per_ra[i] * extra[i]);
            }
        }
    }
    let mut mirror = Vec::new();
    if let Some(water) = &spec.water {
        mirror = maker.light(&mirrored.unwrap_or_else(|| Canvas::new(grid)), -1.0).electrons;
        rippled(grid, water, &mut mirror);
    }
    let mut land = maker.ground(mean_sky_e);
    for cell in 0..grid.len() {
        let pixel = grid.pixel(cell % grid.columns, cell / grid.columns);
        #[expect(clippy::cast_possible_truncation, reason = "a share")]
        let fall = falloff.at(grid.radius_px(pixel)) as f32;
        for plane in [&mut sky.electrons, &mut mirror, &mut land] {
            if let Some(light) = plane.get_mut(cell) {
                *light = light.map(|e| e * fall);
            }
        }
    }
    Cells {
        sky: sky.electrons,
        mirror,
        land,
        arriving_kr: sky.arriving_kr,
        above_kr: above.kr,
        cloud_depth: sky.cloud_depth,
        per_cd_m2_e: shot.continuum_electrons([rayleighs_per_angstrom_from_mag(mag_from_luminance_cd_m2(1.0)); 3]),
    }
}

/// Spreads a share of all light evenly, as a dewed lens does.
fn veiled(light: &mut [[f32; 3]], mean_e: [f64; 3], share: f64) {
    if share > 0.0 {
        #[expect(clippy::cast_possible_truncation, reason = "a share, and light in seven digits")]
        let (share, mean_e) = (share as f32, mean_e.map(|e| e as f32));
        for light in light {
            *light = std::array::from_fn(|i| light[i] + (mean_e[i] - light[i]) * share);
        }
    }
}

/// The forms above the air, and in the mirror where there is water.
fn drawn(spec: &SceneSpec, easel: &Easel<'_>) -> (Canvas, Option<Canvas>) {
    let (age_s, exposure_s) = (spec.forms_age_s(), spec.exposure.seconds);
    let mut above = Canvas::new(easel.grid);
    let mut mirrored = spec.water.as_ref().map(|_| Canvas::new(easel.grid));
    for form in &spec.aurora {
        if let Form::Curtain(curtain) = form {
            curtain::draw(easel, curtain, (age_s, exposure_s), &mut above, mirrored.as_mut());
        }
    }
    let glows: Vec<&Glow> =
        spec.aurora.iter().filter_map(|form| if let Form::Glow(glow) = form { Some(glow) } else { None }).collect();
    if !glows.is_empty() {
        for (canvas, flip) in [(Some(&mut above), 1.0), (mirrored.as_mut(), -1.0)] {
            let Some(canvas) = canvas else { continue };
            for (sum, light) in canvas.kr.iter_mut().zip(glow::light(easel, &glows, age_s, exposure_s, flip)) {
                for (sum, light) in sum.iter_mut().zip(light) {
                    *sum += light;
                }
            }
        }
    }
    (above, mirrored)
}

struct Maker<'a> {
    spec: &'a SceneSpec,
    grid: &'a Grid,
    sky_light: SkyLight,
    per_kr: [[f32; 3]; 3],
    per_ra: [f32; 3],
    air_loss: ByAltitude,
    glares: &'a [Glare],
}

struct Light {
    electrons: Vec<[f32; 3]>,
    arriving_kr: Vec<[f32; 3]>,
    cloud_depth: Vec<f32>,
}

impl Maker<'_> {
    /// Electrons of sky or mirror (`flip` -1), without the lens's falloff.
    fn light(&self, canvas: &Canvas, flip: f32) -> Light {
        let grid = self.grid;
        let age_s = self.spec.forms_age_s();
        let cloud = self.spec.cloud.as_ref();
        let flipped = |cell: usize| {
            let [e, n, u] = grid.directions[cell];
            [e, n, flip * u]
        };
        // clear sky and overcast side by side: which of them a cell shows is the cloud's own fine pattern
        let wide = grid.smooth(SKY_STEP, |cell| {
            let direction = flipped(cell).map(f64::from);
            let seen = Horizontal::from_east_north_up(direction);
            let mut skies = [self.sky_light.at(seen, 0.0), [0.0; 3]];
            if cloud.is_some() {
                skies[1] = self.sky_light.at(seen, 1.0);
            }
            for glare in self.glares {
                let veil = glare.at(direction);
                skies = skies.map(|light| std::array::from_fn(|i| light[i] + veil[i]));
            }
            let [[a, b, c], [d, e, f]] = skies.map(crate::grid::narrow);
            [a, b, c, d, e, f]
        });
        let mean_kr = mean(grid, &canvas.kr);
        let mut electrons = Vec::with_capacity(grid.len());
        let mut arriving_kr = Vec::with_capacity(grid.len());
        let mut cloud_depth = Vec::with_capacity(grid.len());
        for (cell, (kr, wide)) in canvas.kr.iter().zip(&wide).enumerate() {
            let direction = flipped(cell);
            if direction[2].is_nan() {
                electrons.push([0.0; 3]);
                arriving_kr.push([0.0; 3]);
                cloud_depth.push(0.0);
                continue;
            }
            let altitude_deg = direction[2].asin().to_degrees();
            let loss = self.air_loss.at(altitude_deg);
            let depth = cloud.map_or(0.0, |cloud| cloud.depth(direction.map(f64::from), age_s));
            let (beam, diffuse) = through(depth, f64::from(altitude_deg));
            #[expect(clippy::cast_possible_truncation, reason = "shares")]
            let (beam, scattered) = (beam as f32, (diffuse - beam).max(0.0) as f32);
            #[expect(clippy::cast_possible_truncation, reason = "light in seven digits")]
            let arriving: [f32; 3] = std::array::from_fn(|i| loss[i] * (kr[i] * beam + mean_kr[i] as f32 * scattered));
            electrons.push(std::array::from_fn(|channel| {
                let lines: f32 = (0..3).map(|line| self.per_kr[channel][line] * arriving[line]).sum();
                let sky = wide[channel] + (wide[channel + 3] - wide[channel]) * (1.0 - beam);
                lines + self.per_ra[channel] * if cloud.is_some() { sky } else { wide[channel] }
            }));
            arriving_kr.push(arriving);
            #[expect(clippy::cast_possible_truncation, reason = "a depth")]
            cloud_depth.push(depth as f32);
        }
        Light { electrons, arriving_kr, cloud_depth }
    }

    /// The ground in the light of the sky: what it gives back, mottled.
    fn ground(&self, mean_sky_e: [f64; 3]) -> Vec<[f32; 3]> {
        let Some(land) = &self.spec.land else { return Vec::new() };
        let lamp = self.spec.faults.lamp_sweep.map_or(0.0, |lamp| lamp.on_land);
        self.grid.smooth(2, |cell| {
            let [e, n, u] = self.grid.directions[cell].map(f64::from);
            if u.is_nan() || u > 0.5 {
                return [0.0; 3];
            }
            // on the ground the pattern is drawn in metres from the camera, above it in degrees
            let far = 1.0 / (0.02 + (-u).max(0.0));
            let mottle = if u < 0.0 {
                fractal_over(land.seed ^ 0x9, 1.7 * e * far, 1.7 * n * far, 4, 0.6)
            } else {
                fractal_over(land.seed ^ 0xa, 40.0 * e.atan2(n), 90.0 * u, 4, 0.6)
            };
            // hills and trees are darker than the ground before them; in water they lie upside down
            let albedo = match self.spec.water {
                Some(water) if u < 0.0 && -u < water.near_deg.to_radians().sin() => {
                    HILL_SHARE * Water::reflectance((-u).asin().to_degrees())
                }
                _ if u < 0.0 => 1.0,
                _ => HILL_SHARE,
            };
            let albedo = land.albedo * albedo;
            let share = albedo * (1.0 + 0.55 * mottle) * (1.0 + lamp);
            crate::grid::narrow(mean_sky_e.map(|light| light * share))
        })
    }
}

/// Mean of a light over the picture's sky, by its share of a level ground's light.
fn mean(grid: &Grid, light: &[[f32; 3]]) -> [f64; 3] {
    let (mut sum, mut weight) = ([0.0; 3], 0.0);
    for (direction, light) in grid.directions.iter().zip(light) {
        let up = f64::from(direction[2]);
        if up > 0.0 {
            weight += up;
            for (sum, light) in sum.iter_mut().zip(light) {
                *sum += up * f64::from(*light);
            }
        }
    }
    sum.map(|sum| if weight > 0.0 { sum / weight } else { 0.0 })
}
