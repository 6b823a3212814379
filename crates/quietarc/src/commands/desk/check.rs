//! `quietarc desk check`

use std::path::Path;

use jiff::Timestamp;
use job::{Activity, CheckedScene, DeskClaim, DeskReport, DeskRequest, KnownPicture, OwnWord, desk};
use quantity::GeoPosition;

use crate::cli::DeskCheckArgs;
use crate::commands::given::{GIVEN_HOLDS, TABLE_READ, around, kp_table};
use crate::commands::{now, open_journal_if_there};
use crate::desk::{activity_about, own_word_about};
use crate::failure::{Failure, Outcome};
use crate::stored_feeds::settings;
use crate::{frame_file, output, present_desk};

pub(super) fn run(arguments: &DeskCheckArgs) -> Result<Outcome, Failure> {
    let asked = request(arguments)?;
    asked.check()?;
    let mut others: Vec<KnownPicture> = Vec::new();
    let mut failed = 0;
    for path in &arguments.files {
        let name = path.file_name().unwrap_or(path.as_os_str()).to_string_lossy().into_owned();
        let request = DeskRequest { name: name.clone(), others: others.clone(), ..asked.clone() };
        let report = checked(path, &request);
        if let Some(fingerprint) = &report.fingerprint {
            others.push(KnownPicture { id: name, fingerprint: fingerprint.clone() });
        }
        failed += usize::from(report.frame.scene == CheckedScene::Unreadable);
        if arguments.json {
            output::json_line(&report)?;
        } else {
            output::answer(&present_desk::desk(&report, arguments.files.len() != 1))?;
        }
    }
    Ok(if failed == 0 { Outcome::Done } else { Outcome::SomeFailed { failed, of: arguments.files.len() } })
}

/// One file; a file that cannot be read gives a report that says so.
fn checked(path: &Path, request: &DeskRequest) -> DeskReport {
    match frame_file::read(path) {
        Ok(bytes) => desk(request, &bytes),
        Err(Failure { message, hint, .. }) => DeskReport::unreadable(&request.name, &message, &hint),
    }
}

fn request(arguments: &DeskCheckArgs) -> Result<DeskRequest, Failure> {
    let position = match (arguments.claim_lat, arguments.claim_lon) {
        (Some(lat), Some(lon)) => Some(GeoPosition::new(lat, lon, 0.0)?),
        _none => None,
    };
    let claim = DeskClaim {
        at: arguments.claim_time,
        within_minutes: arguments.within_minutes,
        position,
        within_km: arguments.within_km,
    };
    let horizon_px = match (arguments.horizon.as_deref(), arguments.files.len()) {
        (None, _) => None,
        (Some([x1, y1, x2, y2]), 1) => Some([[*x1, *y1], [*x2, *y2]]),
        (Some(_), 1) => return Err(Failure::new("--horizon has not four numbers", "give it as X1,Y1,X2,Y2")),
        (Some(_), _) => return Err(Failure::new("--horizon is for one picture", "give one picture at a time")),
    };
    Ok(DeskRequest {
        claim,
        activity: activity(arguments)?,
        own_word: own_word(arguments, &claim)?,
        horizon_px,
        level_within_deg: arguments.level_within,
        ..DeskRequest::default()
    })
}

/// What the journal's own frames and outlooks said, where there is a journal.
fn own_word(arguments: &DeskCheckArgs, claim: &DeskClaim) -> Result<OwnWord, Failure> {
    match open_journal_if_there(&arguments.journal)? {
        Some(journal) => own_word_about(&journal, claim),
        None => Ok(OwnWord::default()),
    }
}

fn activity(arguments: &DeskCheckArgs) -> Result<Option<Activity>, Failure> {
    let at = |flag: &str| -> Result<Timestamp, Failure> {
        arguments
            .claim_time
            .ok_or_else(|| Failure::new(format!("{flag} needs a time that it holds at"), "give --claim-time beside it"))
    };
    if let Some(kp) = arguments.kp {
        let (from, to) = around(at("--kp")?, GIVEN_HOLDS)?;
        return Ok(Some(Activity::given(kp, from, to)));
    }
    if let Some(path) = &arguments.kp_file {
        return Ok(Some(kp_table(path, around(at("--kp-file")?, TABLE_READ)?)?));
    }
    let Some(at) = arguments.claim_time.filter(|_| !arguments.no_feeds) else { return Ok(None) };
    match open_journal_if_there(&arguments.journal)? {
        Some(journal) => activity_about(&journal, &settings(&arguments.settings)?, at, now()),
        None => Ok(None),
    }
}
