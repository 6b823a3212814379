//! The demo's night of frames: drawn from the physics by `scene`, with faults that are known, and sorted as any other.

use std::collections::{BTreeMap, BTreeSet};
use std::fmt::Write;
use std::fs;
use std::path::{Path, PathBuf};
use std::sync::atomic::AtomicBool;

use job::FrameVerdict;
use journal::Journal;
use quantity::{GeoPosition, Timestamp};
use rayon::prelude::*;
use scene::{Development, Dud, Night, Planned, Stage};

use super::demo_station;
use crate::failure::Failure;
use crate::present_sort;
use crate::sorting::{NightQuestion, PreparedNight};

/// Frames of the night that the drawn ones are taken from: the shortest in which every kind of fault has its place.
const NIGHT: usize = 60;
/// Of its good frames each so-manieth is drawn: enough for a pointing's usual star count, and some seconds' work.
const EVERY: usize = 3;
/// What a drawn night that is whole has beside its frames.
const WHOLE: &str = "invented.txt";

/// The folder of the frames: beside the demo's journal.
pub(super) fn folder(journal: &Path) -> PathBuf {
    journal.with_file_name("invented-night")
}

/// The frames that are drawn: one of each fault, and good ones from all over the night.
fn chosen(night: &Night) -> Vec<&Planned> {
    let mut kinds = BTreeSet::new();
    let mut good = 0_usize;
    let is_drawn = |frame: &&Planned| {
        if let Some(dud) = frame.dud {
            return kinds.insert(format!("{dud:?}"));
        }
        good += 1;
        good % EVERY == 1
    };
    night.frames.iter().filter(is_drawn).collect()
}

/// A drawn frame, and the truth about it.
pub(super) struct Drawn {
    pub(super) path: PathBuf,
    pub(super) taken_at: Timestamp,
    pub(super) place: GeoPosition,
}

/// The frames that were drawn without a fault.
pub(super) fn good_frames(folder: &Path) -> Result<Vec<Drawn>, Failure> {
    let night = invented()?;
    let good = chosen(&night).into_iter().filter(|frame| frame.dud.is_none());
    Ok(good
        .map(|frame| Drawn {
            path: folder.join(file_name(frame)),
            taken_at: frame.spec.opens_at,
            place: frame.spec.place,
        })
        .collect())
}

/// Draws the frames; a night that is whole is left as it is.
pub(super) fn draw(folder: &Path) -> Result<(), Failure> {
    let whole = folder.join(WHOLE);
    if whole.is_file() {
        return Ok(());
    }
    let night = invented()?;
    fs::create_dir_all(folder).map_err(|error| cannot_write(folder, &error))?;
    let frames = chosen(&night);
    let Some(first) = frames.first() else { return Ok(()) };
    let station = folder.join(demo_station::FILE);
    fs::write(&station, demo_station::iaga_2002(first.spec.opens_at))
        .map_err(|error| cannot_write(&station, &error))?;
    let stage = Stage::new(first.spec.place, first.spec.forms_epoch).map_err(|error| not_drawn(&error))?;
    frames.par_iter().try_for_each(|frame| {
        let rendered = stage.render(&frame.spec, frame.seed).map_err(|error| not_drawn(&error))?;
        let jpeg = rendered.to_jpeg(&Development::default()).map_err(|error| not_drawn(&error))?;
        let path = folder.join(file_name(frame));
        fs::write(&path, jpeg).map_err(|error| cannot_write(&path, &error))
    })?;
    // last, so that a night that was stopped half way is drawn again
    let said = "These frames are invented: drawn from the physics for the demo, no photographs.\n";
    fs::write(&whole, said).map_err(|error| cannot_write(&whole, &error))
}

/// Sorts the folder by the road of `quietarc sort`, and says how that stands to what is known of the frames.
pub(super) fn sorted(journal: &mut Journal, folder: &Path) -> Result<String, Failure> {
    let question = NightQuestion { folder: folder.to_owned(), ..NightQuestion::default() };
    let prepared = PreparedNight::new(journal, &question, None)?;
    let sorted = prepared.sorted(journal, None, &AtomicBool::new(false), &mut |_step| {})?;
    let night = invented()?;
    let planted: BTreeMap<String, Option<Dud>> =
        chosen(&night).into_iter().map(|frame| (file_name(frame), frame.dud)).collect();
    let planted_in = |name: &str| planted.get(name).copied().flatten();
    let thrown = || sorted.report.frames.iter().filter(|frame| frame.verdict == FrameVerdict::Dud);
    let found = thrown().filter(|frame| planted_in(&frame.name).is_some()).count();
    let all = planted.values().flatten().count();
    let mut done = vec![
        format!("in {}", folder.display()),
        format!("{all} frames were spoilt on purpose: {found} of them are called duds"),
    ];
    for (name, dud) in &planted {
        let is_out = thrown().any(|frame| frame.name == *name);
        match dud {
            Some(dud) if !is_out => done.push(format!("{name} was spoilt ({dud:?}), and that went unnoticed")),
            None if is_out => done.push(format!("{name} is called a dud, though nothing was done to it")),
            _ => {}
        }
    }
    let mut out = String::new();
    let _written = writeln!(out, "== A night of frames, invented (drawn, no photographs)\n");
    out.push_str(&present_sort::sort(&sorted.report, &done));
    Ok(out)
}

fn invented() -> Result<Night, Failure> {
    Night::invented(NIGHT).ok_or_else(|| {
        Failure::new("the invented night is not whole", "run the demo with --no-night, and report this as a fault")
    })
}

fn file_name(frame: &Planned) -> String {
    format!("{}.jpg", frame.name)
}

fn not_drawn(error: &scene::SceneError) -> Failure {
    Failure::new(
        format!("the invented night cannot be drawn: {error}"),
        "run the demo with --no-night, and report this as a fault",
    )
}

fn cannot_write(path: &Path, error: &std::io::Error) -> Failure {
    Failure::new(
        format!("{} cannot be written: {error}", path.display()),
        "give --journal in a folder you can write to, with room on its disk; or --no-night",
    )
}
