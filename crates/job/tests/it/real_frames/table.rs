//! The table of `docs/real-frames.md`.

use std::fmt::Write as _;

use job::{AuroraPresence, CheckReport};
use quantity::Estimate;

use super::Looked;
use super::known::solved;

/// Where to write it: a path.
const ASKED_BY: &str = "QUIETARC_REAL_FRAMES_TABLE";

/// Whether it is to be written.
pub(super) fn is_asked() -> bool {
    std::env::var_os(ASKED_BY).is_some()
}

/// Writes the table to the file that the environment names, if it names one.
#[expect(clippy::disallowed_methods, reason = "made for a document, by a test that reads pictures anyway")]
pub(super) fn write_where_asked(all: &[Looked]) {
    if let Some(path) = std::env::var_os(ASKED_BY) {
        std::fs::write(path, document(all)).unwrap();
    }
}

const HEAD: &str = "# What is said of real pictures

Made by `cargo xtask real-frames FOLDER`; the pictures are others' and lie elsewhere. *By eye* are labels of one person who looked once. Where a station and a time are known they were given; nothing else was. The form is what `read` tells of the picture by itself.
The tests assert floors on this table (`crates/job/tests/it/real_frames`): no picture labelled as without aurora is called aurora, none with a sure aurora is denied it, no form is named where there is none, no lens solution is wrong.

";

fn document(all: &[Looked]) -> String {
    let mut text = HEAD.to_owned();
    let mut folder = "";
    for looked in all {
        let (of, name) = looked.known.file.split_once('/').unwrap_or(("", &looked.known.file));
        if of != folder {
            folder = of;
            // writing to a String cannot fail
            let _written = write!(
                text,
                "\n## {folder}\n\n| picture | what it is | scene: by eye | said | aurora: by eye | said | stars | lens | cloud: by eye | said | not sky: by eye | said | sky, mag/arcsec2 | form told by read |\n|---|---|---|---|---|---|---|---|---|---|---|---|---|---|\n"
            );
        }
        let _written = writeln!(text, "{}", row(name, looked));
    }
    text
}

fn row(name: &str, Looked { known, report, form }: &Looked) -> String {
    let certainty = known.certainty.map_or_else(String::new, |certainty| format!(" {certainty:.0} %"));
    let cells = [
        name.to_owned(),
        known.what.clone(),
        known.scene.clone(),
        scene(report),
        format!("{}{certainty}", known.aurora),
        aurora(report),
        stars(report),
        lens(&known.file, report),
        known.cloud.map_or_else(String::new, |cloud| format!("{cloud:.2}")),
        report.cloud_fraction.as_ref().map_or_else(String::new, |cloud| figures(cloud, 2)),
        known.foreground.map_or_else(String::new, |foreground| format!("{foreground:.2}")),
        report.foreground_fraction.as_ref().map_or_else(String::new, |foreground| figures(foreground, 2)),
        report.sky_mag_arcsec2.as_ref().map_or_else(String::new, |sky| figures(sky, 1)),
        form.clone(),
    ];
    format!("| {} |", cells.map(|cell| cell.replace('|', "/")).join(" | "))
}

/// The word of the JSON for a plain enumeration.
fn word(value: impl serde::Serialize) -> String {
    serde_json::to_value(value).unwrap().as_str().unwrap_or_default().to_owned()
}

fn scene(report: &CheckReport) -> String {
    let body = report.body.map_or_else(String::new, |found| format!(", {} in the frame", word(found.body)));
    format!("{}{body}", word(report.scene))
}

fn aurora(report: &CheckReport) -> String {
    let Some(aurora) = &report.aurora else { return String::new() };
    let mut text = format!("{} ({:.2})", word(aurora.present), aurora.probability);
    if aurora.present != AuroraPresence::No
        && let Some(brightest) = &aurora.brightest_kr
    {
        let _written = write!(text, ", brightest {} kR", figures(brightest, 1));
    }
    text
}

fn stars(report: &CheckReport) -> String {
    match (report.stars.alike, report.stars.hfd_px) {
        (true, Some(hfd_px)) => format!("{}, HFD {hfd_px:.1} px", report.stars.count),
        _ => String::new(),
    }
}

fn lens(file: &str, report: &CheckReport) -> String {
    let others = match solved(file) {
        Some(row) if row.elsewhere == "yes" => ", elsewhere too",
        Some(_) => ", not elsewhere",
        None => "",
    };
    match &report.lens {
        Some(lens) if lens.solved => format!(
            "{:.0} x {:.0} degrees, {} stars, {:.2} px{others}",
            lens.field_deg.map_or(f64::NAN, |field| field[0]),
            lens.field_deg.map_or(f64::NAN, |field| field[1]),
            lens.matched.unwrap_or_default(),
            lens.residual_px.unwrap_or(f64::NAN),
        ),
        Some(lens) => format!("no: {}", lens.why_not.as_deref().unwrap_or_default()),
        None => String::new(),
    }
}

fn figures(estimate: &Estimate, places: usize) -> String {
    format!("{:.places$} ({:.places$} to {:.places$})", estimate.value, estimate.low, estimate.high)
}
