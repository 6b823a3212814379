//! Shapes of neighbouring catalogue stars, found by their codes.

use std::sync::OnceLock;

use super::quad::{CODE_TOLERANCE, NEIGHBOURS, Quad, quads_around};
use super::sky_index::SkyIndex;
use super::vector::{Vector, dot};

/// Stars of the whole sky in the sparsest set: a picture of half the sky in which 25 stars are looked at.
const SPARSEST: f64 = 55.0;
/// Each further set has this many times the stars: two pictures of one field then choose much the same neighbours.
const SET_RATIO: f64 = 1.5;
/// Stars so few that each is soon compared with all: their neighbours are many empty cells away.
const FEW: usize = 1000;
/// Side of a cell of codes.
const CELL: f64 = 2.0 * CODE_TOLERANCE;
/// Cells along the base, from 0 to 1, and across it, from -1 to 1.
const ALONG: usize = 25;
const ACROSS: usize = 50;
/// Middle of the years in which pictures are looked at: the pattern changes by less than a tenth of a degree in 40 years.
const EPOCH_YEAR: f64 = 2020.0;

/// Quads of catalogue stars.
pub(crate) struct Patterns {
    pub(crate) index: SkyIndex,
    quads: Vec<Compact>,
    starts: Vec<u32>,
}

#[derive(Clone, Copy, Default)]
struct Compact {
    stars: [u16; 4],
    code: [f32; 4],
    size_rad: f32,
}

impl Compact {
    fn of(quad: &Quad) -> Self {
        let code = quad.code.map(crate::whole::single);
        Self { stars: quad.stars, code, size_rad: crate::whole::single(quad.size_rad) }
    }
}

/// A shape of the catalogue like one of the picture.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Alike {
    /// Ranks in the catalogue, in the order of the picture's quad.
    pub(crate) stars: [u16; 4],
    pub(crate) size_rad: f64,
}

impl Patterns {
    /// Made on first use and kept.
    pub(crate) fn shared() -> &'static Self {
        static PATTERNS: OnceLock<Patterns> = OnceLock::new();
        PATTERNS.get_or_init(Self::new)
    }

    fn new() -> Self {
        let index = SkyIndex::at_epoch(EPOCH_YEAR);
        let all = index.directions.len().min(usize::from(u16::MAX));
        let mut fours = Vec::new();
        let mut wanted = SPARSEST;
        loop {
            let depth = crate::whole::index(wanted).min(all);
            let neighbours: Vec<Vec<u16>> = (0..depth).map(|star| nearest(&index, star, depth)).collect();
            quads_around(&index.directions[..depth], &neighbours, &mut fours);
            if depth == all {
                break;
            }
            wanted *= SET_RATIO;
        }
        // as one whole number each, which is quicker to compare than four
        fours.sort_unstable_by_key(|stars| stars.iter().fold(0u64, |key, star| key << 16 | u64::from(*star)));
        fours.dedup();
        let quads = fours.into_iter().filter_map(|stars| Quad::new(stars, &index.directions));
        let keyed: Vec<(u32, Compact)> = quads.map(|quad| (key(quad.code), Compact::of(&quad))).collect();
        let mut starts = vec![0u32; ALONG * ACROSS * ALONG * ACROSS + 1];
        for (key, _) in &keyed {
            starts[*key as usize + 1] += 1;
        }
        for i in 1..starts.len() {
            starts[i] += starts[i - 1];
        }
        // each at the next free place of its cell, in the order they have
        let mut next = starts.clone();
        let mut quads = vec![Compact::default(); keyed.len()];
        for (key, quad) in keyed {
            quads[next[key as usize] as usize] = quad;
            next[key as usize] += 1;
        }
        Self { index, quads, starts }
    }

    /// Calls `visit` for each catalogue quad with nearly the code and a size within `sizes_rad`.
    pub(crate) fn alike(&self, quad: &Quad, sizes_rad: [f64; 2], mut visit: impl FnMut(Alike)) {
        let ranges: [[usize; 2]; 4] = std::array::from_fn(|i| {
            let value = quad.code[i];
            [bin(i, value - CODE_TOLERANCE), bin(i, value + CODE_TOLERANCE)]
        });
        for a in ranges[0][0]..=ranges[0][1] {
            for b in ranges[1][0]..=ranges[1][1] {
                for c in ranges[2][0]..=ranges[2][1] {
                    let row = ((a * ACROSS + b) * ALONG + c) * ACROSS;
                    let first = self.starts[row + ranges[3][0]] as usize;
                    let end = self.starts[row + ranges[3][1] + 1] as usize;
                    for other in &self.quads[first..end] {
                        let size_rad = f64::from(other.size_rad);
                        if size_rad < sizes_rad[0] || size_rad > sizes_rad[1] {
                            continue;
                        }
                        let off: f64 = quad.code.iter().zip(other.code).map(|(x, y)| (x - f64::from(y)).powi(2)).sum();
                        if off < CODE_TOLERANCE * CODE_TOLERANCE {
                            visit(Alike { stars: other.stars, size_rad });
                        }
                    }
                }
            }
        }
    }
}

#[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "clamped to the table")]
fn bin(axis: usize, value: f64) -> usize {
    let (from, cells) = if axis.is_multiple_of(2) { (0.0, ALONG) } else { (-1.0, ACROSS) };
    ((value - from) / CELL).clamp(0.0, (cells - 1) as f64) as usize
}

#[expect(clippy::cast_possible_truncation, reason = "the table has fewer than 2^32 cells")]
fn key(code: [f64; 4]) -> u32 {
    let [a, b, c, d]: [usize; 4] = std::array::from_fn(|i| bin(i, code[i]));
    (((a * ACROSS + b) * ALONG + c) * ACROSS + d) as u32
}

/// The nearest of the brightest `depth` stars to one of them, itself left out.
fn nearest(index: &SkyIndex, star: usize, depth: usize) -> Vec<u16> {
    let at: Vector = index.directions[star];
    if depth <= FEW {
        let others = index.directions[..depth].iter().enumerate().filter(|(rank, _)| *rank != star);
        let mut near: Vec<(f64, usize)> = others.map(|(rank, direction)| (dot(*direction, at), rank)).collect();
        let nearer = |a: &(f64, usize), b: &(f64, usize)| b.0.total_cmp(&a.0).then(a.1.cmp(&b.1));
        if near.len() > NEIGHBOURS {
            near.select_nth_unstable_by(NEIGHBOURS, nearer);
            near.truncate(NEIGHBOURS);
        }
        near.sort_unstable_by(nearer);
        return near.iter().filter_map(|(_, rank)| u16::try_from(*rank).ok()).collect();
    }
    // a cap of this radius holds three times the neighbours wanted, on the average over the sky
    let mut radius = (12.0 * NEIGHBOURS as f64 / depth as f64).sqrt();
    loop {
        let mut near: Vec<(f64, usize)> = Vec::new();
        index.near(at, radius.min(std::f64::consts::PI), depth, |rank, cos| {
            if rank != star {
                near.push((cos, rank));
            }
        });
        if near.len() >= NEIGHBOURS || radius > std::f64::consts::PI {
            near.sort_by(|a, b| b.0.total_cmp(&a.0));
            return near.iter().take(NEIGHBOURS).filter_map(|(_, rank)| u16::try_from(*rank).ok()).collect();
        }
        radius *= 1.6;
    }
}
