//! The sequence that a page reads: one at a time, beside the threads that answer.

use std::ops::ControlFlow;
use std::path::{Path, PathBuf};
use std::sync::atomic::{AtomicBool, Ordering};
use std::sync::{Arc, Mutex};
use std::time::Instant;

use feeds::Settings;
use feeds::magnetometer::Magnetogram;
use job::{AssumedView, ReadReport, ReadRequest};
use journal::{Journal, OutingId, ReadingId};
use serde::{Deserialize, Serialize};
use tokio::sync::watch;

use super::frame_folders::FrameFolders;
use super::night::{FaultLine, locked};
use crate::Failure;
use crate::reading::{FrameAt, ReadStep, Recorded, Told, keeping_beside, read_watched};
use crate::sorting::{Pace, real_folder, time_left};
use crate::stored_feeds::StoredFeeds;

/// What a file counts for where the pace is taken; all count alike, the pace is rounded down to whole ones.
const OF_ONE_FILE: u64 = 1000;

/// What a person asks about a folder.
#[derive(Debug, Clone, Default, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub(super) struct ReadQuestion {
    /// The folder of the frames.
    folder: PathBuf,
    /// The outing they belong to: its site and kit are taken where none is named.
    #[serde(default)]
    outing: Option<i64>,
    /// Keep the report with that outing.
    #[serde(default)]
    keep: bool,
    /// A site of the journal, by name.
    #[serde(default)]
    site: Option<String>,
    /// A kit of the journal, by name.
    #[serde(default)]
    kit: Option<String>,
    /// How far the camera's clock is ahead of UTC, hours, for cameras that do not say.
    #[serde(default)]
    utc_offset_h: Option<f64>,
    /// Height of the light, km.
    #[serde(default)]
    height_km: Option<f64>,
    /// One standard deviation of it, km.
    #[serde(default)]
    height_sigma_km: Option<f64>,
    /// A magnetogram of the same time.
    #[serde(default)]
    magnetogram: Option<PathBuf>,
    /// The frames are all-sky pictures that look straight up.
    #[serde(default)]
    all_sky: bool,
}

/// A question that is understood.
pub(super) struct PreparedRead {
    folder: PathBuf,
    request: ReadRequest,
    told: Told,
    magnetic: Option<Magnetogram>,
    keep: Option<OutingId>,
}

impl PreparedRead {
    /// # Errors
    ///
    /// A name that is not in the journal, a folder that is not there or not admitted, a magnetogram that cannot be read, a number out
    /// of range.
    pub(super) fn new(journal: &Journal, folders: &FrameFolders, question: &ReadQuestion) -> Result<Self, Failure> {
        let folder = real_folder(&question.folder)?;
        folders.admit(&folder)?;
        let outing = question.outing.map(|id| journal.outing(OutingId::new(id))).transpose()?;
        let site = question.site.as_deref().map(|name| journal.site_named(name)).transpose()?.map(|stored| stored.site);
        let kit = question.kit.as_deref().map(|name| journal.kit_named(name)).transpose()?.map(|stored| stored.kit);
        let usual = ReadRequest::default();
        let request = ReadRequest {
            position: site.or_else(|| outing.as_ref().map(|outing| outing.site.clone())).map(|site| site.position),
            kit: kit.or_else(|| outing.as_ref().map(|outing| outing.kit.clone())),
            height_km: question.height_km.unwrap_or(usual.height_km),
            height_sigma_km: question.height_sigma_km.unwrap_or(usual.height_sigma_km),
            assumed: question.all_sky.then_some(AssumedView::AllSky {
                top_azimuth_deg: None,
                mirrored: false,
                zenith_px: None,
                radius_px: None,
            }),
            ..usual
        };
        request.check()?;
        let magnetic = question.magnetogram.as_deref().map(|path| magnetogram(path, folders)).transpose()?;
        let utc_offset_s = crate::commands::read::offset_s(question.utc_offset_h)?;
        if question.keep && outing.is_none() {
            return Err(Failure {
                field: Some("outing".to_owned()),
                ..Failure::new("no outing is named to keep the reading with", "pick an outing, or do not keep it")
            });
        }
        let keep = outing.filter(|_| question.keep).map(|outing| outing.id);
        Ok(Self { folder, request, told: Told { utc_offset_s, start: None }, magnetic, keep })
    }
}

fn magnetogram(path: &Path, folders: &FrameFolders) -> Result<Magnetogram, Failure> {
    let named = |failure: Failure| Failure { field: Some("magnetogram".to_owned()), ..failure };
    let read = || {
        let real = path.canonicalize().map_err(|error| {
            Failure::new(
                format!("the magnetogram {} cannot be read: {error}", path.display()),
                "give a file in the form IAGA-2002, or JSON of the US Geological Survey",
            )
        })?;
        folders.admit(&real)?;
        let bytes = crate::commands::read(&real)?;
        Ok::<_, Failure>(feeds::magnetometer::parse_magnetogram(&bytes, &real.display().to_string())?)
    };
    read().map_err(named)
}

/// How far a reading has come.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
#[serde(rename_all = "snake_case")]
pub(super) enum ReadPhase {
    Reading,
    /// The report is there; it is of the first frames only where `stopped`.
    Done,
    Failed,
}

/// How a reading stands.
#[derive(Debug, Clone, Serialize)]
pub(super) struct ReadStanding {
    pub(super) phase: ReadPhase,
    /// What it is doing and how far it is, in words.
    words: String,
    /// Files done.
    done: usize,
    /// Files in all; 0 before they are counted.
    of: usize,
    /// Time left, s, as far as that can be said.
    left_s: Option<u64>,
    /// Somebody ended it early.
    stopped: bool,
    /// The number under which it is kept in the journal.
    kept: Option<ReadingId>,
    /// Why there is no report, or why it is not kept.
    problem: Option<FaultLine>,
}

/// One reading.
pub(super) struct Read {
    pub(super) question: ReadQuestion,
    pub(super) standing: watch::Sender<ReadStanding>,
    frames: Mutex<Vec<FrameAt>>,
    report: Mutex<Option<Arc<ReadReport>>>,
    stop: AtomicBool,
}

impl Read {
    fn new(question: ReadQuestion) -> Self {
        let standing = ReadStanding {
            phase: ReadPhase::Reading,
            words: "putting the files in order of time".to_owned(),
            done: 0,
            of: 0,
            left_s: None,
            stopped: false,
            kept: None,
            problem: None,
        };
        Self {
            question,
            standing: watch::channel(standing).0,
            frames: Mutex::default(),
            report: Mutex::default(),
            stop: AtomicBool::new(false),
        }
    }

    /// Ends the reading; what was read is reported.
    pub(super) fn stop(&self) {
        self.stop.store(true, Ordering::Relaxed);
    }

    pub(super) fn report(&self) -> Option<Arc<ReadReport>> {
        locked(&self.report).clone()
    }

    pub(super) fn frames(&self) -> Vec<FrameAt> {
        locked(&self.frames).clone()
    }

    /// Notes that the report is in the journal.
    pub(super) fn keep(&self, id: ReadingId) {
        self.standing.send_modify(|standing| standing.kept = Some(id));
    }

    fn work(&self, prepared: PreparedRead, journal: &Path, settings: &Settings) {
        let PreparedRead { folder, request, told, magnetic, keep } = prepared;
        let mut pace = None;
        let mut take = |step: ReadStep<'_>| self.take(&step, &mut pace);
        let space = |span| {
            let journal = Journal::open(journal)?;
            StoredFeeds::new(&journal, settings, quantity::Timestamp::now()).beside_frames(span).map(Some)
        };
        let recorded = Recorded { magnetogram: magnetic.as_ref(), space: &space };
        let keeping = keeping_beside(journal);
        let read = read_watched(&[folder], request, told, &recorded, keeping.as_deref(), &mut take);
        let failed = |failure: Failure| FaultLine::of(&failure);
        match read {
            Ok(report) => {
                let stopped = self.stop.load(Ordering::Relaxed);
                // part of a night is shown, and not kept in the place of a whole one
                let kept = keep.filter(|_| !stopped).map(|outing| {
                    let at = quantity::Timestamp::now();
                    Ok::<_, Failure>(Journal::open(journal)?.record_reading(outing, at, &report)?)
                });
                let words = format!("{} frames read, {} left out", report.frames.read, report.frames.skipped);
                *locked(&self.report) = Some(Arc::new(report));
                self.standing.send_modify(|standing| {
                    (standing.phase, standing.words, standing.left_s) = (ReadPhase::Done, words, None);
                    standing.stopped = stopped;
                    match kept {
                        Some(Ok(id)) => standing.kept = Some(id),
                        Some(Err(failure)) => standing.problem = Some(failed(failure)),
                        None => {}
                    }
                });
            }
            Err(failure) => self.standing.send_modify(|standing| {
                standing.phase = ReadPhase::Failed;
                standing.problem = Some(failed(failure));
            }),
        }
    }

    fn take(&self, step: &ReadStep<'_>, pace: &mut Option<Pace>) -> ControlFlow<()> {
        match step {
            ReadStep::Ordered(count) => {
                *pace = Some(Pace::new(Instant::now(), 0, *count, *count as u64 * OF_ONE_FILE));
                self.standing.send_modify(|standing| {
                    standing.of = *count;
                    "looking for the lens in stars of some frames".clone_into(&mut standing.words);
                });
            }
            ReadStep::Frame(frame) => locked(&self.frames).push((*frame).clone()),
            ReadStep::FileDone => {
                if let Some(pace) = pace {
                    let progress = pace.done(Instant::now(), OF_ONE_FILE);
                    let left =
                        progress.left.map_or_else(String::new, |left| format!(", about {} left", time_left(left)));
                    self.standing.send_modify(|standing| {
                        standing.words = format!("{} of {} files read{left}", progress.measured, progress.to_measure);
                        standing.done = progress.measured;
                        standing.left_s = progress.left.map(|left| left.as_secs());
                    });
                }
            }
        }
        if self.stop.load(Ordering::Relaxed) { ControlFlow::Break(()) } else { ControlFlow::Continue(()) }
    }
}

/// What is shared by all who look.
pub(super) struct Reads {
    current: Mutex<Option<Arc<Read>>>,
    /// Frames of the kept reading that was looked at last.
    pub(super) of_kept: Mutex<Option<(ReadingId, Arc<Vec<FrameAt>>)>>,
}

impl Reads {
    pub(super) fn new() -> Self {
        Self { current: Mutex::default(), of_kept: Mutex::default() }
    }

    /// The reading that was asked for last.
    pub(super) fn current(&self) -> Option<Arc<Read>> {
        locked(&self.current).clone()
    }

    /// Starts a reading in the place of the one before, which is stopped. The same question again while it is worked on is that work.
    pub(super) fn start(
        &self,
        question: ReadQuestion,
        prepared: PreparedRead,
        journal: &Path,
        settings: &Arc<Settings>,
    ) {
        let mut current = locked(&self.current);
        if let Some(read) = current.as_ref() {
            if read.question == question && read.standing.borrow().phase == ReadPhase::Reading {
                return;
            }
            read.stop();
        }
        let read = Arc::new(Read::new(question));
        *current = Some(Arc::clone(&read));
        let (journal, settings) = (journal.to_owned(), Arc::clone(settings));
        // no thread of the runtime: that would wait for it at the end of the program
        std::thread::spawn(move || read.work(prepared, &journal, &settings));
    }

    /// Ends what runs.
    pub(super) fn stop(&self) {
        if let Some(read) = self.current() {
            read.stop();
        }
    }
}
