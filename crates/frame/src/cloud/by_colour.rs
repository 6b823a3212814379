//! White cloud or blue sky, in pictures without stars: by day and under the moon.

use quantity::{Basis, Estimate};

use super::{CloudCover, CloudMethod};
use crate::light::LightChannel;
use crate::{CellKind, LightMap, SkyMask};

/// Red over blue as a picture is coded (the root 2.2 of the light): a blue sky lies below the first, cloud between the second and
/// the third; more is the glow of twilight or of lamps. All-sky cameras part them at 0.6 to 0.85 (Long et al. 2006, J. Atmos.
/// Oceanic Technol. 23, 633; the white balance shifts it).
const BLUE: f64 = 0.5;
const WHITE: f64 = 0.85;
const WARM: f64 = 1.12;
/// Exponent of the coding.
const CODING: f64 = 1.0 / 2.2;
/// Light below which a colour means nothing, share of full scale: under a dark sky it is the colour of lamps and airglow.
const LEAST_LIGHT: f64 = 0.01;
/// Share of the sky's cells that must have a colour.
const LEAST_COLOURED: f64 = 0.5;
/// Cells of sky.
const LEAST_CELLS: usize = 50;
/// Range of the fraction beyond which nothing is said.
const WIDEST_RANGE: f64 = 0.4;
/// Where between blue and white a cell is cloud: surely, by and large, perhaps.
const DEGREES: [f64; 3] = [0.9, 0.5, 0.1];
/// Deviation beyond that range.
const SIGMA: f64 = 0.05;

pub(super) fn cover(cells: &LightMap, mask: &SkyMask) -> Result<CloudCover, String> {
    let channel = |wanted| cells.channels.iter().find(|channel| channel.channel == wanted);
    let (Some(red), Some(blue), Some(green)) =
        (channel(LightChannel::Red), channel(LightChannel::Blue), channel(LightChannel::Green))
    else {
        return Err("no stars, and no colours to tell cloud by".to_owned());
    };
    if mask.foreground_share.is_none() {
        return Err("no stars, and it cannot be told what is sky".to_owned());
    }
    let mut counts = [0usize; 3];
    let (mut warm, mut coloured, mut all) = (0usize, 0usize, 0usize);
    for i in (0..mask.kinds.len()).filter(|i| mask.kinds[*i] == CellKind::Sky) {
        all += 1;
        let [red, green, blue] = [red, green, blue].map(|channel| f64::from(channel.medians[i]));
        if !(green >= LEAST_LIGHT && blue > 0.0 && red >= 0.0) {
            continue;
        }
        coloured += 1;
        let ratio = (red / blue).powf(CODING);
        if ratio > WARM {
            warm += 1;
        } else {
            let cloud = (ratio - BLUE) / (WHITE - BLUE);
            for (count, degree) in counts.iter_mut().zip(DEGREES) {
                *count += usize::from(cloud >= degree);
            }
        }
    }
    if all < LEAST_CELLS || (coloured as f64) < LEAST_COLOURED * all as f64 {
        return Err("no stars, and too dark for colours".to_owned());
    }
    let share = |count: usize| count as f64 / coloured as f64;
    // a warm glow may be either
    let (low, value, high) = (share(counts[0]), share(counts[1]) + 0.5 * share(warm), share(counts[2]) + share(warm));
    if high - low > WIDEST_RANGE {
        return Err("no stars, and colours between blue and white: haze, twilight or cloud".to_owned());
    }
    Ok(CloudCover {
        fraction: Some(Estimate {
            value,
            low: (low - SIGMA).max(0.0),
            high: (high + SIGMA).min(1.0),
            basis: Basis::Model,
        }),
        method: Some(CloudMethod::Colour),
        map: None,
        counted: coloured,
        why: "white against blue, for there are no stars".to_owned(),
    })
}
