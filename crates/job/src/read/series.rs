use quantity::Timestamp;

use super::report::LightPoint;

/// Points of a series at most: beyond, every two become one.
const MOST_POINTS: usize = 2000;

/// Light against time in equal pieces; memory does not grow with the number of frames.
#[derive(Debug, Clone)]
pub(super) struct LightSeries {
    first: Timestamp,
    piece_s: f64,
    sums: Vec<(f64, u32)>,
}

impl LightSeries {
    pub(super) fn new(first: Timestamp, piece_s: f64) -> Self {
        Self { first, piece_s, sums: Vec::new() }
    }

    /// Adds the light of a frame, at most two days after the first.
    pub(super) fn push(&mut self, at: Timestamp, light: f64) {
        let since_s = at.duration_since(self.first).as_secs_f64() + 0.5 * self.piece_s;
        if !light.is_finite() || !(0.0..=200_000.0).contains(&since_s) {
            return;
        }
        while since_s / self.piece_s >= MOST_POINTS as f64 {
            self.piece_s *= 2.0;
            self.sums = self
                .sums
                .chunks(2)
                .map(|pair| pair.iter().fold((0.0, 0), |(sum, count), more| (sum + more.0, count + more.1)))
                .collect();
        }
        #[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "0 to the most points")]
        let index = (since_s / self.piece_s) as usize;
        if self.sums.len() <= index {
            self.sums.resize(index + 1, (0.0, 0));
        }
        if let Some((sum, count)) = self.sums.get_mut(index) {
            *sum += light;
            *count += 1;
        }
    }

    /// The points; those without a frame are left out.
    pub(super) fn points(&self) -> Vec<LightPoint> {
        let point = |(index, (sum, count)): (usize, &(f64, u32))| {
            let after = jiff::SignedDuration::try_from_secs_f64(index as f64 * self.piece_s).ok()?;
            let at = self.first.checked_add(after).ok()?;
            (*count > 0).then(|| LightPoint { at, light: sum / f64::from(*count) })
        };
        self.sums.iter().enumerate().filter_map(point).collect()
    }
}
