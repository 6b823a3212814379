//! A night from question to report: the same rules for the command and for the page.

use std::collections::HashMap;
use std::path::{Path, PathBuf};
use std::sync::atomic::AtomicBool;

use jiff::civil::DateTime;
use jiff::tz::TimeZone;
use job::{
    CheckRequest, CheckedScene, ClockCorrection, FrameVerdict, MeasuredFrame, PersonVerdict, SortReport, SortRequest,
};
use journal::Journal;
use quantity::GeoPosition;
use serde::{Deserialize, Serialize};

use super::engine::{Gathered, Gathering, Step, gather};
use super::found::FoundFile;
use super::ratings::{RatingWish, sidecars};
use crate::failure::Failure;

/// What a person asks about a folder.
#[derive(Debug, Clone, Default, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub(crate) struct NightQuestion {
    /// The folder of the night's frames.
    pub(crate) folder: PathBuf,
    /// A site of the journal, by name.
    #[serde(default)]
    pub(crate) site: Option<String>,
    /// IANA zone of cameras that name none.
    #[serde(default)]
    pub(crate) time_zone: Option<String>,
    /// A kit of the journal, by name.
    #[serde(default)]
    pub(crate) kit: Option<String>,
    /// "+37s", "-1h", "D850=+37s", "stars".
    #[serde(default)]
    pub(crate) clock: Vec<String>,
    /// Keepers at most.
    #[serde(default)]
    pub(crate) keep: Option<u32>,
    /// Measure raw pictures rather than those inside or beside them.
    #[serde(default)]
    pub(crate) full_raw: bool,
}

/// A question that is understood: names are looked up, texts read, the folder is there.
pub(crate) struct PreparedNight {
    /// The folder, without links in its path.
    pub(crate) folder: PathBuf,
    request: SortRequest,
    asked: CheckRequest,
    zone: Option<TimeZone>,
    full_raw: bool,
}

impl PreparedNight {
    /// * `place`: where the frames were taken, if no site is named.
    ///
    /// # Errors
    ///
    /// A name that is not in the journal, a text that is not understood, a folder that is not there.
    pub(crate) fn new(
        journal: &Journal,
        question: &NightQuestion,
        place: Option<GeoPosition>,
    ) -> Result<Self, Failure> {
        let mut request = SortRequest { keep: question.keep, ..SortRequest::default() };
        for text in &question.clock {
            if text.eq_ignore_ascii_case("stars") {
                request.clock_from_stars = true;
            } else {
                request.clock.push(correction(text)?);
            }
        }
        let site = question.site.as_deref().map(|name| journal.site_named(name)).transpose()?.map(|stored| stored.site);
        let kit = question.kit.as_deref().map(|name| journal.kit_named(name)).transpose()?.map(|stored| stored.kit);
        request.position = site.as_ref().map(|site| site.position).or(place);
        request.check()?;
        let zone = zone(question.time_zone.as_deref(), site.as_ref().map(|site| site.time_zone.as_str()))?;
        let asked = CheckRequest { kit, position: request.position, ..CheckRequest::default() };
        asked.check()?;
        Ok(Self { folder: real_folder(&question.folder)?, request, asked, zone, full_raw: question.full_raw })
    }

    /// Measures what is not known, and sorts.
    ///
    /// * `workers`: one a processor where not said.
    /// * `stop`: ends the measuring early; what was measured is sorted.
    ///
    /// # Errors
    ///
    /// The folder or the journal cannot be read at all.
    pub(crate) fn sorted(
        &self,
        journal: &mut Journal,
        workers: Option<usize>,
        stop: &AtomicBool,
        each: &mut dyn FnMut(&Step<'_>),
    ) -> Result<SortedNight, Failure> {
        let gathering = Gathering {
            folder: &self.folder,
            asked: self.asked.clone(),
            full_raw: self.full_raw,
            workers: workers.unwrap_or_else(processors),
            stop,
        };
        let gathered = gather(journal, &gathering, each)?;
        let utc_offset_s = self.zone.as_ref().and_then(|zone| offset(&gathered.frames, zone));
        let request = SortRequest { utc_offset_s, ..self.request.clone() };
        let report = job::sort(&request, &gathered.frames);
        Ok(SortedNight { request, gathered, report })
    }
}

/// A night that is sorted.
pub(crate) struct SortedNight {
    request: SortRequest,
    pub(crate) gathered: Gathered,
    pub(crate) report: SortReport,
}

impl SortedNight {
    /// Takes what a person says about a content, and sorts again; `None` takes it back. Keeping it is the caller's.
    pub(crate) fn say(&mut self, content_hash: &str, verdict: Option<PersonVerdict>) {
        for frame in self.gathered.frames.iter_mut().filter(|frame| frame.content_hash == content_hash) {
            frame.person = verdict;
        }
        self.report = job::sort(&self.request, &self.gathered.frames);
    }

    /// Ratings of what could be looked at and judged.
    pub(crate) fn wishes(&self) -> Vec<RatingWish> {
        let matched = Matched::new(self);
        let frames = self.report.frames.iter().zip(&matched.sidecars);
        let could_be_read = frames.filter(|(frame, _sidecar)| frame.measures.scene != Some(CheckedScene::Unreadable));
        could_be_read
            .filter_map(|(frame, sidecar)| {
                Some(RatingWish { name: frame.name.clone(), sidecar: sidecar.clone(), rating: frame.rating? })
            })
            .collect()
    }

    /// Files and sidecar of each keeper.
    pub(crate) fn keepers(&self) -> Vec<(&[FoundFile], PathBuf)> {
        let matched = Matched::new(self);
        let frames = self.report.frames.iter().zip(matched.files.iter().zip(matched.sidecars));
        let kept = frames.filter(|(frame, _files)| frame.verdict == FrameVerdict::Keep);
        kept.map(|(_frame, (files, sidecar))| (*files, sidecar)).collect()
    }
}

/// The files of each frame of the report, and where its rating goes.
struct Matched<'a> {
    files: Vec<&'a [FoundFile]>,
    sidecars: Vec<PathBuf>,
}

impl<'a> Matched<'a> {
    fn new(night: &'a SortedNight) -> Self {
        let SortedNight { gathered, report, .. } = night;
        let by_name: HashMap<&str, usize> =
            gathered.frames.iter().enumerate().map(|(index, frame)| (frame.name.as_str(), index)).collect();
        let all = sidecars(&gathered.files);
        let index = |name: &str| by_name.get(name).copied();
        let files = report
            .frames
            .iter()
            .map(|frame| index(&frame.name).map_or(&[][..], |index| gathered.files[index].as_slice()))
            .collect();
        let sidecars = report
            .frames
            .iter()
            .map(|frame| index(&frame.name).and_then(|index| all.get(index).cloned()).unwrap_or_default())
            .collect();
        Self { files, sidecars }
    }
}

/// Files are known by their paths: one folder has one, wherever the program is started.
pub(crate) fn real_folder(folder: &Path) -> Result<PathBuf, Failure> {
    folder.canonicalize().map_err(|error| Failure {
        field: Some("folder".to_owned()),
        ..Failure::new(
            format!("the folder {} cannot be read: {error}", folder.display()),
            "give the folder of the night's frames",
        )
    })
}

fn processors() -> usize {
    std::thread::available_parallelism().map_or(1, usize::from)
}

/// "+37s", "-1h", "D850=+37s".
fn correction(text: &str) -> Result<ClockCorrection, Failure> {
    let (camera, span) = match text.rsplit_once('=') {
        Some((camera, span)) => (Some(camera.trim().to_owned()), span.trim()),
        None => (None, text.trim()),
    };
    let (sign, plain) = match (span.strip_prefix('-'), span.strip_prefix('+')) {
        (Some(plain), _) => (-1.0, plain),
        (None, Some(plain)) => (1.0, plain),
        (None, None) => (1.0, span),
    };
    let duration: jiff::SignedDuration = plain.parse().map_err(|_cause| Failure {
        field: Some("clock".to_owned()),
        ..Failure::new(
            format!("the correction {text:?} is not understood"),
            "give --clock +37s, -1h, 2m10s or CAMERA=+37s",
        )
    })?;
    Ok(ClockCorrection { camera, seconds: sign * duration.as_secs_f64() })
}

fn zone(named: Option<&str>, of_site: Option<&str>) -> Result<Option<TimeZone>, Failure> {
    let found = named.or(of_site).map(|name| {
        TimeZone::get(name).map_err(|_cause| Failure {
            field: Some("time_zone".to_owned()),
            ..Failure::new(format!("time zone {name:?} is not known"), "give an IANA name such as Europe/Oslo or UTC")
        })
    });
    found.transpose()
}

/// How far the zone is ahead of UTC when the first of the frames without a zone was taken, s.
fn offset(frames: &[MeasuredFrame], zone: &TimeZone) -> Option<i32> {
    let locals = frames.iter().filter_map(|frame| frame.report.taken.as_ref()).filter(|taken| taken.utc.is_none());
    let first: DateTime = locals.filter_map(|taken| taken.local.as_ref()?.parse().ok()).min()?;
    zone.to_ambiguous_timestamp(first).compatible().ok().map(|at| zone.to_offset(at).seconds())
}
