use geomag::{FieldModel, MagneticClock};
use quantity::Timestamp;
use serde::Serialize;

use super::record::MagneticRecord;

/// Height of the currents that make bays, km: the auroral electrojet of the E region.
const ELECTROJET_KM: f64 = 110.0;

/// Where a station lies in the magnetic field.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct StationPlace {
    /// Magnetic latitude as models of the oval use it, degrees; negative in the south.
    pub magnetic_latitude_deg: f64,
    /// Quasi-dipole longitude, degrees.
    pub magnetic_longitude_deg: f64,
}

/// A station with its field, to tell magnetic local times.
#[derive(Debug, Clone)]
pub(super) struct Station {
    pub(super) place: StationPlace,
    field: FieldModel,
}

impl Station {
    /// None where the record has no place, or the date is outside the field model.
    pub(super) fn of(record: &MagneticRecord) -> Option<Self> {
        let place = record.place?;
        let field = FieldModel::at(record.start).ok()?;
        let at = geomag::trace(&field, place.latitude_deg(), place.longitude_deg(), ELECTROJET_KM).ok()?;
        let place = StationPlace { magnetic_latitude_deg: at.model_lat_deg, magnetic_longitude_deg: at.qd_lon_deg };
        Some(Self { place, field })
    }

    /// Magnetic local time, hours.
    pub(super) fn mlt_h(&self, at: Timestamp) -> f64 {
        MagneticClock::new(&self.field, at).mlt_h(self.place.magnetic_longitude_deg)
    }
}
