//! The aurora in a frame: whether there is one, how bright, how far it reaches.

use frame::{
    AuroraClue, AuroraContext, AuroraFinding, AuroraForm, AuroraPresence, Calibration, Frame, LightChannel, LightMap,
    find_aurora,
};
use quantity::{Basis, Estimate};
use serde::{Deserialize, Serialize};

/// The aurora in a frame.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "typescript", derive(ts_rs::TS))]
pub struct CheckedAurora {
    /// Whether there is one.
    #[cfg_attr(feature = "typescript", ts(type = "\"yes\" | \"no\" | \"cannot_tell\""))]
    pub present: AuroraPresence,
    /// How probable that is, 0..1: a judgement from named pieces of evidence.
    pub probability: f64,
    /// Its brightest hundredth, in kR of 557.7 nm that give the green channel as much light.
    pub brightest_kr: Option<Estimate>,
    /// Median over its cells, kR likewise.
    pub median_kr: Option<Estimate>,
    /// Whether too little sky is free of aurora to take the sky's own light off: both are then least values.
    pub is_least: bool,
    /// Share of the sky in the frame that shows it, 0..1.
    pub extent: Option<Estimate>,
    /// What its light is made of, in shares of its rayleighs; `None` for grey pictures and without aurora.
    pub lines: Option<AuroraLines>,
    /// What it looks like ("a band with rays"); `None` without aurora.
    pub form: Option<String>,
    /// Why that is said, the weightiest first.
    pub words: Vec<String>,
}

/// Shares of the three lines in the rayleighs of an aurora.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "typescript", derive(ts_rs::TS))]
pub struct AuroraLines {
    /// Blue, 427.8 nm and its like.
    pub blue_4278: Estimate,
    /// Green, 557.7 nm.
    pub green_5577: Estimate,
    /// Red, 630.0 nm.
    pub red_6300: Estimate,
}

/// How far a share of the sky may be off, relative, beside what the edge of a diffuse form leaves open (judgement).
const EXTENT_SHARE: f64 = 0.3;
/// Pieces of evidence that are told: more would not be read at night.
const TOLD: usize = 4;
/// Odds that a piece of evidence must change to be told, natural logarithm.
const WORTH_TELLING: f64 = 0.3;

/// Looks for aurora, and turns its light into kilorayleighs where there is a scale.
pub(super) fn aurora(
    frame: &Frame,
    map: &LightMap,
    context: &AuroraContext<'_>,
    calibration: Option<&Calibration>,
) -> (CheckedAurora, AuroraFinding) {
    let finding = find_aurora(map, context);
    let is_there = finding.presence != AuroraPresence::No && finding.mask.iter().any(|cell| *cell);
    let kr = Brightness { frame, map, finding: &finding, calibration };
    let [brightest_kr, median_kr] = if is_there { kr.at([BRIGHTEST, MIDDLE]) } else { [None; 2] };
    let checked = CheckedAurora {
        present: finding.presence,
        probability: finding.probability,
        brightest_kr,
        median_kr,
        is_least: is_there && finding.excess_is_least,
        extent: is_there.then(|| extent(finding.extent.sky_share)),
        lines: finding.lines.map(|lines| {
            let share = |i: usize| Estimate {
                value: lines.shares[i],
                low: lines.low[i],
                high: lines.high[i],
                basis: Basis::Model,
            };
            AuroraLines { blue_4278: share(0), green_5577: share(1), red_6300: share(2) }
        }),
        form: finding.structure.as_ref().map(|structure| form(structure.form).to_owned()),
        words: words(&finding),
    };
    (checked, finding)
}

fn extent(share: f64) -> Estimate {
    let sigma = EXTENT_SHARE * share;
    Estimate { value: share, low: share - sigma, high: (share + sigma).min(1.0), basis: Basis::Model }
}

/// The evidence that weighs most, and the best rival.
fn words(finding: &AuroraFinding) -> Vec<String> {
    let mut evidence: Vec<_> = finding
        .evidence
        .iter()
        .filter(|piece| piece.clue != AuroraClue::Prior && piece.log_odds.abs() >= WORTH_TELLING)
        .collect();
    evidence.sort_by(|a, b| b.log_odds.abs().total_cmp(&a.log_odds.abs()));
    let mut words: Vec<String> = evidence
        .iter()
        .take(TOLD)
        .map(|piece| format!("{}: {}", if piece.log_odds > 0.0 { "for it" } else { "against it" }, piece.words))
        .collect();
    if finding.presence != AuroraPresence::Yes
        && let Some(rival) = finding.rivals.first()
    {
        words.push(format!("it may be something else: {}", rival.words));
    }
    words
}

fn form(form: AuroraForm) -> &'static str {
    match form {
        AuroraForm::Band => "a band",
        AuroraForm::RayedBand => "a band with rays",
        AuroraForm::Rays => "rays",
        AuroraForm::Patches => "patches",
        AuroraForm::Veil => "a veil",
    }
}

/// Light above the sky as kilorayleighs.
struct Brightness<'a> {
    frame: &'a Frame,
    map: &'a LightMap,
    finding: &'a AuroraFinding,
    calibration: Option<&'a Calibration>,
}

impl Brightness<'_> {
    /// Brightness at two places in the order of the auroral cells, each with its range: above the air, so that cells low down
    /// and near the corners count for what they are.
    fn at<const N: usize>(&self, places: [f64; N]) -> [Option<Estimate>; N] {
        let none = [None; N];
        let is_green = |channel| matches!(channel, LightChannel::Green | LightChannel::Grey);
        let green = self.finding.excess.iter().find(|excess| is_green(excess.channel));
        let (Some(green), Some(calibration)) = (green, self.calibration) else { return none };
        let kr = calibration.excess_kr(self.map, self.frame.ceiling, &green.cells, &self.finding.mask);
        let mut cells: Vec<(usize, f64)> = kr
            .iter()
            .enumerate()
            .filter_map(|(cell, kr)| Some((cell, (*kr)?)))
            .filter(|(_, kr)| kr.is_finite())
            .collect();
        cells.sort_by(|a, b| a.1.total_cmp(&b.1));
        places.map(|place| {
            #[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "a place in a list")]
            let index = (place * cells.len().checked_sub(1)? as f64).round() as usize;
            let (cell, _) = *cells.get(index)?;
            // the map counts in shares of full scale, the calibration in the unit of planes
            let unit = self.frame.ceiling.filter(|ceiling| *ceiling > 0.0).map_or(1.0, f64::from);
            let spread = self.map.green().map_or(0.0, |light| f64::from(light.spreads[cell]));
            let noise = if spread.is_finite() { spread / CELL_SAMPLES.sqrt() } else { 0.0 };
            calibration.green_kr(unit * f64::from(green.cells[cell]), unit * noise, self.map.middle_px(cell))
        })
    }
}

/// Places in the order of the auroral cells: the hundredth that is brightest may be a star or an accident.
const BRIGHTEST: f64 = 0.99;
const MIDDLE: f64 = 0.5;
/// Samples behind the median of a cell, at least: its error is the spread of one over the root of them.
const CELL_SAMPLES: f64 = 64.0;
