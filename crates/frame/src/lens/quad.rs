//! Four stars as a shape: two lengths and four numbers that neither turning nor a change of scale alters.
//!
//! The shape of Lang, Hogg, Mierle, Blanton & Roweis 2010, *Astronomical Journal* 139, 1782, taken on the tangent plane
//! of the four stars' own middle, so that it holds anywhere in a wide field once the lens is roughly known.

use super::vector::{Vector, angle_rad, cross, dot, unit};

/// Difference of two codes up to which they may be the same four stars: 0.3 px on 60 px, or 2 % of unknown distortion.
pub(crate) const CODE_TOLERANCE: f64 = 0.02;
/// Neighbours of each star from which its quads are chosen, three at a time.
pub(crate) const NEIGHBOURS: usize = 5;

/// Four stars in the order that the code wants: the widest pair, then the two others.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Quad {
    pub(crate) stars: [u16; 4],
    pub(crate) code: [f64; 4],
    /// Angle between the widest pair, radians.
    pub(crate) size_rad: f64,
}

impl Quad {
    /// Of four of the directions.
    pub(crate) fn new(stars: [u16; 4], directions: &[Vector]) -> Option<Self> {
        let v = stars.map(|star| directions[star as usize]);
        let mut widest = (2.0, 0, 1);
        for i in 0..4 {
            for j in i + 1..4 {
                let cos = dot(v[i], v[j]);
                if cos < widest.0 {
                    widest = (cos, i, j);
                }
            }
        }
        let (_, a, b) = widest;
        let mut others = (0..4).filter(|i| *i != a && *i != b);
        let (c, d) = (others.next()?, others.next()?);
        let middle = unit(std::array::from_fn(|i| v[0][i] + v[1][i] + v[2][i] + v[3][i]))?;
        let from_a = |w: Vector| -> Vector {
            let along = dot(w, middle) - dot(v[a], middle);
            std::array::from_fn(|i| w[i] - v[a][i] - along * middle[i])
        };
        let base = from_a(v[b]);
        let side = cross(middle, base);
        let length2 = dot(base, base);
        if length2 <= 0.0 {
            return None;
        }
        let [pc, pd] = [c, d].map(|i| from_a(v[i])).map(|p| [dot(p, base) / length2, dot(p, side) / length2]);
        let quad = Self {
            stars: [stars[a], stars[b], stars[c], stars[d]],
            code: [pc[0], pc[1], pd[0], pd[1]],
            size_rad: angle_rad(v[a], v[b]),
        };
        let quad = if pc[0] + pd[0] > 1.0 { quad.ends_swapped() } else { quad };
        Some(if quad.code[0] > quad.code[2] { quad.others_swapped() } else { quad })
    }

    fn ends_swapped(self) -> Self {
        let [a, b, c, d] = self.stars;
        let [cx, cy, dx, dy] = self.code;
        Self { stars: [b, a, c, d], code: [1.0 - cx, -cy, 1.0 - dx, -dy], ..self }
    }

    fn others_swapped(self) -> Self {
        let [a, b, c, d] = self.stars;
        let [cx, cy, dx, dy] = self.code;
        Self { stars: [a, b, d, c], code: [dx, dy, cx, cy], ..self }
    }

    /// This order and those that an error of the code's tolerance could have made of it.
    pub(crate) fn orders(self) -> impl Iterator<Item = Self> {
        let near_half = (self.code[0] + self.code[2] - 1.0).abs() < 2.0 * CODE_TOLERANCE;
        let near_equal = (self.code[0] - self.code[2]).abs() < 2.0 * CODE_TOLERANCE;
        let swapped = near_half.then(|| self.ends_swapped().others_swapped());
        let crossed = near_equal.then(|| self.others_swapped());
        let both = (near_half && near_equal).then(|| self.ends_swapped());
        [Some(self), swapped, crossed, both].into_iter().flatten()
    }
}

/// The quads of each star with three of its nearest neighbours (`neighbours` lists them), each set of four once.
pub(crate) fn quads_around(directions: &[Vector], neighbours: &[Vec<u16>], found: &mut Vec<[u16; 4]>) {
    for (star, near) in (0u16..).zip(neighbours).filter(|(star, _)| usize::from(*star) < directions.len()) {
        for i in 0..near.len() {
            for j in i + 1..near.len() {
                for k in j + 1..near.len() {
                    let mut four = [star, near[i], near[j], near[k]];
                    four.sort_unstable();
                    found.push(four);
                }
            }
        }
    }
}
