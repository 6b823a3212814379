//! How and when a frame was taken, from its file and from who knows better.

use frame::{Frame, Metadata, pixel_scale};
use quantity::{Basis, Estimate, GeoPosition, Horizontal, Timestamp};

use super::report::{CheckedSettings, CheckedTime, TimeSource};
use super::request::CheckRequest;

/// How well a kit's focal length and pixel pitch are known, relative: makers round both (from memory).
const KIT_SCALE_SIGMA: f64 = 0.03;
/// Sides of the file and of the kit's sensor in the same proportion within this: scaled, not cut.
const SAME_SHAPE: f64 = 0.02;

pub(super) fn settings(request: &CheckRequest, frame: &Frame) -> CheckedSettings {
    let metadata = &frame.metadata;
    let kit = request.kit.as_ref();
    CheckedSettings {
        exposure_s: metadata.exposure_s,
        iso: metadata.iso,
        f_number: metadata.f_number.or_else(|| kit.map(|kit| kit.lens.f_number)),
        focal_mm: metadata.focal_mm.or_else(|| kit.map(|kit| kit.lens.focal_mm)),
        camera: metadata.camera().or_else(|| kit.map(|kit| kit.camera.name.clone())),
        camera_serial: metadata.serial.clone(),
        lens: metadata.lens.clone().or_else(|| kit.map(|kit| kit.lens.name.clone())),
        pixel_arcsec: by_kit(request, frame)
            .or_else(|| pixel_scale(metadata, frame.stored_size).map(|scale| scale.arcsec_per_px)),
    }
}

/// The kit's own scale, for a file that was made smaller likewise; `None` where the file has another shape.
fn by_kit(request: &CheckRequest, frame: &Frame) -> Option<Estimate> {
    let kit = request.kit.as_ref()?;
    let ordered = |a: f64, b: f64| (a.max(b), a.min(b));
    let (long, short) = ordered(frame.stored_size[0] as f64, frame.stored_size[1] as f64);
    let (kit_long, kit_short) = ordered(f64::from(kit.camera.width_px), f64::from(kit.camera.height_px));
    if ((long / short) / (kit_long / kit_short) - 1.0).abs() > SAME_SHAPE {
        return None;
    }
    let focal_mm = frame.metadata.focal_mm.unwrap_or(kit.lens.focal_mm);
    let arcsec = optics::pixel_scale_arcsec(kit.camera.pixel_um * kit_long / long, focal_mm);
    Some(Estimate::symmetric(arcsec, KIT_SCALE_SIGMA * arcsec, Basis::Model))
}

/// How far a camera's clock may be ahead without a word, s: a zone set wrongly, or the wrong half of the day.
const AHEAD_S: f64 = 86_400.0;
/// How far ahead it is not believed at all, s: the year is wrong. A month and a day that changed places stay within it.
const FAR_AHEAD_S: f64 = 366.0 * 86_400.0;

/// * `named`: the instant that the file's name says.
pub(super) fn taken(request: &CheckRequest, metadata: &Metadata, named: Option<Timestamp>) -> Option<CheckedTime> {
    let taken = as_told(request, metadata, named)?;
    if ahead_s(request, metadata, &taken).is_some_and(|ahead_s| ahead_s > FAR_AHEAD_S) {
        let local = taken.local.or_else(|| taken.utc.map(|utc| utc.to_string()));
        return Some(CheckedTime { local, utc_offset_s: None, utc: None, source: TimeSource::StillToCome });
    }
    Some(taken)
}

/// How far a time lies ahead of now, s; `None` for one that somebody gave, and where either is not known.
fn ahead_s(request: &CheckRequest, metadata: &Metadata, taken: &CheckedTime) -> Option<f64> {
    let by_clock = || metadata.taken.as_ref()?.utc_with(0);
    let at = taken.utc.or_else(by_clock).filter(|_| taken.source != TimeSource::Given)?;
    Some(at.duration_since(request.now?).as_secs_f64())
}

/// What is not believed of the time, in words.
pub(super) fn doubt_of_time(
    request: &CheckRequest,
    metadata: &Metadata,
    taken: Option<&CheckedTime>,
) -> Option<String> {
    let taken = taken?;
    let local = taken.local.as_deref().unwrap_or("its time");
    ahead_s(request, metadata, taken)
        .filter(|ahead_s| *ahead_s > AHEAD_S)
        .map(|_| format!("{local} is still to come: set the camera's clock, and give the time this was taken"))
}

fn as_told(request: &CheckRequest, metadata: &Metadata, named: Option<Timestamp>) -> Option<CheckedTime> {
    let camera = metadata.taken.as_ref();
    let local = camera.map(|taken| taken.local.to_string().replace('T', " "));
    if let Some(at) = request.at {
        return Some(CheckedTime { local, utc_offset_s: None, utc: Some(at), source: TimeSource::Given });
    }
    let sure = camera.is_some_and(|taken| taken.utc_offset_s.is_some());
    if let Some(utc) = named.filter(|_| !sure) {
        return Some(CheckedTime { local, utc_offset_s: None, utc: Some(utc), source: TimeSource::FileName });
    }
    let taken = camera?;
    let (utc_offset_s, source) = match (taken.utc_offset_s, metadata.utc_offset_by_gps_s()) {
        (Some(offset), _) => (Some(offset), TimeSource::Camera),
        (None, Some(offset)) => (Some(offset), TimeSource::CameraAndSatellites),
        (None, None) => (None, TimeSource::CameraWithoutZone),
    };
    Some(CheckedTime { local, utc_offset_s, utc: utc_offset_s.and_then(|offset| taken.utc_with(offset)), source })
}

/// Sun and moon over a frame, where place and time are known.
#[derive(Debug, Clone, Copy)]
pub(super) struct Bodies {
    pub(super) sun: Horizontal,
    pub(super) moon: Horizontal,
    pub(super) moonlit: bool,
}

/// Extinction for the moonlight, magnitudes per airmass: clear air.
const CLEAR_AIR_MAG: f64 = 0.2;
/// Scattered moonlight overhead from which the moon lights the night, nL: as much as a dark sky has by itself (22 mag/arcsec2).
const LIGHTING_NL: f64 = 54.0;

pub(super) fn bodies(request: &CheckRequest, metadata: &Metadata, taken: Option<&CheckedTime>) -> Option<Bodies> {
    let position: GeoPosition = request.position.or(metadata.position)?;
    let found = sky::sun_moon(taken?.utc?, position).ok()?;
    Some(Bodies {
        sun: found.sun.horizontal,
        moon: found.moon.horizontal,
        moonlit: moonlight_nl(&found.moon) >= LIGHTING_NL,
    })
}

/// Whether the moon lights a night over a place; `None` for a time out of range.
pub(crate) fn moon_lights(at: Timestamp, position: GeoPosition) -> Option<bool> {
    Some(moonlight_nl(&sky::sun_moon(at, position).ok()?.moon) >= LIGHTING_NL)
}

/// Moonlight that the air scatters overhead.
fn moonlight_nl(moon: &sky::MoonPlace) -> f64 {
    let altitude_deg = moon.horizontal.altitude_deg;
    sky::background::krisciunas_schaefer_moon_nl(
        moon.phase_angle_deg,
        90.0 - altitude_deg,
        altitude_deg,
        90.0,
        CLEAR_AIR_MAG,
    )
}
