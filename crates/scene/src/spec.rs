use jiff::Timestamp;
use optics::{Camera, Exposure, Lens, Pointing, Sensor};
use quantity::GeoPosition;
use serde::{Deserialize, Serialize};
use sky::background::{SkyQuality, TownGlow};
use sky::{Air, Extinction};

use crate::error::{SceneError, within};
use crate::{CloudSpec, Faults, Form, Land, Water};

/// Most pixels rendered: twice those of the largest sensors of full frame.
const MOST_PIXELS: u64 = 120_000_000;

/// A camera body and a lens of which everything is known. Names are invented.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Kit {
    /// Maker of the body, as it stands in the file.
    pub make: String,
    /// The body.
    pub model: String,
    /// The lens.
    pub lens_name: String,
    /// The sensor; its colour filters lie as RGGB.
    pub sensor: Sensor,
    /// The lens.
    pub lens: Lens,
    /// Distortion `r (1 + k1 r² + k2 r⁴)`, radius in focal lengths.
    pub k1: f64,
    /// Second coefficient of the distortion.
    pub k2: f64,
    /// Where the axis meets the sensor, from its middle, pixels right and down.
    pub axis_shift_px: [f64; 2],
    /// Angle off the axis at which the lens's image ends, degrees; `None` where it fills the sensor.
    #[serde(default)]
    pub image_edge_deg: Option<f64>,
    /// Deviation of the sharp part of a star's image on the axis, pixels.
    pub star_sigma_px: f64,
    /// The same in the corner.
    pub corner_sigma_px: f64,
    /// Converter's number without light.
    pub black_level: u16,
    /// Share of pixels with more dark current than they should have.
    pub hot_pixel_share: f64,
    /// The body's own number: its hot pixels stay where they are from frame to frame.
    pub body_seed: u64,
    /// Whether the body has a receiver and writes where it stands into the file.
    pub writes_position: bool,
}

impl Kit {
    /// A picture of 1.5 megapixels of a full-frame camera with a 20 mm lens: its pixels are as sixteen of the 24-megapixel
    /// sensor taken together, with their light, their room and their read noise.
    pub fn small_full_frame() -> Self {
        let sensor = Sensor {
            pixel_um: 24.0,
            width_px: 1500,
            height_px: 1000,
            full_well_e: 65_000.0 * 16.27,
            read_noise: optics::ReadNoise { low_iso_e: 24.0, high_iso_e: 7.2, crossover_iso: 800.0 },
            dark_current_e_s: 0.3,
            ..Sensor::generic_full_frame()
        };
        Self::of("Tarrant F20 small", sensor, 20.0, 1.8)
    }

    /// A full-frame camera of 24 megapixels with a 20 mm lens.
    pub fn full_frame() -> Self {
        Self {
            star_sigma_px: 0.75,
            corner_sigma_px: 1.3,
            ..Self::of("Tarrant F24", Sensor::generic_full_frame(), 20.0, 1.8)
        }
    }

    fn of(model: &str, sensor: Sensor, focal_mm: f64, f_number: f64) -> Self {
        let lens = Lens {
            f_number,
            focal_mm,
            transmission: 0.88,
            projection: optics::Projection::Rectilinear,
            corner_loss_stops: 0.7,
        };
        Self {
            make: "Tarrant".to_owned(),
            model: model.to_owned(),
            lens_name: format!("Tarrant {focal_mm}mm F{f_number}"),
            sensor,
            lens,
            k1: -0.01,
            k2: 0.0,
            axis_shift_px: [3.2, -2.1],
            image_edge_deg: None,
            star_sigma_px: 0.6,
            corner_sigma_px: 0.9,
            black_level: 512,
            hot_pixel_share: 4e-6,
            body_seed: 20,
            writes_position: true,
        }
    }
}

/// A night sky and a camera under it: everything that decides what the picture shows, but for the noise.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct SceneSpec {
    /// Where the camera stands.
    pub place: GeoPosition,
    /// When the shutter opens.
    pub opens_at: Timestamp,
    /// How far the camera's clock is ahead of UTC, s.
    pub utc_offset_s: i32,
    /// Settings.
    pub exposure: Exposure,
    /// Camera and lens.
    pub kit: Kit,
    /// Where the axis points.
    pub pointing: Pointing,
    /// What the air takes.
    pub extinction: Extinction,
    /// What the air bends.
    #[serde(default)]
    pub air: Air,
    /// How dark the place is.
    pub sky_quality: SkyQuality,
    /// Towns around.
    #[serde(default)]
    pub towns: Vec<TownGlow>,
    /// Snow on the ground.
    #[serde(default)]
    pub snow_cover: bool,
    /// Cloud.
    #[serde(default)]
    pub cloud: Option<CloudSpec>,
    /// The instant at which the forms' patterns stand as given; they move from there.
    pub forms_epoch: Timestamp,
    /// The aurora, form by form.
    #[serde(default)]
    pub aurora: Vec<Form>,
    /// Whether the molecular bands beside the three lines are there too.
    #[serde(default)]
    pub molecular_bands: bool,
    /// Stars fainter than the catalogue, at invented places.
    #[serde(default)]
    pub faint_stars: bool,
    /// Hills, trees, a hut, lamps.
    #[serde(default)]
    pub land: Option<Land>,
    /// Water before the land, with its mirror.
    #[serde(default)]
    pub water: Option<Water>,
    /// What goes wrong.
    #[serde(default)]
    pub faults: Faults,
}

impl SceneSpec {
    /// The camera with lens and pointing.
    pub fn camera(&self) -> Camera {
        let sensor = &self.kit.sensor;
        let mut camera = Camera::centred(
            self.kit.lens.projection,
            self.kit.lens.focal_mm,
            sensor.pixel_um,
            [sensor.width_px, sensor.height_px],
            self.pointing,
        );
        let [dx, dy] = self.kit.axis_shift_px;
        camera.centre_px = [camera.centre_px[0] + dx, camera.centre_px[1] + dy];
        (camera.k1, camera.k2) = (self.kit.k1, self.kit.k2);
        camera
    }

    /// Middle of the exposure.
    pub fn middle(&self) -> Timestamp {
        self.after_opening(0.5 * self.exposure.seconds)
    }

    /// Seconds from the forms' epoch to the middle of the exposure.
    pub(crate) fn forms_age_s(&self) -> f64 {
        self.middle().duration_since(self.forms_epoch).as_secs_f64()
    }

    pub(crate) fn after_opening(&self, seconds: f64) -> Timestamp {
        let Ok(span) = jiff::SignedDuration::try_from_secs_f64(seconds) else { return self.opens_at };
        self.opens_at.checked_add(span).unwrap_or(self.opens_at)
    }

    /// Says whether the scene can be rendered.
    ///
    /// # Errors
    ///
    /// A kit, settings or pointing that cannot be; a number of the scene outside its range; too many pixels.
    pub fn check(&self) -> Result<(), SceneError> {
        let kit = &self.kit;
        kit.sensor.check()?;
        kit.lens.check()?;
        self.exposure.check()?;
        self.camera().check()?;
        let (width, height) = (kit.sensor.width_px, kit.sensor.height_px);
        if u64::from(width) * u64::from(height) > MOST_PIXELS {
            return Err(SceneError::TooLarge { width, height, most: MOST_PIXELS });
        }
        within("exposure in seconds", self.exposure.seconds, 0.0, 3600.0)?;
        within("star deviation in pixels", kit.star_sigma_px, 0.3, 20.0)?;
        within("star deviation in the corner in pixels", kit.corner_sigma_px, 0.3, 20.0)?;
        within("edge of the image in degrees", kit.image_edge_deg.unwrap_or(90.0), 1.0, 180.0)?;
        within("share of hot pixels", kit.hot_pixel_share, 0.0, 0.1)?;
        within("converter bits", f64::from(kit.sensor.adc_bits), 10.0, 16.0)?;
        within("black level", f64::from(kit.black_level), 0.0, 0.25 * 2f64.powi(i32::from(kit.sensor.adc_bits)))?;
        within("clock ahead of UTC in seconds", f64::from(self.utc_offset_s), -43_200.0, 50_400.0)?;
        self.aurora.iter().try_for_each(Form::check)?;
        self.faults.check()?;
        self.land.as_ref().map_or(Ok(()), Land::check)?;
        self.water.as_ref().map_or(Ok(()), Water::check)?;
        self.cloud.as_ref().map_or(Ok(()), CloudSpec::check)
    }
}
