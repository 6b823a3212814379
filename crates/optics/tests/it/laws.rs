//! What must hold for every camera, exposure and eye.

use optics::{
    Camera, Exposure, EyeBackground, Lens, Pointing, Projection, Sensor, Shot, adaptation_log10_elevation, mesopic,
    visible_threshold, visible_threshold_after,
};
use proptest::prelude::*;
use quantity::{Horizontal, LineBrightness};

/// Sky to pixel to sky: rounding of a few trigonometric functions, stretched near the edge of an equisolid image.
const ROUND_TRIP_DEG: f64 = 1e-6;

fn projections() -> impl Strategy<Value = Projection> {
    proptest::sample::select(&Projection::ALL[..])
}

prop_compose! {
    fn cameras()(
        projection in projections(),
        focal_mm in 6.0..200.0f64,
        azimuth_deg in 0.0..360.0f64,
        altitude_deg in -90.0..=90.0f64,
        roll_deg in -180.0..180.0f64,
        k1 in -0.3..0.3f64,
        k2 in -0.1..0.1f64,
        shift in prop::array::uniform2(-40.0..40.0f64),
    ) -> Camera {
        let pointing = Pointing { azimuth_deg, altitude_deg, roll_deg };
        let centred = Camera::centred(projection, focal_mm, 5.95, [6048, 4024], pointing);
        let centre_px = [centred.centre_px[0] + shift[0], centred.centre_px[1] + shift[1]];
        Camera { k1, k2, centre_px, ..centred }
    }
}

fn lens() -> Lens {
    Lens {
        f_number: 1.8,
        focal_mm: 20.0,
        transmission: 0.9,
        projection: Projection::Rectilinear,
        corner_loss_stops: 1.5,
    }
}

proptest! {
    #[test]
    fn a_pixel_survives_the_way_to_the_sky_and_back(camera in cameras(), x in 0.0..6047.0f64, y in 0.0..4023.0f64) {
        if let Some(direction) = camera.direction_of([x, y]) {
            // Only within rounding of the very edge of the image may the way back be refused.
            if let Some(back) = camera.pixel_of(direction) {
                let again = camera.direction_of(back);
                prop_assert!(again.is_none_or(|a| a.separation_deg(direction) < ROUND_TRIP_DEG));
                prop_assert!((back[0] - x).hypot(back[1] - y) < 1e-3, "{back:?}");
            }
        }
    }

    #[test]
    fn a_star_survives_the_way_to_the_pixel_and_back(camera in cameras(), alt in -90.0..90.0f64, az in 0.0..360.0f64) {
        let star = Horizontal::new(alt, az);
        if let Some(pixel) = camera.pixel_of(star).filter(|p| camera.contains(*p)) {
            let back = camera.direction_of(pixel);
            prop_assert!(back.is_some_and(|b| b.separation_deg(star) < 1e-5), "{back:?}");
        }
    }

    #[test]
    fn turning_camera_and_star_together_changes_nothing(camera in cameras(), alt in -90.0..90.0f64, az in 0.0..360.0f64, turn in 0.0..360.0f64) {
        let mut turned = camera;
        turned.pointing.azimuth_deg += turn;
        let (a, b) = (camera.pixel_of(Horizontal::new(alt, az)), turned.pixel_of(Horizontal::new(alt, az + turn)));
        if let (Some(a), Some(b)) = (a, b) {
            prop_assert!((a[0] - b[0]).hypot(a[1] - b[1]) < 1e-6 * (1.0 + a[0].hypot(a[1])));
        }
    }

    #[test]
    fn longer_and_wider_gives_more_electrons(seconds in 0.01..60.0f64, n in 1.2..8.0f64, kr in 0.01..1000.0f64) {
        let (sensor, lens) = (Sensor::generic_full_frame(), lens());
        let aurora = LineBrightness { blue_4278_kr: kr, green_5577_kr: kr, red_6300_kr: kr };
        let electrons = |seconds, f_number| {
            Shot { sensor: &sensor, lens: &lens, exposure: Exposure { seconds, iso: 1600.0, f_number } }.line_electrons(&aurora)
        };
        for ((plain, long), wide) in electrons(seconds, n).into_iter().zip(electrons(2.0 * seconds, n)).zip(electrons(seconds, n / 1.4)) {
            prop_assert!(plain > 0.0 && (long / plain - 2.0).abs() < 1e-12 && (wide / plain - 1.96).abs() < 1e-9);
        }
    }

    #[test]
    fn a_brighter_sky_and_a_smaller_patch_raise_the_threshold(mag in 8.0..23.0f64, step in 0.01..1.0f64, patch in 0.1..1000.0f64) {
        let dark = visible_threshold(EyeBackground::from_sky_magnitude(mag), patch, 2.0);
        let bright = visible_threshold(EyeBackground::from_sky_magnitude(mag - step), patch, 2.0);
        let small = visible_threshold(EyeBackground::from_sky_magnitude(mag), patch / 2.0, 2.0);
        prop_assert!(bright.rod_scotopic_cd_m2 >= dark.rod_scotopic_cd_m2, "{dark:?} {bright:?}");
        prop_assert!(bright.cone_photopic_cd_m2 >= dark.cone_photopic_cd_m2, "{dark:?} {bright:?}");
        prop_assert!(small.rod_scotopic_cd_m2 >= dark.rod_scotopic_cd_m2);
        prop_assert!(small.cone_photopic_cd_m2 >= dark.cone_photopic_cd_m2);
    }

    #[test]
    fn waiting_in_the_dark_never_hurts(mag in 14.0..23.0f64, minutes in 0.0..60.0f64, more in 0.0..30.0f64) {
        prop_assert!(adaptation_log10_elevation(minutes + more) <= adaptation_log10_elevation(minutes) + 1e-12);
        let sky = EyeBackground::from_sky_magnitude(mag);
        let (soon, later) = (visible_threshold_after(sky, 10.0, 2.0, minutes), visible_threshold_after(sky, 10.0, 2.0, minutes + more));
        let rested = visible_threshold(sky, 10.0, 2.0);
        prop_assert!(later.rod_scotopic_cd_m2 <= soon.rod_scotopic_cd_m2 * (1.0 + 1e-12));
        prop_assert!(later.cone_photopic_cd_m2 <= soon.cone_photopic_cd_m2 * (1.0 + 1e-12));
        prop_assert!(rested.rod_scotopic_cd_m2 <= later.rod_scotopic_cd_m2);
    }

    #[test]
    fn mesopic_light_lies_between_its_two_parts(photopic in 1e-6..20.0f64, sp in 0.01..80.0f64) {
        let got = mesopic(photopic, photopic * sp);
        let (low, high) = (photopic.min(photopic * sp), photopic.max(photopic * sp));
        prop_assert!((low * (1.0 - 1e-9)..=high * (1.0 + 1e-9)).contains(&got.luminance_cd_m2));
        // the solution satisfies the standard's own equation where it is not clipped
        if got.cone_share > 0.0 && got.cone_share < 1.0 {
            prop_assert!((got.cone_share - (0.767 + 0.3334 * got.luminance_cd_m2.log10())).abs() < 1e-9);
        }
    }
}

#[test]
fn the_corner_of_a_wide_lens_wide_open_is_two_to_four_stops_down() {
    // 20 mm on 36 × 24 mm: the corner is 47° off axis, 2.2 stops by the cosine law and 1.5 by the rims.
    let open = lens().vignetting(47.2, 1.0, 1.8);
    assert!((2.0..4.0).contains(&-open.log2()), "{open}");
    let closed = lens().vignetting(47.2, 1.0, 3.6);
    assert!((closed / Projection::Rectilinear.natural_falloff(47.2) - 1.0).abs() < 1e-12);
    assert!((lens().vignetting(0.0, 0.0, 1.8) - 1.0).abs() < 1e-12);
}

#[test]
fn field_of_view_of_known_lenses() {
    let up = Pointing { azimuth_deg: 10.0, altitude_deg: 90.0, roll_deg: 0.0 };
    // 36 × 24 mm at 20 mm: 2 atan(18/20) = 83.97°, 2 atan(12/20) = 61.93°, diagonal 94.49°.
    let view = Camera::centred(Projection::Rectilinear, 20.0, 6.0, [6000, 4000], up).field_of_view_deg();
    for (got, wanted) in [(view.horizontal_deg, 83.974), (view.vertical_deg, 61.928), (view.diagonal_deg, 94.493)] {
        assert!((got - wanted).abs() < 1e-3, "{got} {wanted}");
    }
    // An 8 mm equisolid circle on the same frame: 4 asin(18/16) has no answer across, so the whole sphere's edge counts.
    let circle = Camera::centred(Projection::Equisolid, 8.0, 6.0, [6000, 4000], up).field_of_view_deg();
    assert!((circle.horizontal_deg - 360.0).abs() < 1e-6);
    assert!((circle.vertical_deg - 4.0 * (12.0f64 / 16.0).asin().to_degrees()).abs() < 1e-6);
}

#[test]
fn the_outline_of_a_frame_runs_along_its_border() {
    let north = Pointing { azimuth_deg: 0.0, altitude_deg: 30.0, roll_deg: 0.0 };
    let camera = Camera::centred(Projection::Rectilinear, 14.0, 6.0, [6000, 4000], north);
    let outline = camera.frame_outline(80);
    assert_eq!(outline.len(), 80);
    for direction in &outline {
        let [x, y] = camera.pixel_of(*direction).unwrap();
        let off = [x + 0.5, y + 0.5, 5999.5 - x, 3999.5 - y].into_iter().fold(f64::INFINITY, |a, b| a.min(b.abs()));
        assert!(off < 1e-6, "{x} {y}");
    }
    // clockwise from the top left: the left is west of north when looking north
    assert!(outline[0].azimuth_deg > 180.0 && outline[0].altitude_deg > 30.0);
    assert!(outline[20].azimuth_deg < 180.0);
}

#[test]
fn positive_roll_raises_the_right_hand_side() {
    let camera = |roll_deg| {
        let pointing = Pointing { azimuth_deg: 0.0, altitude_deg: 20.0, roll_deg };
        Camera::centred(Projection::Rectilinear, 20.0, 6.0, [6000, 4000], pointing)
    };
    let right_edge = |roll| camera(roll).direction_of([5999.0, 1999.5]).unwrap().altitude_deg;
    assert!(right_edge(10.0) > right_edge(0.0) && right_edge(-10.0) < right_edge(0.0));
}
