use quantity::EmissionLine;
use serde::{Deserialize, Serialize};

use crate::error::{OpticsError, positive, within};
use crate::projection::Projection;
use crate::response::Channel;

/// Read noise of a sensor as a function of the ISO setting.
///
/// Below the crossover the part that arises after the amplifier shrinks as the gain rises; from the crossover on the
/// noise no longer falls and more ISO only costs headroom.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
pub struct ReadNoise {
    /// At the base ISO, electrons.
    pub low_iso_e: f64,
    /// At and above the crossover, electrons.
    pub high_iso_e: f64,
    /// ISO from which the noise no longer falls.
    pub crossover_iso: f64,
}

/// What stands in front of the sensor against infrared.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum InfraredFilter {
    /// The maker's own filter, as in the response curve.
    #[default]
    Stock,
    /// Replaced for astrophotography: the red channel takes about 2.5 times (2 to 3) more of 630.0 nm.
    AstroModified,
}

impl InfraredFilter {
    /// Factor on the red channel's response at 630.0 nm.
    fn red_line_factor(self) -> f64 {
        match self {
            Self::Stock => 1.0,
            Self::AstroModified => 2.5,
        }
    }
}

/// A camera's sensor.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Sensor {
    /// Pixel pitch, µm.
    pub pixel_um: f64,
    /// Columns.
    pub width_px: u32,
    /// Rows.
    pub height_px: u32,
    /// Quantum efficiency with the colour filter at each channel's own peak (red, green, blue), 0..=1.
    pub peak_qe: [f64; 3],
    /// Read noise.
    pub read_noise: ReadNoise,
    /// Electrons a pixel holds at the base ISO.
    pub full_well_e: f64,
    /// Lowest real ISO setting.
    pub base_iso: f64,
    /// Dark current at the working temperature, electrons per second and pixel.
    pub dark_current_e_s: f64,
    /// Bits of the analogue-to-digital converter.
    pub adc_bits: u8,
    /// Filter against infrared.
    #[serde(default)]
    pub infrared_filter: InfraredFilter,
}

impl Sensor {
    /// A present-day 24-megapixel full-frame sensor, for when nothing is known of the camera.
    ///
    /// The values are the middle of what such cameras show, good to about 20 % (efficiency) and a factor 1.5 (noise).
    pub fn generic_full_frame() -> Self {
        Self {
            pixel_um: 5.95,
            width_px: 6048,
            height_px: 4024,
            peak_qe: [0.40, 0.50, 0.43],
            read_noise: ReadNoise { low_iso_e: 6.0, high_iso_e: 1.8, crossover_iso: 800.0 },
            full_well_e: 65_000.0,
            base_iso: 100.0,
            dark_current_e_s: 0.02,
            adc_bits: 14,
            infrared_filter: InfraredFilter::Stock,
        }
    }

    /// Says whether the numbers can belong to a sensor.
    ///
    /// # Errors
    ///
    /// A pitch, full well, ISO or size that is not above 0; an efficiency outside 0..=1; noise or dark current below 0.
    pub fn check(&self) -> Result<(), OpticsError> {
        positive("pixel pitch in micrometres", self.pixel_um)?;
        positive("sensor width in pixels", f64::from(self.width_px))?;
        positive("sensor height in pixels", f64::from(self.height_px))?;
        positive("full well in electrons", self.full_well_e)?;
        positive("base ISO", self.base_iso)?;
        positive("crossover ISO", self.read_noise.crossover_iso)?;
        for qe in self.peak_qe {
            within("peak quantum efficiency", qe, 0.0, 1.0)?;
        }
        within("read noise in electrons", self.read_noise.low_iso_e, 0.0, 1e4)?;
        within("read noise in electrons", self.read_noise.high_iso_e, 0.0, 1e4)?;
        within("dark current in electrons per second", self.dark_current_e_s, 0.0, 1e6)?;
        within("converter bits", f64::from(self.adc_bits), 8.0, 24.0)
    }

    /// Read noise at an ISO setting, electrons rms.
    pub fn read_noise_e(&self, iso: f64) -> f64 {
        let ReadNoise { low_iso_e, high_iso_e, crossover_iso } = self.read_noise;
        if iso >= crossover_iso {
            return high_iso_e;
        }
        let after_gain_e2 = (low_iso_e * low_iso_e - high_iso_e * high_iso_e).max(0.0);
        let gain = (iso / self.base_iso).max(1.0);
        (high_iso_e * high_iso_e + after_gain_e2 / (gain * gain)).sqrt()
    }

    /// Electrons at which a pixel clips at an ISO setting: the full well, divided by the gain above the base ISO.
    pub fn saturation_e(&self, iso: f64) -> f64 {
        self.full_well_e / (iso / self.base_iso).max(1.0)
    }

    /// Electrons per step of the converter at an ISO setting.
    pub fn electrons_per_step(&self, iso: f64) -> f64 {
        self.saturation_e(iso) / 2f64.powi(i32::from(self.adc_bits))
    }

    /// Quantum efficiency of a channel at an auroral line.
    pub fn line_qe(&self, channel: Channel, line: EmissionLine) -> f64 {
        let filter = match (channel, line) {
            (Channel::Red, EmissionLine::Red6300) => self.infrared_filter.red_line_factor(),
            (Channel::Red | Channel::Green | Channel::Blue, _) => 1.0,
        };
        (self.peak_qe[channel.index()] * crate::response::line_response(channel, line) * filter).min(1.0)
    }
}

/// A lens.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Lens {
    /// Widest f-number.
    pub f_number: f64,
    /// Focal length, mm.
    pub focal_mm: f64,
    /// Share of the light that passes the glass, 0..=1 (0.85 to 0.92 for modern coated lenses).
    pub transmission: f64,
    /// How it maps angles.
    pub projection: Projection,
    /// Light lost in the corner wide open beyond the natural falloff, stops (1 to 2 for fast wide lenses).
    pub corner_loss_stops: f64,
}

impl Lens {
    /// Says whether the numbers can belong to a lens.
    ///
    /// # Errors
    ///
    /// An f-number or focal length that is not above 0, a transmission outside 0..=1, a corner loss outside 0..=8 stops.
    pub fn check(&self) -> Result<(), OpticsError> {
        positive("f-number", self.f_number)?;
        positive("focal length in mm", self.focal_mm)?;
        within("lens transmission", self.transmission, 0.0, 1.0)?;
        within("corner loss in stops", self.corner_loss_stops, 0.0, 8.0)
    }

    /// Transmission from the f-number and the measured T-number: `(N / T)²`.
    pub fn transmission_from_t_number(f_number: f64, t_number: f64) -> f64 {
        (f_number / t_number).powi(2)
    }

    /// Light of an even sky in a pixel relative to the axis, 1 there: natural falloff times mechanical vignetting.
    ///
    /// Natural: the lens's own law, [`Projection::natural_falloff`]. Mechanical: `corner_loss_stops` in the corner wide
    /// open, growing with the square of the distance from the centre, gone when closed by two stops. Both are the laws
    /// of a plain lens; retrofocus wide angles do better in the corner than the fourth power of the cosine.
    ///
    /// * `angle_deg`: angle off the axis.
    /// * `corner_share`: distance from the centre of the frame as a share of the half diagonal, 0..=1.
    /// * `f_number`: the one in use.
    pub fn vignetting(&self, angle_deg: f64, corner_share: f64, f_number: f64) -> f64 {
        let closed_stops = 2.0 * (f_number / self.f_number).log2().max(0.0);
        let open_share = (1.0 - 0.5 * closed_stops).clamp(0.0, 1.0);
        let lost_stops = self.corner_loss_stops * open_share * corner_share.clamp(0.0, 1.0).powi(2);
        self.projection.natural_falloff(angle_deg) * 2f64.powf(-lost_stops)
    }
}

/// One set of settings.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
pub struct Exposure {
    /// Shutter time, s.
    pub seconds: f64,
    /// ISO setting.
    pub iso: f64,
    /// F-number in use.
    pub f_number: f64,
}

impl Exposure {
    /// Says whether the numbers can be settings.
    ///
    /// # Errors
    ///
    /// Any of the three that is not above 0.
    pub fn check(&self) -> Result<(), OpticsError> {
        positive("shutter time in seconds", self.seconds)?;
        positive("ISO", self.iso)?;
        positive("f-number", self.f_number)
    }
}
