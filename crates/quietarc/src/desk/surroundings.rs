//! What a submission is set against beside its claim: the activity of its time, and the other pictures that are known.

use std::collections::BTreeMap;

use feeds::Settings;
use jiff::tz::TimeZone;
use jiff::{SignedDuration, Timestamp};
use job::{
    Activity, DeskCheck, DeskClaim, Fingerprint, KnownLikeness, KnownPictures, LikenessKind, OwnOutlook, OwnReading,
    OwnWord, compare, copies_check,
};
use journal::{AlikePicture, Journal, JournalError, PrintId, PrintOf, SubmissionId};
use serde_json::Value;

use crate::Failure;
use crate::stored_feeds::StoredFeeds;

/// How far around a claimed time the stored feeds are asked: the three hours of one value of Kp, and a claim's own tolerance.
const ASKED_AROUND: SignedDuration = SignedDuration::from_hours(6);
/// Claims within one stretch of this length are given the same answer, s: Kp holds for three hours.
const STRETCH_S: i64 = 10_800;
/// Prints read from the journal at once.
const BATCH: u32 = 500;

/// What the stored feeds say of Kp about a time, as they are known now; where they say nothing now, for a forecast of those
/// days is old by today, as they were known then.
///
/// # Errors
///
/// The journal cannot be read.
pub(crate) fn activity_about(
    journal: &Journal,
    settings: &Settings,
    at: Timestamp,
    now: Timestamp,
) -> Result<Option<Activity>, Failure> {
    let (Ok(from), Ok(to)) = (at.checked_sub(ASKED_AROUND), at.checked_add(ASKED_AROUND)) else { return Ok(None) };
    for asked_at in [now, at.min(now)] {
        let found = StoredFeeds::new(journal, settings, asked_at).space_weather((from, to))?;
        let mut all = std::iter::once(found.main).chain(found.others);
        if let Some(activity) = all.find(|activity| activity.at(at).is_some()) {
            return Ok(Some(activity));
        }
    }
    Ok(None)
}

/// How far the night of an outing may be from a claimed time, hours: a night is named by its noon, at most a day away.
const NIGHT_AROUND: SignedDuration = SignedDuration::from_hours(36);
/// How far frames may be from a claimed time to be looked at; `job` decides which are near.
const FRAMES_AROUND: SignedDuration = SignedDuration::from_hours(24);

/// What own frames and kept outlooks said about a claim. Those that this version cannot read say nothing.
///
/// # Errors
///
/// The journal cannot be read.
pub(crate) fn own_word_about(journal: &Journal, claim: &DeskClaim) -> Result<OwnWord, Failure> {
    let mut word = OwnWord::default();
    let Some(at) = claim.at.filter(|_| claim.position.is_some()) else { return Ok(word) };
    for summary in journal.readings(None)? {
        let is_of_then = summary.first_at.zip(summary.last_at).is_some_and(|(first, last)| {
            first.duration_since(at) <= FRAMES_AROUND && at.duration_since(last) <= FRAMES_AROUND
        });
        let report = is_of_then.then(|| journal.reading(summary.id).ok()).flatten();
        word.readings.extend(report.and_then(|report| OwnReading::near(&summary.name, &report, claim)));
    }
    for outing in journal.outings()? {
        let noon = TimeZone::UTC.to_timestamp(outing.night.at(12, 0, 0, 0));
        if !noon.is_ok_and(|noon| noon.duration_since(at).abs() <= NIGHT_AROUND) {
            continue;
        }
        let report = journal.latest_prediction(outing.id).ok().flatten();
        let title = if outing.invented { format!("{} (invented)", outing.title) } else { outing.title };
        word.outlooks.extend(report.and_then(|report| OwnOutlook::near(&title, &report, claim)));
    }
    Ok(word)
}

/// The same for many submissions, remembered between them.
pub(crate) struct Surroundings {
    settings: Settings,
    known: KnownPictures<PrintId>,
    /// The last print that was put on the shelf.
    last: PrintId,
    activities: BTreeMap<i64, Option<Activity>>,
}

impl Surroundings {
    pub(crate) fn new(settings: Settings) -> Self {
        Self { settings, known: KnownPictures::default(), last: PrintId::new(0), activities: BTreeMap::new() }
    }

    /// Forgets what the feeds said: they may say more by now.
    pub(crate) fn ask_feeds_again(&mut self) {
        self.activities.clear();
    }

    /// Kp about a claimed time.
    pub(crate) fn activity(
        &mut self,
        journal: &Journal,
        at: Timestamp,
        now: Timestamp,
    ) -> Result<Option<Activity>, Failure> {
        let stretch = at.as_second().div_euclid(STRETCH_S);
        if let Some(known) = self.activities.get(&stretch) {
            return Ok(known.clone());
        }
        let found = activity_about(journal, &self.settings, at, now)?;
        self.activities.insert(stretch, found.clone());
        Ok(found)
    }

    /// Keeps what a submission looks like, and which known pictures it looks like; gives how many are copies.
    pub(crate) fn compare_with_all(
        &mut self,
        journal: &mut Journal,
        id: SubmissionId,
        print: &Fingerprint,
    ) -> Result<usize, Failure> {
        let own = match journal.record_print(&PrintOf::Submission(id), print) {
            // erased while it was measured
            Err(JournalError::NotFound { .. }) => return Ok(0),
            own => own?,
        };
        self.read_on(journal)?;
        let likenesses: Vec<_> = self
            .known
            .likest(print)
            .into_iter()
            .filter(|(other, _)| **other != own)
            .map(|(other, of_other)| (*other, compare(print, of_other)))
            .filter(|(_, likeness)| likeness.kind != LikenessKind::Different)
            .collect();
        journal.transaction(|journal| {
            likenesses.iter().try_for_each(|(other, likeness)| journal.record_likeness(own, *other, likeness))
        })?;
        Ok(likenesses.iter().filter(|(_, likeness)| likeness.kind.is_copy()).count())
    }

    /// Puts on the shelf what was kept since.
    fn read_on(&mut self, journal: &Journal) -> Result<(), Failure> {
        loop {
            let some = journal.prints_after(self.last, BATCH)?;
            if some.is_empty() {
                return Ok(());
            }
            for (id, print) in some {
                self.last = id;
                if let Some(print) = print {
                    self.known.add(id, print);
                }
            }
        }
    }
}

/// What a known picture is called in a sentence.
pub(crate) fn called(of: &PrintOf) -> String {
    match of {
        PrintOf::Submission(id) => format!("Number {id}"),
        PrintOf::Frame { name, outing: Some(outing), .. } => format!("Own frame {name} of outing {outing}"),
        PrintOf::Frame { name, outing: None, .. } => format!("Own frame {name}"),
    }
}

/// Puts the row on copies into the evidence as it stands now: pictures that came later count as well.
///
/// * `print`: what the submission looks like.
/// * `known`: pictures whose looks are known, itself among them.
pub(crate) fn with_copies(evidence: &mut Value, print: Option<&Fingerprint>, known: usize, alike: &[AlikePicture]) {
    let Some(checks) = evidence.get_mut("checks").and_then(Value::as_array_mut) else { return };
    let Some(row) = checks.iter_mut().find(|check| check["kind"] == "copies") else { return };
    let found = alike.iter().map(|one| KnownLikeness { id: called(&one.of), likeness: one.likeness.clone() });
    let check: DeskCheck = copies_check(print, known.saturating_sub(1), found.collect());
    if let Ok(check) = serde_json::to_value(check) {
        *row = check;
    }
}
