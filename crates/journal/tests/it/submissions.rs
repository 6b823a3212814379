//! Submissions: nothing leaves without permission, nothing is lost when two write, and what was withdrawn stays so.

use journal::{
    Claim, Consent, ConsentedUse, Door, Editable, ExportMade, Journal, JournalError, ListQuestion, MeasuredSubmission,
    Near, NewLink, NewSubmission, OneUse, PrintOf, SubmissionId, SubmissionOutcome, SubmissionState,
};
use quantity::{GeoPosition, Timestamp};
use rusqlite::Connection;
use serde_json::json;

use crate::samples::{DROP_SUBMISSIONS, instant};

fn now() -> Timestamp {
    instant("2026-03-15T01:00:00Z")
}

fn new(number: u32) -> NewSubmission {
    NewSubmission {
        content_hash: format!("{number:064x}"),
        file_name: format!("IMG_{number}.jpg"),
        media_type: "image/jpeg".to_owned(),
        bytes: 5,
        received_at: now(),
        door: Door::Folder,
        link: None,
        claim: Claim {
            time_text: "about eleven".to_owned(),
            at: Some(instant("2026-03-14T22:00:00Z")),
            place_text: "Skerrow Bay".to_owned(),
            position: GeoPosition::new(69.312_34, 16.123_45, 0.0).ok(),
        },
        credit_name: "A. Viewer".to_owned(),
        contact: "by telephone".to_owned(),
        caption: "<script>alert(1)</script>".to_owned(),
        withdrawal_hash: None,
    }
}

fn permission(uses: ConsentedUse) -> Consent {
    let words = "yes, tonight".to_owned();
    Consent { uses, recorded_at: now(), recorded_by: "desk".to_owned(), words }
}

/// Records a permission by somebody who has read what stands there.
fn consent(journal: &mut Journal, id: SubmissionId, given: &Consent) -> Result<i64, JournalError> {
    let seen = journal.submission(id).unwrap().version;
    journal.record_consent(id, seen, given)
}

fn copy(permitted_use: OneUse) -> ExportMade {
    let text = |text: &str| text.to_owned();
    ExportMade {
        exported_at: now(),
        exported_by: text("desk"),
        permitted_use,
        destination: text("a.jpg"),
        credit: text("A. Viewer"),
    }
}

fn refused<T: std::fmt::Debug>(result: Result<T, JournalError>) -> String {
    let error = result.unwrap_err();
    assert!(matches!(error, JournalError::NotPermitted { .. }), "{error:?}");
    assert!(!error.hint().is_empty());
    error.to_string()
}

#[test]
fn nothing_leaves_without_permission_for_that_use() {
    let mut journal = Journal::in_memory().unwrap();
    let id = journal.take_submission(&new(1)).unwrap();
    assert!(refused(journal.record_submission_export(id, &copy(OneUse::OnAir))).contains("no permission"));
    assert!(refused(journal.set_rundown(&[], &[id], now(), "desk")).contains("no permission"));
    consent(&mut journal, id, &permission(ConsentedUse::default().with(OneUse::Online))).unwrap();
    assert!(refused(journal.record_submission_export(id, &copy(OneUse::OnAir))).contains("on air"));
    journal.record_submission_export(id, &copy(OneUse::Online)).unwrap();
    // a later word stands in the place of the one before, and both stay on record
    consent(&mut journal, id, &permission(ConsentedUse::default())).unwrap();
    refused(journal.record_submission_export(id, &copy(OneUse::Online)));
    let consents = journal.submission_changes(id).unwrap();
    assert_eq!(consents.iter().filter(|change| change.what == "consent").count(), 2);
    let no_words = Consent { words: " ".to_owned(), ..permission(ConsentedUse::default().with(OneUse::OnAir)) };
    refused(consent(&mut journal, id, &no_words));
}

#[test]
fn a_permission_never_comes_over_a_refusal_that_was_not_read() {
    let mut journal = Journal::in_memory().unwrap();
    let id = journal.take_submission(&new(1)).unwrap();
    let yes = permission(ConsentedUse::default().with(OneUse::OnAir));
    let seen = consent(&mut journal, id, &yes).unwrap();
    journal.set_rundown(&[], &[id], now(), "Ada").unwrap();
    // the rundown and copies change no version: only what was written since stands in the way
    let refusal = Consent { recorded_by: "Ada".to_owned(), ..permission(ConsentedUse::default()) };
    let version = journal.record_consent(id, seen, &refusal).unwrap();
    let error = journal.record_consent(id, seen, &yes).unwrap_err();
    let JournalError::Changed { seen: old, current, ref by, .. } = error else { panic!("{error:?}") };
    assert_eq!((old, current, by.as_str()), (seen, version, "Ada"));
    assert_eq!(journal.submission(id).unwrap().consent.unwrap().uses, ConsentedUse::default());
    // it stays in its place, told as refused, and no copy leaves
    let rows = journal.rundown_rows().unwrap();
    assert_eq!(rows.iter().map(|row| (row.id, row.uses)).collect::<Vec<_>>(), [(id, Some(ConsentedUse::default()))]);
    assert!(refused(journal.record_submission_export(id, &copy(OneUse::OnAir))).contains("on air"));
    journal.record_consent(id, version, &yes).unwrap();
    journal.record_submission_export(id, &copy(OneUse::OnAir)).unwrap();
}

#[test]
fn nobody_unnamed_is_shown() {
    let mut journal = Journal::in_memory().unwrap();
    let id = journal.take_submission(&NewSubmission { credit_name: " ".to_owned(), ..new(1) }).unwrap();
    consent(&mut journal, id, &permission(ConsentedUse::default().with(OneUse::OnAir))).unwrap();
    assert!(refused(journal.permitted_submission(id, OneUse::OnAir)).contains("nobody is named"));
}

#[test]
fn the_second_of_two_writers_is_told_and_loses_nothing() {
    let mut journal = Journal::in_memory().unwrap();
    let id = journal.take_submission(&new(1)).unwrap();
    let seen = journal.submission(id).unwrap();
    let with_notes = |notes: &str| Editable { notes: notes.to_owned(), ..seen.editable.clone() };
    let version = journal.edit_submission(id, seen.version, &with_notes("first"), now(), "Ada").unwrap();
    let error = journal.edit_submission(id, seen.version, &with_notes("second"), now(), "Bo").unwrap_err();
    let JournalError::Changed { seen: old, current, ref by, .. } = error else { panic!("{error:?}") };
    assert_eq!((old, current, by.as_str()), (seen.version, version, "Ada"));
    assert_eq!(journal.submission(id).unwrap().editable.notes, "first");
    journal.edit_submission(id, version, &with_notes("second"), now(), "Bo").unwrap();
    let told: Vec<_> = journal.submission_changes(id).unwrap().into_iter().map(|change| change.changed_by).collect();
    assert_eq!(told, ["Ada", "Bo"]);
    assert!(matches!(
        journal.set_submission_state(id, version, SubmissionState::Cleared, now(), "Ada"),
        Err(JournalError::Changed { .. })
    ));
}

#[test]
fn a_rundown_that_somebody_changed_is_not_overwritten() {
    let mut journal = Journal::in_memory().unwrap();
    let ids: Vec<SubmissionId> = (1..=3).map(|number| journal.take_submission(&new(number)).unwrap()).collect();
    for id in &ids {
        consent(&mut journal, *id, &permission(ConsentedUse::default().with(OneUse::OnAir))).unwrap();
    }
    journal.set_rundown(&[], &[ids[2], ids[0]], now(), "Ada").unwrap();
    assert!(matches!(journal.set_rundown(&[], &[ids[1]], now(), "Bo"), Err(JournalError::RundownChanged)));
    let order: Vec<_> = journal.rundown_rows().unwrap().into_iter().map(|row| row.id).collect();
    assert_eq!(order, [ids[2], ids[0]]);
}

#[test]
fn a_withdrawal_blocks_what_comes_after_and_tells_what_went_before() {
    let mut journal = Journal::in_memory().unwrap();
    let id = journal.take_submission(&new(1)).unwrap();
    consent(&mut journal, id, &permission(ConsentedUse::default().with(OneUse::OnAir))).unwrap();
    journal.set_rundown(&[], &[id], now(), "desk").unwrap();
    journal.record_submission_export(id, &copy(OneUse::OnAir)).unwrap();
    let told = journal.withdraw_submission(id, "please take it down", true, now(), "desk").unwrap();
    assert_eq!(told, [copy(OneUse::OnAir)]);
    assert!(journal.rundown().unwrap().is_empty());
    assert!(refused(journal.record_submission_export(id, &copy(OneUse::OnAir))).contains("withdrawn"));
    refused(consent(&mut journal, id, &permission(ConsentedUse::default().with(OneUse::OnAir))));
    let left = journal.submission(id).unwrap();
    assert_eq!(left.editable, Editable::default(), "what was personal is forgotten");
    assert_eq!(left.consent.unwrap().words, "(erased)");
    let place = ExportMade { credit: String::new(), ..copy(OneUse::OnAir) };
    assert_eq!(left.exports, [place], "where it went is told, whose it was is not");
    let record = journal.submission_changes(id).unwrap();
    assert!(record.iter().all(|change| !change.change.to_string().contains("yes, tonight")), "{record:?}");
    assert_eq!((left.exports.len(), left.withdrawn_words.as_deref()), (1, Some("please take it down")));
}

#[test]
fn what_was_found_for_an_earlier_claim_is_not_kept_for_another() {
    let mut journal = Journal::in_memory().unwrap();
    let id = journal.take_submission(&new(1)).unwrap();
    let before = journal.submission(id).unwrap();
    let found = MeasuredSubmission {
        evidence: Some(json!({"verdict": "consistent"})),
        outcome: Some(SubmissionOutcome::Consistent),
        size_px: Some([4, 3]),
        ..MeasuredSubmission::default()
    };
    assert!(journal.record_submission_measures(id, &before.editable.claim, &found, now()).unwrap());
    let checked = journal.submission(id).unwrap();
    assert_eq!(
        (checked.state, checked.version),
        (SubmissionState::Checked, before.version),
        "a writer is not disturbed"
    );
    let claim = Claim { at: Some(instant("2026-03-14T23:00:00Z")), ..before.editable.claim.clone() };
    let edited = Editable { claim, ..before.editable.clone() };
    journal.edit_submission(id, before.version, &edited, now(), "desk").unwrap();
    assert!(!journal.record_submission_measures(id, &before.editable.claim, &found, now()).unwrap());
    let waiting = journal.submission(id).unwrap();
    assert_eq!((waiting.state, waiting.outcome), (SubmissionState::Received, None));
    assert_eq!(journal.unmeasured_submissions(9).unwrap().len(), 1);
}

#[test]
fn lists_are_cut_filtered_and_counted_and_their_places_are_coarse() {
    let mut journal = Journal::in_memory().unwrap();
    for number in 0..250 {
        // every tenth is sent twice
        let place = if number % 5 == 0 { "The Ness" } else { "Skerrow Bay" };
        let claim = Claim { place_text: place.to_owned(), ..new(0).claim };
        journal.take_submission(&NewSubmission { claim, ..new(number - number % 10 / 9) }).unwrap();
    }
    let ask = |text: &str, from, most| ListQuestion { text: text.to_owned(), from, most, ..ListQuestion::default() };
    let first = journal.submissions(&ask("", 0, 100)).unwrap();
    let last = journal.submissions(&ask("", 200, 100)).unwrap();
    assert_eq!((first.total, first.rows.len(), last.rows.len()), (250, 100, 50));
    assert!(first.rows[0].id > first.rows[99].id && first.rows[99].id > last.rows[0].id);
    assert_eq!(first.rows.iter().filter(|row| row.is_repeated).count(), 20);
    assert_eq!(journal.submissions(&ask("the NESS", 0, 9)).unwrap().total, 50);
    assert_eq!(journal.submissions(&ask("%", 0, 9)).unwrap().total, 0, "letters are letters, not patterns");
    let id = first.rows[0].id;
    journal.withdraw_submission(id, "", false, now(), "desk").unwrap();
    assert_eq!(journal.submissions(&ask("", 0, 9)).unwrap().total, 249);
    let points = journal.submission_points(&ListQuestion::default()).unwrap();
    assert_eq!((points.len(), points[0].latitude_deg, points[0].longitude_deg), (249, Some(69.3), Some(16.1)));
}

#[test]
fn a_link_shuts_by_time_by_number_and_by_hand() {
    let journal = Journal::in_memory().unwrap();
    let link = NewLink {
        token_hash: "0".repeat(64),
        label: "tonight".to_owned(),
        time_zone: "Europe/Oslo".to_owned(),
        created_at: now(),
        expires_at: instant("2026-03-16T01:00:00Z"),
        most_pictures: 1,
    };
    let id = journal.add_link(&link).unwrap();
    let read = || journal.link_of(&link.token_hash).unwrap().unwrap();
    assert_eq!(read().shut(now()), None);
    assert!(read().shut(link.expires_at).is_some());
    journal.take_submission(&NewSubmission { link: Some(id), door: Door::Link, ..new(1) }).unwrap();
    assert!(read().shut(now()).unwrap().contains("all the pictures"));
    journal.revoke_link(id, now()).unwrap();
    assert!(read().shut(now()).unwrap().contains("taken back"));
    assert!(journal.link_of(&"1".repeat(64)).unwrap().is_none());
}

#[test]
fn a_journal_of_the_version_before_gains_the_tables() {
    let folder = tempfile::tempdir().unwrap();
    let path = folder.path().join("old.qarc");
    drop(Journal::open(&path).unwrap());
    let old = Connection::open(&path).unwrap();
    old.execute_batch(DROP_SUBMISSIONS).unwrap();
    old.execute_batch("DROP TABLE reading").unwrap();
    old.pragma_update(None, "user_version", 5).unwrap();
    drop(old);
    let journal = Journal::open(&path).unwrap();
    let id = journal.take_submission(&new(1)).unwrap();
    journal.check().unwrap();
    assert_eq!(journal.submission(id).unwrap().editable.caption, "<script>alert(1)</script>", "text is kept as text");
}

/// A print of an even grey, as `Fingerprint::to_bytes` writes it: version, size, columns, rows, no stars.
fn print(grey: u8) -> job::Fingerprint {
    job::Fingerprint::from_bytes(&[1, 0, 30, 0, 20, 3, 2, 0, grey, grey, grey, grey, grey, grey]).unwrap()
}

#[test]
fn likeness_is_told_from_both_sides_and_forgotten_with_the_picture() {
    let mut journal = Journal::in_memory().unwrap();
    let ids: Vec<SubmissionId> = (1..=2).map(|number| journal.take_submission(&new(number)).unwrap()).collect();
    let prints: Vec<_> =
        ids.iter().map(|id| journal.record_print(&PrintOf::Submission(*id), &print(9)).unwrap()).collect();
    let frame = PrintOf::Frame { content_hash: "a".repeat(64), name: "IMG_7.jpg".to_owned(), outing: None };
    let own = journal.record_print(&frame, &print(7)).unwrap();
    assert_eq!(journal.prints_after(prints[0], 10).unwrap(), [(prints[1], Some(print(9))), (own, Some(print(7)))]);
    let cut = job::Likeness {
        kind: job::LikenessKind::Crop,
        confidence: 0.9,
        region: None,
        second_in_first: false,
        detail_correlation: 0.97,
        sentence: "cut out of the other".to_owned(),
        other_way: "the other is cut out of this".to_owned(),
    };
    journal.record_likeness(prints[1], prints[0], &cut).unwrap();
    journal.record_likeness(prints[0], prints[1], &cut.clone().exchanged()).unwrap();
    journal.record_likeness(prints[1], own, &cut).unwrap();
    let told =
        |id| journal.alike(id).unwrap().into_iter().map(|one| (one.of, one.likeness.sentence)).collect::<Vec<_>>();
    assert_eq!(told(ids[0]), [(PrintOf::Submission(ids[1]), cut.other_way.clone())], "one row a pair");
    assert_eq!(told(ids[1]), [(PrintOf::Submission(ids[0]), cut.sentence.clone()), (frame, cut.sentence.clone())]);
    let all = ListQuestion { most: 10, ..ListQuestion::default() };
    assert!(journal.submissions(&all).unwrap().rows.iter().all(|row| row.has_copy));
    journal.withdraw_submission(ids[1], "take it down", true, now(), "desk").unwrap();
    assert!(journal.alike(ids[0]).unwrap().is_empty());
    assert_eq!(journal.print_count().unwrap(), 2);
    // one that is forgotten meanwhile is no fault
    journal.record_likeness(prints[0], prints[1], &cut).unwrap();
    assert!(journal.alike(ids[0]).unwrap().is_empty());
}

#[test]
fn what_was_measured_before_prints_were_kept_is_measured_again() {
    let folder = tempfile::tempdir().unwrap();
    let path = folder.path().join("old.qarc");
    let mut journal = Journal::open(&path).unwrap();
    let ids: Vec<SubmissionId> = (1..=4).map(|number| journal.take_submission(&new(number)).unwrap()).collect();
    for (id, problem) in ids.iter().zip([None, None, Some("no picture"), None]) {
        let found = MeasuredSubmission { problem: problem.map(str::to_owned), ..MeasuredSubmission::default() };
        journal.record_submission_measures(*id, &new(1).claim, &found, now()).unwrap();
    }
    journal.record_print(&PrintOf::Submission(ids[1]), &print(9)).unwrap();
    journal.withdraw_submission(ids[3], "take it down", false, now(), "desk").unwrap();
    let before = journal.submission(ids[0]).unwrap();
    drop(journal);
    Connection::open(&path).unwrap().pragma_update(None, "user_version", 8).unwrap();
    let journal = Journal::open(&path).unwrap();
    let waiting: Vec<SubmissionId> = journal.unmeasured_submissions(9).unwrap().into_iter().map(|one| one.0).collect();
    assert_eq!(waiting, [ids[0]], "not what has a print, what cannot be opened, what was taken back");
    let after = journal.submission(ids[0]).unwrap();
    assert_eq!((after.state, after.version), (before.state, before.version));
    assert_eq!(journal.submission_print(ids[1]).unwrap(), Some(print(9)));
    assert_eq!(journal.submission_print(ids[0]).unwrap(), None);
}

#[test]
fn the_list_is_asked_by_form_time_and_place() {
    let mut journal = Journal::in_memory().unwrap();
    let places = [(69.3, 16.1), (69.9, 19.0), (-45.0, 179.9), (-45.1, -179.9)];
    for (number, (latitude, longitude)) in (1..).zip(places) {
        let claim = Claim {
            at: Some(instant(&format!("2026-03-14T2{}:00:00Z", number - 1))),
            position: GeoPosition::new(latitude, longitude, 0.0).ok(),
            ..Claim::default()
        };
        let id = journal.take_submission(&NewSubmission { claim: claim.clone(), ..new(number) }).unwrap();
        let form = Some(if number == 2 { "rays" } else { "a band" }.to_owned());
        let found = MeasuredSubmission { form, ..MeasuredSubmission::default() };
        assert!(journal.record_submission_measures(id, &claim, &found, now()).unwrap());
    }
    let ask = |asked: ListQuestion| {
        let asked = ListQuestion { most: 10, ..asked };
        let numbers: Vec<i64> = journal.submissions(&asked).unwrap().rows.iter().map(|row| row.id.get()).collect();
        let points: Vec<i64> =
            journal.submission_points(&asked).unwrap().iter().rev().map(|point| point.id.get()).collect();
        assert_eq!(numbers, points, "list and map agree");
        numbers
    };
    let near = |latitude, longitude, within_km| {
        let place = GeoPosition::new(latitude, longitude, 0.0).unwrap();
        ListQuestion { near: Some(Near { place, within_km }), ..ListQuestion::default() }
    };
    assert_eq!(ask(ListQuestion { form: Some("rays".to_owned()), ..ListQuestion::default() }), [2]);
    let (claimed_from, claimed_to) = (Some(instant("2026-03-14T21:00:00Z")), Some(instant("2026-03-14T23:00:00Z")));
    assert_eq!(ask(ListQuestion { claimed_from, claimed_to, ..ListQuestion::default() }), [3, 2]);
    // 131 km between the first two by the great circle; the date line is no border
    assert_eq!(ask(near(69.3, 16.1, 120.0)), [1]);
    assert_eq!(ask(near(69.3, 16.1, 140.0)), [2, 1]);
    assert_eq!(ask(near(-45.0, -180.0, 30.0)), [4, 3]);
    assert_eq!(journal.submission_forms().unwrap(), [("a band".to_owned(), 3), ("rays".to_owned(), 1)]);
}
