//! Forms of separate regions of one picture.

use quantity::Horizontal;
use serde::{Deserialize, Serialize};

use super::geometry::{FormGeometry, LitCell};
use super::tell::{FormAnswer, FormName, FormQuestion, Seen, colour, is_aurora, lit_cells, tell_form};
use crate::view::SkyView;

/// Shortest piece of the light that is called an arc by itself, km: a limb of a fold is straight for less (judgement).
const LEAST_WHOLE_ARC_KM: f64 = 400.0;

/// Chance that such a piece is an arc or a band at all (judgement).
const PIECE_CONFIDENCE: f64 = 0.6;

/// What can be said of one region of light.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct RegionForm {
    /// Its form.
    pub answer: FormAnswer,
    /// Middle of its light on the sky, where directions are known.
    pub middle: Option<Horizontal>,
    /// Whether it stands for all of the light.
    pub is_whole: bool,
}

/// Tells forms: one of all the light where it has one, of separate regions where it has not and they have.
///
/// Pieces of one form that cloud has cut lie along one line and are told together; only light that is no one form is taken apart.
/// The class of brightness is that of all the light, so that regions have none.
pub fn tell_forms<V: SkyView>(question: &FormQuestion<'_, V>) -> Vec<RegionForm> {
    let all = tell_form(question);
    // without directions a piece of a veil between ground and cloud looks like a band
    let has_directions = question.view.is_some() && question.poleward_azimuth_deg.is_some();
    if has_directions && matches!(all, FormAnswer::CannotTell(_)) && is_aurora(question.finding) {
        let parts = parts(question);
        if parts.iter().any(|part| matches!(part.answer, FormAnswer::Told(_))) {
            return parts;
        }
    }
    let cells = lit_cells(question, |cell| question.finding.mask[cell]);
    vec![RegionForm { answer: all, middle: middle(&cells), is_whole: true }]
}

fn parts<V: SkyView>(question: &FormQuestion<'_, V>) -> Vec<RegionForm> {
    let finding = question.finding;
    let question = FormQuestion { median_kr: None, ..*question };
    let sky = finding.sky.iter().filter(|sky| **sky).count().max(1) as f64;
    let part = |region: &frame::AuroraRegion| {
        let mut mask = vec![false; finding.mask.len()];
        for cell in &region.cells {
            mask[*cell] = true;
        }
        let cells = lit_cells(&question, |cell| mask[cell]);
        let middle = middle(&cells);
        let sky_share = region.cells.len() as f64 / sky;
        let seen =
            Seen { question: &question, structure: &region.structure, colour: colour(finding), cells, sky_share };
        RegionForm { answer: of_piece(seen.answer()), middle, is_whole: false }
    };
    finding.regions.iter().map(part).collect()
}

/// A short straight piece may be the limb of a fold.
fn of_piece(mut answer: FormAnswer) -> FormAnswer {
    let is_short = |geometry: Option<FormGeometry>| geometry.is_none_or(|form| form.length_km < LEAST_WHOLE_ARC_KM);
    if let FormAnswer::Told(form) = &mut answer
        && form.name == FormName::Arc
        && is_short(form.geometry)
    {
        form.name = FormName::ArcOrBand;
        form.code = None;
        form.confidence = form.confidence.min(PIECE_CONFIDENCE);
        form.reasons.push("one piece of the light: it may be the limb of a fold".to_owned());
    }
    answer
}

/// Direction of the middle of the light; none without directions.
fn middle(cells: &[LitCell]) -> Option<Horizontal> {
    let mut sum = [0.0; 3];
    for cell in cells.iter().filter(|cell| cell.light > 0.0) {
        let toward = cell.direction.east_north_up();
        sum = [0, 1, 2].map(|axis| sum[axis] + cell.light * toward[axis]);
    }
    (sum.iter().any(|part| part.abs() > 0.0)).then(|| Horizontal::from_east_north_up(sum))
}
