//! Electrons of a small patch of green pixels, and how bright the picture shows them.

use std::f64::consts::PI;

use job::{ExposeReport, ExposeSetting};

use super::chance::Chance;

/// Dark gaps between bright folds, as a share of the brightest.
const GAP: f64 = 0.15;
/// How soft the edge of a fold is: brightness goes from dark to full over a quarter of its width.
const EDGE: f64 = 0.75;
/// Moments of the exposure that are averaged.
const SMEAR_STEPS: u32 = 24;
/// Direction of motion and of the stars, radians from the horizontal: neither along the rows nor along each other.
const MOTION_RAD: f64 = 1.2;
const TRAIL_RAD: f64 = 0.35;
/// Stars in the patch and their magnitudes.
const STARS: usize = 9;
const STAR_MAG: (f64, f64) = (5.0, 9.5);
/// Width of a star's image, pixels (a good lens in focus).
const STAR_SIGMA_PX: f64 = 0.8;
/// The seed of all patches.
const SEED: u64 = 20_150_317;
/// Luminance of mid-grey over white, and the screen's exponent (IEC 61966-2-1 in short).
const MID_GREY: f64 = 0.18;
const SCREEN_GAMMA: f64 = 2.2;

/// Shares of the ramp, row by row from the top left.
pub(super) struct Patch {
    pub(super) shares: Vec<f64>,
}

struct Star {
    x: f64,
    y: f64,
    magnitude: f64,
}

impl Patch {
    /// Columns.
    pub(super) const WIDTH: usize = 160;
    /// Rows.
    pub(super) const HEIGHT: usize = 100;

    /// The patch of one setting.
    pub(super) fn of(report: &ExposeReport, setting: &ExposeSetting) -> Self {
        let mut light = vec![0.0; Self::WIDTH * Self::HEIGHT];
        glow(&mut light, report, setting);
        let mut chance = Chance::seeded(SEED);
        for star in stars(&mut chance) {
            trail(&mut light, &star, report, setting);
        }
        // the picture's own brightness: what the settings put where on the way from black to clipping
        let mean_e = (setting.aurora_e[1].value + setting.sky_e[1].value).max(f64::MIN_POSITIVE);
        let luminance_per_e = MID_GREY * 2f64.powf(setting.mid_grey_stops.value) / mean_e;
        let shares = light
            .into_iter()
            .map(|mean_e| {
                let read_e = setting.read_noise_e * chance.bell();
                let recorded_e = chance.count(mean_e) + read_e;
                if recorded_e >= setting.saturation_e {
                    return 1.0;
                }
                (luminance_per_e * recorded_e).max(0.0).powf(SCREEN_GAMMA.recip()).min(1.0)
            })
            .collect();
        Self { shares }
    }
}

/// Sky, and folds smeared along their motion.
fn glow(light: &mut [f64], report: &ExposeReport, setting: &ExposeSetting) {
    let (aurora_e, sky_e) = (setting.aurora_e[1].value, setting.sky_e[1].value);
    // wider than the patch by far, a fold is one even edge
    let fold_px = report.bounds.structure_px.clamp(1.0, 1e4);
    let smear_px = setting.blur_px.value.clamp(0.0, 1e4);
    let (sin, cos) = MOTION_RAD.sin_cos();
    for (index, value) in light.iter_mut().enumerate() {
        let (x, y) = place(index);
        let along_px = (x - 0.5 * Patch::WIDTH as f64) * cos + (y - 0.5 * Patch::HEIGHT as f64) * sin;
        *value = sky_e + aurora_e * (GAP + (1.0 - GAP) * smeared(along_px, smear_px, fold_px));
    }
}

/// Mean brightness of the folds over the way they move, 0..1.
fn smeared(along_px: f64, smear_px: f64, fold_px: f64) -> f64 {
    let sum: f64 = (0..SMEAR_STEPS)
        .map(|step| fold((along_px + smear_px * ((f64::from(step) + 0.5) / f64::from(SMEAR_STEPS) - 0.5)) / fold_px))
        .sum();
    sum / f64::from(SMEAR_STEPS)
}

/// Folds one wide and one apart: bright from 0 to 1, dark from 1 to 2, with soft edges.
fn fold(place: f64) -> f64 {
    (0.5 + (PI * place).sin() / EDGE).clamp(0.0, 1.0)
}

fn place(index: usize) -> (f64, f64) {
    ((index % Patch::WIDTH) as f64, (index / Patch::WIDTH) as f64)
}

fn stars(chance: &mut Chance) -> Vec<Star> {
    let (brightest, faintest) = STAR_MAG;
    (0..STARS)
        .map(|_| Star {
            x: chance.even() * Patch::WIDTH as f64,
            y: chance.even() * Patch::HEIGHT as f64,
            // three times as many stars a magnitude further
            magnitude: faintest + (chance.even().log(3.0)).max(brightest - faintest),
        })
        .collect()
}

/// Adds one star, drawn out along its trail.
fn trail(light: &mut [f64], star: &Star, report: &ExposeReport, setting: &ExposeSetting) {
    // a star of a magnitude gives what a square arcsecond of a sky of that magnitude gives
    let sky = &report.light.sky_mag_arcsec2;
    let per_pixel = report.bounds.pixel_arcsec.powi(2).max(f64::MIN_POSITIVE);
    let star_e = setting.sky_e[1].value / per_pixel * 10f64.powf(0.4 * (sky.value - star.magnitude));
    let trail_px = setting.trail_px.clamp(0.0, 2.0 * Patch::WIDTH as f64);
    #[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "clamped to a few hundred")]
    let steps = (2.0 * trail_px).ceil() as usize + 1;
    let (sin, cos) = TRAIL_RAD.sin_cos();
    for step in 0..steps {
        let along = (step as f64 / (steps.max(2) - 1) as f64 - 0.5) * trail_px;
        point(light, (star.x + along * cos, star.y + along * sin), star_e / steps as f64);
    }
}

/// One blurred point.
fn point(light: &mut [f64], (cx, cy): (f64, f64), total_e: f64) {
    const REACH_PX: i32 = 3;
    let norm = total_e / (2.0 * PI * STAR_SIGMA_PX * STAR_SIGMA_PX);
    for dy in -REACH_PX..=REACH_PX {
        for dx in -REACH_PX..=REACH_PX {
            let (x, y) = (cx.round() + f64::from(dx), cy.round() + f64::from(dy));
            let inside = x >= 0.0 && y >= 0.0 && x < Patch::WIDTH as f64 && y < Patch::HEIGHT as f64;
            if !inside {
                continue;
            }
            #[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "inside the patch")]
            let index = y as usize * Patch::WIDTH + x as usize;
            let r2 = (x - cx).powi(2) + (y - cy).powi(2);
            light[index] += norm * (-0.5 * r2 / (STAR_SIGMA_PX * STAR_SIGMA_PX)).exp();
        }
    }
}
