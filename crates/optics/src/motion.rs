/// Apparent turn of the sky at the celestial equator, arcseconds per second of time.
pub const SIDEREAL_ARCSEC_S: f64 = 15.041;
/// Arcseconds in a radian, divided by 1000: converts µm over mm.
const ARCSEC_PER_UM_MM: f64 = 206.265;
/// Diagonal of a 36 × 24 mm frame, mm.
const FULL_FRAME_DIAGONAL_MM: f64 = 43.266615;
/// Mean radius of the Earth, km (IUGG).
const EARTH_RADIUS_KM: f64 = 6371.0088;
/// Smallest cosine of declination used: a star at the pole does not trail, a limit must stay a number.
const LEAST_COS: f64 = 1e-6;

/// Angle that one pixel sees on the axis, arcseconds.
pub fn pixel_scale_arcsec(pixel_um: f64, focal_mm: f64) -> f64 {
    ARCSEC_PER_UM_MM * pixel_um / focal_mm
}

/// Length of a star's trail on the axis, pixels. Off the axis of a rectilinear lens it is longer: along the radius by
/// `1/cos²`, across it by `1/cos` of the angle off axis.
pub fn trail_px(seconds: f64, declination_deg: f64, pixel_um: f64, focal_mm: f64) -> f64 {
    seconds * SIDEREAL_ARCSEC_S * cos_declination(declination_deg) / pixel_scale_arcsec(pixel_um, focal_mm)
}

/// Longest time with stars still points, by the NPF rule, s.
///
/// * `declination_deg`: the one nearest to the equator in the frame.
/// * `tolerance`: 1 strict, 2 or 3 lax.
///
/// # Source
///
/// F. Michaud, Société Astronomique du Havre (2016).
///
/// ```
/// assert!((optics::npf_limit_s(2.8, 14.0, 5.95, 0.0, 1.0) - 9.30).abs() < 0.01);
/// ```
pub fn npf_limit_s(f_number: f64, focal_mm: f64, pixel_um: f64, declination_deg: f64, tolerance: f64) -> f64 {
    tolerance * (16.9 * f_number + 0.1 * focal_mm + 13.7 * pixel_um) / (focal_mm * cos_declination(declination_deg))
}

/// The NPF rule's short form, for any declination, s.
pub fn npf_short_limit_s(f_number: f64, focal_mm: f64, pixel_um: f64) -> f64 {
    (35.0 * f_number + 30.0 * pixel_um) / focal_mm
}

/// The old rule of 500, s; much too long for present-day pixels.
pub fn rule_of_500_limit_s(full_frame_equivalent_mm: f64) -> f64 {
    500.0 / full_frame_equivalent_mm
}

/// Focal length that gives the same view on a 36 × 24 mm frame, mm, from the frame's diagonal.
pub fn full_frame_equivalent_mm(focal_mm: f64, pixel_um: f64, width_px: u32, height_px: u32) -> f64 {
    let diagonal_mm = f64::from(width_px).hypot(f64::from(height_px)) * pixel_um * 1e-3;
    focal_mm * FULL_FRAME_DIAGONAL_MM / diagonal_mm
}

/// Apparent motion of an aurora, degrees per second, from its speed across the sightline and its distance.
pub fn aurora_deg_s(speed_km_s: f64, range_km: f64) -> f64 {
    (speed_km_s / range_km).to_degrees()
}

/// Apparent motion of an aurora near the axis, pixels per second.
pub fn aurora_px_s(speed_km_s: f64, range_km: f64, pixel_um: f64, focal_mm: f64) -> f64 {
    speed_km_s / range_km * focal_mm * 1e3 / pixel_um
}

/// Distance along a line of sight to a layer at a height, km, on a sphere of the Earth's mean radius.
///
/// * `altitude_deg`: altitude of the line of sight, brought into 0..=90.
///
/// ```
/// assert!((optics::slant_range_km(90.0, 110.0) - 110.0).abs() < 1e-9);
/// ```
pub fn slant_range_km(altitude_deg: f64, height_km: f64) -> f64 {
    let up = EARTH_RADIUS_KM * altitude_deg.clamp(0.0, 90.0).to_radians().sin();
    (up * up + 2.0 * EARTH_RADIUS_KM * height_km + height_km * height_km).sqrt() - up
}

/// Longest time before a structure moves by its own width, s; infinite if it stands still.
pub fn blur_limit_s(structure_km: f64, speed_km_s: f64) -> f64 {
    structure_km / speed_km_s.abs()
}

fn cos_declination(declination_deg: f64) -> f64 {
    declination_deg.to_radians().cos().max(LEAST_COS)
}
