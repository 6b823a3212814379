//! A storm night's desk: many submissions on the board, and pictures that come faster than they are measured.

use journal::Journal;

use crate::desk::phone_picture;
use crate::desk_filled::fill;
use crate::desk_form::{form, send_form};
use crate::desk_http::get;
use crate::running::{serve, serve_with};

/// More submissions than one answer of the board holds.
const SUBMISSIONS: u16 = 620;
/// Rows in one answer, at most.
const MOST_ROWS: usize = 500;

#[test]
fn a_board_of_many_answers_every_question_in_parts() {
    let folder = tempfile::tempdir().unwrap();
    let path = folder.path().join("journal.sqlite");
    fill(&mut Journal::open(&path).unwrap(), SUBMISSIONS.into());
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
