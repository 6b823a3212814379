//! What is measured of an aurora, on maps of cells drawn with known truth; and laws and hostile maps.

use frame::{AuroraContext, AuroraForm, AuroraPresence, ChannelLight, LightChannel, LightMap, StarsSeen, find_aurora};
use optics::line_response_matrix;
use proptest::prelude::*;

use crate::drawn_sky::Dice;

/// Cells of the maps.
const COLUMNS: usize = 180;
/// See [`COLUMNS`].
const ROWS: usize = 120;
/// Noise of one cell, share of its level.
const NOISE: f64 = 0.004;
/// The sky: grey light of 0.02 of full scale in the gains of a camera.
const SKY: [f64; 3] = [0.010, 0.020, 0.014];

/// A map of linear light from shares of full scale by cell.
pub(crate) fn map(columns: usize, rows: usize, light: &dyn Fn(f64, f64) -> [f64; 3]) -> LightMap {
    let mut dice = Dice::new(5);
    let mut medians = [Vec::new(), Vec::new(), Vec::new()];
    for cell in 0..columns * rows {
        let rgb = light((cell % columns) as f64, (cell / columns) as f64);
        for (plane, value) in medians.iter_mut().zip(rgb) {
            #[expect(clippy::cast_possible_truncation, reason = "a drawn level")]
            plane.push((value * (1.0 + NOISE * dice.gauss())) as f32);
        }
    }
    let names = [LightChannel::Red, LightChannel::Green, LightChannel::Blue];
    let channels = names.into_iter().zip(medians).map(|(channel, medians)| ChannelLight {
        channel,
        spreads: medians.iter().map(|level| 0.06 * level).collect(),
        is_light: vec![false; medians.len()],
        full_in_sky: 0,
        full: 0,
        pixels: 144 * medians.len() as u64,
        medians,
    });
    LightMap { columns, rows, cell_px: 12.0, channels: channels.collect() }
}

/// Light of lines (427.8, 557.7, 630.0 nm) on a camera's channels.
pub(crate) fn lines(amounts: [f64; 3]) -> [f64; 3] {
    line_response_matrix().map(|row| row.iter().zip(amounts).map(|(response, amount)| response * amount).sum())
}

pub(crate) fn with(light: [f64; 3], times: f64) -> [f64; 3] {
    [0, 1, 2].map(|i| SKY[i] + times * light[i])
}

fn raw() -> AuroraContext<'static> {
    AuroraContext { stars: StarsSeen::Sure, is_linear: true, ..AuroraContext::default() }
}

/// A band across, tilted by 15 degrees, of Gaussian profile with this sigma in cells.
fn band(x: f64, y: f64) -> f64 {
    let (sin, cos) = 15f64.to_radians().sin_cos();
    let (along, across) = ((x - 90.0) * cos + (y - 60.0) * sin, -(x - 90.0) * sin + (y - 60.0) * cos);
    (-0.5 * (across / 6.0).powi(2)).exp() * (-0.5 * (along / 45.0).powi(2)).exp()
}

#[test]
fn a_band_has_its_place_direction_and_brightness() {
    let light = lines([0.1, 1.0, 0.05]);
    let drawn = map(COLUMNS, ROWS, &|x, y| with(light, 0.05 * band(x, y)));
    let finding = find_aurora(&drawn, &raw());
    assert_eq!(finding.presence, AuroraPresence::Yes, "{:?}", finding.evidence);
    let structure = finding.structure.unwrap();
    assert!(matches!(structure.form, AuroraForm::Band), "{structure:?}");
    assert!((structure.direction_deg - 15.0).abs() < 4.0, "{structure:?}");
    assert!(structure.length_px / structure.width_px > 3.0, "{structure:?}");
    // cells with more than a quarter of the light are in, those with next to nothing out
    for cell in 0..COLUMNS * ROWS {
        let truth = band((cell % COLUMNS) as f64, (cell / COLUMNS) as f64);
        if truth > 0.25 {
            assert!(finding.mask[cell], "cell {cell} with {truth:.2} of the light is missing");
        } else if truth < 0.002 {
            assert!(!finding.mask[cell], "cell {cell} with {truth:.4} of the light is in");
        }
    }
    let truth = 0.05 * light[1];
    assert!((finding.excess[1].brightest / truth - 0.97).abs() < 0.06, "{} of {truth}", finding.excess[1].brightest);
    assert!(!finding.excess_is_least);
}

#[test]
fn lines_of_a_raw_picture_have_their_shares() {
    for amounts in [[0.1, 0.8, 0.1], [0.05, 0.1, 0.85], [0.3, 0.5, 0.2]] {
        let light = lines(amounts);
        let drawn = map(COLUMNS, ROWS, &|x, y| with(light, 0.05 * band(x, y)));
        let shares = find_aurora(&drawn, &raw()).lines.unwrap().shares;
        for (found, truth) in shares.iter().zip(amounts) {
            assert!((found - truth).abs() < 0.05, "{shares:?} for {amounts:?}");
        }
    }
}

#[test]
fn rays_meet_where_they_were_drawn_to() {
    for point in [[90.0, -40.0], [30.0, 20.0], [90.0, 200.0]] {
        let light = lines([0.1, 1.0, 0.1]);
        let drawn = map(COLUMNS, ROWS, &|x, y| {
            let angle = (y - point[1]).atan2(x - point[0]);
            let distance = (y - point[1]).hypot(x - point[0]);
            // as many rays as are seven cells wide at a distance of 100
            let ray = 0.6 + 0.4 * (angle * 90.0).sin();
            let there = (-0.5 * ((x - 90.0) / 50.0).powi(2) - 0.5 * ((y - 65.0) / 28.0).powi(2)).exp();
            // nearer than 50 they are narrower than two cells each
            let resolved = 1.0 - (-(distance / 50.0).powi(4)).exp();
            with(light, 0.04 * ray * there * resolved)
        });
        let finding = find_aurora(&drawn, &raw());
        let rays = finding.structure.unwrap().rays.expect("rays");
        let met = rays.vanishing_px.expect("a point").map(|px| px / 12.0);
        let off = (met[0] - point[0]).hypot(met[1] - point[1]);
        let distance = (point[0] - 90.0).hypot(point[1] - 65.0);
        assert!(off < 0.1 * distance, "{met:?} for {point:?}, {} pieces", rays.pieces);
    }
}

#[test]
fn patches_and_veils_are_told_apart() {
    let light = lines([0.1, 1.0, 0.1]);
    let spots = [[40.0, 30.0], [100.0, 25.0], [140.0, 60.0], [60.0, 80.0], [110.0, 90.0]];
    let patchy = map(COLUMNS, ROWS, &|x, y| {
        let near = |[cx, cy]: &[f64; 2]| (-0.5 * (((x - cx).powi(2) + (y - cy).powi(2)) / 64.0).powi(2)).exp();
        with(light, 0.03 * spots.iter().map(near).sum::<f64>())
    });
    let structure = find_aurora(&patchy, &raw()).structure.unwrap();
    assert_eq!(structure.form, AuroraForm::Patches, "{structure:?}");
    assert_eq!(structure.pieces, 5);
    let wide = map(COLUMNS, ROWS, &|x, y| {
        with(light, 0.04 * (-0.5 * ((x - 90.0) / 40.0).powi(2) - 0.5 * ((y - 60.0) / 35.0).powi(2)).exp())
    });
    let structure = find_aurora(&wide, &raw()).structure.unwrap();
    assert_eq!(structure.form, AuroraForm::Veil, "{structure:?}");
}

#[test]
fn only_the_sky_that_is_told_counts() {
    let light = lines([0.1, 1.0, 0.1]);
    let drawn = map(COLUMNS, ROWS, &|x, y| with(light, 0.05 * band(x, y)));
    let sky: Vec<bool> = (0..COLUMNS * ROWS).map(|cell| cell / COLUMNS < 30).collect();
    let finding = find_aurora(&drawn, &AuroraContext { sky: &sky, ..raw() });
    assert!(finding.mask.iter().zip(&sky).all(|(aurora, sky)| !aurora || *sky));
    assert_ne!(finding.presence, AuroraPresence::Yes, "{:?}", finding.evidence);
}

#[test]
fn day_and_a_high_sun_overrule_colour() {
    let light = lines([0.1, 1.0, 0.1]);
    let drawn = map(COLUMNS, ROWS, &|x, y| with(light, 0.05 * band(x, y)));
    for context in [
        AuroraContext { luminance_cd_m2: Some(3000.0), ..raw() },
        AuroraContext { sun_altitude_deg: Some(12.0), ..raw() },
    ] {
        assert_ne!(find_aurora(&drawn, &context).presence, AuroraPresence::Yes);
    }
}

#[test]
fn the_evidence_adds_up_to_the_probability() {
    let light = lines([0.1, 1.0, 0.1]);
    let drawn = map(COLUMNS, ROWS, &|x, y| with(light, 0.002 * band(x, y)));
    let finding = find_aurora(&drawn, &raw());
    let sum: f64 = finding.evidence.iter().map(|evidence| evidence.log_odds).sum();
    assert!((finding.probability - 1.0 / (1.0 + (-sum).exp())).abs() < 1e-12);
    assert!(finding.evidence.iter().all(|evidence| !evidence.words.is_empty()));
}

#[test]
fn exposure_and_the_gains_of_a_camera_change_nothing() {
    let light = lines([0.1, 1.0, 0.1]);
    let of = |gains: [f64; 3]| {
        map(COLUMNS, ROWS, &|x, y| {
            let rgb = with(light, 0.02 * band(x, y));
            [0, 1, 2].map(|i| rgb[i] * gains[i])
        })
    };
    let plain = find_aurora(&of([1.0; 3]), &AuroraContext { neutral: Some([0.5, 1.0, 0.7]), ..raw() });
    for gains in [[3.0, 3.0, 3.0], [0.7, 1.0, 1.4]] {
        let neutral = Some([0.5 * gains[0] / gains[1], 1.0, 0.7 * gains[2] / gains[1]]);
        let other = find_aurora(&of(gains), &AuroraContext { neutral, ..raw() });
        assert_eq!(plain.presence, other.presence);
        assert!((plain.probability - other.probability).abs() < 0.01, "{} {}", plain.probability, other.probability);
    }
}

#[test]
fn a_grey_picture_in_three_channels_is_grey() {
    let drawn = map(COLUMNS, ROWS, &|x, y| [0.02 + 0.02 * band(x, y); 3]);
    let finding = find_aurora(&drawn, &raw());
    assert_eq!(finding.presence, AuroraPresence::CannotTell, "{:?}", finding.evidence);
    assert!(finding.lines.is_none());
}

#[test]
fn maps_without_anything_are_borne() {
    let empty = LightMap { columns: 0, rows: 0, cell_px: 12.0, channels: Vec::new() };
    assert_ne!(find_aurora(&empty, &AuroraContext::default()).presence, AuroraPresence::Yes);
    for value in [0.0, f64::NAN, f64::INFINITY, -1.0] {
        for (columns, rows) in [(1, 1), (1, 40), (40, 1), (40, 30)] {
            let drawn = map(columns, rows, &|_x, _y| [value; 3]);
            let finding = find_aurora(&drawn, &AuroraContext::default());
            assert_ne!(finding.presence, AuroraPresence::Yes, "{value} {columns} {rows}");
            assert!(finding.mask.iter().all(|aurora| !aurora));
        }
    }
    // channels of the wrong length
    let mut short = map(20, 20, &|_x, _y| SKY);
    short.channels[1].medians.truncate(7);
    assert_ne!(find_aurora(&short, &AuroraContext::default()).presence, AuroraPresence::Yes);
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(48))]

    #[test]
    fn any_map_gets_a_chance_between_none_and_one(
        levels in proptest::collection::vec(-0.1f32..1.2, 3 * 24 * 17),
        is_linear in any::<bool>(),
        luminance in proptest::option::of(1e-6..1e5f64),
        holes in proptest::collection::vec(0usize..3 * 24 * 17, 0..40),
    ) {
        let mut drawn = map(24, 17, &|_x, _y| SKY);
        for (channel, levels) in drawn.channels.iter_mut().zip(levels.chunks(24 * 17)) {
            channel.medians.copy_from_slice(levels);
        }
        for hole in holes {
            drawn.channels[hole % 3].medians[hole / 3] = f32::NAN;
        }
        let context = AuroraContext { is_linear, luminance_cd_m2: luminance, ..AuroraContext::default() };
        let finding = find_aurora(&drawn, &context);
        prop_assert!((0.0..=1.0).contains(&finding.probability));
        prop_assert!((0.0..=1.0).contains(&finding.extent.sky_share));
        prop_assert_eq!(finding.mask.len(), 24 * 17);
        prop_assert!(finding.mask.iter().zip(&finding.sky).all(|(aurora, sky)| !aurora || *sky));
        if let Some(lines) = finding.lines {
            prop_assert!((lines.shares.iter().sum::<f64>() - 1.0).abs() < 1e-9);
        }
    }
}
