//! What editing leaves in a picture, as measures. None of them is an accusation: phones sharpen, denoise and stack by themselves.

mod bands;
mod blocks;
mod colour;
mod enlarged;
mod ghost;
mod halo;
mod noise;
mod packing;
mod twins;

use frame::FileKind;
use serde::{Deserialize, Serialize};

use self::bands::Bands;
use super::report::{DeskCheck, DeskCheckKind, DeskEvidence, DeskVerdict};
use crate::check::Looked;

/// Measures of editing; each is `None` where the picture does not allow it.
#[derive(Debug, Clone, Default, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "typescript", derive(ts_rs::TS))]
pub struct EditingMeasures {
    /// The program that wrote the file last, in its own words.
    pub program: Option<String>,
    /// Quality at which the JPEG was packed, 1..100 on the scale of the Independent JPEG Group.
    pub jpeg_quality: Option<f64>,
    /// Whether its tables are those of the standard at that quality: cameras often have their own, most programs do not.
    pub jpeg_standard_tables: Option<bool>,
    /// How much oftener steps lie on the edges of its own 8 by 8 blocks than elsewhere, relative; 0 is no trace.
    pub own_grid_excess: Option<f64>,
    /// The same for the strongest other grid, and where that begins, px: a picture that was packed before it was cut.
    pub other_grid_excess: Option<f64>,
    /// First column and row of a block of the other grid.
    pub other_grid_px: Option<[u32; 2]>,
    /// Quality whose steps fit best to a picture packed more finely since, 1..100 (Farid 2009): an earlier packing where the
    /// remainder is small.
    #[serde(default)]
    pub earlier_jpeg_quality: Option<f64>,
    /// What that leaves over, in shares of what chance does: 1 is no fit.
    #[serde(default)]
    pub earlier_jpeg_remainder: Option<f64>,
    /// Period of the strongest repetition of smoother and sharper columns, px (Gallagher 2005).
    #[serde(default)]
    pub repetition_px: Option<f64>,
    /// Its strength over that of the middle one of all periods: chance alone gives 3 to 4.
    #[serde(default)]
    pub repetition_strength: Option<f64>,
    /// Share of the pixels that are black in every channel.
    pub black_share: f64,
    /// Share of the sky's brighter pixels in which one channel is at nothing beside a strong one: colour pushed beyond what the
    /// file can hold.
    pub emptied_colour_share: Option<f64>,
    /// Light of the sky just above the skyline over that somewhat higher, in shares of the step from ground to sky.
    pub halo_share: Option<f64>,
    /// Noise of the ground over that of a sky of the same brightness.
    pub ground_to_sky_noise: Option<f64>,
    /// Stars with a twin, pixel for pixel.
    pub twin_stars: Option<u32>,
    /// Stars that were compared for it.
    pub compared_stars: u32,
    /// Share of the found stars that lie on the ground: lamps, or painted ones.
    pub stars_on_ground_share: Option<f64>,
}

/// From here on a measure is told as a sign (all are judgements, looked at on some five real pictures, none of them edited).
const OTHER_GRID: f64 = 0.5;
const BLACK: f64 = 0.25;
const EMPTIED_COLOUR: f64 = 0.2;
const HALO: f64 = 0.25;
const NOISE_APART: f64 = 4.0;
const TWINS: u32 = 4;
const LOW_QUALITY: f64 = 60.0;
const EARLIER_REMAINDER: f64 = 0.5;
pub(super) const REPETITION: f64 = 8.0;

impl EditingMeasures {
    /// * `has_stars`: whether what was found can be stars.
    pub(super) fn of(looked: &Looked, has_stars: bool, bytes: &[u8]) -> Self {
        let Looked { frame, stars, layers, metadata, .. } = looked;
        let mut measures = Self { program: metadata.software.clone(), ..Self::default() };
        if let Some(tables) = packing::quality(bytes) {
            measures.jpeg_quality = Some(tables.quality);
            measures.jpeg_standard_tables = Some(tables.is_standard);
        }
        (measures.black_share, measures.emptied_colour_share) = colour::shares(frame, layers);
        measures.stars_on_ground_share = twins::on_ground(stars, layers);
        // numbers of 8 bits alone: what a camera wrote raw has no such history
        if let Some(bands) = (frame.bits == 8).then(|| Bands::of(frame)).flatten() {
            measures.measure_history(&bands, bytes);
        }
        let Ok(plane) = frame.luminance() else { return measures };
        if let Some(grid) = blocks::grid(&plane, frame.kind == FileKind::Jpeg) {
            measures.own_grid_excess = Some(grid.own);
            measures.other_grid_excess = Some(grid.other);
            measures.other_grid_px = Some(grid.other_px);
        }
        measures.halo_share = halo::overshoot(&plane, frame, layers);
        measures.ground_to_sky_noise = noise::ground_to_sky(&plane, layers);
        if has_stars {
            let (twins, compared) = twins::twins(&plane, stars);
            measures.compared_stars = compared;
            measures.twin_stars = (compared > 0).then_some(twins);
        }
        measures
    }

    fn measure_history(&mut self, bands: &Bands, bytes: &[u8]) {
        if let Some(found) = ghost::ghost(bands, bytes) {
            (self.earlier_jpeg_quality, self.earlier_jpeg_remainder) = (Some(found.quality), Some(found.remainder));
        }
        if let Some(found) = enlarged::repetition(bands) {
            (self.repetition_px, self.repetition_strength) = (Some(found.period_px), Some(found.strength));
        }
    }

    /// Signs of how the file came about, which need no forger: every program that opens and saves leaves the first.
    fn signs_of_history(&self) -> Vec<String> {
        let mut signs = Vec::new();
        if let Some((quality, _)) =
            self.earlier_jpeg_quality.zip(self.earlier_jpeg_remainder.filter(|left| *left < EARLIER_REMAINDER))
        {
            signs.push(format!("packed before, at a quality of about {quality:.0}, and saved again more finely"));
        }
        if let Some((period, _)) =
            self.repetition_px.zip(self.repetition_strength.filter(|strength| *strength > REPETITION))
        {
            signs.push(format!(
                "sharper and smoother columns alternate every {period:.2} px: made larger, by {:.2} or {:.2}",
                period,
                1.0 / (1.0 - 1.0 / period)
            ));
        }
        signs
    }

    /// What stands out, each in a few words with its limit.
    fn signs(&self) -> Vec<String> {
        let mut signs = self.signs_of_history();
        if self.other_grid_excess.is_some_and(|excess| excess > OTHER_GRID) {
            signs.push(
                "blocks of an earlier packing that do not begin at the edge: cut after it was packed once".to_owned(),
            );
        }
        if self.black_share > BLACK {
            signs.push(format!(
                "{:.0} % of the pixels are wholly black: shadows cut off, or a frame around it",
                100.0 * self.black_share
            ));
        }
        if let Some(share) = self.emptied_colour_share.filter(|share| *share > EMPTIED_COLOUR) {
            signs.push(format!(
                "in {:.0} % of the bright sky one colour is at nothing: strongly coloured light, or saturation pushed",
                100.0 * share
            ));
        }
        if let Some(share) = self.halo_share.filter(|share| *share > HALO) {
            signs.push(format!(
                "a rim of light along the skyline, {:.0} % of the step: sharpening or clarity",
                100.0 * share
            ));
        }
        if let Some(ratio) = self.ground_to_sky_noise.filter(|ratio| *ratio > NOISE_APART) {
            signs.push(format!(
                "the ground has {ratio:.1} times the noise of a sky as bright: sky denoised, blended or replaced"
            ));
        }
        if let Some(twins) = self.twin_stars.filter(|twins| *twins >= TWINS) {
            signs.push(format!("{twins} of {} stars have a twin, pixel for pixel", self.compared_stars));
        }
        if let Some(quality) = self.jpeg_quality.filter(|quality| *quality < LOW_QUALITY) {
            signs.push(format!("packed at quality {quality:.0}: much of the fine detail is gone"));
        }
        signs
    }

    fn evidence(&self) -> Vec<DeskEvidence> {
        let percent = |name: &str, share: f64| DeskEvidence::exact(name, 100.0 * share, "%", 1);
        let mut evidence: Vec<DeskEvidence> =
            self.program.as_deref().map(|program| DeskEvidence::word("written last by", program)).into_iter().collect();
        if let Some(quality) = self.jpeg_quality {
            evidence.push(DeskEvidence::exact("JPEG quality", quality, "of 100", 0));
        }
        evidence.push(percent("wholly black", self.black_share));
        let shares = [
            ("one colour at nothing in the bright sky", self.emptied_colour_share),
            ("rim along the skyline", self.halo_share),
            ("stars on the ground", self.stars_on_ground_share),
            ("steps on an earlier grid of blocks", self.other_grid_excess),
        ];
        evidence.extend(shares.into_iter().filter_map(|(name, share)| Some(percent(name, share?))));
        if let Some((quality, left)) = self.earlier_jpeg_quality.zip(self.earlier_jpeg_remainder) {
            let text = format!("quality {quality:.0} fits best, remainder {left:.2} of chance's");
            evidence.push(DeskEvidence::word("an earlier packing", text));
        }
        if let Some((period, strength)) = self.repetition_px.zip(self.repetition_strength) {
            let text = format!("every {period:.2} px, {strength:.1} times the middle one");
            evidence.push(DeskEvidence::word("strongest repetition of columns", text));
        }
        if let Some(ratio) = self.ground_to_sky_noise {
            evidence.push(DeskEvidence::exact("noise of ground over sky", ratio, "", 2));
        }
        if let Some(twins) = self.twin_stars {
            evidence.push(DeskEvidence::word("stars with a twin", format!("{twins} of {}", self.compared_stars)));
        }
        evidence
    }
}

pub(super) fn check(measures: Option<&EditingMeasures>) -> DeskCheck {
    let (verdict, sentence, evidence) = match measures {
        None => (DeskVerdict::CannotTell, "The picture cannot be measured.".to_owned(), Vec::new()),
        Some(measures) => {
            let signs = measures.signs();
            let evidence = measures.evidence();
            if signs.is_empty() {
                (
                    DeskVerdict::Consistent,
                    "No measured sign of heavy editing; light editing leaves none.".to_owned(),
                    evidence,
                )
            } else {
                (DeskVerdict::CannotTell, format!("Worth a look: {}.", signs.join("; ")), evidence)
            }
        }
    };
    DeskCheck {
        kind: DeskCheckKind::Editing,
        verdict,
        sentence,
        evidence,
        basis: "Measures of the pixels. Phones sharpen, denoise, stack and blend by themselves: a sign says what to look at, not what was done.".to_owned(),
    }
}
