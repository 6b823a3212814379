//! A sky that pulsates, read through the program from frames rendered by `scene`: no real sequence whose period is known is at
//! hand. The periods and their share of time on are those of published patches (2 to 20 s, on for a half: Nishimura et al. 2020,
//! Space Sci. Rev. 216, 4).

use std::path::Path;

use jiff::SignedDuration;
use scene::{Development, Form, Pulsation, SceneSpec, render, sample};
use serde_json::Value;

use crate::program::{quietarc, stderr, stdout};

/// Period of all patches, s, and the share of it in which they are on.
const PERIOD_S: f64 = 12.0;
const ON_SHARE: f64 = 0.5;
/// Exposure and time from frame to frame, s.
const EXPOSURE_S: f64 = 2.0;
const STEP_S: f64 = 2.5;
/// Frames: eighteen periods.
const FRAMES: i32 = 88;
/// How far a measured period may be off, as a share: the line of 220 s is 1/18 of the frequency wide, its middle known better.
const PERIOD_SHARE: f64 = 0.04;
/// How far times on and off may be off, s: one step at either end.
const ON_OFF_S: f64 = 2.0 * STEP_S;

/// Frames of pulsating patches, or of the same patches at rest.
fn frames(folder: &Path, pulsates: bool) {
    let mut spec = sample("pulsating").unwrap();
    (spec.kit.sensor.pixel_um, spec.kit.sensor.width_px, spec.kit.sensor.height_px) = (60.0, 600, 400);
    (spec.exposure.seconds, spec.exposure.iso) = (EXPOSURE_S, 6_400.0);
    for form in &mut spec.aurora {
        if let Form::Glow(glow) = form
            && let Some(pulsation) = &mut glow.pulsation
        {
            *pulsation = Pulsation { period_s: PERIOD_S, on_share: ON_SHARE, ..*pulsation };
            if !pulsates {
                glow.pulsation = None;
            }
        }
    }
    let one = |number: i32| {
        let late = SignedDuration::from_secs_f64(STEP_S * f64::from(number));
        let spec = SceneSpec { opens_at: spec.opens_at + late, ..spec.clone() };
        let jpeg = render(&spec, 100 + u64::try_from(number).unwrap()).unwrap().to_jpeg(&Development::default());
        std::fs::write(folder.join(format!("{number:03}.jpg")), jpeg.unwrap()).unwrap();
    };
    std::thread::scope(|scope| {
        scope.spawn(|| (0..FRAMES / 2).for_each(one));
        (FRAMES / 2..FRAMES).for_each(one);
    });
}

fn read(folder: &Path, more: &[&str]) -> Value {
    let output = quietarc(&[&["read", "--json", folder.to_str().unwrap()], more].concat());
    assert_eq!(output.status.code(), Some(0), "{}", stderr(&output));
    serde_json::from_str(&stdout(&output)).unwrap()
}

/// Rows of a table by the names of its columns.
fn rows(path: &Path) -> Vec<Vec<(String, String)>> {
    let mut reader = csv::Reader::from_path(path).unwrap();
    let names: Vec<String> = reader.headers().unwrap().iter().map(str::to_owned).collect();
    let row = |row: csv::StringRecord| names.iter().cloned().zip(row.iter().map(str::to_owned)).collect();
    reader.records().map(|record| row(record.unwrap())).collect()
}

fn number(row: &[(String, String)], name: &str) -> f64 {
    row.iter().find(|(column, _)| column == name).unwrap().1.parse().unwrap()
}

#[test]
fn a_rendered_pulsation_is_found_with_its_period_and_a_steady_sky_has_none() {
    let folder = tempfile::tempdir().unwrap();
    let (sky, out) = (folder.path().join("sky"), folder.path().join("out"));
    for made in [&sky, &out] {
        std::fs::create_dir(made).unwrap();
    }
    frames(&sky, true);
    let file = |name: &str| out.join(name);
    let (spectra, periods, table, ewogram) =
        (file("spectra.csv"), file("periods.csv"), file("table.csv"), file("across.svg"));
    let report = read(
        &sky,
        &[
            "--spectra",
            spectra.to_str().unwrap(),
            "--periods",
            periods.to_str().unwrap(),
            "--table",
            table.to_str().unwrap(),
            "--ewogram",
            ewogram.to_str().unwrap(),
            "--azimuth",
            "350",
        ],
    );
    assert_eq!(report["lens"]["solved"], true, "{}", report["lens"]);
    let pulsation = &report["pulsation"];
    let patches = pulsation["patches"].as_array().unwrap();
    assert!(!patches.is_empty(), "{pulsation}");
    for patch in patches {
        let period_s = patch["period_s"].as_f64().unwrap();
        assert!((period_s / PERIOD_S - 1.0).abs() < PERIOD_SHARE, "{patch}");
    }
    // the mean spectrum is highest there, at a frequency that these frames could show
    let spectrum = rows(&spectra);
    let highest = spectrum.iter().max_by(|a, b| number(a, "power").total_cmp(&number(b, "power"))).unwrap();
    assert!((number(highest, "frequency_hz") * PERIOD_S - 1.0).abs() < 2.0 * PERIOD_SHARE, "{highest:?}");
    assert!((number(highest, "could_be_shown") - 1.0).abs() < f64::EPSILON);
    // cells of the period map, each with how long it is on and off
    let cells = rows(&periods);
    assert!(cells.len() >= patches.len(), "{} cells", cells.len());
    let near = cells.iter().filter(|cell| (number(cell, "period_s") / PERIOD_S - 1.0).abs() < PERIOD_SHARE);
    assert!(near.count() * 10 >= cells.len() * 9, "{cells:?}");
    let timed = || cells.iter().filter(|cell| cell.iter().all(|(_, value)| !value.is_empty()));
    assert!(timed().count() > 0, "{cells:?}");
    for cell in timed() {
        assert!((number(cell, "on_s") - ON_SHARE * PERIOD_S).abs() <= ON_OFF_S, "{cell:?}");
        assert!((number(cell, "off_s") - (1.0 - ON_SHARE) * PERIOD_S).abs() <= ON_OFF_S, "{cell:?}");
    }
    // the keogram's line is the one asked for, and its table holds every time and place of it
    let keogram = &report["keogram"];
    assert!((keogram["azimuth_deg"].as_f64().unwrap() - 350.0).abs() < 1e-6, "{}", keogram["azimuth_deg"]);
    let lit = keogram["columns"].as_array().unwrap().iter().flat_map(|column| column["values"].as_array().unwrap());
    let lit: Vec<f64> = lit.filter_map(Value::as_f64).collect();
    let told: Vec<f64> = rows(&table).iter().map(|row| number(row, "light")).collect();
    assert_eq!(told.len(), lit.len());
    assert!(told.iter().zip(&lit).all(|(told, lit)| (told - lit).abs() <= 1e-4 * lit.abs().max(1.0)));
    let drawn = std::fs::read_to_string(&ewogram).unwrap();
    assert!(drawn.starts_with("<svg") && drawn.contains("data-from=\"2026-11-10T20:29:59"), "{}", &drawn[..300]);
    // it runs across the magnetic meridian, which is some ten degrees from true north there
    let across = report["ewogram"]["azimuth_deg"].as_f64().unwrap().rem_euclid(180.0);
    assert!((60.0..130.0).contains(&across), "{across}");

    let steady = folder.path().join("steady");
    std::fs::create_dir(&steady).unwrap();
    frames(&steady, false);
    let report = read(&steady, &[]);
    assert!(report["pulsation"]["patches"].as_array().unwrap().is_empty(), "{}", report["pulsation"]["patches"]);
}
