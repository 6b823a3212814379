//! Viewers' pictures: is the claimed time and place possible, is it a copy, what was done to it?

mod agreement;
mod aurora;
mod camera;
mod claim;
mod copies;
mod editing;
mod file_word;
mod fingerprint;
mod grey;
mod known;
mod lanes;
mod likeness;
mod moon;
mod own_word;
mod placing;
mod planets;
mod report;
mod request;
mod slopes;
mod star_shift;
mod stars;
mod sun;
mod vector;
mod words;
mod zeniths;

use self::camera::Camera;
use self::claim::Claim;
pub use self::copies::copies_check;
pub use self::editing::EditingMeasures;
pub use self::fingerprint::Fingerprint;
pub use self::known::KnownPictures;
pub use self::likeness::{Likeness, LikenessKind, compare};
use self::moon::Shown;
pub use self::own_word::{OwnOutlook, OwnReading, OwnWord};
pub use self::report::{DeskCheck, DeskCheckKind, DeskEvidence, DeskReport, DeskVerdict, KnownLikeness};
pub use self::request::{DeskClaim, DeskRequest, KnownPicture};
use crate::check::{Looked, frame_and_stars, look_without_time_and_place, unopened};
use crate::{CheckReport, CheckedScene, UnreadablePicture, unreadable_frame};

/// Checks one submission against its claim.
///
/// Never fails: a file that cannot be read gives a report that says so. Method and limits: `docs/desk.md`.
///
/// ```
/// use job::{DeskRequest, DeskVerdict, desk};
///
/// let report = desk(&DeskRequest { name: "notes.txt".to_owned(), ..Default::default() }, b"not a picture");
/// assert_eq!(report.verdict, DeskVerdict::CannotTell);
/// assert!(report.summary.contains("notes.txt"));
/// ```
pub fn desk(request: &DeskRequest, bytes: &[u8]) -> DeskReport {
    match look_without_time_and_place(&request.name, bytes) {
        Ok(looked) => checked(request, looked, bytes),
        Err(error) => DeskReport::of_unreadable(unopened(&request.name, &error)),
    }
}

/// What a picture looks like, without anything else being measured: for pictures that copies are to be found of.
///
/// # Errors
///
/// The bytes are no picture that can be read.
pub fn fingerprint(bytes: &[u8]) -> Result<Fingerprint, UnreadablePicture> {
    let (frame, stars) = frame_and_stars(bytes)?;
    Fingerprint::of(&frame, &stars).ok_or_else(|| UnreadablePicture {
        problem: "the picture is too small to be known again".to_owned(),
        remedy: "give the picture as the camera wrote it".to_owned(),
    })
}

fn checked(request: &DeskRequest, looked: Looked, bytes: &[u8]) -> DeskReport {
    let has_stars = looked.light.solution.is_some()
        || matches!(looked.report.scene, CheckedScene::NightSky | CheckedScene::Moonlit) && looked.report.stars.alike;
    let editing = EditingMeasures::of(&looked, has_stars, bytes);
    let Looked { frame, report, stars, layers, light, metadata, .. } = looked;
    let solution = light.solution;
    let claim = Claim::of(&request.claim, &metadata);
    let sky = claim.sky();
    let fingerprint = Fingerprint::of(&frame, &stars);
    let likenesses =
        fingerprint.as_ref().map_or_else(Vec::new, |fingerprint| copies::likenesses(fingerprint, &request.others));
    let camera = solution.as_ref().and_then(|solution| Camera::of(&frame, solution, &layers, request.horizon_px));
    let azimuth_deg = camera.as_ref().zip(sky.as_ref()).map(|(camera, sky)| sky.horizontal(camera.forward).azimuth_deg);
    let shown = Shown { frame: &frame, solution: solution.as_ref(), report: &report };
    let checks = vec![
        file_word::time(&metadata, &request.claim),
        file_word::place(&metadata, &request.claim),
        sun::sun(&report, &claim),
        moon::moon(&shown, &claim, sky.as_ref()),
        stars::stars(camera.as_ref(), &report, &claim, sky.as_ref(), request.level_within_deg),
        planets::planets(&shown, &stars, &claim, sky.as_ref()),
        aurora::aurora(&report, azimuth_deg, &claim, request),
        copies::check(fingerprint.as_ref(), request.others.len(), &likenesses),
        editing::check(Some(&editing)),
    ];
    DeskReport {
        file: request.name.clone(),
        summary: words::summary(&checks),
        verdict: words::verdict(&checks),
        checks,
        likenesses,
        editing: Some(editing),
        fingerprint,
        frame: report,
    }
}

impl DeskReport {
    /// The report of a file that could not even be handed over: missing, locked, too large, or that its reader gave up on.
    pub fn unreadable(name: &str, problem: &str, remedy: &str) -> Self {
        Self::of_unreadable(unreadable_frame(name, problem, remedy))
    }

    fn of_unreadable(frame: CheckReport) -> Self {
        Self {
            file: frame.file.clone(),
            summary: frame.summary.clone(),
            verdict: DeskVerdict::CannotTell,
            checks: Vec::new(),
            likenesses: Vec::new(),
            editing: None,
            fingerprint: None,
            frame,
        }
    }
}
