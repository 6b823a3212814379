use std::borrow::Cow;
use std::sync::OnceLock;

use frame::{Calibration, CalibrationBasis, Frame, LensSolution, LightChannel, LightMap, StarsSeen};
use quantity::{EmissionLine, GeoPosition, Horizontal, Timestamp};
use sequence::{FixedView, SkyView};

use super::outline::outline;
use super::report::{ReadCalibration, ReadLens};
use super::request::ReadRequest;
use crate::check::{FrameSeen, seen};
use crate::{BodyInFrame, CheckRequest};

/// How far directions by stars may be off in the picture, degrees: corners of wide lenses (judgement).
const BY_STARS_SIGMA_DEG: f64 = 0.5;

/// Light whose error stands for that of the scale, as a share of full scale: a moderate aurora in a frame exposed for it (judgement).
const FAINT_SHARE: f64 = 0.1;
/// Where the scale is asked, in shares of width and height: the middle, else what else may be above the horizon.
const PLACES: [[f64; 2]; 5] = [[0.5, 0.5], [0.5, 0.25], [0.25, 0.5], [0.75, 0.5], [0.5, 0.75]];

/// The lens of a sequence, which way it looked, and what else one frame told of all of them.
#[derive(Debug, Clone)]
pub struct SequenceLens {
    pub(super) view: Option<SequenceView>,
    pub(super) report: ReadLens,
    pub(super) known: Option<Known>,
}

/// From picture to sky by stars, or as somebody said.
#[derive(Debug, Clone)]
pub(super) enum SequenceView {
    Stars(Box<LensSolution>),
    Fixed(FixedView),
}

impl SkyView for SequenceView {
    fn pixel_of(&self, direction: Horizontal) -> Option<[f64; 2]> {
        match self {
            Self::Stars(solution) => solution.pixel_of(direction),
            Self::Fixed(view) => view.pixel_of(direction),
        }
    }
    fn direction_of(&self, pixel: [f64; 2]) -> Option<Horizontal> {
        match self {
            Self::Stars(solution) => solution.direction_of(pixel),
            Self::Fixed(view) => view.direction_of(pixel),
        }
    }
}

/// What one frame told that holds for all of a camera that stands still.
#[derive(Debug, Clone)]
pub(super) struct Known {
    pub(super) sky: Vec<bool>,
    pub(super) stars: StarsSeen,
    pub(super) moon_in_frame: Option<bool>,
    pub(super) luminance_cd_m2: Option<f64>,
    pub(super) is_rendered: bool,
    /// Kilorayleighs of that frame's numbers, and its settings: exposure, ISO, F-number.
    pub(super) calibration: Option<(Calibration, [Option<f64>; 3])>,
    /// Those of every cell of the first map that asked.
    kr_of_cells: OnceLock<KrOfCells>,
    /// How far those kilorayleighs may be off either way, a factor.
    pub(super) scale_factor: Option<f64>,
}

/// Kilorayleighs of an excess of 1, for one division of a picture into cells.
#[derive(Debug, Clone)]
struct KrOfCells {
    /// Columns, rows, and the bits of a cell's side.
    division: (usize, usize, u64),
    kr: Vec<Option<f64>>,
}

impl SequenceLens {
    /// No lens, and why.
    pub fn unknown(why_not: impl Into<String>) -> Self {
        let report = ReadLens { solved: false, why_not: Some(why_not.into()), ..ReadLens::default() };
        Self { view: None, report, known: None }
    }

    /// Asks one frame; the camera is taken to stand still for the sequence.
    ///
    /// Stars first; where they do not tell, the direction that the request gives.
    ///
    /// * `name`: of the frame.
    /// * `at`: the middle of its exposure.
    pub fn of(
        frame: Frame,
        name: &str,
        at: Option<Timestamp>,
        place: Option<GeoPosition>,
        request: &ReadRequest,
    ) -> Self {
        let asked = CheckRequest {
            name: name.to_owned(),
            kit: request.kit.clone(),
            at,
            position: place,
            ..CheckRequest::default()
        };
        let settings = [frame.metadata.exposure_s, frame.metadata.iso, frame.metadata.f_number];
        let size_px = frame.stored_size;
        let seen = match seen(&asked, frame) {
            Ok(seen) => seen,
            Err(error) => return Self::unknown(format!("{name}: {error}")),
        };
        let mut lens = Self::by_stars(&seen, name);
        if lens.view.is_none()
            && let Some(assumed) = &request.assumed
        {
            let profile = request.kit.as_ref().and_then(|kit| kit.lens.profile.as_ref());
            match assumed.of(&seen, profile, at.zip(place)) {
                Ok((view, directions)) => {
                    lens.view = Some(SequenceView::Fixed(view));
                    lens.report.assumed = Some(directions);
                    lens.report.frame = Some(name.to_owned());
                }
                Err(why) => {
                    let stars = lens.report.why_not.take().unwrap_or_default();
                    lens.report.why_not = Some(format!("{stars}; {why}"));
                }
            }
        }
        lens.report.outline = lens.view.as_ref().map_or_else(Vec::new, |view| outline(view, size_px));
        lens.known = Some(Known::of(&seen, settings));
        lens
    }

    fn by_stars(seen: &FrameSeen, name: &str) -> Self {
        let Some(solution) = &seen.light.solution else {
            let checked = seen.report.lens.as_ref().and_then(|lens| lens.why_not.clone());
            let why = checked.unwrap_or_else(|| "no stars that can be trusted".to_owned());
            return Self::unknown(format!("{name}: {why}"));
        };
        if solution.contradicts_time {
            return Self::unknown(format!(
                "{name}: its stars would stand below the horizon at the time and place given"
            ));
        }
        if solution.alt_deg.is_none() {
            return Self::unknown(format!("{name}: its stars are known, its time or place are not"));
        }
        let report = ReadLens {
            solved: true,
            why_not: None,
            frame: Some(name.to_owned()),
            stars: u32::try_from(solution.matched).ok(),
            residual_px: Some(solution.residual_px),
            alt_deg: solution.alt_deg,
            az_deg: solution.az_deg,
            assumed: None,
            outline: Vec::new(),
        };
        Self { view: Some(SequenceView::Stars(Box::new(solution.clone()))), report, known: None }
    }

    /// The direction of a pixel of a frame as stored, as seen from the ground; none where directions are not known.
    pub fn direction_of(&self, pixel: [f64; 2]) -> Option<Horizontal> {
        self.view.as_ref()?.direction_of(pixel)
    }

    /// What the report says of it.
    pub fn about(&self) -> &ReadLens {
        &self.report
    }

    /// Whether stars tell directions.
    pub fn is_solved(&self) -> bool {
        self.report.solved
    }

    /// Whether light is counted in kilorayleighs, which looks at every frame.
    pub fn is_calibrated(&self) -> bool {
        self.view.is_some() && self.known.as_ref().is_some_and(|known| known.calibration.is_some())
    }

    pub(super) fn by_stars_solution(&self) -> Option<&LensSolution> {
        match &self.view {
            Some(SequenceView::Stars(solution)) => Some(solution),
            Some(SequenceView::Fixed(_)) | None => None,
        }
    }

    /// One standard deviation of its directions, degrees.
    pub(super) fn direction_sigma_deg(&self) -> f64 {
        self.report
            .assumed
            .as_ref()
            .map_or(BY_STARS_SIGMA_DEG, |assumed| assumed.altitude_sigma_deg.max(assumed.azimuth_sigma_deg))
    }

    pub(super) fn calibration(&self) -> Option<ReadCalibration> {
        let known = self.known.as_ref()?;
        let (calibration, _) = known.calibration.as_ref().filter(|_| self.view.is_some())?;
        Some(ReadCalibration {
            frame: self.report.frame.clone().unwrap_or_default(),
            by_stars: matches!(calibration.basis, CalibrationBasis::Stars | CalibrationBasis::StarsDeveloped),
            is_estimate: calibration.basis.is_estimate(),
            scale_factor: known.scale_factor,
            notes: calibration.notes.clone(),
        })
    }
}

impl Known {
    fn of(seen: &FrameSeen, settings: [Option<f64>; 3]) -> Self {
        // a grey camera without a known filter has a scale of stars, and none of a line
        let middle = seen.frame.stored_size.map(|side| 0.5 * side as f64);
        let gives_kr = |calibration: &&Calibration| {
            calibration.channel(LightChannel::Green).is_none_or(|green| green.channel == LightChannel::Green)
                || calibration.green_kr(0.0, 1.0, middle).is_some()
        };
        let calibration = seen.light.calibration.as_ref().filter(gives_kr).cloned().map(|found| (found, settings));
        Self {
            sky: seen.light.sky.clone(),
            stars: seen.stars,
            moon_in_frame: seen.report.body.as_ref().map(|body| body.body != BodyInFrame::Sun),
            luminance_cd_m2: seen.report.sky.as_ref().and_then(|sky| sky.luminance_cd_m2).map(|found| found.value),
            is_rendered: seen.report.scene == crate::CheckedScene::NotAPhotograph,
            scale_factor: calibration.as_ref().and_then(|(calibration, _)| scale_factor(calibration, &seen.frame)),
            calibration,
            kr_of_cells: OnceLock::new(),
        }
    }

    /// Kilorayleighs of an excess of 1 in the cells of a map; worked out once for all frames of a size.
    pub(super) fn kr_of_cells(&self, map: &LightMap) -> Option<Cow<'_, [Option<f64>]>> {
        let (calibration, _) = self.calibration.as_ref()?;
        let division = (map.columns, map.rows, map.cell_px.to_bits());
        let first = self.kr_of_cells.get_or_init(|| KrOfCells { division, kr: calibration.kr_per_excess(map) });
        Some(if first.division == division {
            Cow::Borrowed(&first.kr)
        } else {
            Cow::Owned(calibration.kr_per_excess(map))
        })
    }
}

/// How far a frame's kilorayleighs may be off either way, a factor: that of faint light where the lens shows sky, from the middle
/// outward.
fn scale_factor(calibration: &Calibration, frame: &Frame) -> Option<f64> {
    let excess = FAINT_SHARE * frame.ceiling.filter(|ceiling| *ceiling > 0.0).map_or(1.0, f64::from);
    PLACES.iter().find_map(|share| {
        let pixel = [0, 1].map(|axis| share[axis] * (frame.stored_size[axis] as f64 - 1.0));
        let kr = calibration.line_kr(EmissionLine::Green5577, excess, 0.0, pixel)?;
        Some(kr.high / kr.value).filter(|factor| factor.is_finite() && *factor >= 1.0)
    })
}
