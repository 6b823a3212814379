//! Requests to start from.

use jiff::Timestamp;
use job::{Activity, ActivityKind, CameraBody, CloudCover, Kit, KpInterval, Lens, OutlookRequest, Site, SkyQuality};
use quantity::{Fraction, GeoPosition};

/// A country sky: class 3 on Bortle's scale.
pub(crate) fn site(name: &str, latitude_deg: f64, longitude_deg: f64) -> Site {
    Site {
        name: name.to_owned(),
        position: GeoPosition::new(latitude_deg, longitude_deg, 50.0).unwrap(),
        time_zone: "UTC".to_owned(),
        sky_quality: SkyQuality::Bortle { class: 3 },
        horizon: Vec::new(),
        snow_cover: false,
        notes: String::new(),
    }
}

pub(crate) fn kit() -> Kit {
    Kit {
        name: "test".to_owned(),
        camera: CameraBody {
            name: "24 megapixels".to_owned(),
            pixel_um: 5.95,
            width_px: 6048,
            height_px: 4024,
            peak_quantum_efficiency: [0.40, 0.50, 0.43],
            read_noise_e: 1.8,
            full_well_e: 60_000.0,
            base_iso: 100.0,
        },
        lens: Lens { name: "20 mm".to_owned(), focal_mm: 20.0, f_number: 1.8, transmission: 0.88 },
        exposure_s: 5.0,
        iso: 3200.0,
    }
}

/// Clear sky, definitive Kp in three-hour steps from `first_interval`.
pub(crate) fn request(site: Site, night: &str, first_interval: &str, kp: &[f64]) -> OutlookRequest {
    let start: Timestamp = first_interval.parse().unwrap();
    let at = |index: usize| Timestamp::from_second(start.as_second() + 10_800 * i64::try_from(index).unwrap()).unwrap();
    let intervals = kp
        .iter()
        .enumerate()
        .map(|(i, &kp)| KpInterval { from: at(i), to: at(i + 1), kp, kind: ActivityKind::Definitive })
        .collect();
    OutlookRequest {
        site,
        night: night.parse().unwrap(),
        asked_at: start,
        kit: kit(),
        activity: Activity {
            source: "GFZ definitive Kp (CC BY 4.0, Matzka et al. 2021)".to_owned(),
            issued_at: None,
            intervals,
        },
        cloud: CloudCover::given(Fraction::NONE),
        f107: 120.0,
        adaptation_minutes: 30.0,
    }
}
