//! Measured frames: by content and question, files by path, a person's word, ratings put down before they are written.

use job::{FrameMeasures, FrameSignature, PersonVerdict};
use journal::{FrameFile, Journal, OwnRating};

fn measures(name: &str, level: u8) -> FrameMeasures {
    let signature = FrameSignature::from_levels(vec![level; 256]);
    FrameMeasures { report: job::unreadable_frame(name, "of a test", "nothing"), signature }
}

fn hash(letter: char) -> String {
    letter.to_string().repeat(64)
}

#[test]
fn measures_come_back_by_content_and_question() {
    let journal = Journal::in_memory().unwrap();
    journal.record_frame_measures(&hash('a'), "v1", &measures("one", 7)).unwrap();
    journal.record_frame_measures(&hash('a'), "v2", &measures("two", 8)).unwrap();
    // measured again: in the place of what was there
    journal.record_frame_measures(&hash('a'), "v1", &measures("three", 9)).unwrap();
    assert_eq!(journal.frame_measures(&hash('a'), "v1").unwrap(), Some(measures("three", 9)));
    assert_eq!(journal.frame_measures(&hash('a'), "v2").unwrap(), Some(measures("two", 8)));
    assert_eq!(journal.frame_measures(&hash('b'), "v1").unwrap(), None);
    assert_eq!(journal.measured_contents("v1").unwrap(), [hash('a')].into());
    assert!(journal.record_frame_measures("short", "v1", &measures("one", 7)).is_err());
}

#[test]
fn a_number_that_cannot_be_written_down_is_refused() {
    let journal = Journal::in_memory().unwrap();
    let mut bad = measures("one", 7);
    bad.report.clipping = vec![job::ChannelClipping {
        channel: job::CheckedChannel::Grey,
        share: f64::NAN,
        sky_share: 0.0,
        lights_share: 0.0,
        spare_stops: quantity::Estimate::symmetric(0.0, 1.0, quantity::Basis::Measured),
    }];
    assert!(journal.record_frame_measures(&hash('a'), "v1", &bad).is_err());
    assert_eq!(journal.frame_measures(&hash('a'), "v1").unwrap(), None);
}

#[test]
fn files_are_found_below_a_folder_whatever_bytes_their_names_have() {
    let journal = Journal::in_memory().unwrap();
    let file = |path: &[u8], inode: u64| FrameFile {
        path: path.to_vec(),
        bytes: 5,
        modified_ns: -1,
        inode,
        content_hash: hash('c'),
    };
    for found in [file(b"/n/a\xff.jpg", u64::MAX), file(b"/n/b.jpg", 2), file(b"/other/b.jpg", 3)] {
        journal.record_frame_file(&found).unwrap();
    }
    journal.record_frame_file(&file(b"/n/b.jpg", 9)).unwrap();
    let found = journal.frame_files(b"/n/").unwrap();
    assert_eq!(found.len(), 2);
    assert_eq!(found[&b"/n/a\xff.jpg"[..]].inode, u64::MAX);
    assert_eq!(found[&b"/n/b.jpg"[..]].inode, 9);
}

#[test]
fn a_persons_word_is_kept_changed_and_taken_back() {
    let journal = Journal::in_memory().unwrap();
    let at = "2026-03-14T22:00:00Z".parse().unwrap();
    journal.record_frame_verdict(&hash('a'), Some(PersonVerdict::Dud), at).unwrap();
    journal.record_frame_verdict(&hash('a'), Some(PersonVerdict::Keep), at).unwrap();
    journal.record_frame_verdict(&hash('b'), Some(PersonVerdict::Dud), at).unwrap();
    journal.record_frame_verdict(&hash('b'), None, at).unwrap();
    assert_eq!(journal.frame_verdicts().unwrap(), [(hash('a'), PersonVerdict::Keep)].into());
}

#[test]
fn a_rating_remembers_the_one_before() {
    let journal = Journal::in_memory().unwrap();
    assert_eq!(journal.own_rating(b"x.xmp").unwrap(), None);
    journal.record_own_rating(b"x.xmp", 3).unwrap();
    assert_eq!(journal.own_rating(b"x.xmp").unwrap(), Some(OwnRating { rating: 3, before: None }));
    // put down twice, as by a run that was stopped and taken up: what stood before stays known
    journal.record_own_rating(b"x.xmp", 5).unwrap();
    journal.record_own_rating(b"x.xmp", 5).unwrap();
    assert_eq!(journal.own_rating(b"x.xmp").unwrap(), Some(OwnRating { rating: 5, before: Some(3) }));
    // once the 5 is known to stand there, a 3 is somebody else's
    journal.settle_own_rating(b"x.xmp").unwrap();
    journal.settle_own_rating(b"unknown.xmp").unwrap();
    assert_eq!(journal.own_rating(b"x.xmp").unwrap(), Some(OwnRating { rating: 5, before: None }));
    assert_eq!(journal.own_rating(b"unknown.xmp").unwrap(), None);
    // forgotten for one file alone
    journal.record_own_rating(b"y.xmp", 4).unwrap();
    journal.forget_own_rating(b"x.xmp").unwrap();
    assert_eq!(journal.own_rating(b"x.xmp").unwrap(), None);
    assert_eq!(journal.own_rating(b"y.xmp").unwrap(), Some(OwnRating { rating: 4, before: None }));
}
