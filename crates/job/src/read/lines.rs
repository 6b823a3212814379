//! From what `sequence` finds to what the report says.

use jiff::SignedDuration;
use quantity::{Basis, Estimate, Timestamp};
use sequence::{
    BrighteningKind, DriftOutcome, DriftWindow, Keogram, LightUnit, LitRule, MagneticEvents, Sampling, Visibility,
    borders, brightenings, drift_along,
};

use super::report::{ReadBin, ReadBorder, ReadBrightening, ReadColumn, ReadDrift, ReadKeogram, ReadReport};

pub(super) fn after(first: Timestamp, seconds: f64) -> Timestamp {
    SignedDuration::try_from_secs_f64(seconds).ok().and_then(|later| first.checked_add(later).ok()).unwrap_or(first)
}

pub(super) fn of_keograms(report: &mut ReadReport, along: &Keogram, across: &Keogram, events: Option<&MagneticEvents>) {
    let rule = LitRule::for_unit(along.unit());
    if let Some(first) = along.first() {
        report.brightenings = brightenings(along, rule).map(|found| {
            let told = |brightening: &sequence::Brightening| {
                let onset = events.and_then(|events| brightening.magnetic_onset(first, &events.onsets));
                let at = after(first, brightening.at_s);
                ReadBrightening {
                    at,
                    kind: kind_words(brightening.kind).to_owned(),
                    factor: brightening.factor,
                    zenith_angle_deg: brightening.zenith_angle_deg,
                    magnetic_latitude_deg: brightening.magnetic_latitude_deg,
                    poleward_km_s: brightening.poleward_km_s,
                    after_magnetic_onset_s: onset.map(|onset| at.duration_since(onset.at).as_secs_f64()),
                }
            };
            found.iter().map(told).collect()
        });
    }
    let share = report.request.height_sigma_km / report.request.height_km;
    let of = |line: &Keogram, name| {
        drift(&drift_along(line, DriftWindow { from: 0, to: line.len() }), share, name, line.line().azimuth_deg)
    };
    report.drift = Some(of(along, "along the line"));
    report.drift_across = Some(of(across, "along magnetic east-west"));
    report.keogram = Some(keogram(along, rule));
    report.ewogram = Some(keogram(across, rule));
}

fn kind_words(kind: BrighteningKind) -> &'static str {
    match kind {
        BrighteningKind::SubstormCandidate => "substorm candidate",
        BrighteningKind::Pseudobreakup => "pseudobreakup",
        BrighteningKind::Brightening => "brightening",
    }
}

/// * `height_share`: deviation of the height as a share of it; speeds grow with it.
/// * `line`: which line, in words; `azimuth_deg`: where it leads.
fn drift(outcome: &DriftOutcome, height_share: f64, line: &str, azimuth_deg: f64) -> ReadDrift {
    let none = |words: String| ReadDrift { words, km_per_s: None, deg_per_s: None, like_the_stars: false };
    match outcome {
        DriftOutcome::Measured(drift) => {
            let speed = drift.km_per_s;
            let sigma = (0.5 * (speed.high - speed.low)).hypot(speed.value * height_share);
            let km_per_s = Estimate::symmetric(speed.value, sigma, Basis::Model);
            let stars = if drift.like_the_stars { "; it cannot be told from the turning of the sky" } else { "" };
            let turning = drift.deg_per_s;
            ReadDrift {
                words: format!(
                    "light moved {line} at {:.2} +- {sigma:.2} km/s, {:.3} +- {:.3} degrees/s at the zenith, positive toward azimuth {azimuth_deg:.0}{stars}",
                    speed.value,
                    turning.value,
                    0.5 * (turning.high - turning.low)
                ),
                km_per_s: Some(km_per_s),
                deg_per_s: Some(drift.deg_per_s),
                like_the_stars: drift.like_the_stars,
            }
        }
        DriftOutcome::NoStructure => none(format!("{line} no structure stands out whose motion could be followed")),
        DriftOutcome::NotFollowed { limit_km_per_s } => none(format!(
            "{line} structures changed their shape from column to column, or moved faster than {limit_km_per_s:.1} km/s: no speed"
        )),
        DriftOutcome::TooLittle => none(format!("{line} too few columns of light for a speed")),
    }
}

fn keogram(keogram: &Keogram, rule: LitRule) -> ReadKeogram {
    let line = keogram.line();
    let bins = line.bins.iter().map(|bin| ReadBin {
        zenith_angle_deg: bin.zenith_angle_deg,
        alt_deg: bin.direction.altitude_deg,
        latitude_deg: bin.place.map(|place| place.latitude_deg),
        longitude_deg: bin.place.map(|place| place.longitude_deg),
        magnetic_latitude_deg: bin.place.and_then(|place| place.magnetic_latitude_deg),
    });
    let columns = (0..keogram.len()).filter_map(|index| {
        let column = keogram.column(index)?;
        let values = column.values.iter().map(|value| value.is_finite().then_some(*value)).collect();
        Some(ReadColumn { at: keogram.time_of(index)?, frames: column.frames, values })
    });
    let edges = borders(keogram, rule);
    let edges = edges.iter().filter_map(|edge| {
        let sides = [edge.near, edge.far];
        Some(ReadBorder {
            at: keogram.time_of(edge.column)?,
            zenith_angle_deg: sides.map(|side| side.zenith_angle_deg),
            magnetic_latitude_deg: sides.map(|side| side.magnetic_latitude_deg),
            open: sides.map(|side| side.open),
        })
    });
    ReadKeogram {
        azimuth_deg: line.azimuth_deg,
        column_s: keogram.column_s(),
        is_kilorayleighs: keogram.unit() == LightUnit::Kilorayleighs,
        bins: bins.collect(),
        columns: columns.collect(),
        borders: edges.collect(),
    }
}

/// What the frames could not have shown, in words.
pub(super) fn limits(sampling: Option<&Sampling>) -> Vec<String> {
    let Some(sampling) = sampling else { return vec!["one frame or none: nothing can be said of changes".to_owned()] };
    let verdict = |flicker: &sequence::FlickerVerdict| {
        let name = flicker.flicker.name;
        let (low, high) = (flicker.flicker.low_hz, flicker.flicker.high_hz);
        let range = if (high - low).abs() < 1e-9 { format!("{high} Hz") } else { format!("{low} to {high} Hz") };
        let why = |visibility: Visibility| match visibility {
            Visibility::Visible => "could be seen",
            Visibility::TooSlow => "is too slow for the length of the sequence",
            Visibility::TooFast => "is too fast for the frame rate",
            Visibility::WashedOut => "is washed out by the exposure",
        };
        if (flicker.at_lowest, flicker.at_highest) == (Visibility::Visible, Visibility::Visible) {
            return format!("{name} ({range}) could be seen");
        }
        format!(
            "{name} ({range}): {low} Hz {}, {high} Hz {}; it takes more than {} frames a second and {:.3} s of exposure at most",
            why(flicker.at_lowest),
            why(flicker.at_highest),
            flicker.frames_per_s_above,
            flicker.longest_exposure_s
        )
    };
    let mut words: Vec<String> = sampling.flickers().iter().map(verdict).collect();
    if sampling.exposure_s.is_none() {
        words.push("the exposure is not known: what it washes out is not counted".to_owned());
    }
    words
}
