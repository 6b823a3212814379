//! Depth of field: what is sharp at the distance focused on.

use serde::{Deserialize, Serialize};

use super::request::StandRequest;
use crate::Kit;
use crate::framing::milli;

/// Blur that a print of a 36 x 24 mm picture forgives, µm (the trade's usual circle of confusion, from memory).
const PRINT_BLUR_UM: f64 = 30.0;
/// Diagonal of that picture, mm.
const FULL_FRAME_DIAGONAL_MM: f64 = 43.27;

/// How sharp something is at its distance.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
#[cfg_attr(feature = "typescript", derive(ts_rs::TS))]
pub enum Sharpness {
    /// Blur of one pixel at most.
    Sharp,
    /// More than a pixel, yet no more than a print of the whole picture forgives.
    SharpInPrint,
    /// Visibly soft.
    Soft,
}

/// What is sharp with the lens focused where it is.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "typescript", derive(ts_rs::TS))]
pub struct FocusReport {
    /// Distance focused at, m; none is infinity.
    pub focus_m: Option<f64>,
    /// Distance from which all is within one pixel of blur, m.
    pub near_sharp_m: f64,
    /// Distance up to which it is, m; none is infinity.
    pub far_sharp_m: Option<f64>,
    /// Distance from which all is sharp in a print, m.
    pub near_print_m: f64,
    /// Hyperfocal distance for one pixel of blur, m.
    pub hyperfocal_pixel_m: f64,
    /// Hyperfocal distance for the blur a print forgives, m.
    pub hyperfocal_print_m: f64,
    /// Blur of the stars, pixels.
    pub star_blur_px: f64,
}

/// The depth of field of a request.
pub(super) fn focus(request: &StandRequest) -> FocusReport {
    let kit = &request.kit;
    let (focal_mm, f_number) = (kit.lens.focal_mm, kit.lens.f_number);
    let focus_m = request.focus_m.unwrap_or(f64::INFINITY);
    let pixel = optics::focus_range_m(focal_mm, f_number, kit.camera.pixel_um, focus_m);
    let print = optics::focus_range_m(focal_mm, f_number, print_blur_um(kit), focus_m);
    FocusReport {
        focus_m: request.focus_m,
        near_sharp_m: milli(pixel.near_m),
        far_sharp_m: pixel.far_m.is_finite().then(|| milli(pixel.far_m)),
        near_print_m: milli(print.near_m),
        hyperfocal_pixel_m: milli(optics::hyperfocal_m(focal_mm, f_number, kit.camera.pixel_um)),
        hyperfocal_print_m: milli(optics::hyperfocal_m(focal_mm, f_number, print_blur_um(kit))),
        star_blur_px: milli(blur_px(kit, request.focus_m, f64::INFINITY)),
    }
}

/// Blur of something at a distance, pixels: `f² |d - s| / (N d (s - f))`, thin lens.
///
/// * `focus_m`: none is infinity. * `distance_m`: above 0, or infinite.
pub(super) fn blur_px(kit: &Kit, focus_m: Option<f64>, distance_m: f64) -> f64 {
    let focal_m = kit.lens.focal_mm * 1e-3;
    let pupil_m = focal_m / kit.lens.f_number;
    let blur_m = match (focus_m, distance_m.is_infinite()) {
        (None, true) => 0.0,
        (None, false) => pupil_m * focal_m / distance_m,
        (Some(s), true) => pupil_m * focal_m / (s - focal_m),
        (Some(s), false) => pupil_m * focal_m * (distance_m - s).abs() / (distance_m * (s - focal_m)),
    };
    blur_m / (kit.camera.pixel_um * 1e-6)
}

/// The class of a blur.
pub(super) fn sharpness(kit: &Kit, blur_px: f64) -> Sharpness {
    match blur_px {
        blur if blur <= 1.0 => Sharpness::Sharp,
        blur if blur * kit.camera.pixel_um <= print_blur_um(kit) => Sharpness::SharpInPrint,
        _ => Sharpness::Soft,
    }
}

fn print_blur_um(kit: &Kit) -> f64 {
    let camera = &kit.camera;
    let diagonal_mm = f64::from(camera.width_px).hypot(f64::from(camera.height_px)) * camera.pixel_um * 1e-3;
    PRINT_BLUR_UM * diagonal_mm / FULL_FRAME_DIAGONAL_MM
}

#[cfg(test)]
mod tests {
    use super::*;

    /// The worked numbers are given to three figures.
    const GIVEN_FIGURES: f64 = 0.005;

    /// A 36 x 24 mm sensor whatever the pitch.
    #[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "some thousands of pixels")]
    fn kit(focal_mm: f64, f_number: f64, pixel_um: f64) -> Kit {
        let mut kit = Kit::plain();
        kit.lens.focal_mm = focal_mm;
        kit.lens.f_number = f_number;
        kit.camera.pixel_um = pixel_um;
        kit.camera.width_px = (36_000.0 / pixel_um).round() as u32;
        kit.camera.height_px = (24_000.0 / pixel_um).round() as u32;
        kit
    }

    #[test]
    fn hyperfocal_distances_are_the_worked_ones() {
        // docs/stand.md, worked by hand from H = f²/(N c) + f: print (c 0.030 mm) and one pixel.
        for (focal, n, pixel, print_m, pixel_m) in
            [(14.0, 2.8, 5.95, 2.35, 11.8), (20.0, 1.8, 5.95, 7.43, 37.4), (24.0, 1.4, 4.35, 13.7, 94.6)]
        {
            let kit = kit(focal, n, pixel);
            let found = (optics::hyperfocal_m(focal, n, print_blur_um(&kit)), optics::hyperfocal_m(focal, n, pixel));
            assert!((found.0 / print_m - 1.0).abs() < GIVEN_FIGURES, "{focal} mm print: {}", found.0);
            assert!((found.1 / pixel_m - 1.0).abs() < GIVEN_FIGURES, "{focal} mm pixel: {}", found.1);
        }
    }

    #[test]
    fn blur_is_one_pixel_at_the_near_limit() {
        // geometry: at the near limit of a depth of field the blur is the one it was computed for
        let kit = kit(20.0, 1.8, 5.95);
        for focus in [8.0, 20.0, 37.0] {
            let range = optics::focus_range_m(20.0, 1.8, 5.95, focus);
            assert!((blur_px(&kit, Some(focus), range.near_m) - 1.0).abs() < 1e-6);
            assert!((blur_px(&kit, Some(focus), range.far_m) - 1.0).abs() < 1e-6);
        }
        assert!(blur_px(&kit, None, f64::INFINITY).abs() < f64::EPSILON);
        // focused at infinity, something at distance d is blurred by the pupil's size at the scale of d: f²/(N d)
        assert!((blur_px(&kit, None, 10.0) - 0.02 * 0.02 / 1.8 / 10.0 / 5.95e-6).abs() < 1e-9);
    }
}
