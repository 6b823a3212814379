//! The brightest aurora of a reading, to be set beside what was predicted.

use quantity::{Basis, Estimate, Timestamp};

use super::report::ReadReport;

impl ReadReport {
    /// When the aurora was brightest, and its light there along the keogram's line, kR of 557.7 nm.
    ///
    /// The range is that of the scale; what stands off the line is not counted, so that the whole sky may have held more.
    ///
    /// # Errors
    ///
    /// Why none can be said: no aurora that is sure, no calibrated scale, no keogram, no light in it then.
    pub fn brightest_kr(&self) -> Result<(Timestamp, Estimate), &'static str> {
        let at = self.aurora.brightest.ok_or("no frame of it shows aurora for sure")?;
        if self.calibration.as_ref().is_none_or(|calibration| calibration.scale_factor.is_none()) {
            return Err("how far its scale may be off is not known");
        }
        let keogram = self.keogram.as_ref().filter(|keogram| keogram.is_kilorayleighs);
        let keogram = keogram.ok_or("it has no keogram in kilorayleighs")?;
        let apart_s = |column: Timestamp| column.duration_since(at).as_secs_f64().abs();
        let column = keogram
            .columns
            .iter()
            .filter(|column| apart_s(column.at) <= keogram.column_s)
            .min_by(|one, other| apart_s(one.at).total_cmp(&apart_s(other.at)))
            .ok_or("its keogram has no column then")?;
        let most = column.values.iter().flatten().copied().filter(|kr| kr.is_finite() && *kr > 0.0).reduce(f32::max);
        let kr = most.map(f64::from).ok_or("its keogram shows no light then")?;
        Ok((at, self.scaled_kr(kr)))
    }

    /// Its kilorayleighs with the error of their scale: measured where stars tell it, else a model's.
    pub(crate) fn scaled_kr(&self, kr: f64) -> Estimate {
        let calibration = self.calibration.as_ref();
        let factor = calibration.and_then(|calibration| calibration.scale_factor);
        let is_measured = factor.is_some() && calibration.is_some_and(|calibration| !calibration.is_estimate);
        let basis = if is_measured { Basis::Measured } else { Basis::Model };
        // a reading from before the error was kept has no range: it must be called an estimate
        Estimate::logarithmic(kr, factor.map_or(0.0, |factor| factor.max(1.0).log10()), basis)
    }
}
