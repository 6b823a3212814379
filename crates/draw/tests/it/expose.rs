//! Patches and cards of the settings: their pixels hold what the report says.

use draw::{CardsStyle, Palette, PatchStyle, expose_cards, expose_patch};
use job::{AskedBrightness, AskedSky, AuroraMotion, ExposeReport, ExposeRequest, Kit, ShootingPurpose, expose};

/// Largest patch: a page shows five of them.
const PATCH_BYTES: usize = 30_000;
/// Shades of the patch's picture; noise is read off to a shade.
const SHADES: f64 = 63.0;
/// Scatter of a patch's noise about the report's: 2 000 pixels give 2 per cent, stars and shades add as much again, three times over.
const NOISE_TOLERANCE: f64 = 0.15;

fn report(green_5577_kr: f64, motion: AuroraMotion) -> ExposeReport {
    expose(ExposeRequest {
        brightness: AskedBrightness::Given { green_5577_kr, low_kr: None, high_kr: None },
        colours: job::ColourShares::default(),
        kit: Kit::plain(),
        sky: AskedSky::Given { mag_arcsec2: 21.8 },
        pointing: None,
        least_declination_deg: None,
        motion: Some(motion),
        purpose: ShootingPurpose::Still,
        temperature_c: None,
        adaptation_minutes: 30.0,
    })
    .unwrap()
}

fn patch(report: &ExposeReport, setting: usize, palette: Palette) -> String {
    expose_patch(report, &report.settings[setting], &PatchStyle { width_px: 320.0, palette })
}

/// Bytes behind the address of the first image.
fn picture(svg: &str) -> Vec<u8> {
    let document = roxmltree::Document::parse(svg).unwrap();
    let image = document.descendants().find(|node| node.has_tag_name("image")).unwrap();
    let text = image.attribute("href").unwrap().strip_prefix("data:image/png;base64,").unwrap();
    let value = |letter: u8| match letter {
        b'A'..=b'Z' => letter - b'A',
        b'a'..=b'z' => letter - b'a' + 26,
        b'0'..=b'9' => letter - b'0' + 52,
        b'+' => 62,
        _ => 63,
    };
    let mut bytes = Vec::new();
    for group in text.trim_end_matches('=').as_bytes().chunks(4) {
        let bits = group.iter().enumerate().fold(0u32, |bits, (i, &l)| bits | u32::from(value(l)) << (18 - 6 * i));
        bytes.extend_from_slice(&bits.to_be_bytes()[1..group.len()]);
    }
    bytes
}

struct Decoded {
    width: usize,
    shades: Vec<u8>,
    colours: Vec<u8>,
}

fn decoded(svg: &str) -> Decoded {
    let decoder = png::Decoder::new(std::io::Cursor::new(picture(svg)));
    let mut reader = decoder.read_info().unwrap();
    let mut shades = vec![0; reader.output_buffer_size().unwrap()];
    let info = reader.next_frame(&mut shades).unwrap();
    let colours = reader.info().palette.as_ref().unwrap().to_vec();
    Decoded { width: info.width as usize, shades, colours }
}

/// Mean and deviation of the light in the patch's lower part, where the fold is full, in units of mid-grey's electrons.
fn bright_part(svg: &str) -> (f64, f64) {
    let picture = decoded(svg);
    let rows = picture.shades.chunks(picture.width);
    let light: Vec<f64> = rows.skip(84).flatten().map(|&shade| (f64::from(shade) / SHADES).powf(2.2) / 0.18).collect();
    // stars are few: the middle half of all pixels holds none
    let mut sorted = light.clone();
    sorted.sort_by(f64::total_cmp);
    let at = |share: f64| sorted[(share * (sorted.len() - 1) as f64) as usize];
    // half the width between the quartiles is 0.6745 deviations of a bell curve
    (at(0.5), (at(0.75) - at(0.25)) / (2.0 * 0.6745))
}

#[test]
fn a_patch_stands_where_the_histogram_says_with_the_noise_the_report_says() {
    for kr in [1.0, 8.0, 60.0] {
        let report = report(kr, AuroraMotion::QuietArc);
        for (index, setting) in report.settings.iter().enumerate() {
            let (mean, deviation) = bright_part(&patch(&report, index, Palette::Day));
            let wanted = 2f64.powf(setting.mid_grey_stops.value);
            assert!((mean / wanted).log2().abs() < 0.2, "{kr} kR, {}: {mean} for {wanted}", setting.dial);
            let total_e = setting.aurora_e[1].value + setting.sky_e[1].value;
            let noise = setting.noise_e / total_e;
            // one shade is as coarse as the noise of a clean patch
            let shade = 2.2 / SHADES / (0.18 * wanted).powf(2.2f64.recip());
            assert!(
                (deviation / mean - noise).abs() < NOISE_TOLERANCE * noise + 0.5 * shade,
                "{kr} kR, {}: {} for {noise}",
                setting.dial,
                deviation / mean
            );
        }
    }
}

#[test]
fn a_longer_exposure_has_longer_trails_and_fewer_edges() {
    let report = report(3.0, AuroraMotion::Rays);
    let (short, long) = (1, 0);
    assert!(report.settings[short].trail_px < report.settings[long].trail_px);
    // contrast between rows of a fold: the mean of rows, noise averaged out
    let contrast = |svg: &str| {
        let picture = decoded(svg);
        let rows: Vec<f64> = picture
            .shades
            .chunks(picture.width)
            .map(|row| row[..40].iter().map(|&shade| (f64::from(shade) / SHADES).powf(2.2)).sum::<f64>() / 40.0)
            .collect();
        let mean = rows.iter().sum::<f64>() / rows.len() as f64;
        rows.iter().map(|row| (row / mean - 1.0).powi(2)).sum::<f64>() / rows.len() as f64
    };
    let mut still = report.clone();
    for setting in &mut still.settings {
        setting.blur_px.value = 0.0;
    }
    let (smeared, sharp) =
        (contrast(&patch(&report, long, Palette::Day)), contrast(&patch(&still, long, Palette::Day)));
    assert!(sharp > 2.0 * smeared, "{sharp} without motion, {smeared} with");
}

#[test]
fn patches_are_the_same_every_time_and_small() {
    let report = report(5.0, AuroraMotion::Folds);
    for palette in Palette::ALL {
        let once = patch(&report, 0, palette);
        assert_eq!(once, patch(&report, 0, palette));
        assert!(once.len() < PATCH_BYTES, "{} bytes", once.len());
    }
}

#[test]
fn dark_eyes_see_red_alone_in_patches_and_cards() {
    let report = report(300.0, AuroraMotion::Breakup);
    for index in 0..report.settings.len() {
        let colours = decoded(&patch(&report, index, Palette::DarkEyes)).colours;
        assert!(colours.chunks(3).all(|c| c[1] == 0 && c[2] == 0));
    }
    let cards = expose_cards(&report, &CardsStyle { width_px: 390.0, palette: Palette::DarkEyes });
    let document = roxmltree::Document::parse(&cards).unwrap();
    for node in document.descendants() {
        let colour = node.attribute("fill").unwrap_or("none");
        assert!(colour == "none" || colour.ends_with("0000"), "{colour}");
    }
}

#[test]
fn the_sheet_names_every_setting_and_fits_its_width() {
    let report = report(5.0, AuroraMotion::Folds);
    for width_px in [340.0, 900.0, f64::NAN] {
        let cards = expose_cards(&report, &CardsStyle { width_px, palette: Palette::Print });
        let document = roxmltree::Document::parse(&cards).unwrap();
        let images = document.descendants().filter(|node| node.has_tag_name("image")).count();
        assert_eq!(images, report.settings.len());
        for setting in &report.settings {
            assert!(cards.contains(&setting.dial), "{} at {width_px}", setting.dial);
        }
    }
}
