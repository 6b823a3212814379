/// Nearest and farthest distance that are sharp.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct FocusRange {
    /// Near limit, m.
    pub near_m: f64,
    /// Far limit, m; infinite from the hyperfocal distance on.
    pub far_m: f64,
}

/// Diameter of the diffraction disc to its first dark ring, µm: `2.44 λ N`.
pub fn airy_diameter_um(wavelength_nm: f64, f_number: f64) -> f64 {
    2.44 * wavelength_nm * 1e-3 * f_number
}

/// Hyperfocal distance, m: focused there, all from half of it to infinity is within the blur allowed.
///
/// With one pixel as the blur it tells how far away "infinity" begins for stars; focus on a star for those.
pub fn hyperfocal_m(focal_mm: f64, f_number: f64, blur_um: f64) -> f64 {
    (focal_mm * focal_mm / (f_number * blur_um * 1e-3) + focal_mm) * 1e-3
}

/// Near and far limit of what is sharp when focused at `focus_m`, within a blur of `blur_um`.
pub fn focus_range_m(focal_mm: f64, f_number: f64, blur_um: f64, focus_m: f64) -> FocusRange {
    let h_m = hyperfocal_m(focal_mm, f_number, blur_um);
    let f_m = focal_mm * 1e-3;
    let near_m = if focus_m.is_infinite() { h_m - f_m } else { focus_m * (h_m - f_m) / (h_m + focus_m - 2.0 * f_m) };
    let far_m = if focus_m >= h_m { f64::INFINITY } else { focus_m * (h_m - f_m) / (h_m - focus_m) };
    FocusRange { near_m, far_m }
}

/// Blur disc of a star when the lens is focused at `focus_m`, µm: `f² / N s`.
pub fn defocus_blur_um(focal_mm: f64, f_number: f64, focus_m: f64) -> f64 {
    focal_mm * focal_mm / (f_number * focus_m)
}
