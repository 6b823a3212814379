//! Pictures opened to be looked at: parts pixel for pixel, and the same star on two frames.

use frame::{Moments, Star};
use job::{OpenedPicture, same_place};
use proptest::prelude::*;

/// A picture of `width` by `height` pixels whose red is the column and whose green is the row.
fn places(width: u8, height: u8) -> Vec<u8> {
    let mut bytes = format!("P6\n{width} {height}\n255\n").into_bytes();
    for row in 0..height {
        for column in 0..width {
            bytes.extend([column, row, 0]);
        }
    }
    bytes
}

#[test]
fn a_part_is_the_picture_pixel_for_pixel_and_stays_inside() {
    let picture = OpenedPicture::open(&places(200, 120), true).unwrap();
    assert_eq!(picture.size_px(), [200, 120]);
    for (middle, first) in [([100.0, 60.0], [85, 50]), ([0.0, 0.0], [0, 0]), ([1e9, -5.0], [170, 0])] {
        let crop = picture.crop(middle, [30, 20]).unwrap();
        assert_eq!(([crop.left, crop.top], [crop.width, crop.height]), (first, [30, 20]));
        for (index, pixel) in crop.rgb.chunks(3).enumerate() {
            let place = [first[0] + index % 30, first[1] + index / 30];
            assert_eq!([usize::from(pixel[0]), usize::from(pixel[1])], place);
        }
    }
    let whole = picture.crop([0.0, 0.0], [usize::MAX, usize::MAX]).unwrap();
    assert_eq!([whole.width, whole.height], [200, 120]);
    assert!(OpenedPicture::open(b"no picture", true).unwrap_err().to_string().contains("cannot be shown"));
}

fn star(x_px: f64, y_px: f64, snr: f64) -> Star {
    Star {
        x_px,
        y_px,
        flux: snr,
        peak: 0.1,
        background: 0.0,
        moments: Moments::round(1.0),
        fwhm_px: 2.0,
        hfd_px: 2.0,
        elongation: 0.0,
        angle_deg: 0.0,
        snr,
        saturated: false,
        shape_measured: true,
    }
}

fn field(places: &[(f64, f64)]) -> Vec<Star> {
    places.iter().enumerate().map(|(rank, (x, y))| star(*x, *y, 1000.0 / (1.0 + rank as f64))).collect()
}

/// Without those that stand within a few widths of one before: which of two is meant, nobody can tell.
fn apart(places: impl Iterator<Item = (f64, f64)>) -> Vec<(f64, f64)> {
    let mut kept: Vec<(f64, f64)> = Vec::new();
    for (x, y) in places {
        if kept.iter().all(|other| (other.0 - x).hypot(other.1 - y) > 30.0) {
            kept.push((x, y));
        }
    }
    kept
}

fn sky(most: usize) -> impl Strategy<Value = Vec<(f64, f64)>> {
    prop::collection::vec((0.0..4000.0, 0.0..3000.0), most / 2..most)
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 64, ..ProptestConfig::default() })]

    /// The sky moved and turned a little, a third of the stars went behind cloud, others came.
    #[test]
    fn the_same_star_is_found_however_the_sky_moved(
        stars in sky(300), new in sky(40), moved in (-400.0..400.0, -400.0..400.0), turn_deg in -0.3f64..0.3,
    ) {
        let (sin, cos) = turn_deg.to_radians().sin_cos();
        let there = |(x, y): (f64, f64)| {
            let (x, y) = (x - 2000.0, y - 1500.0);
            (2000.0 + x * cos - y * sin + moved.0, 1500.0 + x * sin + y * cos + moved.1)
        };
        // others come where none of the stars is, seen or not
        let all = apart(stars.iter().copied().map(there).chain(new));
        let stars: Vec<(f64, f64)> = stars.into_iter().filter(|star| all.contains(&there(*star))).collect();
        let others = all.iter().copied().filter(|place| !stars.iter().any(|star| there(*star) == *place));
        let seen = stars.iter().enumerate().filter(|(index, _place)| index % 3 != 0).map(|(_index, place)| there(*place));
        let second: Vec<(f64, f64)> = seen.chain(others).collect();
        let found = same_place(&field(&stars), &field(&second), [4000, 3000], [2000.0, 1500.0]);
        prop_assert!(found.on_star, "{}", found.words);
        let wanted = there((found.first_px[0], found.first_px[1]));
        prop_assert!((wanted.0 - found.second_px[0]).hypot(wanted.1 - found.second_px[1]) < 1e-6);
    }

    /// Two skies that have nothing to do with each other.
    #[test]
    fn unlike_skies_are_not_held_together(first in sky(300), second in sky(300)) {
        let found = same_place(&field(&first), &field(&second), [4000, 3000], [2000.0, 1500.0]);
        prop_assert!(!found.on_star, "{}", found.words);
        let apart = [0, 1].map(|axis| found.first_px[axis] - found.second_px[axis]);
        prop_assert!(apart[0].hypot(apart[1]) < 1e-9);
    }
}
