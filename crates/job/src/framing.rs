use optics::{Camera, Pointing, View};
use quantity::Horizontal;
use serde::{Deserialize, Serialize};

use crate::{FramePointing, Kit, Orientation};

/// Where something stands in the picture.
///
/// Pixels of the picture turned upright: x to the right, y down, centre of the first pixel (0, 0).
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "typescript", derive(ts_rs::TS))]
pub struct FramePlace {
    /// Its direction as seen (with refraction).
    pub direction: Horizontal,
    /// Its pixel, inside or outside the picture; none where the lens makes no image.
    pub pixel: Option<[f64; 2]>,
    /// Whether it is in the picture.
    pub inside: bool,
}

/// Share of width and height along each edge that is too near to it for what matters: tripods slip and lenses are soft there.
const EDGE_SHARE: f64 = 0.08;

/// A kit pointed at the sky: directions to pixels of the upright picture and back.
///
/// A portrait picture is the sensor turned by 90 degrees and shown upright, so its width is the sensor's height.
#[derive(Debug, Clone, Copy)]
pub struct Framing {
    camera: Camera,
    view: View,
}

impl Framing {
    /// A kit, pointed.
    pub fn new(kit: &Kit, pointing: &FramePointing) -> Self {
        let (width, height) = (kit.camera.width_px, kit.camera.height_px);
        let (long, short) = (width.max(height), width.min(height));
        let size = match pointing.orientation {
            Orientation::Landscape => [long, short],
            Orientation::Portrait => [short, long],
        };
        let axis = Pointing {
            azimuth_deg: pointing.azimuth_deg,
            altitude_deg: pointing.altitude_deg,
            roll_deg: pointing.roll_deg,
        };
        let projection = kit.lens.projection.into();
        let mut camera = Camera::centred(projection, kit.lens.focal_mm, kit.camera.pixel_um, size, axis);
        measured(&mut camera, kit, pointing.orientation);
        Self { camera, view: camera.view() }
    }

    /// Width and height of the upright picture, pixels.
    pub fn size_px(&self) -> [u32; 2] {
        [self.camera.width_px, self.camera.height_px]
    }

    /// Pixel of a direction, inside the picture or not; none where the lens makes no image.
    pub fn pixel_of(&self, direction: Horizontal) -> Option<[f64; 2]> {
        self.view.pixel_of(direction)
    }

    /// Direction of a pixel; none beyond the edge of the lens's image.
    pub fn direction_of(&self, pixel: [f64; 2]) -> Option<Horizontal> {
        self.view.direction_of(pixel)
    }

    /// Where a direction stands in the picture.
    pub fn place(&self, direction: Horizontal) -> FramePlace {
        let pixel = self.view.pixel_of(direction);
        FramePlace {
            direction: rounded_direction(direction),
            pixel: pixel.map(|[x, y]| [tenth(x), tenth(y)]),
            inside: pixel.is_some_and(|pixel| self.camera.contains(pixel)),
        }
    }

    /// Whether a unit vector east, north, up is in the picture.
    pub(crate) fn sees(&self, east_north_up: [f64; 3]) -> bool {
        self.view.pixel_of_vector(east_north_up).is_some_and(|pixel| self.camera.contains(pixel))
    }

    /// Whether a unit vector is in the picture and not at its very edge.
    pub(crate) fn holds(&self, east_north_up: [f64; 3]) -> bool {
        let [width, height] = self.size_px().map(f64::from);
        let within = |value: f64, size: f64| value > EDGE_SHARE * size && value < (1.0 - EDGE_SHARE) * size;
        self.view.pixel_of_vector(east_north_up).is_some_and(|[x, y]| within(x, width) && within(y, height))
    }

    pub(crate) fn camera(&self) -> &Camera {
        &self.camera
    }
}

/// The lens as stars showed it, where the kit holds that. Which way round a portrait was turned is not known, so its axis stays
/// in the middle.
fn measured(camera: &mut Camera, kit: &Kit, orientation: Orientation) {
    let sensor = [kit.camera.width_px, kit.camera.height_px];
    let size = sensor.map(|side| usize::try_from(side).unwrap_or(usize::MAX));
    let Some(lens) = kit.lens.profile.as_ref().and_then(|profile| profile.model_for(size)) else { return };
    if lens.mirrored || (lens.pixel_aspect - 1.0).abs() > f64::EPSILON {
        return;
    }
    camera.projection = lens.projection;
    camera.focal_mm = lens.focal_px * camera.pixel_mm;
    (camera.k1, camera.k2) = (lens.k1, lens.k2);
    if orientation == Orientation::Landscape && sensor[0] >= sensor[1] {
        camera.centre_px = lens.centre_px;
    }
}

/// A tenth of a pixel: finer than any lens is known without a fit to stars.
pub(crate) fn tenth(pixel: f64) -> f64 {
    (pixel * 10.0).round() / 10.0
}

/// A thousandth of a degree, of the order of the models' own errors.
pub(crate) fn rounded_direction(direction: Horizontal) -> Horizontal {
    Horizontal::new(milli(direction.altitude_deg), milli(direction.azimuth_deg))
}

/// Three decimals.
pub(crate) fn milli(value: f64) -> f64 {
    (value * 1e3).round() / 1e3
}
