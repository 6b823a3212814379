//! A whole night as frames: a course of events with known times, and duds at known places.

use serde::{Deserialize, Serialize};

use optics::{Exposure, Pointing};
use quantity::Fraction;

use crate::samples::night_base;
use crate::{CloudSpec, Curtain, Form, Glow, Knock, LampSweep, Pulsation, SceneSpec};

/// What is wrong with a frame.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Dud {
    /// Out of focus.
    OutOfFocus,
    /// Stars drawn out by too long an exposure.
    Trailed,
    /// The camera shook.
    Shaken,
    /// Somebody knocked the tripod.
    Knocked,
    /// Cloud before most of the sky.
    Cloud,
    /// A lamp swept through the picture.
    LampSweep,
    /// The Moon in the picture with its images in the lens.
    MoonFlare,
    /// Dew on the lens.
    Dew,
    /// The aurora clipped by too long an exposure.
    Clipped,
    /// No aurora to see.
    NoAurora,
    /// The cap was on.
    Dark,
}

/// One frame of a night.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Planned {
    /// Name of the file without an ending.
    pub name: String,
    /// Its scene.
    pub spec: SceneSpec,
    /// Seed of its noise.
    pub seed: u64,
    /// What is wrong with it, if anything was planted.
    pub dud: Option<Dud>,
}

/// A night of frames.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Night {
    /// The frames in order of time.
    pub frames: Vec<Planned>,
    /// Periods of the pulsating patches, s.
    pub pulsation_periods_s: Vec<f64>,
    /// Drift of the quiet arc, km/s east and poleward.
    pub arc_drift_km_s: [f64; 2],
}

/// Seconds from one opening of the shutter to the next.
const INTERVAL_S: f64 = 12.0;
/// Drift of the arc: equatorward with the plasma, as quiet arcs do.
const ARC_DRIFT_KM_S: [f64; 2] = [0.0, -0.03];
/// Periods of the patches, s: none below twice the interval, which stills could not show.
const PERIODS_S: [f64; 5] = [31.0, 37.0, 43.0, 52.0, 64.0];

/// Ages at which the night changes, as shares of its length: the arc brightens, breaks up, patches pulsate, all fades.
const BRIGHTENS: f64 = 0.20;
const BREAKS_UP: f64 = 0.38;
const PATCHES: f64 = 0.55;
const FADES: f64 = 0.86;

/// Duds by the share of the night at which they begin, and how many frames they last.
const DUDS: [(f64, usize, Dud); 12] = [
    (0.0, 4, Dud::OutOfFocus),
    (0.06, 3, Dud::Shaken),
    (0.12, 1, Dud::LampSweep),
    (0.17, 2, Dud::Trailed),
    (0.24, 1, Dud::Knocked),
    (0.30, 2, Dud::MoonFlare),
    (0.42, 3, Dud::Clipped),
    (0.50, 1, Dud::LampSweep),
    (0.60, 3, Dud::Dew),
    (0.68, 1, Dud::Dark),
    (0.74, 8, Dud::Cloud),
    (0.95, 400, Dud::NoAurora),
];

impl Night {
    /// An invented night at Haldane Point: a quiet arc that drifts equatorward, brightens and breaks up, then pulsating
    /// patches; a waxing Moon low behind the camera until it sets.
    ///
    /// `count` frames, one every 12 seconds whatever the count: 300 are an hour. The phases and the duds keep their shares
    /// of the night.
    pub fn invented(count: usize) -> Option<Self> {
        let base = night_base()?;
        let length_s = INTERVAL_S * count.max(1) as f64;
        let aurora = course(length_s);
        let frames = (0..count).map(|index| planned(&base, &aurora, index, count)).collect();
        Some(Self { frames, pulsation_periods_s: PERIODS_S.to_vec(), arc_drift_km_s: ARC_DRIFT_KM_S })
    }
}

/// The forms of the whole night with their courses of light.
fn course(length_s: f64) -> Vec<Form> {
    let at = |share: f64| share * length_s;
    let arc = Curtain {
        seed: 41,
        poleward_km: 230.0,
        broadside_kr: 30.0,
        thickness_km: 2.0,
        fold_km: 7.0,
        ray_contrast: 0.3,
        ray_km: 3.5,
        drift_km_s: ARC_DRIFT_KM_S,
        course: vec![[0.0, 0.25], [at(BRIGHTENS), 0.45], [at(BREAKS_UP), 1.0], [at(PATCHES), 0.1], [at(FADES), 0.0]],
        ..Curtain::default()
    };
    let band = |seed: u64, poleward_km: f64, broadside_kr: f64, late: f64| Curtain {
        seed,
        poleward_km,
        ends_km: [-800.0, 800.0],
        broadside_kr,
        energy_kev: 5.0,
        soft_share: 0.22,
        thickness_km: 0.5,
        fold_km: 26.0,
        ray_contrast: 0.85,
        ray_km: 1.2,
        ray_speed_km_s: 0.4,
        drift_km_s: [0.2, 0.0],
        course: vec![
            [at(BREAKS_UP - 0.05 + late), 0.0],
            [at(BREAKS_UP + 0.04 + late), 1.0],
            [at(PATCHES - 0.05), 0.55],
            [at(PATCHES + 0.03), 0.0],
        ],
        ..Curtain::default()
    };
    let veil = Glow {
        seed: 43,
        middle_km: [0.0, 80.0],
        half_size_km: [900.0, 160.0],
        column_kr: 1.5,
        unevenness: 0.6,
        course: vec![[at(BREAKS_UP), 0.0], [at(PATCHES), 1.0], [at(FADES), 0.7], [at(FADES + 0.08), 0.0]],
        ..Glow::default()
    };
    let mut forms = vec![
        Form::Curtain(arc),
        Form::Curtain(band(51, 110.0, 60.0, 0.0)),
        Form::Curtain(band(52, 250.0, 35.0, 0.02)),
        Form::Glow(veil),
    ];
    forms.extend((0..15u32).map(|i| Form::Glow(patch(i, length_s))));
    forms
}

/// One pulsating patch.
fn patch(number: u32, length_s: f64) -> Glow {
    let (ring, turn) = (f64::from(number % 5), 2.4 * f64::from(number));
    let period_s = PERIODS_S[number as usize % PERIODS_S.len()];
    Glow {
        seed: 200 + u64::from(number),
        middle_km: [turn.cos() * (50.0 + 45.0 * ring), 150.0 + turn.sin() * (25.0 + 18.0 * ring)],
        half_size_km: [26.0 + 4.0 * ring, 11.0 + 2.0 * ring],
        column_kr: 9.0,
        energy_kev: 10.0,
        unevenness: 0.7,
        edge: 2.2,
        drift_km_s: [0.03, 0.0],
        pulsation: Some(Pulsation { period_s, brightest_at_s: 3.7 * f64::from(number), depth: 0.9, on_share: 0.5 }),
        course: vec![
            [length_s * (PATCHES - 0.02), 0.0],
            [length_s * (PATCHES + 0.04), 1.0],
            [length_s * FADES, 0.8],
            [length_s * (FADES + 0.08), 0.0],
        ],
    }
}

fn planned(base: &SceneSpec, aurora: &[Form], index: usize, count: usize) -> Planned {
    let share = index as f64 / count.max(1) as f64;
    let mut spec = SceneSpec { aurora: aurora.to_vec(), ..base.clone() };
    spec.opens_at = spec.after_opening(INTERVAL_S * index as f64);
    // the photographer shortens the exposure while it is bright
    let seconds = if (BREAKS_UP - 0.02..PATCHES - 0.05).contains(&share) { 2.0 } else { 5.0 };
    spec.exposure.seconds = seconds;
    let begins = |from: f64| {
        #[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "an index of the night")]
        let first = (from * count as f64).floor() as usize;
        first
    };
    let dud = DUDS.iter().find(|(from, frames, _)| (begins(*from)..begins(*from) + frames).contains(&index));
    let dud = dud.map(|(_, _, dud)| *dud);
    if let Some(dud) = dud {
        spoil(&mut spec, dud, index);
    }
    // the camera counts on from some number
    Planned { name: format!("TAR_{:04}", 1200 + index), spec, seed: 7000 + index as u64, dud }
}

fn spoil(spec: &mut SceneSpec, dud: Dud, index: usize) {
    let pixels = f64::from(spec.kit.sensor.width_px) / 1500.0;
    let odd = index as f64;
    let faults = &mut spec.faults;
    match dud {
        Dud::OutOfFocus => faults.defocus_px = (16.0 - 3.0 * odd).max(6.0) * pixels,
        // longer than the time between frames: the trail must be plain, and the clock of the night keeps its pace
        Dud::Trailed => spec.exposure = Exposure { seconds: 180.0, iso: 200.0, ..spec.exposure },
        Dud::Shaken => faults.shake_px = [(odd * 2.1).cos() * 9.0 * pixels, (odd * 2.1).sin() * 9.0 * pixels],
        Dud::Knocked => faults.knock = Some(Knock { at_share: 0.4, by_px: [7.0 * pixels, -5.0 * pixels] }),
        Dud::Cloud => {
            spec.cloud = Some(CloudSpec {
                seed: 4,
                height_km: 1.5,
                cover: Fraction::clamped(0.9),
                optical_depth: 9.0,
                heap_km: 4.0,
                wind_km_s: [0.01, 0.004],
            });
        }
        Dud::LampSweep => {
            let middle = spec.pointing.azimuth_deg;
            faults.lamp_sweep = Some(LampSweep {
                azimuths_deg: [middle - 24.0, middle + 12.0],
                altitude_deg: -2.0,
                v_mag: -8.5,
                on_land: 25.0,
            });
        }
        Dud::MoonFlare => {
            if let Ok(bodies) = sky::sun_moon(spec.opens_at, spec.place) {
                let moon = bodies.moon.horizontal;
                spec.pointing = Pointing { azimuth_deg: moon.azimuth_deg + 14.0, altitude_deg: 16.0, roll_deg: 0.0 };
            }
        }
        Dud::Dew => faults.dew = 0.8,
        Dud::Clipped => spec.exposure = Exposure { seconds: 11.0, iso: 20_000.0, ..spec.exposure },
        Dud::NoAurora => spec.aurora.clear(),
        Dud::Dark => faults.dark_stops = 12.0,
    }
}
