//! Of which lines the aurora's light is made, over the frames that tell it.

use frame::LineShares;
use quantity::{Basis, Estimate, Timestamp};

use super::report::{ReadLineShares, ReadReddest};

/// Factor by which cameras differ at 630.0 nm, for their infrared filters: the range of every share is widened by it.
const RED_FACTOR: f64 = 2.0;
/// Place of 630.0 nm in `quantity::EmissionLine::ALL`.
const RED: usize = 2;

/// The shares of frames, put together while they come.
#[derive(Debug, Default)]
pub(super) struct LineTally {
    frames: Vec<(Option<Timestamp>, LineShares)>,
}

impl LineTally {
    pub(super) fn push(&mut self, at: Option<Timestamp>, shares: &LineShares) {
        self.frames.push((at, widened(shares)));
    }

    /// Medians over the frames; `None` where no frame told its colours.
    pub(super) fn finish(self) -> Option<ReadLineShares> {
        let [blue_4278, green_5577, red_6300] = [0, 1, RED].map(|line| self.median(line));
        let (blue_4278, green_5577, red_6300) = (blue_4278?, green_5577?, red_6300?);
        // the frame that is reddest beyond doubt, not the one with the widest range
        let of_time = self.frames.iter().filter_map(|(at, shares)| Some(((*at)?, estimate(shares, RED))));
        let reddest = of_time
            .max_by(|(_, a), (_, b)| a.low.total_cmp(&b.low))
            .filter(|(_, red)| red.low > red_6300.high)
            .map(|(at, red_6300)| ReadReddest { at, red_6300 });
        let frames = u32::try_from(self.frames.len()).unwrap_or(u32::MAX);
        Some(ReadLineShares { frames, blue_4278, green_5577, red_6300, reddest })
    }

    fn median(&self, line: usize) -> Option<Estimate> {
        let middle = |part: fn(&LineShares) -> &[f64; 3]| {
            let mut values: Vec<f64> = self.frames.iter().map(|(_, shares)| part(shares)[line]).collect();
            values.sort_by(f64::total_cmp);
            values.get(values.len() / 2).copied()
        };
        let [value, low, high] =
            [middle(|shares| &shares.shares)?, middle(|shares| &shares.low)?, middle(|shares| &shares.high)?];
        Some(Estimate { value, low, high, basis: Basis::Model })
    }
}

fn estimate(shares: &LineShares, line: usize) -> Estimate {
    Estimate { value: shares.shares[line], low: shares.low[line], high: shares.high[line], basis: Basis::Model }
}

/// Ranges that also hold what the shares become where the camera sees 630.0 nm twice as well or half as well as thought.
fn widened(shares: &LineShares) -> LineShares {
    let mut wide = *shares;
    for factor in [RED_FACTOR, RED_FACTOR.recip()] {
        let mut other = shares.shares;
        other[RED] *= factor;
        let sum: f64 = other.iter().sum();
        for ((other, low), high) in other.iter().zip(&mut wide.low).zip(&mut wide.high).filter(|_| sum > 0.0) {
            *low = low.min(other / sum);
            *high = high.max(other / sum);
        }
    }
    wide
}

#[cfg(test)]
mod tests {
    use super::*;

    fn shares(green: f64, red: f64) -> LineShares {
        let shares = [1.0 - green - red, green, red];
        LineShares { shares, low: shares, high: shares }
    }

    #[test]
    fn ranges_hold_a_camera_that_sees_red_twice_as_well() {
        let mut tally = LineTally::default();
        tally.push(None, &shares(0.8, 0.2));
        let told = tally.finish().unwrap();
        // twice: 0.4 of 1.2; half: 0.1 of 0.9
        assert!((told.red_6300.high - 1.0 / 3.0).abs() < 1e-12 && (told.red_6300.low - 1.0 / 9.0).abs() < 1e-12);
        assert!((told.green_5577.low - 2.0 / 3.0).abs() < 1e-12 && (told.green_5577.value - 0.8).abs() < 1e-12);
    }

    #[test]
    fn a_red_frame_is_named_only_where_its_range_lies_above_that_of_the_night() {
        let at = |minute: i64| Some(Timestamp::from_second(60 * minute).unwrap());
        let red = |reddest: f64| {
            let mut tally = LineTally::default();
            for minute in 0..9 {
                tally.push(at(minute), &if minute == 4 { shares(1.0 - reddest, reddest) } else { shares(0.9, 0.1) });
            }
            tally.finish().unwrap().reddest
        };
        assert_eq!(red(0.1), None);
        assert_eq!(red(0.25), None, "within the ranges");
        assert_eq!(red(0.6).map(|reddest| reddest.at), at(4));
        assert_eq!(LineTally::default().finish(), None);
    }
}
