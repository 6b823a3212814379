//! Numbers that nobody should give: every answer is `None`, an error or a number, never a panic.

use optics::{
    Camera, Exposure, EyeBackground, Lens, Pointing, Projection, Sensor, Shot, adaptation_log10_elevation, blackbody,
    colour_saturation, contrast_threshold, faintest_star_mag, ibc, luminance_per_kr, mesopic, relative_response,
    visible_threshold, visible_threshold_after,
};
use quantity::{EmissionLine, Horizontal, LineBrightness};

const ODD: [f64; 10] =
    [f64::NAN, f64::INFINITY, f64::NEG_INFINITY, 0.0, -0.0, -1.0, 1e-320, 1e300, f64::MAX, f64::MIN_POSITIVE];

fn camera() -> Camera {
    let pointing = Pointing { azimuth_deg: 0.0, altitude_deg: 90.0, roll_deg: 0.0 };
    Camera::centred(Projection::Equidistant, 8.0, 6.0, [6000, 4000], pointing)
}

#[test]
fn a_camera_of_odd_numbers_answers_none_or_a_number() {
    for projection in Projection::ALL {
        for a in ODD {
            for b in ODD {
                for odd in [
                    Camera { projection, focal_mm: a, pixel_mm: b, ..camera() },
                    Camera { projection, k1: a, k2: b, ..camera() },
                    Camera { projection, centre_px: [a, b], ..camera() },
                    Camera {
                        projection,
                        pointing: Pointing { azimuth_deg: a, altitude_deg: b, roll_deg: a },
                        ..camera()
                    },
                ] {
                    if let Some([x, y]) = odd.pixel_of(Horizontal::new(45.0, 10.0)) {
                        assert!(x.is_finite() && y.is_finite());
                    }
                    if let Some(d) = odd.direction_of([100.0, 200.0]) {
                        assert!(d.altitude_deg.is_finite() && d.azimuth_deg.is_finite(), "{odd:?} {d:?}");
                    }
                    let _fov = odd.field_of_view_deg();
                    let _outline = odd.frame_outline(7);
                }
                assert!(camera().direction_of([a, b]).is_none_or(|d| d.altitude_deg.is_finite()));
                assert!(camera().pixel_of(Horizontal::new(a, b)).is_none_or(|p| p[0].is_finite()));
            }
        }
    }
}

#[test]
fn a_camera_without_pixels_or_glass_is_refused_with_a_hint() {
    let error = Camera { focal_mm: 0.0, ..camera() }.check().unwrap_err();
    assert_eq!(error.to_string(), "focal length in mm is 0, and must be a number above 0");
    assert!(error.hint().contains("focal length"));
    assert!(Camera { width_px: 0, ..camera() }.check().is_err());
    assert!(Camera { k1: f64::NAN, ..camera() }.check().is_err());
    assert!(camera().check().is_ok());
    assert!(Camera { width_px: 0, height_px: 0, ..camera() }.frame_outline(10).is_empty());
    assert!(!camera().frame_outline(0).is_empty());
    assert!(Sensor { peak_qe: [0.5, 1.2, 0.5], ..Sensor::generic_full_frame() }.check().is_err());
    assert!(Sensor::generic_full_frame().check().is_ok());
    assert!(Exposure { seconds: f64::NAN, iso: 100.0, f_number: 2.0 }.check().is_err());
}

#[test]
fn the_point_behind_a_rectilinear_lens_has_no_pixel() {
    let rectilinear = Camera { projection: Projection::Rectilinear, ..camera() };
    assert!(rectilinear.pixel_of(Horizontal::new(-90.0, 0.0)).is_none());
    assert!(rectilinear.pixel_of(Horizontal::new(0.0, 0.0)).is_none());
    // A fisheye shows it at the edge; no direction may divide by zero at the pole itself.
    for projection in Projection::ALL {
        let fisheye = Camera { projection, ..camera() };
        assert!(fisheye.pixel_of(Horizontal::new(90.0, 123.0)).is_some());
        let _nadir = fisheye.pixel_of(Horizontal::new(-90.0, 0.0));
    }
}

#[test]
fn eye_and_light_take_any_number() {
    for a in ODD {
        for b in ODD {
            let _mesopic = mesopic(a, b);
            let background = EyeBackground { photopic_cd_m2: a, scotopic_cd_m2: b };
            for c in ODD {
                let threshold = visible_threshold(background, c, 2.0);
                let _ratio = threshold.visibility(&LineBrightness::default()).best();
                let _kr = visible_threshold_after(background, c, a, b).of_line_kr(EmissionLine::Red6300);
            }
            let _star = faintest_star_mag(a, b);
            let _contrast = contrast_threshold(optics::ContrastRange::Photopic, a, b);
        }
        assert!(adaptation_log10_elevation(a).is_finite() || a.is_infinite());
        assert!((0.0..=1.0).contains(&colour_saturation(a)));
        assert!(luminance_per_kr(a).photopic_cd_m2.is_finite());
        assert!(relative_response(optics::Channel::Blue, a).is_finite());
        let _class = ibc(a).plain_words();
        let _hot = blackbody(a);
    }
    // a background that is not a number counts as darkness, and so still gives a threshold
    let unknown = EyeBackground { photopic_cd_m2: f64::NAN, scotopic_cd_m2: f64::NAN };
    assert!(visible_threshold(unknown, 10.0, 2.0).rod_scotopic_cd_m2.is_finite());
}

#[test]
fn a_shot_of_odd_settings_is_a_number_or_nothing_worse() {
    let sensor = Sensor::generic_full_frame();
    let lens = Lens {
        f_number: 2.8,
        focal_mm: 14.0,
        transmission: 0.9,
        projection: Projection::Equisolid,
        corner_loss_stops: 1.0,
    };
    for seconds in ODD {
        for iso in ODD {
            let shot = Shot { sensor: &sensor, lens: &lens, exposure: Exposure { seconds, iso, f_number: 2.8 } };
            let _snr = shot.snr(10.0, 5.0, 0);
            let _stops = shot.stops_to_clip(seconds);
            let _loss = lens.vignetting(seconds, iso, 2.8);
        }
    }
}
