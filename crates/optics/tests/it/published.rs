//! Tables made with independent libraries (named in their headers) and published numbers: lens, camera curve.

use optics::{Camera, Channel, Pointing, Projection, equivalent_width_nm, relative_response};
use quantity::Horizontal;

use crate::spread::{Row, Spread, rows};

/// Pixels against an independent numpy projection, itself checked by rotation matrices to 1e-11 px. The table gives
/// angles to 1e-6 deg and pixels to 1e-4; 14 000 px off the frame a rectilinear lens turns 1e-6 deg into 5e-4 px.
const PIXEL_TOLERANCE: f64 = 2e-3;
/// Directions back from those pixels: 1e-4 px rounding is 2e-7 rad at most, in degrees 1e-5.
const DIRECTION_TOLERANCE_DEG: f64 = 1e-5;
/// Response of the camera curve at a line, given to 0.001 from another interpolation: any two smooth ones differ by up to
/// 0.003 at 427.8 nm, where the blue channel rises by 0.06 in a nanometre. Between cameras it is 0.1.
const RESPONSE_TOLERANCE: f64 = 2.5e-3;
/// Equivalent width, given to 0.1 nm: half a digit, and another for the summation rule.
const WIDTH_TOLERANCE_NM: f64 = 0.1;

fn projection(name: &str) -> Projection {
    match name {
        "rectilinear" => Projection::Rectilinear,
        "stereographic" => Projection::Stereographic,
        "equidistant" => Projection::Equidistant,
        "equisolid" => Projection::Equisolid,
        other => panic!("unknown projection {other}"),
    }
}

#[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "small whole numbers in our own table")]
fn camera(row: &Row) -> Camera {
    Camera {
        projection: projection(row.text("projection")),
        focal_mm: row.number("focal_mm"),
        pixel_mm: row.number("pixel_mm"),
        width_px: row.number("width_px") as u32,
        height_px: row.number("height_px") as u32,
        centre_px: [row.number("cx_px"), row.number("cy_px")],
        k1: row.number("k1"),
        k2: row.number("k2"),
        pointing: Pointing {
            azimuth_deg: row.number("cam_az_deg"),
            altitude_deg: row.number("cam_alt_deg"),
            roll_deg: row.number("cam_roll_deg"),
        },
    }
}

#[test]
fn lens_table_both_ways() {
    let (mut pixels, mut directions) = (Spread::default(), Spread::default());
    for row in rows(include_str!("../data/lens.csv")) {
        let camera = camera(&row);
        let star = Horizontal::new(row.number("star_alt_deg"), row.number("star_az_deg"));
        let wanted = [row.number("x_px"), row.number("y_px")];
        let name = format!("pose {} at {wanted:?}", row.text("pose"));
        let got = camera.pixel_of(star).unwrap();
        pixels.add((got[0] - wanted[0]).hypot(got[1] - wanted[1]), name.clone());
        directions.add(camera.direction_of(wanted).unwrap().separation_deg(star), name.clone());
        assert_eq!(camera.contains(got), row.number("inside") > 0.5, "{name}");
    }
    pixels.assert_within("pixel of a star, px", PIXEL_TOLERANCE);
    directions.assert_within("direction of a pixel, deg", DIRECTION_TOLERANCE_DEG);
}

#[test]
fn camera_curve_at_the_lines_and_its_widths() {
    // Darrodi et al. (2015) curve interpolated and summed independently of this crate: red, green, blue.
    let published = [
        (427.8, [0.079, 0.130, 0.728]),
        (470.9, [0.048, 0.384, 0.983]),
        (486.1, [0.052, 0.472, 0.820]),
        (557.7, [0.040, 0.802, 0.040]),
        (630.0, [0.570, 0.047, 0.004]),
        (636.4, [0.477, 0.039, 0.005]),
        (670.5, [0.085, 0.009, 0.003]),
    ];
    let mut spread = Spread::default();
    for (wavelength_nm, values) in published {
        for (channel, value) in Channel::ALL.into_iter().zip(values) {
            let got = relative_response(channel, wavelength_nm);
            spread.add(got - value, format!("{wavelength_nm} nm {channel:?} {got:.4}"));
        }
    }
    spread.assert_within("relative response", RESPONSE_TOLERANCE);

    let mut widths = Spread::default();
    for (channel, width_nm) in Channel::ALL.into_iter().zip([67.8, 101.5, 82.7]) {
        let got = equivalent_width_nm(channel);
        widths.add(got - width_nm, format!("{channel:?} {got:.3}"));
    }
    widths.assert_within("equivalent width, nm", WIDTH_TOLERANCE_NM);
}
