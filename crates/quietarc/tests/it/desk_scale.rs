//! A storm night's desk: many submissions on the board, and pictures that come faster than they are measured.

use journal::{
    Claim, Consent, ConsentedUse, Door, Journal, MeasuredSubmission, NewSubmission, OneUse, SubmissionOutcome,
};
use quantity::{GeoPosition, Timestamp};
use serde_json::json;

use crate::desk::phone_picture;
use crate::desk_http::{form, get, send_form};
use crate::running::{serve, serve_with};

/// More submissions than one answer of the board holds.
const SUBMISSIONS: u16 = 620;
/// Rows in one answer, at most.
const MOST_ROWS: usize = 500;

fn fill(journal: &mut Journal) {
    let now: Timestamp = "2026-03-15T01:00:00Z".parse().unwrap();
    for number in 0..u32::from(SUBMISSIONS) {
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
        journal.record_consent(id.id, &consent).unwrap();
    }
}

#[test]
fn a_board_of_many_answers_every_question_in_parts() {
    let folder = tempfile::tempdir().unwrap();
    let path = folder.path().join("journal.sqlite");
    fill(&mut Journal::open(&path).unwrap());
    let server = serve_with(&["serve"], &path);
    let rows = |question: &str| get(&server, question)["rows"].as_array().unwrap().len();
    assert_eq!(get(&server, "api/desk/points").as_array().unwrap().len(), usize::from(SUBMISSIONS));
    assert_eq!(rows("api/desk/submissions?most=9999"), MOST_ROWS);
    assert_eq!(rows("api/desk/submissions?most=100&from=600&text=viewer"), 20);
    let rays = "api/desk/submissions?most=100&form=rays&near=77&within_km=300&outcome=cannot_tell";
    let found = get(&server, rays);
    let found = found["rows"].as_array().unwrap();
    assert!(!found.is_empty() && found.iter().all(|row| row["form"] == "rays"), "{found:?}");
    assert_eq!(get(&server, "api/desk/submissions/250")["id"], 250);
}

#[test]
fn pictures_are_taken_in_whether_or_not_they_are_measured() {
    let server = serve(&["serve"]);
    // 2 MB each, as a phone sends them; what is behind the picture is not looked at here
    let many = 12u8;
    for shade in 0..many {
        let picture = [phone_picture(shade), vec![shade; 2_000_000]].concat();
        let (status, text) = send_form(&server, "api/desk/submissions", &form(&[], "a.jpg", &picture), None);
        assert_eq!(status, 200, "{text}");
    }
    assert_eq!(get(&server, "api/desk/submissions")["total"], many);
}
