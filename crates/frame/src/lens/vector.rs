//! Unit vectors and rotations.

use crate::least_squares::solve;

pub(crate) type Vector = [f64; 3];
/// Rows are the axes of the turned frame.
pub(crate) type Rotation = [Vector; 3];

pub(crate) fn dot(a: Vector, b: Vector) -> f64 {
    a[0] * b[0] + a[1] * b[1] + a[2] * b[2]
}

/// Of places in a picture, whose squares stay well within a double's range: several times as fast as `hypot`.
pub(crate) fn length([x, y]: [f64; 2]) -> f64 {
    (x * x + y * y).sqrt()
}

pub(crate) fn cross(a: Vector, b: Vector) -> Vector {
    [a[1] * b[2] - a[2] * b[1], a[2] * b[0] - a[0] * b[2], a[0] * b[1] - a[1] * b[0]]
}

pub(crate) fn unit(a: Vector) -> Option<Vector> {
    let length = dot(a, a).sqrt();
    (length > 0.0 && length.is_finite()).then(|| a.map(|x| x / length))
}

/// Angle between two unit vectors, radians.
pub(crate) fn angle_rad(a: Vector, b: Vector) -> f64 {
    let c = cross(a, b);
    dot(c, c).sqrt().atan2(dot(a, b))
}

pub(crate) fn turn(rotation: &Rotation, v: Vector) -> Vector {
    rotation.map(|row| dot(row, v))
}

pub(crate) fn transpose(rotation: &Rotation) -> Rotation {
    [0, 1, 2].map(|i| [0, 1, 2].map(|j: usize| rotation[j][i]))
}

/// `a` after `b`.
pub(crate) fn compose(a: &Rotation, b: &Rotation) -> Rotation {
    let columns = transpose(b);
    a.map(|row| columns.map(|column| dot(row, column)))
}

/// Rotation by a small vector (radians), exactly orthogonal.
pub(crate) fn small_turn(v: Vector) -> Rotation {
    let angle = dot(v, v).sqrt();
    if angle <= 0.0 {
        return [[1.0, 0.0, 0.0], [0.0, 1.0, 0.0], [0.0, 0.0, 1.0]];
    }
    let [x, y, z] = v.map(|c| c / angle);
    let (s, c) = angle.sin_cos();
    let t = 1.0 - c;
    [
        [t * x * x + c, t * x * y - s * z, t * x * z + s * y],
        [t * x * y + s * z, t * y * y + c, t * y * z - s * x],
        [t * x * z - s * y, t * y * z + s * x, t * z * z + c],
    ]
}

/// The rotation that takes `from` onto `to`, by least squares. From the first two pairs and then two Gauss-Newton steps.
pub(crate) fn rotation_between(from: &[Vector], to: &[Vector]) -> Option<Rotation> {
    let [Some(a), Some(b)] = [frame(from), frame(to)] else { return None };
    // rows of `transpose(b) a`: first into the common frame, then out of it
    refined(compose(&transpose(&b), &a), from, to)
}

/// A rotation that takes `from` nearly onto `to`, made better by two Gauss-Newton steps of least squares.
pub(crate) fn refined(mut rotation: Rotation, from: &[Vector], to: &[Vector]) -> Option<Rotation> {
    for _ in 0..2 {
        let mut normal = [[0.0; 3]; 3];
        let mut right = [0.0; 3];
        for (u, v) in from.iter().zip(to) {
            let moved = turn(&rotation, *u);
            let twist = cross(moved, *v);
            for i in 0..3 {
                for j in 0..3 {
                    normal[i][j] += if i == j { 1.0 } else { 0.0 } - moved[i] * moved[j];
                }
                right[i] += twist[i];
            }
        }
        rotation = compose(&small_turn(solve(normal, right)?), &rotation);
    }
    Some(rotation)
}

/// Right-handed frame of the first two vectors, as rows.
fn frame(vectors: &[Vector]) -> Option<Rotation> {
    let [first, second, ..] = vectors else { return None };
    let x = unit(*first)?;
    let z = unit(cross(x, *second))?;
    Some([x, cross(z, x), z])
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_rotation_is_found_again() {
        let truth = compose(&small_turn([0.4, -1.0, 2.0]), &small_turn([1.0, 0.3, 0.0]));
        let from = [[0.0, 0.6, 0.8], [1.0, 0.0, 0.0], [0.6, 0.0, -0.8]];
        let found = rotation_between(&from, &from.map(|v| turn(&truth, v))).unwrap();
        for (a, b) in found.iter().flatten().zip(truth.iter().flatten()) {
            assert!((a - b).abs() < 1e-12);
        }
    }
}
