//! Unit vectors.

pub(super) type Vector = [f64; 3];

pub(super) fn dot(a: Vector, b: Vector) -> f64 {
    a[0] * b[0] + a[1] * b[1] + a[2] * b[2]
}

pub(super) fn cross(a: Vector, b: Vector) -> Vector {
    [a[1] * b[2] - a[2] * b[1], a[2] * b[0] - a[0] * b[2], a[0] * b[1] - a[1] * b[0]]
}

pub(super) fn unit(a: Vector) -> Option<Vector> {
    let length = dot(a, a).sqrt();
    (length > 0.0 && length.is_finite()).then(|| a.map(|x| x / length))
}

/// Of a right ascension and a declination, degrees.
pub(super) fn of_ra_dec([ra_deg, dec_deg]: [f64; 2]) -> Vector {
    let (sin_ra, cos_ra) = ra_deg.to_radians().sin_cos();
    let (sin_dec, cos_dec) = dec_deg.to_radians().sin_cos();
    [cos_dec * cos_ra, cos_dec * sin_ra, sin_dec]
}

/// Right ascension and declination of a vector, degrees.
pub(super) fn ra_dec([x, y, z]: Vector) -> [f64; 2] {
    [y.atan2(x).to_degrees().rem_euclid(360.0), z.atan2(x.hypot(y)).to_degrees()]
}

/// Angle of a vector above the plane that another is the pole of, degrees.
pub(super) fn height_deg(v: Vector, pole: Vector) -> f64 {
    dot(v, pole).clamp(-1.0, 1.0).asin().to_degrees()
}
