//! Huts, trees and boats in front: how large, where, how sharp.

use quantity::Horizontal;
use serde::{Deserialize, Serialize};

use super::focus::{Sharpness, blur_px, sharpness};
use super::request::StandRequest;
use crate::ForegroundObject;
use crate::framing::{FramePlace, Framing, milli, tenth};

/// Height of the camera over the ground, m: a tripod at chest height. Objects are taken to stand on level ground.
const CAMERA_HEIGHT_M: f64 = 1.5;
/// Points along each side of a silhouette, so that it bends as the lens bends it.
const SIDE_POINTS: u32 = 6;
/// Pixels beyond which a corner is so far outside that drawing it means nothing, in picture widths.
const FARTHEST_WIDTHS: f64 = 20.0;

/// Something in front, in the picture or beside it.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "typescript", derive(ts_rs::TS))]
pub struct FrameObject {
    /// What it is.
    pub name: String,
    /// Azimuth of its middle, degrees.
    pub bearing_deg: f64,
    /// Distance, m.
    pub distance_m: f64,
    /// Altitude of its top, degrees.
    pub top_deg: f64,
    /// Altitude of its foot on level ground, degrees.
    pub foot_deg: f64,
    /// How wide it looks, degrees.
    pub width_deg: f64,
    /// Where its top is.
    pub top: FramePlace,
    /// Height from foot to top, pixels; none where the lens does not image both.
    pub height_px: Option<f64>,
    /// Width at the top, pixels.
    pub width_px: Option<f64>,
    /// Outline, pixels, closed; corners may lie outside the picture. Empty where it is not imaged.
    pub silhouette_px: Vec<[f64; 2]>,
    /// Whether its middle is in the picture: top, foot or halfway.
    pub inside: bool,
    /// Blur at its distance, pixels.
    pub blur_px: f64,
    /// How sharp that is.
    pub sharpness: Sharpness,
}

/// Angles of an object as the camera sees it.
#[derive(Debug, Clone, Copy)]
#[expect(clippy::struct_field_names, reason = "the unit is part of each name")]
pub(super) struct Angles {
    bearing_deg: f64,
    pub(super) top_deg: f64,
    foot_deg: f64,
    half_width_deg: f64,
}

impl Angles {
    pub(super) fn of(object: &ForegroundObject) -> Self {
        let degrees = |height_m: f64| height_m.atan2(object.distance_m).to_degrees();
        let top_deg = degrees(object.height_m);
        Self {
            bearing_deg: object.bearing_deg,
            top_deg,
            foot_deg: degrees(-CAMERA_HEIGHT_M).min(top_deg),
            half_width_deg: degrees(object.width_m / 2.0),
        }
    }

    fn at(self, altitude_deg: f64, side: f64) -> Horizontal {
        Horizontal::new(altitude_deg, self.bearing_deg + side * self.half_width_deg)
    }

    /// Top, halfway and foot of the middle.
    pub(super) fn middle(self) -> [Horizontal; 3] {
        [self.top_deg, f64::midpoint(self.top_deg, self.foot_deg), self.foot_deg].map(|altitude| self.at(altitude, 0.0))
    }

    /// Corners and points between, clockwise from the foot on the left.
    fn outline(self) -> Vec<Horizontal> {
        let share = |i: u32| f64::from(i) / f64::from(SIDE_POINTS);
        let up = |s: f64| self.foot_deg + s * (self.top_deg - self.foot_deg);
        let sides = [
            (0..SIDE_POINTS).map(|i| self.at(up(share(i)), -1.0)).collect::<Vec<_>>(),
            (0..SIDE_POINTS).map(|i| self.at(self.top_deg, -1.0 + 2.0 * share(i))).collect(),
            (0..SIDE_POINTS).map(|i| self.at(up(1.0 - share(i)), 1.0)).collect(),
            (0..SIDE_POINTS).map(|i| self.at(self.foot_deg, 1.0 - 2.0 * share(i))).collect(),
        ];
        sides.concat()
    }
}

/// Every object of the site, as the framing shows it.
pub(super) fn foreground(request: &StandRequest, framing: &Framing) -> Vec<FrameObject> {
    request.site.foreground.iter().map(|object| one(object, request, framing)).collect()
}

fn one(object: &ForegroundObject, request: &StandRequest, framing: &Framing) -> FrameObject {
    let angles = Angles::of(object);
    let blur = blur_px(&request.kit, request.focus_m, object.distance_m);
    let between = |a: Horizontal, b: Horizontal| {
        let ([ax, ay], [bx, by]) = (framing.pixel_of(a)?, framing.pixel_of(b)?);
        Some(tenth((ax - bx).hypot(ay - by)))
    };
    let [top, _, foot] = angles.middle();
    FrameObject {
        name: object.name.clone(),
        bearing_deg: milli(quantity::wrap_degrees_360(object.bearing_deg)),
        distance_m: object.distance_m,
        top_deg: milli(angles.top_deg),
        foot_deg: milli(angles.foot_deg),
        width_deg: milli(2.0 * angles.half_width_deg),
        top: framing.place(top),
        height_px: between(top, foot),
        width_px: between(angles.at(angles.top_deg, -1.0), angles.at(angles.top_deg, 1.0)),
        silhouette_px: silhouette(angles, framing),
        inside: angles.middle().into_iter().any(|direction| framing.place(direction).inside),
        blur_px: milli(blur),
        sharpness: sharpness(&request.kit, blur),
    }
}

/// All of the outline in pixels, or nothing if any of it has no image.
fn silhouette(angles: Angles, framing: &Framing) -> Vec<[f64; 2]> {
    let [width, height] = framing.size_px().map(f64::from);
    let far = FARTHEST_WIDTHS * width.max(height);
    let pixels: Option<Vec<[f64; 2]>> = angles
        .outline()
        .into_iter()
        .map(|direction| framing.pixel_of(direction).filter(|[x, y]| x.abs() < far && y.abs() < far))
        .map(|pixel| pixel.map(|[x, y]| [tenth(x), tenth(y)]))
        .collect();
    pixels.unwrap_or_default()
}
