//! Every real picture at hand: what the check says of it beside what is known, and floors below which nothing may fall.
//!
//! `cargo xtask real-frames` writes the same table to `docs/real-frames.md`.

mod forms;
mod known;
mod table;

use std::path::PathBuf;

use job::{AuroraPresence, BodyInFrame, CheckReport, CheckRequest, CheckedScene, check};

use self::known::{Known, solved};

/// A picture, what is known of it and what the check says.
struct Looked {
    known: Known,
    report: CheckReport,
    /// The form that its reading tells, where the table is written.
    form: String,
}

/// All pictures that are at hand, in the order of their names; none where the folder is absent (a fresh clone).
#[expect(clippy::disallowed_methods, reason = "the crate takes bytes; its tests may read them from a file")]
fn look_at_all() -> Vec<Looked> {
    let beside = || PathBuf::from(env!("CARGO_MANIFEST_DIR")).join("../../../shared/frames");
    let folder = std::env::var_os("QUIETARC_FRAMES").map_or_else(beside, PathBuf::from);
    known::all()
        .into_iter()
        .filter_map(|known| {
            let bytes = std::fs::read(folder.join(&known.file)).ok()?;
            let request = CheckRequest {
                name: known.file.clone(),
                position: known.position(),
                at: known.at(),
                ..CheckRequest::default()
            };
            let is_asked = table::is_asked() || known.aurora == "no";
            let form = if is_asked { forms::told(&known, &bytes) } else { String::new() };
            Some(Looked { report: check(&request, &bytes), known, form })
        })
        .collect()
}

/// Certainty of a label from which it counts, per cent.
const SURE_LABEL: f64 = 80.0;
/// Share of the pictures with aurora that must be told to hold it: the others may be "cannot tell".
const LEAST_AURORA_TOLD: f64 = 0.6;
/// Share of the pictures without aurora that must be told to hold none.
const LEAST_NONE_TOLD: f64 = 0.6;
/// Share of the moons that must be seen: veiled ones are not.
const LEAST_MOON_TOLD: f64 = 0.5;
/// Share of the pictures that other programs solved which must be solved.
const LEAST_SOLVED: f64 = 0.7;
/// Two solutions of one picture agree to this, degrees (of the table).
const CENTRE_DEG: f64 = 1.0;
/// And their widths to this, relative (of the table).
const WIDTH: f64 = 0.03;
/// Labels by eye are good to 0.15 in a fraction; the middle half of all pictures must be within twice that.
const FRACTION: f64 = 0.3;

/// One test, so that every picture is looked at once.
#[test]
#[expect(clippy::print_stderr, reason = "a test that was left out must say so")]
fn real_frames_are_told_as_they_are_known() {
    let all = look_at_all();
    if all.is_empty() {
        eprintln!("left out: no real pictures at hand; QUIETARC_FRAMES names their folder");
        return;
    }
    table::write_where_asked(&all);
    let floors = Floors::of(&all);
    assert!(floors.wrong.is_empty(), "{:#?}", floors.wrong);
    for (what, [told, of], least) in [
        ("aurora told", floors.aurora_told, LEAST_AURORA_TOLD),
        ("none told", floors.none_told, LEAST_NONE_TOLD),
        ("lenses solved", floors.solved, LEAST_SOLVED),
        ("cloud near the label", floors.cloud_near, 0.5),
        ("foreground near the label", floors.foreground_near, 0.5),
        ("moon as labelled", floors.moon_told, LEAST_MOON_TOLD),
    ] {
        eprintln!("{what}: {told} of {of}");
        assert!(f64::from(told) >= least * f64::from(of), "{what}: {told} of {of}");
    }
}

/// What is counted over all pictures: `[right, of]`.
#[derive(Default)]
struct Floors {
    aurora_told: [u32; 2],
    none_told: [u32; 2],
    solved: [u32; 2],
    cloud_near: [u32; 2],
    foreground_near: [u32; 2],
    moon_told: [u32; 2],
    /// What must never be: each in a sentence.
    wrong: Vec<String>,
}

impl Floors {
    fn of(all: &[Looked]) -> Self {
        let mut floors = Self::default();
        for looked in all {
            floors.aurora(looked);
            floors.lens(looked);
            floors.readable(looked);
            if let (Some(by_eye), Some(cloud)) = (looked.known.cloud, &looked.report.cloud_fraction) {
                count(&mut floors.cloud_near, (cloud.value - by_eye).abs() <= FRACTION);
            }
            if let (Some(by_eye), Some(foreground)) = (looked.known.foreground, &looked.report.foreground_fraction) {
                count(&mut floors.foreground_near, (foreground.value - by_eye).abs() <= FRACTION);
            }
            let moon = looked.report.body.is_some_and(|found| found.body == BodyInFrame::Moon);
            match looked.known.moon.as_str() {
                "yes" => count(&mut floors.moon_told, moon),
                "no" if moon => floors.wrong.push(format!("{}: a moon is seen that is not there", looked.known.file)),
                _ => {}
            }
        }
        floors
    }

    fn aurora(&mut self, Looked { known, report, form }: &Looked) {
        if known.aurora == "no" && forms::is_told(form) {
            self.wrong.push(format!("{}: a form where there is no aurora: {form}", known.file));
        }
        let Some(aurora) = &report.aurora else { return };
        let sure = known.certainty.is_some_and(|certainty| certainty >= SURE_LABEL);
        match known.aurora.as_str() {
            // what no aurora is in is told or left open, never called one: however sure the label is
            "no" => {
                if aurora.present == AuroraPresence::Yes {
                    self.wrong.push(format!("{}: called aurora: {:?}", known.file, aurora.words));
                }
                if sure {
                    count(&mut self.none_told, aurora.present == AuroraPresence::No);
                }
            }
            "yes" if sure => {
                if aurora.present == AuroraPresence::No {
                    self.wrong.push(format!("{}: its aurora is denied: {:?}", known.file, aurora.words));
                }
                count(&mut self.aurora_told, aurora.present == AuroraPresence::Yes);
            }
            _ => {}
        }
    }

    /// No sound picture that somebody looked at is called unreadable.
    fn readable(&mut self, Looked { known, report, .. }: &Looked) {
        let is_sound =
            !known.scene.is_empty() && !known.file.starts_with("corrupt/") && !known.file.starts_with("video/");
        // a research format of its own, and a kind of HEIC that is known to be refused (`docs/frames.md`)
        let is_refused = known.file.to_ascii_lowercase().ends_with(".img") || report.scene_why.contains("ipma");
        if report.scene == CheckedScene::Unreadable && is_sound && !is_refused {
            self.wrong.push(format!("{}: not read: {}", known.file, report.summary));
        }
    }

    fn lens(&mut self, Looked { known, report, .. }: &Looked) {
        let Some(by_others) = solved(&known.file) else { return };
        let lens = report.lens.as_ref().filter(|lens| lens.solved);
        if by_others.elsewhere == "yes" {
            count(&mut self.solved, lens.is_some());
        }
        let Some(lens) = lens else { return };
        if by_others.elsewhere == "no_stars" {
            self.wrong.push(format!("{}: solved without stars", known.file));
        }
        if let (Some(ra), Some(dec), Some(found_ra), Some(found_dec)) =
            (by_others.ra_deg, by_others.dec_deg, lens.ra_deg, lens.dec_deg)
        {
            let east = ((found_ra - ra + 540.0).rem_euclid(360.0) - 180.0) * dec.to_radians().cos();
            let off = east.hypot(found_dec - dec);
            if off > CENTRE_DEG {
                self.wrong.push(format!("{}: looks {off:.1} degrees beside", known.file));
            }
            if let (Some(width), Some([found_width, _])) = (by_others.width_deg, lens.field_deg)
                && (found_width / width - 1.0).abs() > WIDTH
            {
                self.wrong.push(format!("{}: {found_width:.1} degrees wide, not {width:.1}", known.file));
            }
        }
    }
}

fn count(pair: &mut [u32; 2], right: bool) {
    pair[0] += u32::from(right);
    pair[1] += 1;
}
