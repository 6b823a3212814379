//! A desk on which much has come in.

use journal::{
    Claim, Consent, ConsentedUse, Door, Journal, MeasuredSubmission, NewSubmission, OneUse, SubmissionOutcome,
};
use quantity::{GeoPosition, Timestamp};
use serde_json::json;

/// Takes in so many pictures that were never there, all of them measured, and permits some.
pub(crate) fn fill(journal: &mut Journal, count: u32) {
    let now: Timestamp = "2026-03-15T01:00:00Z".parse().unwrap();
    for number in 0..count {
        let claim = Claim {
            at: now.checked_sub(jiff::SignedDuration::from_secs(i64::from(number))).ok(),
            place_text: format!("Ness {}", number % 40),
            position: GeoPosition::new(55.0 + f64::from(number % 150) / 10.0, f64::from(number % 300) / 10.0, 0.0).ok(),
            ..Claim::default()
        };
        let new = NewSubmission {
            content_hash: format!("{:064x}", number - u32::from(number % 10 == 9)),
            file_name: format!("IMG_{number}.jpg"),
            media_type: "image/jpeg".to_owned(),
            bytes: 3_000_000,
            received_at: now,
            door: Door::Link,
            link: None,
            claim: claim.clone(),
            credit_name: format!("Viewer {number}"),
            contact: String::new(),
            caption: "over the bay ".repeat(20),
            withdrawal_hash: None,
        };
        let id = journal.take_submission(&new).unwrap();
        let found = MeasuredSubmission {
            outcome: Some(SubmissionOutcome::CannotTell),
            form: number.is_multiple_of(3).then(|| "rays".to_owned()),
            evidence: Some(json!({ "checks": [], "filler": "x".repeat(2_000) })),
            ..MeasuredSubmission::default()
        };
        journal.record_submission_measures(id, &claim, &found, now).unwrap();
    }
    for id in journal.submissions(&journal::ListQuestion { most: 30, ..Default::default() }).unwrap().rows {
        let uses = ConsentedUse::default().with(OneUse::OnAir);
        let consent = Consent { uses, recorded_at: now, recorded_by: "desk".to_owned(), words: "yes".to_owned() };
        journal.record_consent(id.id, id.version, &consent).unwrap();
    }
}
