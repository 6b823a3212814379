//! Whether a picture is a photograph at all, by its noise and edges.

use optics::Channel;

use crate::{Frame, FrameError};

/// What the numbers of a picture look like beside each other.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct PictureStatistics {
    pub same: f64,
    pub same_all: f64,
    pub distinct: f64,
    pub flat_blocks: f64,
    pub noise1: f64,
    pub noise4: f64,
    pub correlation: f64,
    pub hard: f64,
    pub compared: usize,
}

fn code(v: f32) -> f64 {
    let v = f64::from(v).clamp(0.0, 1.0);
    255.0 * if v <= 0.0031308 { 12.92 * v } else { 1.055 * v.powf(1.0 / 2.4) - 0.055 }
}

impl PictureStatistics {
    pub fn of(frame: &Frame) -> Result<Self, FrameError> {
        let green = frame.plane(Channel::Green)?;
        let red = frame.plane(Channel::Red)?;
        let scale = frame.ceiling.unwrap_or(1.0);
        let mut s = Self::default();
        let (mut same, mut n, mut same_all, mut all) = (0usize, 0usize, 0usize, 0usize);
        let mut levels = std::collections::HashSet::new();
        let (mut d1, mut d4) = (Vec::new(), Vec::new());
        let (mut cg, mut cr, mut cc) = (0.0, 0.0, 0.0);
        let mut hard = 0usize;
        let step = (green.height() / 400).max(1);
        for y in (0..green.height()).step_by(step) {
            let row: Vec<f64> = green.row(y).iter().map(|v| code(*v / scale)).collect();
            let rrow: Vec<f64> = red.row(y).iter().map(|v| code(*v / scale)).collect();
            for v in green.row(y).iter().step_by(7) { levels.insert(v.to_bits()); }
            for x in 1..row.len() {
                all += 1;
                let eq = row[x] == row[x - 1];
                same_all += usize::from(eq);
                if row[x] > 3.0 && row[x] < 250.0 { n += 1; same += usize::from(eq); }
                if x >= 3 && x + 2 < row.len() && (row[x] - row[x-1]).abs() > 40.0 && (row[x-1]-row[x-3]).abs() < 3.0 && (row[x]-row[x+2]).abs() < 3.0 { hard += 1; }
                if x >= 4 && x + 4 < row.len() && row[x] > 3.0 && row[x] < 250.0 {
                    let g = row[x] - 0.5 * (row[x-1] + row[x+1]);
                    let r = rrow[x] - 0.5 * (rrow[x-1] + rrow[x+1]);
                    d1.push(g.abs());
                    d4.push((row[x] - 0.5 * (row[x-4] + row[x+4])).abs());
                    if g.abs() < 6.0 && r.abs() < 6.0 { cg += g*g; cr += r*r; cc += g*r; }
                }
            }
        }
        let (mut flat, mut blocks) = (0usize, 0usize);
        for y in (0..green.height().saturating_sub(8)).step_by(8 * (green.height() / 800).max(1)) {
            for x in (0..green.width().saturating_sub(8)).step_by(8) {
                let v0 = green.row(y)[x];
                let c = code(v0 / scale);
                if c <= 3.0 || c >= 250.0 { continue; }
                blocks += 1;
                flat += usize::from((0..8).all(|j| green.row(y + j)[x..x + 8].iter().all(|v| *v == v0)));
            }
        }
        let med = |v: &mut Vec<f64>| { if v.is_empty() { return 0.0; } let m = v.len() / 2; *v.select_nth_unstable_by(m, f64::total_cmp).1 };
        s.same = same as f64 / n.max(1) as f64;
        s.same_all = same_all as f64 / all.max(1) as f64;
        s.distinct = levels.len() as f64;
        s.flat_blocks = flat as f64 / blocks.max(1) as f64;
        s.noise1 = med(&mut d1);
        s.noise4 = med(&mut d4);
        s.correlation = cc / (cg * cr).sqrt().max(1e-9);
        s.hard = hard as f64 / all.max(1) as f64;
        s.compared = n;
        Ok(s)
    }
}
