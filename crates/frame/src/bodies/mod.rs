//! Moon and sun in a frame: burnt-out discs with a glare around them.

use serde::{Deserialize, Serialize};

use crate::whole::index;
use crate::{CellKind, LightMap, Plane, SkyMask};

/// Blocks along the long side in which burnt-out light is looked for: the moon is a three-hundredth of a wide frame.
const BLOCKS_ALONG: usize = 2048;
/// Share of full scale from which light is burnt out.
const FULL_SHARE: f64 = 0.97;
/// Most patches of light looked at.
const MOST_PATCHES: usize = 400;
/// Smallest disc, blocks.
const LEAST_BLOCKS: usize = 4;
/// Directions in which the glare is measured.
const DIRECTIONS: usize = 24;
/// Distances at which the glare is measured, in radii of the disc.
const REACHES: [f64; 6] = [1.6, 2.5, 4.0, 6.0, 9.0, 14.0];

/// What a bright disc is.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum BodyKind {
    /// The moon.
    Moon,
    /// The sun.
    Sun,
    /// Either.
    SunOrMoon,
}

/// A disc.
#[derive(Debug, Clone, PartialEq)]
pub struct BrightBody {
    /// Which.
    pub kind: BodyKind,
    /// Middle of the burnt-out disc, px.
    pub position_px: [f64; 2],
    /// Diameter of the burnt-out disc, px.
    pub diameter_px: f64,
    /// Chance that it is one, 0..1.
    pub confidence: f64,
    pub debug: String,
}

pub fn patches(plane: &Plane, ceiling: Option<f32>, mask: &SkyMask) -> Vec<BrightBody> {
    let long = plane.width().max(plane.height());
    let b = long.div_ceil(BLOCKS_ALONG).max(1);
    let (w, h) = (plane.width().div_ceil(b), plane.height().div_ceil(b));
    let at = |c: usize, r: usize| plane.row((r * b + b / 2).min(plane.height() - 1))[(c * b + b / 2).min(plane.width() - 1)];
    let mut values: Vec<f32> = Vec::with_capacity(w * h);
    let mut top = f32::NEG_INFINITY;
    for r in 0..h { for c in 0..w { let v = at(c, r); top = top.max(v); values.push(v); } }
    let mut sample: Vec<f32> = values.iter().copied().step_by((values.len() / 4000).max(1)).filter(|v| v.is_finite()).collect();
    sample.sort_by(f32::total_cmp);
    let middle = f64::from(sample.get(sample.len() / 2).copied().unwrap_or(0.0));
    let full = ceiling.map_or(f64::from(top), |c| f64::from(c).min(f64::from(top)));
    let threshold = middle + FULL_SHARE * (full - middle);
    let mut seen = vec![false; w * h];
    let mut out = Vec::new();
    for start in 0..w * h {
        if seen[start] || f64::from(values[start]) < threshold { continue; }
        let mut patch = vec![start];
        seen[start] = true;
        let mut next = 0;
        while let Some(&i) = patch.get(next) {
            next += 1;
            let (c, r) = (i % w, i / w);
            for (cc, rr) in [(c.wrapping_sub(1), r), (c + 1, r), (c, r.wrapping_sub(1)), (c, r + 1)] {
                if cc < w && rr < h {
                    let j = rr * w + cc;
                    if !seen[j] && f64::from(values[j]) >= threshold { seen[j] = true; patch.push(j); }
                }
            }
        }
        if patch.len() < LEAST_BLOCKS { continue; }
        let n = patch.len() as f64;
        let (mut sx, mut sy) = (0.0, 0.0);
        for i in &patch { sx += (i % w) as f64; sy += (i / w) as f64; }
        let (mx, my) = (sx / n, sy / n);
        let (mut xx, mut yy, mut xy) = (1.0 / 12.0, 1.0 / 12.0, 0.0);
        for i in &patch { let (dx, dy) = ((i % w) as f64 - mx, (i / w) as f64 - my); xx += dx * dx / n; yy += dy * dy / n; xy += dx * dy / n; }
        let fill = n / (4.0 * std::f64::consts::PI * (xx * yy - xy * xy).max(1e-9).sqrt());
        let mean = 0.5 * (xx + yy);
        let diff = (0.25 * (xx - yy).powi(2) + xy * xy).sqrt();
        let axis = ((mean - diff) / (mean + diff)).max(0.0).sqrt();
        let radius = (n / std::f64::consts::PI).sqrt();
        let mut glare = Vec::new();
        for reach in REACHES {
            let mut ring: Vec<f32> = (0..DIRECTIONS).filter_map(|d| {
                let (s, c) = (std::f64::consts::TAU * d as f64 / DIRECTIONS as f64).sin_cos();
                let (x, y) = (mx + c * radius * reach, my + s * radius * reach);
                (x >= 0.0 && y >= 0.0 && x < w as f64 && y < h as f64).then(|| values[index(y) * w + index(x)])
            }).collect();
            ring.sort_by(f32::total_cmp);
            glare.push(ring.get(ring.len() / 2).map_or(f64::NAN, |v| (f64::from(*v) - middle) / (full - middle)));
        }
        let px = [(mx + 0.5) * b as f64 - 0.5, (my + 0.5) * b as f64 - 0.5];
        out.push((patch.len(), BrightBody { kind: BodyKind::SunOrMoon, position_px: px, diameter_px: 2.0 * radius * b as f64, confidence: 0.0,
            debug: format!("n {} fill {fill:.2} axis {axis:.2} r {radius:.1} ({:.4} of long) glare {glare:.3?} mid/full {:.3} {:?}", patch.len(), 2.0 * radius * b as f64 / long as f64, middle / full, mask.at(px)) }));
        if out.len() > MOST_PATCHES { break; }
    }
    out.sort_by_key(|(n, _)| std::cmp::Reverse(*n));
    out.into_iter().map(|(_, body)| body).collect()
}
