//! Forms that lie equatorward of the oval: STEVE, the picket fence, the stable red arc.

use frame::AuroraForm;

use super::code::{AtlasCode, AtlasColour, AtlasForm, AtlasStructure};
use super::geometry::{FormGeometry, form_geometry};
use super::place::FormPlace;
use super::tell::{FormAnswer, FormFound, FormName, MOST_ARC_TILT_DEG, Seen};
use crate::view::SkyView;

/// Height that STEVE is laid out at, km: 130 to 270 (Archer et al., *Geophys. Res. Lett.* 46, 10719, 2019).
const STEVE_HEIGHT_KM: f64 = 200.0;
/// Widest STEVE, km: about 20 km in latitude (Gallardo-Lacourt et al., *J. Geophys. Res.* 123, 9893, 2018); three times that for
/// the blur of cells and of its height.
const MOST_STEVE_WIDTH_KM: f64 = 60.0;
/// Shortest, km: it spans the sky (2145 km in the mean of the same 28 events); a picture shows a part.
const LEAST_STEVE_KM: f64 = 300.0;
/// Magnetic latitudes at which it is met, degrees (57 to 64, from memory; widened by what Kp moves).
const STEVE_LATITUDE_DEG: [f64; 2] = [50.0, 67.0];
/// Most of the rayleighs in green and least in blue and in red of light that is mauve: STEVE's continuum (400 to 730 nm, Gillies et
/// al. 2019) taken apart into lines has no green of its own (judgement).
const MAUVE_MOST_GREEN: f64 = 0.4;
const MAUVE_LEAST_BLUE: f64 = 0.15;
const MAUVE_LEAST_RED: f64 = 0.2;
/// Height of a stable red arc, km (400 to 500: *Eos* 62, 530, 1981).
const RED_ARC_HEIGHT_KM: f64 = 450.0;
/// Widest stable red arc, km across (some hundreds; from memory).
const MOST_RED_ARC_WIDTH_KM: f64 = 800.0;
/// Magnetic latitudes at which stable red arcs are met, degrees: L of 2 to 4 (2.8 in the event above).
const RED_ARC_LATITUDE_DEG: [f64; 2] = [45.0, 61.0];
/// Most of its changes that are fine in light that is smooth.
const SMOOTH_FINE_SHARE: f64 = 0.3;

impl<V: SkyView> Seen<'_, V> {
    /// A narrow mauve arc before midnight, not inside the oval.
    pub(super) fn steve(&self) -> Option<FormAnswer> {
        let [blue, green, red] =
            self.question.finding.lines.map(|lines| [lines.shares[0], lines.high[1], lines.shares[2]])?;
        if green > MAUVE_MOST_GREEN || blue < MAUVE_LEAST_BLUE || red < MAUVE_LEAST_RED {
            return None;
        }
        let mut reasons = vec![format!(
            "mauve light: of its rayleighs {:.0} % red, {:.0} % blue, {:.0} % green at most",
            100.0 * red,
            100.0 * blue,
            100.0 * green
        )];
        let Some((form, place)) = self.laid_out(STEVE_HEIGHT_KM) else {
            let is_long = self.structure.length_px >= 5.0 * self.structure.width_px;
            reasons.push("directions are not known: STEVE, or rays in sunlight".to_owned());
            return is_long.then_some(FormAnswer::CannotTell(reasons));
        };
        let is_narrow = form.width_km <= MOST_STEVE_WIDTH_KM && form.length_km >= LEAST_STEVE_KM;
        if !is_narrow || !self.is_along(&form) || self.structure.rays.is_some() {
            return None;
        }
        reasons.push(format!(
            "{:.0} km long and {:.0} km wide at {STEVE_HEIGHT_KM:.0} km, {:.0} degrees from magnetic east-west",
            form.length_km, form.width_km, form.tilt_deg
        ));
        reasons.push(place.words());
        let is_there = (STEVE_LATITUDE_DEG[0]..=STEVE_LATITUDE_DEG[1]).contains(&place.magnetic_latitude_deg);
        if !is_there || !self.question.stand.is_some_and(|stand| stand.is_evening()) || place.is_within_oval() {
            reasons.push("STEVE is met before midnight and equatorward of the oval, which this is not".to_owned());
            return Some(FormAnswer::CannotTell(reasons));
        }
        reasons.push("three colours cannot show that its light is a continuum: a spectrum would".to_owned());
        let confidence = if place.is_beyond_oval() { 0.7 } else { 0.5 };
        let code = self.code(None, Some(AtlasStructure::Homogeneous), AtlasForm::Arc);
        Some(told_at(FormName::Steve, Some(code), confidence, reasons, (form, place)))
    }

    /// Green rays in a row, equatorward of the oval before midnight.
    pub(super) fn picket_fence(&self, reasons: &[String], geometry: Option<FormGeometry>) -> Option<FormAnswer> {
        let form = geometry?;
        let place = self.place(&form, self.question.height_km)?;
        let is_row = self.structure.form == AuroraForm::RayedBand && self.is_along(&form);
        let is_evening = self.question.stand.is_some_and(|stand| stand.is_evening());
        if !is_row || self.colour != Some(AtlasColour::Green) || !is_evening || !place.is_beyond_oval() {
            return None;
        }
        let mut reasons = reasons.to_vec();
        reasons.push("green rays in a row along magnetic east-west".to_owned());
        reasons.push(place.words());
        Some(told_at(FormName::PicketFence, None, 0.5, reasons, (form, place)))
    }

    /// Smooth red light without green along magnetic east-west, equatorward of the oval.
    pub(super) fn stable_red_arc(&self) -> Option<FormAnswer> {
        if self.colour != Some(AtlasColour::Red) || self.structure.rays.is_some() {
            return None;
        }
        let (form, place) = self.laid_out(RED_ARC_HEIGHT_KM)?;
        let is_smooth = self.structure.fine_share <= SMOOTH_FINE_SHARE;
        let is_there = (RED_ARC_LATITUDE_DEG[0]..=RED_ARC_LATITUDE_DEG[1]).contains(&place.magnetic_latitude_deg);
        let is_long = form.length_km >= 2.0 * form.width_km && form.width_km <= MOST_RED_ARC_WIDTH_KM;
        if !is_smooth || !is_there || !is_long || !self.is_along(&form) || !place.is_beyond_oval() {
            return None;
        }
        let reasons = vec![
            format!(
                "smooth red light without green, {:.0} km long and {:.0} km wide at {RED_ARC_HEIGHT_KM:.0} km, {:.0} degrees from \
                 magnetic east-west",
                form.length_km, form.width_km, form.tilt_deg
            ),
            place.words(),
        ];
        let code = self.code(None, Some(AtlasStructure::Homogeneous), AtlasForm::Arc);
        Some(told_at(FormName::StableRedArc, Some(code), 0.6, reasons, (form, place)))
    }

    /// Whether a form lies along magnetic east-west.
    pub(super) fn is_along(&self, form: &FormGeometry) -> bool {
        form.tilt_deg <= MOST_ARC_TILT_DEG - self.question.direction_sigma_deg
    }

    /// The light laid out at another height, with its place.
    fn laid_out(&self, height_km: f64) -> Option<(FormGeometry, FormPlace)> {
        let form = form_geometry(&self.cells, self.question.poleward_azimuth_deg?, height_km)?;
        let place = self.place(&form, height_km)?;
        Some((form, place))
    }

    /// Where a form lies.
    pub(super) fn place(&self, form: &FormGeometry, height_km: f64) -> Option<FormPlace> {
        let middle_deg = f64::midpoint(form.altitude_deg[0], form.altitude_deg[1]);
        let sigma_deg = self.question.direction_sigma_deg;
        Some(self.question.stand?.place_of(form.poleward_km, height_km, middle_deg, sigma_deg))
    }
}

fn told_at(
    name: FormName,
    code: Option<AtlasCode>,
    confidence: f64,
    reasons: Vec<String>,
    (geometry, place): (FormGeometry, FormPlace),
) -> FormAnswer {
    let (geometry, place) = (Some(geometry), Some(place));
    FormAnswer::Told(Box::new(FormFound { name, code, confidence, reasons, geometry, place }))
}
