//! What periods a series holds, and how surely.

mod detrend;
mod false_alarm;
mod fourier;
mod lomb_scargle;
mod peak;
mod periodogram;
mod shared;

pub use detrend::running_median;
pub(crate) use detrend::without_trend;
pub use false_alarm::false_alarm;
pub(crate) use false_alarm::false_alarm_of;
pub use fourier::{FourierTransform, fourier_powers};
pub use lomb_scargle::{LEAST_SAMPLES, LombScargle};
pub use peak::{SpectralPeak, local_chance, peaks};
pub(crate) use peak::{StrongestPeriod, strongest_period};
pub use periodogram::{Band, Periodogram, SpectralMethod, periodogram};
pub(crate) use shared::SharedSpectrum;
