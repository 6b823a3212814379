//! The aurora as forms with numbers.

use serde::{Deserialize, Serialize};

use crate::error::{SceneError, within};

/// One form of the aurora.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Form {
    /// An arc or band: a thin sheet along the field, with folds and rays.
    Curtain(Curtain),
    /// A wide soft form without a border: diffuse band, patch, pulsating patch.
    Glow(Glow),
}

impl Form {
    pub(crate) fn check(&self) -> Result<(), SceneError> {
        match self {
            Self::Curtain(curtain) => curtain.check(),
            Self::Glow(glow) => glow.check(),
        }
    }
}

/// A sheet of light along field lines, standing on a contour of magnetic latitude.
///
/// East and poleward are magnetic, kilometres at 110 km height from the field line over the site.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Curtain {
    /// Which of the patterns: folds and rays differ by it.
    pub seed: u64,
    /// Distance poleward of the site's own field line (negative: equatorward) on the site's meridian, km.
    pub poleward_km: f64,
    /// Turn against the contour, degrees; positive brings the eastern end poleward.
    pub tilt_deg: f64,
    /// Western and eastern end, km east of the site's meridian.
    pub ends_km: [f64; 2],
    /// 557.7 nm where and at the height at which it is brightest, seen squarely through the sheet from the side, kR. Along
    /// the field line it is brighter by some 20 km over the thickness.
    pub broadside_kr: f64,
    /// Characteristic energy E0 of the electrons, keV: sets the height.
    pub energy_kev: f64,
    /// Share of the energy that comes with slow electrons of 0.4 keV, which make the tall red tops; 0..=1.
    pub soft_share: f64,
    /// Width across, full width at half maximum, km; at most 25: what is wider is a glow.
    pub thickness_km: f64,
    /// Size of the folds, km; 0 for a plain arc.
    pub fold_km: f64,
    /// Contrast of the rays, 0 (homogeneous) to 1.
    pub ray_contrast: f64,
    /// Width of the finest rays, km.
    pub ray_km: f64,
    /// Drift of the whole, east and poleward, km/s.
    pub drift_km_s: [f64; 2],
    /// Speed of the folds along it, km/s.
    pub fold_speed_km_s: f64,
    /// Speed of the rays along it, km/s.
    pub ray_speed_km_s: f64,
    /// How its light goes: pairs of age in seconds and share of the brightness, straight between, steady beyond; steady
    /// where there are none.
    #[serde(default)]
    pub course: Vec<[f64; 2]>,
}

impl Default for Curtain {
    /// A quiet arc of 10 kR poleward of the site.
    fn default() -> Self {
        Self {
            seed: 1,
            poleward_km: 150.0,
            tilt_deg: 0.0,
            ends_km: [-1200.0, 1200.0],
            broadside_kr: 10.0,
            energy_kev: 4.0,
            soft_share: 0.15,
            thickness_km: 3.0,
            fold_km: 0.0,
            ray_contrast: 0.0,
            ray_km: 1.0,
            drift_km_s: [0.0, -0.1],
            fold_speed_km_s: 0.3,
            ray_speed_km_s: 1.0,
            course: Vec::new(),
        }
    }
}

/// Farthest distance of a form from the site, km: below the horizon beyond.
const FARTHEST_KM: f64 = 1500.0;

impl Curtain {
    fn check(&self) -> Result<(), SceneError> {
        within("distance poleward in km", self.poleward_km, -FARTHEST_KM, FARTHEST_KM)?;
        within("tilt in degrees", self.tilt_deg, -60.0, 60.0)?;
        within("western end in km", self.ends_km[0], -FARTHEST_KM, self.ends_km[1])?;
        within("eastern end in km", self.ends_km[1], self.ends_km[0], FARTHEST_KM)?;
        within("brightness from the side in kR", self.broadside_kr, 0.0, 1e5)?;
        within("characteristic energy in keV", self.energy_kev, 0.1, 20.0)?;
        within("share of slow electrons", self.soft_share, 0.0, 1.0)?;
        within("thickness in km", self.thickness_km, 0.05, 25.0)?;
        within("size of the folds in km", self.fold_km, 0.0, 300.0)?;
        within("contrast of the rays", self.ray_contrast, 0.0, 1.0)?;
        within("width of rays in km", self.ray_km, 0.1, 50.0)?;
        check_course(&self.course)?;
        for speed in [self.drift_km_s[0], self.drift_km_s[1], self.fold_speed_km_s, self.ray_speed_km_s] {
            within("speed in km/s", speed, -200.0, 200.0)?;
        }
        Ok(())
    }
}

/// A wide soft form, brightest in its middle.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Glow {
    /// Which of the patterns.
    pub seed: u64,
    /// Its middle, km east and poleward of the site's field line.
    pub middle_km: [f64; 2],
    /// Distance from the middle at which it has fallen to half, km along and across.
    pub half_size_km: [f64; 2],
    /// 557.7 nm along the field line in the middle, kR.
    pub column_kr: f64,
    /// Characteristic energy E0, keV.
    pub energy_kev: f64,
    /// How uneven it is, 0..=1.
    pub unevenness: f64,
    /// How sharp its edge is: 1 soft as a Gaussian, 4 a patch with a border.
    pub edge: f64,
    /// Drift, east and poleward, km/s.
    pub drift_km_s: [f64; 2],
    /// Its pulsation, if it has one.
    pub pulsation: Option<Pulsation>,
    /// How its light goes, as of a curtain.
    #[serde(default)]
    pub course: Vec<[f64; 2]>,
}

impl Default for Glow {
    /// An even band of 1 kR over the site.
    fn default() -> Self {
        Self {
            seed: 1,
            middle_km: [0.0, 0.0],
            half_size_km: [1500.0, 150.0],
            column_kr: 1.0,
            energy_kev: 3.0,
            unevenness: 0.3,
            edge: 1.0,
            drift_km_s: [0.0, 0.0],
            pulsation: None,
            course: Vec::new(),
        }
    }
}

impl Glow {
    fn check(&self) -> Result<(), SceneError> {
        for middle in self.middle_km {
            within("middle of a glow in km", middle, -FARTHEST_KM, FARTHEST_KM)?;
        }
        for half in self.half_size_km {
            within("half size of a glow in km", half, 1.0, 1e5)?;
        }
        within("brightness along the field in kR", self.column_kr, 0.0, 1e5)?;
        within("characteristic energy in keV", self.energy_kev, 0.1, 20.0)?;
        within("unevenness", self.unevenness, 0.0, 1.0)?;
        within("edge", self.edge, 0.5, 8.0)?;
        check_course(&self.course)?;
        for speed in self.drift_km_s {
            within("speed in km/s", speed, -200.0, 200.0)?;
        }
        self.pulsation.as_ref().map_or(Ok(()), Pulsation::check)
    }

    /// Share of the full light averaged over an exposure, at an age of its middle.
    pub(crate) fn light(&self, age_s: f64, exposure_s: f64) -> f64 {
        let pulsation = self.pulsation.as_ref().map_or(1.0, |pulsation| pulsation.light(age_s, exposure_s));
        pulsation * share_at(&self.course, age_s)
    }
}

fn check_course(course: &[[f64; 2]]) -> Result<(), SceneError> {
    let mut before_s = f64::NEG_INFINITY;
    for [age_s, share] in course {
        within("age of a course in seconds", *age_s, before_s.max(-1e9), 1e9)?;
        within("share of a course", *share, 0.0, 1.0)?;
        before_s = *age_s;
    }
    Ok(())
}

/// Share of the brightness at an age.
pub(crate) fn share_at(course: &[[f64; 2]], age_s: f64) -> f64 {
    let after = course.partition_point(|[age, _]| *age <= age_s);
    match (after.checked_sub(1).and_then(|before| course.get(before)), course.get(after)) {
        (None, None) => 1.0,
        (Some([_, share]), None) | (None, Some([_, share])) => *share,
        (Some([from, a]), Some([to, b])) => a + (b - a) * (age_s - from) / (to - from).max(1e-9),
    }
}

/// A patch that goes on and off.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
pub struct Pulsation {
    /// Period, s.
    pub period_s: f64,
    /// Age at which it is brightest, s.
    pub brightest_at_s: f64,
    /// Share of its light that goes away, 0..=1.
    pub depth: f64,
    /// Share of the period in which it is on, 0..=1; it changes over a tenth of the period.
    pub on_share: f64,
}

/// Instants of an exposure at which a pulsation is looked at.
const PULSE_STEPS: u32 = 24;

impl Pulsation {
    fn check(&self) -> Result<(), SceneError> {
        within("period in seconds", self.period_s, 0.05, 1e4)?;
        within("instant of greatest light in seconds", self.brightest_at_s, -1e6, 1e6)?;
        within("depth", self.depth, 0.0, 1.0)?;
        within("share of the period that is on", self.on_share, 0.05, 1.0)
    }

    fn light(&self, age_s: f64, exposure_s: f64) -> f64 {
        let at = |age: f64| {
            let from_middle = ((age - self.brightest_at_s) / self.period_s + 0.5).rem_euclid(1.0) - 0.5;
            let half = 0.5 * self.on_share;
            let on = 1.0 - crate::texture::smooth_step(half - 0.05, half + 0.05, from_middle.abs());
            1.0 - self.depth * (1.0 - on)
        };
        let step = exposure_s / f64::from(PULSE_STEPS);
        (0..PULSE_STEPS).map(|i| at(age_s + (f64::from(i) + 0.5) * step - 0.5 * exposure_s)).sum::<f64>()
            / f64::from(PULSE_STEPS)
    }
}
