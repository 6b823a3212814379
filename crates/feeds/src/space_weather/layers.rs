use job::KpInterval;
use quantity::Timestamp;

/// A span of time that is covered piece by piece, the most trusted source first.
pub(super) struct Layers {
    from: Timestamp,
    to: Timestamp,
    /// In order of time, not overlapping; with the index of the contribution each came from.
    pieces: Vec<(usize, KpInterval)>,
}

impl Layers {
    pub(super) fn new(from: Timestamp, to: Timestamp) -> Self {
        Self { from, to, pieces: Vec::new() }
    }

    /// Lays intervals under what is there: they show only where nothing covers them. Intervals that do not reach into
    /// the span are left out, the others keep their ends beyond it.
    pub(super) fn lay(&mut self, contribution: usize, intervals: &[KpInterval]) {
        for interval in intervals {
            if !self.reaches_in(interval) {
                continue;
            }
            let open = self.uncovered(interval.from, interval.to);
            let pieces = open.into_iter().map(|(from, to)| KpInterval { from, to, ..*interval });
            let pieces: Vec<KpInterval> = pieces.filter(|piece| self.reaches_in(piece)).collect();
            self.pieces.extend(pieces.into_iter().map(|piece| (contribution, piece)));
            self.pieces.sort_by_key(|(_, piece)| piece.from);
        }
    }

    fn reaches_in(&self, interval: &KpInterval) -> bool {
        interval.from < self.to && self.from < interval.to && interval.from < interval.to
    }

    /// The stretches of a span that no piece covers.
    fn uncovered(&self, from: Timestamp, to: Timestamp) -> Vec<(Timestamp, Timestamp)> {
        let mut open = Vec::new();
        let mut at = from;
        for (_, piece) in &self.pieces {
            if piece.to <= at {
                continue;
            }
            if piece.from >= to {
                break;
            }
            if piece.from > at {
                open.push((at, piece.from));
            }
            at = at.max(piece.to);
        }
        if at < to {
            open.push((at, to));
        }
        open
    }

    /// The pieces, in order of time, not overlapping.
    pub(super) fn pieces(&self) -> &[(usize, KpInterval)] {
        &self.pieces
    }

    /// The stretches of the span that nobody covers.
    pub(super) fn gaps(&self) -> Vec<(Timestamp, Timestamp)> {
        self.uncovered(self.from, self.to)
    }

    /// Whether an interval reaches into the span.
    pub(super) fn holds(&self, interval: &KpInterval) -> bool {
        self.reaches_in(interval)
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use job::ActivityKind;

    fn at(hour: i64) -> Timestamp {
        Timestamp::from_second(hour * 3600).unwrap()
    }

    fn interval(from: i64, to: i64, kp: f64) -> KpInterval {
        KpInterval { from: at(from), to: at(to), kp, kind: ActivityKind::Forecast }
    }

    fn hours(layers: &Layers) -> Vec<(usize, i64, i64)> {
        let hour = |at: Timestamp| at.as_second() / 3600;
        layers.pieces().iter().map(|(who, piece)| (*who, hour(piece.from), hour(piece.to))).collect()
    }

    #[test]
    fn the_first_layer_stays_on_top_and_the_next_fills_what_is_open() {
        let mut layers = Layers::new(at(0), at(24));
        layers.lay(0, &[interval(6, 9, 1.0), interval(12, 15, 1.0)]);
        layers.lay(1, &[interval(3, 14, 2.0), interval(20, 22, 2.0)]);
        assert_eq!(hours(&layers), [(1, 3, 6), (0, 6, 9), (1, 9, 12), (0, 12, 15), (1, 20, 22)]);
        assert_eq!(layers.gaps(), [(at(0), at(3)), (at(15), at(20)), (at(22), at(24))]);
    }

    #[test]
    fn ends_beyond_the_span_are_kept_and_what_lies_outside_is_not() {
        let mut layers = Layers::new(at(4), at(5));
        layers.lay(0, &[interval(0, 3, 1.0), interval(3, 6, 1.0), interval(6, 9, 1.0)]);
        assert_eq!(hours(&layers), [(0, 3, 6)]);
        assert_eq!(layers.gaps(), []);
    }

    #[test]
    fn intervals_that_end_before_they_begin_are_nothing() {
        let mut layers = Layers::new(at(0), at(24));
        layers.lay(0, &[interval(6, 6, 1.0), interval(9, 6, 1.0)]);
        assert_eq!(hours(&layers), []);
    }
}
