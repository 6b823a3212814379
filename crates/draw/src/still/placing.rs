//! Where words stand on a map: beside what they name, and over as little of the light as can be.

use crate::label::{Area, Taken};

/// Heights of a letter that words go farther away, rather than to cover a whole mark (judgement: four lines are still beside it).
const COVER_LETTERS: f64 = 6.0;

/// Room for words, with what they should leave in sight.
pub(super) struct Placing {
    within: Area,
    marks: Vec<Mark>,
    taken: Taken,
    letter_px: f64,
}

/// A spot that should stay in sight.
struct Mark {
    at: (f64, f64),
    radius_px: f64,
    /// 1 for a dot of light; less for what is still known when a part of it is covered.
    weight: f64,
}

impl Placing {
    pub(super) fn new(within: Area, letter_px: f64) -> Self {
        Self { within, marks: Vec::new(), taken: Taken::default(), letter_px }
    }

    pub(super) fn mark(&mut self, at: (f64, f64), radius_px: f64, weight: f64) {
        self.marks.push(Mark { at, radius_px, weight });
    }

    /// The first of some areas that covers nothing, else the first that has room at all; it is taken.
    pub(super) fn first(&mut self, areas: impl Iterator<Item = Area>) -> Option<Area> {
        let fitting: Vec<Area> = areas.filter(|area| self.fits(*area)).collect();
        let clear = fitting.iter().find(|area| self.covered(**area) <= 0.0).or_else(|| fitting.first()).copied()?;
        self.taken.take(clear);
        Some(clear)
    }

    /// The area of a size that is nearest to a spot and covers least; it is taken. `None` where no room is left.
    pub(super) fn nearest(&mut self, spot: (f64, f64), [width, height]: [f64; 2]) -> Option<Area> {
        let mut best: Option<(f64, Area)> = None;
        let mut top = self.within.top;
        while top + height <= self.within.bottom() {
            let mut left = self.within.left;
            while left + width <= self.within.right() {
                let area = Area { left, top, width, height };
                let cost = COVER_LETTERS * self.covered(area) + gap_px(area, spot) / self.letter_px;
                if best.is_none_or(|(least, _)| cost < least) && self.fits(area) {
                    best = Some((cost, area));
                }
                left += self.letter_px;
            }
            top += 0.5 * self.letter_px;
        }
        let (_, area) = best?;
        self.taken.take(area);
        Some(area)
    }

    fn fits(&self, area: Area) -> bool {
        let inside = area.left >= self.within.left
            && area.right() <= self.within.right()
            && area.top >= self.within.top
            && area.bottom() <= self.within.bottom();
        inside && self.taken.is_free(area)
    }

    fn covered(&self, area: Area) -> f64 {
        self.marks.iter().filter(|mark| gap_px(area, mark.at) < mark.radius_px).map(|mark| mark.weight).sum()
    }
}

/// Distance from a spot to the nearest point of an area, px; 0 within.
pub(super) fn gap_px(area: Area, spot: (f64, f64)) -> f64 {
    let (x, y) = nearest_point(area, spot);
    (spot.0 - x).hypot(spot.1 - y)
}

/// Point of an area that is nearest to a spot.
pub(super) fn nearest_point(area: Area, (x, y): (f64, f64)) -> (f64, f64) {
    (x.clamp(area.left, area.right()), y.clamp(area.top, area.bottom()))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn words_go_beside_a_row_of_light_and_not_over_one_another() {
        let mut placing = Placing::new(Area { left: 0.0, top: 0.0, width: 600.0, height: 400.0 }, 20.0);
        for step in 0..40 {
            placing.mark((300.0, 10.0 * f64::from(step)), 8.0, 1.0);
        }
        let spot = (300.0, 100.0);
        let [one, two] = [(); 2].map(|()| placing.nearest(spot, [200.0, 60.0]).unwrap());
        for area in [one, two] {
            assert!((area.left > 308.0 || area.right() < 292.0) && gap_px(area, spot) < 60.0, "{area:?}");
        }
        assert!(!one.overlaps(two), "{one:?} {two:?}");
        assert!(placing.nearest(spot, [700.0, 10.0]).is_none());
        let over = Area { left: 290.0, top: 300.0, width: 20.0, height: 20.0 };
        let beside = Area { left: 320.0, ..over };
        assert_eq!(placing.first([over, beside].into_iter()), Some(beside));
        assert_eq!(placing.first([over].into_iter()), Some(over));
        assert_eq!(placing.first([over].into_iter()), None);
    }
}
