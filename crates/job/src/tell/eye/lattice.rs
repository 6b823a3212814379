//! A number that changes smoothly over a frame.

/// Values at even nodes from corner to corner.
pub(super) struct Lattice {
    nodes: [usize; 2],
    values: Vec<f64>,
}

impl Lattice {
    /// Asks `of` at every node, as shares of width and height. Where it has no answer (below the horizon, beyond the lens's image) the
    /// nearest answer stands in; `None` where it has none at all.
    ///
    /// * `nodes`: across and down, 2 each at least.
    pub(super) fn of(nodes: [usize; 2], of: impl Fn([f64; 2]) -> Option<f64>) -> Option<Self> {
        let place = |node: usize| {
            [(node % nodes[0]) as f64 / (nodes[0] - 1) as f64, (node / nodes[0]) as f64 / (nodes[1] - 1) as f64]
        };
        let count = nodes[0] * nodes[1];
        let told: Vec<(usize, f64)> = (0..count)
            .filter_map(|node| Some((node, of(place(node)).filter(|value| value.is_finite() && *value > 0.0)?)))
            .collect();
        let apart = |a: usize, b: usize| {
            let between = |axis: fn(usize, usize) -> usize| axis(a, nodes[0]).abs_diff(axis(b, nodes[0])).pow(2);
            between(|node, columns| node % columns) + between(|node, columns| node / columns)
        };
        let nearest = |node: usize| told.iter().min_by_key(|(other, _)| apart(node, *other)).map(|(_, value)| *value);
        let own = |node: usize| {
            let place = told.binary_search_by_key(&node, |(other, _)| *other).ok()?;
            told.get(place).map(|(_, value)| *value)
        };
        let values = (0..count).map(|node| own(node).or_else(|| nearest(node))).collect::<Option<Vec<f64>>>()?;
        Some(Self { nodes, values })
    }

    /// The values across at a height, as a share of the whole.
    pub(super) fn row(&self, y: f64) -> Vec<f64> {
        let place = y.clamp(0.0, 1.0) * (self.nodes[1] - 1) as f64;
        let low = index(place).min(self.nodes[1] - 2);
        let part = place - low as f64;
        let row = |y: usize| &self.values[y * self.nodes[0]..][..self.nodes[0]];
        row(low).iter().zip(row(low + 1)).map(|(low, high)| low * (1.0 - part) + high * part).collect()
    }

    /// Where a place across lies between the nodes of a row: the one before it, and how far beyond.
    pub(super) fn across(&self, x: f64) -> (usize, f64) {
        let place = x.clamp(0.0, 1.0) * (self.nodes[0] - 1) as f64;
        let low = index(place).min(self.nodes[0] - 2);
        (low, place - low as f64)
    }

    /// The value at a place, as shares of width and height; straight lines between nodes.
    pub(super) fn at(&self, [x, y]: [f64; 2]) -> f64 {
        let (row, (low, part)) = (self.row(y), self.across(x));
        row[low] * (1.0 - part) + row[low + 1] * part
    }
}

#[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "a place inside a lattice")]
fn index(place: f64) -> usize {
    place as usize
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_plane_comes_back_and_gaps_take_their_nearest_neighbour() {
        let plane = Lattice::of([5, 4], |[x, y]| Some(1.0 + 2.0 * x + 3.0 * y)).unwrap();
        assert!((plane.at([0.3, 0.7]) - 3.7).abs() < 1e-9 && (plane.at([1.0, 1.0]) - 6.0).abs() < 1e-9);
        let left = Lattice::of([3, 2], |[x, _]| (x < 0.4).then_some(7.0)).unwrap();
        assert!((left.at([1.0, 0.5]) - 7.0).abs() < 1e-9);
        assert!(Lattice::of([3, 2], |_| None).is_none());
    }
}
