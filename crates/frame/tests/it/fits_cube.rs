//! Cubes: several pictures along the third axis of a FITS file (FITS Standard 4.0, 4.4.1.1, 9.1, 9.3).

use std::ops::ControlFlow;

use frame::{Frame, FrameError, Limits, open, open_each};
use optics::Channel;

use crate::fits_writer::file;

const SIZE: [usize; 2] = [8, 6];

/// A cube whose pictures are of one light each: 100, 200, 300 and on.
fn cube(pictures: usize, cards: &[&str]) -> Vec<u8> {
    let each = SIZE[0] * SIZE[1];
    let values: Vec<f64> = (0..pictures * each).map(|place| 100.0 * (place / each + 1) as f64).collect();
    let cards: Vec<String> = cards.iter().map(|card| (*card).to_owned()).collect();
    file(&values, SIZE, Some(pictures), &cards)
}

fn all(bytes: &[u8]) -> Vec<Result<Frame, FrameError>> {
    let mut found = Vec::new();
    open_each(bytes, &Limits::default(), &mut |frame| {
        found.push(frame);
        ControlFlow::Continue(())
    })
    .unwrap();
    found
}

fn light(frame: &Frame) -> f32 {
    frame.plane(Channel::Green).unwrap().samples()[0]
}

const TIMED: [&str; 5] = [
    "DATE-OBS= '2015-10-07T08:23:51.750'",
    "CTYPE3  = 'TIME    '",
    "CUNIT3  = 'min     '",
    "CDELT3  =                  0.5",
    "CRPIX3  =                  1.0",
];

#[test]
fn the_pictures_of_a_cube_follow_each_other_in_time() {
    // three planes of a time axis are three pictures, not colours
    for pictures in [3, 5] {
        let found: Vec<Frame> = all(&cube(pictures, &TIMED)).into_iter().map(Result::unwrap).collect();
        assert_eq!(found.len(), pictures);
        for (place, frame) in (0i32..).zip(&found) {
            assert_eq!(frame.stored_size, SIZE);
            assert!((f64::from(light(frame)) - f64::from(100 * (place + 1))).abs() < 1e-3);
            let at = frame.metadata.taken.as_ref().unwrap().utc_with(0).unwrap();
            let first: jiff::Timestamp = "2015-10-07T08:23:51.750Z".parse().unwrap();
            assert_eq!(at.duration_since(first).as_millis(), 30_000 * i128::from(place), "{at}");
        }
    }
}

#[test]
fn without_a_time_axis_only_the_first_picture_has_a_time() {
    let found: Vec<Frame> = all(&cube(4, &TIMED[..1])).into_iter().map(Result::unwrap).collect();
    let timed: Vec<bool> = found.iter().map(|frame| frame.metadata.taken.is_some()).collect();
    assert_eq!(timed, [true, false, false, false]);
    // three planes that nobody calls times are red, green and blue, as before
    assert_eq!(all(&cube(3, &TIMED[..1])).len(), 1);
    let one = open(&cube(4, &TIMED), &Limits::default()).unwrap();
    assert!(one.notes.iter().any(|note| note.contains("it holds 4 pictures: the first is read")), "{:?}", one.notes);
}

#[test]
fn a_cube_that_breaks_off_gives_what_is_there_and_says_what_is_lost() {
    let whole = cube(4, &TIMED);
    let each = SIZE[0] * SIZE[1] * 2;
    let head = 2_880;
    let found = all(&whole[..head + 2 * each + each / 2]);
    assert_eq!(found.iter().filter(|frame| frame.is_ok()).count(), 2);
    let lost = found.last().unwrap().as_ref().unwrap_err().to_string();
    assert!(lost.contains("2 of 4 pictures are there"), "{lost}");
    // a header that claims more pictures than there are numbers in the world ends in one line
    let claimed = String::from_utf8_lossy(&whole[..head])
        .replace(&format!("NAXIS3  = {:>20}", 4), &format!("NAXIS3  = {:>20}", 9_000_000_000_000_000u64));
    let found = all(&[claimed.as_bytes(), &whole[head..]].concat());
    assert!(found.len() < 100 && found.last().unwrap().is_err(), "{}", found.len());
}
