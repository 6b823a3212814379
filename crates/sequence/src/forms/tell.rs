//! Which form a frame shows, from what was measured, with the reasons; or that it cannot be told.

use frame::{AuroraFinding, AuroraForm, AuroraPresence, AuroraStructure};
use quantity::Horizontal;
use serde::{Deserialize, Serialize};

use super::code::{AtlasCode, AtlasColour, AtlasForm, AtlasQualifier, AtlasStructure, brightness_class};
use super::geometry::{FormGeometry, LitCell, form_geometry};
use super::place::{FormPlace, MagneticStand};
use crate::view::SkyView;

/// Length over width from which a form is long (judgement).
const LONG: f64 = 3.0;
/// The same where only pixels are known: diffuse light between ground and cloud is three times as long as wide.
const LONG_IN_PIXELS: f64 = 5.0;
/// Shortest arc, km: homogeneous arcs are hundreds of km long, patches tens (science handbooks; from memory).
const LEAST_ARC_KM: f64 = 150.0;
/// Widest form that is called an arc or a band, km: diffuse light is wider.
const MOST_ARC_WIDTH_KM: f64 = 150.0;
/// Angle from magnetic east-west up to which a long form is an arc, degrees: arcs lie within some degrees of it near midnight,
/// up to 15 in the evening (from memory); the direction's own error is added.
pub(super) const MOST_ARC_TILT_DEG: f64 = 20.0;
/// Angle beyond which a long form without folds is named neither, degrees (judgement).
const MOST_BAND_TILT_DEG: f64 = 45.0;
/// Stray of the middle line, as a share of the width, up to which there are no folds; beyond the second there are.
pub(super) const SMOOTH_STRAY: f64 = 0.4;
pub(super) const FOLDED_STRAY: f64 = 1.0;
/// Scatter of pieces of rays about their meeting point that rays keep, degrees.
const MOST_RAY_SCATTER_DEG: f64 = 14.0;
/// Distance of that point from the magnetic zenith up to which rays may be along the field, degrees, the direction's error added:
/// where a sheaf is narrow the point is known badly along it.
const NEAR_ZENITH_DEG: f64 = 16.0;
/// Angle at the rays by which they may miss the magnetic zenith (median), degrees: curtains bend, and a piece is known to some degrees
/// (judgement).
const MOST_MISS_DEG: f64 = 8.0;
/// Sides of eight around the magnetic zenith on which a corona's rays stand at least, and the least share of the stripes there that
/// point at it: by chance a sixth does, and borders of curtains run across (judgements).
const CORONA_SIDES: usize = 6;
const CORONA_POINTING: f64 = 0.5;
/// Share of the sky from which smooth light is a veil.
const VEIL_SHARE: f64 = 0.25;
/// Height of the red light, km: 630.0 nm is quenched below 200 (Rees & Luckey 1974 and later; from memory).
const RED_HEIGHT_KM: f64 = 250.0;
/// Share of the rayleighs from which a form has a colour of its own.
const OWN_COLOUR: f64 = 0.7;
/// The same for blue: its share in rayleighs is small in any aurora.
const BLUE_COLOUR: f64 = 0.5;
/// Chance of aurora below which no form of it is named.
const LEAST_PROBABILITY: f64 = 0.9;

/// A form by the name that people use today.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum FormName {
    /// A long form without folds along magnetic east-west.
    Arc,
    /// A long form with folds.
    Band,
    /// Long, but whether arc or band is not told.
    ArcOrBand,
    /// A long form made of rays.
    RayedBand,
    /// Rays by themselves.
    Rays,
    /// Rays on all sides of the magnetic zenith, meeting there.
    Corona,
    /// Smooth light over much of the sky.
    Veil,
    /// A long red form without green, along magnetic east-west.
    RedArc,
    /// A broad smooth red arc equatorward of the oval.
    StableRedArc,
    /// A narrow mauve arc equatorward of the oval before midnight.
    Steve,
    /// Green rays in a row equatorward of the oval before midnight.
    PicketFence,
    /// Patches that go on and off with a period of their own.
    PulsatingPatches,
}

impl FormName {
    /// In words.
    pub fn words(self) -> &'static str {
        match self {
            Self::Arc => "arc",
            Self::Band => "band",
            Self::ArcOrBand => "arc or band",
            Self::RayedBand => "rayed band",
            Self::Rays => "rays",
            Self::Corona => "corona",
            Self::Veil => "veil (diffuse aurora)",
            Self::RedArc => "red arc",
            Self::StableRedArc => "stable red arc (SAR arc)",
            Self::Steve => "STEVE",
            Self::PicketFence => "picket fence",
            Self::PulsatingPatches => "pulsating patches",
        }
    }
}

/// A form that was told.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct FormFound {
    /// By today's name.
    pub name: FormName,
    /// In the code of the atlas; none where the code has no word for what is not told.
    pub code: Option<AtlasCode>,
    /// Chance that the name is right, 0 to 1 (judgement).
    pub confidence: f64,
    /// What was measured that says so.
    pub reasons: Vec<String>,
    /// Its shape in the layer, where directions are known.
    pub geometry: Option<FormGeometry>,
    /// Where it lies against the oval, where directions, time and place are known.
    pub place: Option<FormPlace>,
}

/// What can be said of the forms of a frame.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub enum FormAnswer {
    /// There is no aurora whose form could be told.
    NoAurora(String),
    /// There is or may be, and its form is not told for these reasons.
    CannotTell(Vec<String>),
    /// The form of most of its light.
    Told(Box<FormFound>),
}

/// A frame's light and what is known of its directions.
#[derive(Debug, Clone, Copy)]
pub struct FormQuestion<'a, V> {
    /// The aurora found in the cells of its light map.
    pub finding: &'a AuroraFinding,
    /// Cells across.
    pub columns: usize,
    /// Side of a cell, px.
    pub cell_px: f64,
    /// From pixel to sky; none where directions are not known.
    pub view: Option<&'a V>,
    /// One standard deviation of those directions, degrees: a fraction by stars, several degrees where they were given.
    pub direction_sigma_deg: f64,
    /// Direction up along the magnetic field.
    pub magnetic_zenith: Option<Horizontal>,
    /// Azimuth of the nearer magnetic pole, degrees.
    pub poleward_azimuth_deg: Option<f64>,
    /// Where the camera stands in magnetic coordinates.
    pub stand: Option<MagneticStand>,
    /// Height of green light, km.
    pub height_km: f64,
    /// Lowest and highest value of its median brightness, kR of 557.7 nm, where calibrated.
    pub median_kr: Option<[f64; 2]>,
}

/// Tells the form of most of the light.
pub fn tell_form<V: SkyView>(question: &FormQuestion<'_, V>) -> FormAnswer {
    let finding = question.finding;
    if finding.presence == AuroraPresence::No {
        return FormAnswer::NoAurora(format!("no aurora (chance {:.2})", finding.probability));
    }
    if !is_aurora(finding) {
        let words = format!("whether this light is aurora is not settled (chance {:.2})", finding.probability);
        return FormAnswer::CannotTell(vec![words]);
    }
    let Some(structure) = &finding.structure else {
        return FormAnswer::CannotTell(vec!["the light has no cells whose structure could be measured".to_owned()]);
    };
    let cells = lit_cells(question, |cell| finding.mask[cell]);
    Seen { question, structure, colour: colour(finding), cells, sky_share: finding.extent.sky_share }.answer()
}

/// Whether it is settled that the light is aurora.
pub(super) fn is_aurora(finding: &AuroraFinding) -> bool {
    finding.presence == AuroraPresence::Yes && finding.probability >= LEAST_PROBABILITY
}

/// Those cells of the picture in the sky that are asked for.
pub(super) fn lit_cells<V: SkyView>(question: &FormQuestion<'_, V>, is_asked: impl Fn(usize) -> bool) -> Vec<LitCell> {
    let Some(view) = question.view else { return Vec::new() };
    let finding = question.finding;
    let light = |cell: usize| finding.excess.iter().map(|channel| f64::from(channel.cells[cell])).sum::<f64>();
    let pixel = |cell: usize| {
        [cell % question.columns, cell / question.columns].map(|place| (place as f64 + 0.5) * question.cell_px - 0.5)
    };
    (0..finding.mask.len())
        .filter(|cell| is_asked(*cell))
        .filter_map(|cell| Some(LitCell { direction: view.direction_of(pixel(cell))?, light: light(cell) }))
        .filter(|cell| cell.light.is_finite())
        .collect()
}

/// The colour of most of the light; none for grey pictures and for mixtures that no letter stands for.
pub(super) fn colour(finding: &AuroraFinding) -> Option<AtlasColour> {
    let lines = finding.lines?;
    // the lowest share that white balances allow must be enough
    let [blue, green, red] = lines.low;
    let own = [
        (red, OWN_COLOUR, AtlasColour::Red),
        (green, OWN_COLOUR, AtlasColour::Green),
        (blue, BLUE_COLOUR, AtlasColour::Blue),
    ];
    own.into_iter().find(|(share, least, _)| share >= least).map(|(_, _, colour)| colour)
}

/// A frame whose form is being told.
pub(super) struct Seen<'a, V> {
    pub(super) question: &'a FormQuestion<'a, V>,
    pub(super) structure: &'a AuroraStructure,
    pub(super) colour: Option<AtlasColour>,
    pub(super) cells: Vec<LitCell>,
    /// Its part of the sky, 0 to 1.
    pub(super) sky_share: f64,
}

impl<V: SkyView> Seen<'_, V> {
    pub(super) fn answer(&self) -> FormAnswer {
        let mut answer = self.form();
        if let FormAnswer::Told(form) = &mut answer
            && form.place.is_none()
            && let Some(place) = form.geometry.and_then(|geometry| self.place(&geometry, self.height_km()))
        {
            form.place = Some(place);
            form.reasons.push(place.words());
        }
        answer
    }

    fn form(&self) -> FormAnswer {
        let geometry = self.geometry();
        if let Some(beyond) = self.steve().or_else(|| self.stable_red_arc()) {
            return beyond;
        }
        if let Some(corona) = self.corona(geometry) {
            return corona;
        }
        if let Some(rays) = self.rays(geometry) {
            return rays;
        }
        match geometry {
            Some(geometry) => self.by_geometry(geometry),
            None => self.by_pixels(),
        }
    }

    fn geometry(&self) -> Option<FormGeometry> {
        form_geometry(&self.cells, self.question.poleward_azimuth_deg?, self.height_km())
    }

    fn height_km(&self) -> f64 {
        if self.colour == Some(AtlasColour::Red) { RED_HEIGHT_KM } else { self.question.height_km }
    }

    /// Stripes on all sides of the magnetic zenith that point at it.
    fn corona(&self, geometry: Option<FormGeometry>) -> Option<FormAnswer> {
        let corona = self.structure.corona.as_ref()?;
        if corona.sides < CORONA_SIDES || corona.pointing_share < CORONA_POINTING {
            return None;
        }
        let reasons = vec![
            format!(
                "{:.0} % of {} pieces of stripes within 45 degrees of the magnetic zenith point at it; by chance a sixth would",
                100.0 * corona.pointing_share,
                corona.pieces
            ),
            format!("they stand on {} of 8 sides of it", corona.sides),
        ];
        let code = self.code(Some(AtlasQualifier::Coronal), None, AtlasForm::Rays);
        let confidence = if corona.sides > CORONA_SIDES { 0.85 } else { 0.7 };
        Some(told(FormName::Corona, Some(code), confidence, reasons, geometry))
    }

    fn rays(&self, geometry: Option<FormGeometry>) -> Option<FormAnswer> {
        let rays = self.structure.rays.as_ref().filter(|rays| rays.scatter_deg <= MOST_RAY_SCATTER_DEG)?;
        let mut reasons = vec![format!(
            "{} pieces of rays, scattered by {:.0} degrees about one point",
            rays.pieces, rays.scatter_deg
        )];
        if let Some((off_deg, misses_deg)) = rays.from_magnetic_zenith_deg.zip(rays.misses_zenith_deg) {
            let sigma_deg = self.question.direction_sigma_deg;
            // a narrow sheaf says little of how far off its rays meet, and much of where they point
            if off_deg > NEAR_ZENITH_DEG + sigma_deg && misses_deg > MOST_MISS_DEG + sigma_deg {
                reasons.push(format!(
                    "they meet {off_deg:.0} degrees from the magnetic zenith and miss it by {misses_deg:.0}, where rays do not"
                ));
                return Some(FormAnswer::CannotTell(reasons));
            }
            reasons.push(format!(
                "they meet {off_deg:.1} degrees from the magnetic zenith and point {misses_deg:.0} degrees beside it (median)"
            ));
        }
        if let Some(fence) = self.picket_fence(&reasons, geometry) {
            return Some(fence);
        }
        let sure = rays.from_magnetic_zenith_deg.is_some();
        let is_band = matches!(self.structure.form, AuroraForm::RayedBand);
        if is_band {
            reasons.push(self.longer());
        }
        let (name, form) =
            if is_band { (FormName::RayedBand, AtlasForm::Band) } else { (FormName::Rays, AtlasForm::Rays) };
        // the length of rays is not measured, so that the code has no number behind the R
        let code = if is_band { None } else { Some(self.code(None, None, form)) };
        Some(told(name, code, if sure { 0.8 } else { 0.6 }, reasons, geometry))
    }

    fn longer(&self) -> String {
        let ratio = self.structure.length_px / self.structure.width_px.max(f64::MIN_POSITIVE);
        format!("in the picture {ratio:.1} times as long as wide")
    }

    /// Arc, band, red arc or veil by the shape in the layer.
    fn by_geometry(&self, form: FormGeometry) -> FormAnswer {
        let ratio = form.length_km / form.width_km.max(f64::MIN_POSITIVE);
        let mut reasons = vec![format!(
            "{:.0} km long and {:.0} km wide at the height assumed, {:.0} degrees from magnetic east-west, spanning {:.0} degrees",
            form.length_km, form.width_km, form.tilt_deg, form.span_deg
        )];
        let is_long = ratio >= LONG && form.length_km >= LEAST_ARC_KM && form.width_km <= MOST_ARC_WIDTH_KM;
        if !is_long {
            return self.veil_or_none(reasons, Some(form));
        }
        let stray = form.stray_km / form.width_km.max(f64::MIN_POSITIVE);
        reasons.push(format!("its middle line strays from a smooth curve by {stray:.2} of its width"));
        let along = self.is_along(&form);
        let homogeneous = Some(AtlasStructure::Homogeneous);
        if stray <= SMOOTH_STRAY && along && self.colour == Some(AtlasColour::Red) {
            reasons.push("red light without green".to_owned());
            let code = self.code(None, homogeneous, AtlasForm::Arc);
            return told(FormName::RedArc, Some(code), 0.6, reasons, Some(form));
        }
        if stray <= SMOOTH_STRAY && along {
            let code = self.code(None, homogeneous, AtlasForm::Arc);
            return told(FormName::Arc, Some(code), 0.75, reasons, Some(form));
        }
        if stray >= FOLDED_STRAY {
            let code = self.code(None, None, AtlasForm::Band);
            return told(FormName::Band, Some(code), 0.7, reasons, Some(form));
        }
        if form.tilt_deg > MOST_BAND_TILT_DEG {
            reasons.push("it lies across magnetic east-west: it may be a form cut by cloud or ground".to_owned());
            return FormAnswer::CannotTell(reasons);
        }
        told(FormName::ArcOrBand, None, 0.7, reasons, Some(form))
    }

    fn by_pixels(&self) -> FormAnswer {
        let mut reasons =
            vec!["directions are not known: angles against the magnetic field cannot be measured".to_owned()];
        let is_long = self.structure.length_px >= LONG_IN_PIXELS * self.structure.width_px;
        if self.colour == Some(AtlasColour::Red) && is_long {
            reasons.push("red light in a long form: a red arc, or the upper part of a tall curtain".to_owned());
            return FormAnswer::CannotTell(reasons);
        }
        if self.structure.form == AuroraForm::Band && is_long {
            reasons.push(self.longer());
            return told(FormName::ArcOrBand, None, 0.6, reasons, None);
        }
        self.veil_or_none(reasons, None)
    }

    fn veil_or_none(&self, mut reasons: Vec<String>, geometry: Option<FormGeometry>) -> FormAnswer {
        let share = self.sky_share;
        let fine = self.structure.fine_share;
        reasons.push(format!("over {:.0} % of the sky, {:.0} % of its changes are fine", 100.0 * share, 100.0 * fine));
        if self.structure.form == AuroraForm::Veil && share >= VEIL_SHARE {
            return told(FormName::Veil, Some(self.code(None, None, AtlasForm::Veil)), 0.6, reasons, geometry);
        }
        reasons.push("no shape that stands for one form: pieces may be one form cut by cloud or ground".to_owned());
        FormAnswer::CannotTell(reasons)
    }

    pub(super) fn code(
        &self,
        qualifier: Option<AtlasQualifier>,
        structure: Option<AtlasStructure>,
        form: AtlasForm,
    ) -> AtlasCode {
        let class = |[low, high]: [f64; 2]| {
            let [low, high] = [brightness_class(low)?, brightness_class(high)?];
            (low == high).then_some(low)
        };
        let brightness = self.question.median_kr.and_then(class);
        AtlasCode { condition: None, qualifier, structure, form, brightness, colour: self.colour }
    }
}

fn told(
    name: FormName,
    code: Option<AtlasCode>,
    confidence: f64,
    reasons: Vec<String>,
    geometry: Option<FormGeometry>,
) -> FormAnswer {
    FormAnswer::Told(Box::new(FormFound { name, code, confidence, reasons, geometry, place: None }))
}
