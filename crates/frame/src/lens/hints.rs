use jiff::Timestamp;
use optics::Projection;
use quantity::{Estimate, GeoPosition};
use sky::Air;

use super::circle::ImageCircle;
use super::model::LensModel;
use crate::PixelScale;

/// Arcseconds in a radian.
const ARCSEC_PER_RAD: f64 = 206_264.806_247;
/// Deviations of the pixel scale that the range of focal lengths takes in on each side.
const SCALE_SIGMAS: f64 = 2.5;

/// What is known of a picture before its stars are looked at. Nothing need be.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct LensHints {
    /// Least and greatest focal length, pixels of the stored picture.
    pub focal_px: Option<[f64; 2]>,
    /// How the lens maps angles.
    pub projection: Option<Projection>,
    /// The lens as found on an earlier frame, scaled to this picture: fewer stars are needed with it. Where the stars do not
    /// fit it (another lens, a zoom turned), they are asked without it.
    pub lens: Option<LensModel>,
    /// Width of a pixel over its height, where pixels are known not to be square.
    pub pixel_aspect: Option<f64>,
    /// Where the picture of a fisheye ends, where its edge is seen. With time and place: the zenith is looked for near its
    /// middle, which finds skies of few stars.
    pub image_circle: Option<ImageCircle>,
    /// When it was taken. With `place`: refraction, altitude and azimuth.
    pub taken_at: Option<Timestamp>,
    /// Where it was taken.
    pub place: Option<GeoPosition>,
    /// The air there; the default is used if `None`.
    pub air: Option<Air>,
}

impl LensHints {
    /// With the range of focal lengths that a pixel scale allows: two and a half of its deviations to each side.
    #[must_use]
    pub fn with_scale(self, scale: &PixelScale) -> Self {
        self.with_arcsec_per_px(scale.arcsec_per_px)
    }

    /// The same of what one pixel sees in the middle, arcseconds, however it is known.
    #[must_use]
    pub fn with_arcsec_per_px(mut self, arcsec: Estimate) -> Self {
        let focal = |arcsec: f64| ARCSEC_PER_RAD / arcsec;
        let reach = |end: f64| arcsec.value * (end / arcsec.value).powf(SCALE_SIGMAS);
        self.focal_px = (arcsec.low > 0.0 && arcsec.low <= arcsec.value && arcsec.value <= arcsec.high)
            .then(|| [focal(reach(arcsec.high)), focal(reach(arcsec.low))]);
        self
    }
}
