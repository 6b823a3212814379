//! What a site has in front: water and objects.

use job::{ForegroundObject, Site, WaterBearing};
use quantity::wrap_degrees_360;

use super::{View, words};
use crate::label::{Anchor, Area, Taken, fitted, text_at};
use crate::svg::{Element, PathData, rect};
use crate::theme::Theme;

/// Objects drawn at most.
const MOST_OBJECTS: usize = 40;
/// Waters drawn at most.
const MOST_WATERS: usize = 40;
impl View {
    pub(super) fn waters(&self, site: &Site, theme: &Theme) -> Vec<Element> {
        site.water.iter().take(MOST_WATERS).map(|water| self.water(water, theme)).collect()
    }

    /// Water: short level strokes below the level, close together where it lies in the lee.
    fn water(&self, water: &WaterBearing, theme: &Theme) -> Element {
        let length = wrap_degrees_360(water.to_deg - water.from_deg);
        // the same bearing twice means all around
        let length = if length > 0.0 { length } else { 360.0 };
        let from_left = wrap_degrees_360(water.from_deg - self.first_deg);
        let to_left = from_left + length;
        let pieces = [(from_left, to_left.min(360.0)), (0.0, to_left - 360.0)];
        let (rows, dash) = if water.sheltered { (5, "18 3") } else { (3, "7 6") };
        let mut path = PathData::default();
        for (from, to) in pieces.into_iter().filter(|(from, to)| to > from) {
            for row in 0..rows {
                let y = self.y(self.bottom_deg * (f64::from(row) + 0.8) / f64::from(rows));
                path.polyline([(self.x_from_left(from), y), (self.x_from_left(to), y)], false);
            }
        }
        path.element()
            .with("fill", "none")
            .with("stroke", &theme.plot_accent.to_string())
            .at("stroke-width", 1.6)
            .with("stroke-dasharray", dash)
    }

    /// Boxes as high and as wide as they look, named where there is room.
    pub(super) fn objects(&self, site: &Site, theme: &Theme) -> Vec<Element> {
        let mut taken = Taken::default();
        let objects = site.foreground.iter().take(MOST_OBJECTS);
        objects.flat_map(|object| self.object(object, theme, &mut taken)).collect()
    }

    fn object(&self, object: &ForegroundObject, theme: &Theme, taken: &mut Taken) -> Vec<Element> {
        let half_deg = (object.width_m / 2.0).atan2(object.distance_m).to_degrees();
        let middle = self.x(object.bearing_deg);
        let half_px = (self.plot.width * half_deg / 360.0).max(2.0);
        let (top, foot) = (self.y(words::top_deg(object)), self.y(words::foot_deg(object)));
        let left = (middle - half_px).max(self.plot.left);
        let right = (middle + half_px).min(self.plot.right());
        let mut out = vec![
            rect(left, top, right - left, (foot - top).max(2.0), &theme.plot.to_string())
                .with("stroke", &theme.plot_ink.to_string())
                .at("stroke-width", 1.4),
        ];
        let name = fitted(&object.name, self.font_px, 150.0);
        let label = Area::of_label(&name, (middle, top - self.font_px * 0.8), self.font_px);
        let is_inside = label.left >= self.plot.left && label.right() <= self.plot.right();
        if is_inside && label.top >= self.plot.top && taken.take_if_free(label) {
            out.push(text_at(&name, middle, top - 5.0, self.font_px, Anchor::Middle, theme.plot_ink));
        }
        out
    }
}
