//! What a page puts beside a reading: sun and moon, where the line's light stands over the map, and how its light scatters.

use geomag::{FieldModel, Sightline, ground_distance_km};
use jiff::SignedDuration;
use quantity::{Basis, Estimate, GeoPosition, Horizontal, Timestamp};
use serde::{Deserialize, Serialize};

use super::report::{LightPoint, ReadBin, ReadKeogram, ReadReport};
use super::request::ReadRequest;
use crate::DarknessClass;

/// Times at which sun and moon are given, over the span of the frames.
const SKY_STEPS: u32 = 120;
/// Neighbours on each side over which the scatter of light is taken: long enough for a spread, short enough to follow a night.
const NEIGHBOURS: usize = 5;
/// From the median of absolute deviations to a standard deviation, for a normal scatter.
const MAD_TO_SIGMA: f64 = 1.4826;
/// Of differences between neighbours each holds the scatter of two.
const TWO_IN_A_DIFFERENCE: f64 = std::f64::consts::SQRT_2;
/// One standard deviation of directions that stars told, degrees: what corners of wide lenses are off by (judgement).
const BY_STARS_SIGMA_DEG: f64 = 0.5;
/// Lowest altitude that is followed to the map, degrees: below, a small error is some hundred km.
const LEAST_ALTITUDE_DEG: f64 = 2.0;

/// What stands beside a reading.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "typescript", derive(ts_rs::TS))]
pub struct ReadBeside {
    /// Where the camera stood; `None` where nobody says it.
    pub place: Option<GeoPosition>,
    /// Sun and moon over the span of the frames; empty without a place.
    pub sky: Vec<ReadSky>,
    /// Where rays along the magnetic field meet, at the time of the first frame.
    pub magnetic_zenith: Option<Horizontal>,
    /// Where each bin of the keogram looks, in the order of its bins.
    pub beams: Vec<ReadBeam>,
    /// What the places of the beams rest on.
    pub beams_basis: String,
    /// One standard deviation of the light of each point of the report, in its unit; `None` where too few neighbours are there.
    pub light_sigma: Vec<Option<f64>>,
    /// What that rests on, and what it leaves out.
    pub light_basis: String,
}

/// Sun and moon at a time.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "typescript", derive(ts_rs::TS))]
pub struct ReadSky {
    /// When.
    #[cfg_attr(feature = "typescript", ts(type = "string"))]
    pub at: Timestamp,
    /// How dark the sun leaves it.
    pub darkness: DarknessClass,
    /// Altitude of the sun, degrees, without air.
    pub sun_altitude_deg: f64,
    /// The moon, without air; below the horizon too.
    pub moon: Horizontal,
}

/// Where one bin of the keogram looks.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "typescript", derive(ts_rs::TS))]
pub struct ReadBeam {
    /// Its direction.
    pub direction: Horizontal,
    /// The ground under the light if it is one standard deviation lower than assumed, as assumed, and one higher.
    pub ground: Option<[GeoPosition; 3]>,
    /// Distance on the ground to it, km: one standard deviation of the height and of the direction together.
    pub distance_km: Option<Estimate>,
}

/// Works out what stands beside a reading.
pub fn read_beside(report: &ReadReport) -> ReadBeside {
    let place = report.request.position;
    let sigma_deg = report.lens.assumed.as_ref().map_or(BY_STARS_SIGMA_DEG, |assumed| assumed.altitude_sigma_deg);
    let beams = report.keogram.as_ref().map_or_else(Vec::new, |keogram| beams(keogram, &report.request, sigma_deg));
    ReadBeside {
        place,
        sky: place.map_or_else(Vec::new, |place| sky(report, place)),
        magnetic_zenith: place.zip(report.frames.first).and_then(|(place, at)| {
            let field =
                FieldModel::at(at).ok()?.field(place.latitude_deg(), place.longitude_deg(), report.request.height_km);
            Some(geomag::magnetic_zenith(&field))
        }),
        beams,
        beams_basis: format!(
            "light taken to be at {:.0} ± {:.0} km; directions to {sigma_deg:.1}°{}",
            report.request.height_km,
            report.request.height_sigma_km,
            if report.lens.assumed.is_some() { ", as somebody said them" } else { ", by stars (a judgement)" }
        ),
        light_sigma: scatter(&report.light),
        light_basis: light_basis(report),
    }
}

fn sky(report: &ReadReport, place: GeoPosition) -> Vec<ReadSky> {
    let Some((first, last)) = report.frames.first.zip(report.frames.last) else { return Vec::new() };
    let span_s = last.duration_since(first).as_secs_f64();
    let step = |step: u32| {
        let after_s = span_s * f64::from(step) / f64::from(SKY_STEPS);
        let at = first.checked_add(SignedDuration::try_from_secs_f64(after_s).ok()?).ok()?;
        let bodies = sky::sun_moon(at, place).ok()?;
        let sun_altitude_deg = bodies.sun.horizontal.altitude_deg;
        Some(ReadSky {
            at,
            darkness: DarknessClass::from_sun_altitude_deg(sun_altitude_deg),
            sun_altitude_deg,
            moon: bodies.moon.horizontal,
        })
    };
    (0..=SKY_STEPS).filter_map(step).collect()
}

fn beams(keogram: &ReadKeogram, request: &ReadRequest, sigma_deg: f64) -> Vec<ReadBeam> {
    keogram.bins.iter().map(|bin| beam(bin, keogram.azimuth_deg, request, sigma_deg)).collect()
}

fn beam(bin: &ReadBin, azimuth_deg: f64, request: &ReadRequest, sigma_deg: f64) -> ReadBeam {
    let turned = if bin.zenith_angle_deg < 0.0 { azimuth_deg + 180.0 } else { azimuth_deg };
    let direction = Horizontal::new(bin.alt_deg, turned);
    let none = ReadBeam { direction, ground: None, distance_km: None };
    let Some(place) = request.position.filter(|_| bin.alt_deg >= LEAST_ALTITUDE_DEG) else { return none };
    let ground = |altitude_deg: f64, height_km: f64| {
        let seen = Horizontal::new(altitude_deg.clamp(LEAST_ALTITUDE_DEG / 2.0, 90.0), turned);
        let airless = sky::Air::default().airless_altitude_deg(seen.altitude_deg);
        let line = Sightline::new(place, Horizontal::new(airless, turned));
        let point = line.at_height_km(height_km.max(1.0))?;
        GeoPosition::new(point.latitude_deg, point.longitude_deg, 0.0).ok()
    };
    let at_height = |sigmas: f64| ground(bin.alt_deg, request.height_km + sigmas * request.height_sigma_km);
    let (Some(low), Some(middle), Some(high)) = (at_height(-1.0), at_height(0.0), at_height(1.0)) else { return none };
    let away = |end: GeoPosition| ground_distance_km(place, end);
    let by_height = 0.5 * (away(high) - away(low)).abs();
    // toward the horizon one degree is more km than away from it: the wider of the two
    let by_direction = [-sigma_deg, sigma_deg]
        .into_iter()
        .filter_map(|off| ground(bin.alt_deg + off, request.height_km))
        .map(|end| (away(end) - away(middle)).abs())
        .fold(0.0, f64::max);
    let sigma_km = by_height.hypot(by_direction);
    let value_km = away(middle);
    let distance = Estimate {
        value: value_km,
        low: (value_km - sigma_km).max(0.0),
        high: value_km + sigma_km,
        basis: Basis::Model,
    };
    ReadBeam { direction, ground: Some([low, middle, high]), distance_km: Some(distance) }
}

/// Scatter from point to point around each: a slow course does not count.
fn scatter(light: &[LightPoint]) -> Vec<Option<f64>> {
    let steps: Vec<f64> = light.windows(2).map(|pair| (pair[1].light - pair[0].light).abs()).collect();
    (0..light.len())
        .map(|index| {
            let from = index.saturating_sub(NEIGHBOURS);
            let to = (index + NEIGHBOURS).min(steps.len());
            let mut near: Vec<f64> = steps.get(from..to)?.to_vec();
            if near.len() < NEIGHBOURS {
                return None;
            }
            near.sort_by(f64::total_cmp);
            near.get(near.len() / 2).map(|median| median * MAD_TO_SIGMA / TWO_IN_A_DIFFERENCE)
        })
        .collect()
}

fn light_basis(report: &ReadReport) -> String {
    let band = "band: one standard deviation of the scatter from point to point, of ten neighbours";
    match &report.calibration {
        Some(calibration) => {
            let notes =
                if calibration.notes.is_empty() { "none said".to_owned() } else { calibration.notes.join("; ") };
            format!("{band}; the scale's own error comes on top: {notes}")
        }
        None => format!("{band}; the light is not calibrated, so only its changes mean something"),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn bin(zenith_angle_deg: f64) -> ReadBin {
        ReadBin {
            zenith_angle_deg,
            alt_deg: 90.0 - zenith_angle_deg.abs(),
            latitude_deg: None,
            longitude_deg: None,
            magnetic_latitude_deg: None,
        }
    }

    fn request() -> ReadRequest {
        ReadRequest { position: GeoPosition::new(69.2, 15.4, 0.0).ok(), ..ReadRequest::default() }
    }

    /// On a ball of 6371 km: at 30 degrees of altitude the angle at the centre is 60 degrees less asin(R cos 30 / (R + 110)), which
    /// puts light of 110 km 176.5 km away; by refraction and the ellipsoid it is up to 1 km off.
    #[test]
    fn light_at_thirty_degrees_stands_where_the_triangle_has_it() {
        let found = beam(&bin(60.0), 0.0, &request(), 0.0).distance_km.unwrap();
        let centre_deg = 60.0 - (6371.0 * 30f64.to_radians().cos() / 6481.0).asin().to_degrees();
        let triangle_km = centre_deg.to_radians() * 6371.0;
        assert!((found.value - triangle_km).abs() < 1.0, "{} against {triangle_km}", found.value);
        // the height's error alone: d(distance)/d(height) is near 1 / tan(altitude at the light)
        let sigma_km = 0.5 * (found.high - found.low);
        assert!((14.0..18.0).contains(&sigma_km), "{sigma_km}");
    }

    #[test]
    fn lower_light_is_farther_and_less_certain_and_the_far_side_looks_the_other_way() {
        let wide = |angle: f64| {
            let distance = beam(&bin(angle), 10.0, &request(), 0.5).distance_km.unwrap();
            (distance.value, distance.high - distance.low)
        };
        assert!(wide(80.0).0 > wide(60.0).0 && wide(80.0).1 > 2.0 * wide(60.0).1);
        let south = beam(&bin(-45.0), 10.0, &request(), 0.5);
        assert!((south.direction.azimuth_deg - 190.0).abs() < 1e-9);
        assert!(south.ground.unwrap()[1].latitude_deg() < 69.2);
        assert!(beam(&bin(89.5), 10.0, &request(), 0.5).ground.is_none(), "at the horizon no place is named");
    }

    #[test]
    fn a_slow_climb_scatters_less_than_a_jitter_of_the_same_size() {
        let at = |index: usize| Timestamp::from_second(1_800_000_000 + i64::try_from(index).unwrap()).unwrap();
        let light = |of: fn(usize) -> f64| -> Vec<LightPoint> {
            (0..40).map(|index| LightPoint { at: at(index), light: of(index) }).collect()
        };
        let jitter = scatter(&light(|index| if index % 2 == 0 { 10.0 } else { 11.0 }));
        let climb = scatter(&light(|index| 10.0 + index as f64 / 40.0));
        assert!(jitter[20].unwrap() > 10.0 * climb[20].unwrap());
        assert_eq!(scatter(&light(|_| 1.0)[..3]), vec![None, None, None]);
    }
}
