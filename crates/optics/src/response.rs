use std::sync::LazyLock;

use quantity::EmissionLine;
use serde::{Deserialize, Serialize};

use crate::spectrum::{Curve, read_table};

/// A colour channel of a Bayer sensor.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Channel {
    /// Red pixels.
    Red,
    /// Green pixels.
    Green,
    /// Blue pixels.
    Blue,
}

impl Channel {
    /// All three; the order of every per-channel array.
    pub const ALL: [Self; 3] = [Self::Red, Self::Green, Self::Blue];

    /// Place in a per-channel array.
    pub fn index(self) -> usize {
        match self {
            Self::Red => 0,
            Self::Green => 1,
            Self::Blue => 2,
        }
    }
}

/// Red, green and blue response of one camera with its lens and infrared-cut filter, each scaled to its own peak.
static RESPONSE: LazyLock<[Curve; 3]> = LazyLock::new(|| {
    let measured: [Curve; 3] = read_table(include_str!("../data/camera_response.csv"));
    // the table is scaled to its highest row; the interpolated peak lies up to 0.2 % above
    measured.each_ref().map(Curve::scaled_to_peak)
});

/// Response of each channel (outer) to each line (inner, order of [`EmissionLine::ALL`]).
static LINE_RESPONSE: LazyLock<[[f64; 3]; 3]> = LazyLock::new(|| {
    Channel::ALL.map(|channel| EmissionLine::ALL.map(|line| relative_response(channel, line.wavelength_nm())))
});

/// Equivalent width of each channel, nm.
static EQUIVALENT_WIDTH_NM: LazyLock<[f64; 3]> =
    LazyLock::new(|| Channel::ALL.map(|channel| RESPONSE[channel.index()].integral_nm()));

/// Response of a channel at a wavelength relative to that channel's own peak, 0..=1; 0 outside 380..=780 nm.
///
/// One real camera stands in for all: between cameras the green channel differs by about 10 % at 557.7 nm, the red one by
/// a factor of 2 at 630.0 nm (the infrared-cut filter). See [`crate::InfraredFilter`] for modified bodies.
///
/// # Source
///
/// Darrodi, Finlayson, Goodman & Mackiewicz, J. Opt. Soc. Am. A 32, 381 (2015), measured at the UK National Physical
/// Laboratory. Interpolation: Sprague (CIE 167:2005).
///
/// ```
/// use optics::{Channel, relative_response};
/// assert!((relative_response(Channel::Green, 557.7) - 0.804).abs() < 0.001);
/// ```
pub fn relative_response(channel: Channel, wavelength_nm: f64) -> f64 {
    RESPONSE[channel.index()].at(wavelength_nm)
}

/// Response of a channel to an auroral line relative to that channel's own peak.
pub fn line_response(channel: Channel, line: EmissionLine) -> f64 {
    let column = match line {
        EmissionLine::Blue4278 => 0,
        EmissionLine::Green5577 => 1,
        EmissionLine::Red6300 => 2,
    };
    LINE_RESPONSE[channel.index()][column]
}

/// Responses of all channels (outer, order of [`Channel::ALL`]) to all lines (inner, order of [`EmissionLine::ALL`]).
pub fn line_response_matrix() -> [[f64; 3]; 3] {
    *LINE_RESPONSE
}

/// Width in nm of a box as high as the channel's peak that passes the same light from an even spectrum.
pub fn equivalent_width_nm(channel: Channel) -> f64 {
    EQUIVALENT_WIDTH_NM[channel.index()]
}
