use serde::{Deserialize, Serialize};

use super::verdict::{Motion, trail_of};

/// How the drawing out of stars behaves from frame to frame of one framing.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case", tag = "answer")]
pub enum Steadiness {
    /// The same in every frame: the sky's turning, or the lens; not wind.
    Steady,
    /// Different from frame to frame: wind, or a tripod that still swings.
    Varying {
        /// Trail that makes the scatter, px.
        scatter_px: f64,
    },
    /// Too few frames with enough stars.
    CannotTell {
        /// Frames that could be used.
        usable: usize,
        /// Frames that are needed.
        needed: usize,
    },
}

/// Frames that show a scatter.
const LEAST_FRAMES: usize = 3;
/// Scatter over its expectation from which frames differ: for three frames chance does so once in 500, for more seldom.
const SCATTER_RATIO: f64 = 4.0;
/// Trail from which a scatter is worth telling, px.
const LEAST_SCATTER_PX: f64 = 1.0;

/// Tells wind from what is the same in every frame.
pub fn steadiness(frames: &[Motion]) -> Steadiness {
    let vectors: Vec<_> = frames.iter().filter_map(|frame| frame.mean_vector_px2).collect();
    let n = vectors.len();
    if n < LEAST_FRAMES {
        return Steadiness::CannotTell { usable: n, needed: LEAST_FRAMES };
    }
    let mean = [0, 1].map(|part| vectors.iter().map(|v| v[part].value).sum::<f64>() / n as f64);
    let (mut scatter, mut expected) = (0.0, 0.0);
    for v in &vectors {
        for part in 0..2 {
            scatter += (v[part].value - mean[part]).powi(2);
            expected += (0.5 * (v[part].high - v[part].low)).powi(2);
        }
    }
    let freedom = (n as f64 - 1.0) / n as f64;
    let scatter_px = trail_of([(scatter / (n as f64 - 1.0)).sqrt(), 0.0]);
    if scatter > SCATTER_RATIO * freedom * expected && scatter_px > LEAST_SCATTER_PX {
        Steadiness::Varying { scatter_px }
    } else {
        Steadiness::Steady
    }
}
