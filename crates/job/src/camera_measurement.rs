//! What a camera's own flats and biases say of it.

use frame::{FrameError, Limits, PairStatistics, PhotonTransfer, PhotonTransferFailure};
use thiserror::Error;

use crate::CameraBody;

/// ISO of the pictures and base ISO alike within this: the full well is then that of the base ISO.
const SAME_ISO: f64 = 0.02;

/// Why a pair of pictures cannot be measured.
#[derive(Debug, Clone, PartialEq, Error)]
#[non_exhaustive]
pub enum MeasurementError {
    /// One cannot be opened.
    #[error(transparent)]
    Picture(#[from] FrameError),
    /// They do not tell gain and read noise.
    #[error(transparent)]
    Pair(#[from] PhotonTransferFailure),
}

impl MeasurementError {
    /// What to do about it.
    pub fn hint(&self) -> String {
        match self {
            Self::Picture(error) => error.hint(),
            Self::Pair(failure) => failure.hint().to_owned(),
        }
    }
}

/// Opens two flats, or two biases, and measures their noise. The pixels are let go: pairs can come one after the other.
///
/// # Errors
///
/// A file that cannot be opened, developed pictures, two of different size or settings.
pub fn measured_pair(first: &[u8], second: &[u8]) -> Result<PairStatistics, MeasurementError> {
    let frames = [raw::open(first, &Limits::default())?, raw::open(second, &Limits::default())?];
    Ok(PairStatistics::of(&frames[0], &frames[1])?)
}

/// Gain, read noise and full well from measured pairs; see [`frame::photon_transfer`] and `docs/calibration.md`.
///
/// # Errors
///
/// Pairs that differ in setting, light that changed, no flat between dark and full.
pub fn measured_camera(flats: &[PairStatistics], bias: &PairStatistics) -> Result<PhotonTransfer, MeasurementError> {
    Ok(frame::photon_transfer(flats, bias)?)
}

impl CameraBody {
    /// Takes measured numbers over, by the green channel; what was written, each in words. Nothing where nothing was told.
    ///
    /// The kit has a place for the read noise at night's ISO, and for the full well if the pictures were taken at base ISO.
    /// The gain goes with one ISO and one file format and has none.
    pub fn put_measured(&mut self, measured: &PhotonTransfer) -> Vec<String> {
        let hundredths = |value: f64| (value * 100.0).round() / 100.0;
        let Some(main) = measured.main() else { return Vec::new() };
        let mut written = Vec::new();
        if let Some(read) = main.read_noise_e {
            self.read_noise_e = hundredths(read.value);
            written.push(format!("read noise {:.2} electrons", self.read_noise_e));
        }
        let at_base = measured.iso.is_some_and(|iso| (iso / self.base_iso - 1.0).abs() <= SAME_ISO);
        if let Some(full) = main.full_well_e.filter(|_| at_base) {
            self.full_well_e = full.value.round();
            written.push(format!("full well {:.0} electrons", self.full_well_e));
        }
        written
    }
}
