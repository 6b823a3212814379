//! The skyline of a site all around, with what it has in front: water, huts, trees.

mod front;
mod words;

use job::Site;
use quantity::{wrap_degrees_180, wrap_degrees_360};

use crate::label::{Anchor, Area, degrees_text, text_at};
use crate::svg::{self, Element, PathData, line, rect};
use crate::theme::{Palette, Theme};

/// Height shown at least above the level, degrees; a low skyline must not fill the picture.
const LEAST_TOP_DEG: f64 = 10.0;
/// Depth shown below the level, as a share of the height shown: room for the water.
const DEPTH_SHARE: f64 = 0.28;
/// Room above what is highest.
const HEADROOM: f64 = 1.25;
/// Points of the skyline drawn between its corners: one a degree.
const STEP_DEG: f64 = 1.0;
/// Points of the compass, by azimuth.
const COMPASS: [(&str, f64); 8] =
    [("N", 0.0), ("NE", 45.0), ("E", 90.0), ("SE", 135.0), ("S", 180.0), ("SW", 225.0), ("W", 270.0), ("NW", 315.0)];

/// The point of the compass, of eight, that an azimuth is nearest to.
pub(crate) fn compass_point(azimuth_deg: f64) -> &'static str {
    let apart = |of_deg: f64| {
        let turn = (azimuth_deg - of_deg).rem_euclid(360.0);
        turn.min(360.0 - turn)
    };
    COMPASS.iter().min_by(|a, b| apart(a.1).total_cmp(&apart(b.1))).map_or("", |(name, _)| name)
}

/// How a skyline is to look.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct HorizonStyle {
    /// Width, px; 280 at least.
    pub width_px: f64,
    /// Height, px; 120 at least.
    pub height_px: f64,
    /// Colours.
    pub palette: Palette,
}

/// The whole skyline of a site as a band, the nearer pole's bearing in the middle: ground, water and objects in front.
///
/// The root has `data-plot-left`, `data-plot-width`, `data-plot-top`, `data-plot-height` (px), `data-first-azimuth` (degrees
/// at the left edge), `data-top-altitude` and `data-bottom-altitude` (degrees), so that a page can follow a pointer.
pub fn horizon_profile(site: &Site, style: &HorizonStyle) -> String {
    let view = View::new(site, style);
    let theme = style.palette.theme();
    let sky = rect(view.plot.left, view.plot.top, view.plot.width, view.plot.height, &theme.plot.to_string());
    svg::root(view.width_px, view.height_px, &words::title(site), &words::description(site))
        .at("data-plot-left", view.plot.left)
        .at("data-plot-width", view.plot.width)
        .at("data-first-azimuth", view.first_deg)
        .at("data-plot-top", view.plot.top)
        .at("data-plot-height", view.plot.height)
        .at("data-top-altitude", view.top_deg)
        .at("data-bottom-altitude", view.bottom_deg)
        .child(rect(0.0, 0.0, view.width_px, view.height_px, &theme.background.to_string()))
        .child(sky)
        .children(view.grid(theme))
        .child(view.ground(site, theme))
        .children(view.waters(site, theme))
        .children(view.objects(site, theme))
        .children(view.scales(theme))
        .render()
}

/// Where an azimuth and an altitude fall.
struct View {
    width_px: f64,
    height_px: f64,
    font_px: f64,
    plot: Area,
    first_deg: f64,
    top_deg: f64,
    bottom_deg: f64,
}

impl View {
    fn new(site: &Site, style: &HorizonStyle) -> Self {
        let width_px = crate::strip::bounded(style.width_px, 280.0);
        let height_px = crate::strip::bounded(style.height_px, 120.0);
        let font_px = 13.0;
        let plot = Area { left: 36.0, top: 6.0, width: width_px - 44.0, height: height_px - font_px - 16.0 };
        let skyline = site.horizon.iter().map(|corner| corner.altitude_deg);
        let objects = site.foreground.iter().map(words::top_deg);
        let highest = skyline.chain(objects).filter(|altitude| altitude.is_finite()).fold(0.0, f64::max);
        let top_deg = (HEADROOM * highest).clamp(LEAST_TOP_DEG, 90.0);
        let middle_deg = if site.position.latitude_deg() < 0.0 { 180.0 } else { 0.0 };
        Self {
            width_px,
            height_px,
            font_px,
            plot,
            first_deg: wrap_degrees_360(middle_deg - 180.0),
            top_deg,
            bottom_deg: -DEPTH_SHARE * top_deg,
        }
    }

    fn x(&self, azimuth_deg: f64) -> f64 {
        self.x_from_left(wrap_degrees_360(azimuth_deg - self.first_deg))
    }

    fn x_from_left(&self, from_left_deg: f64) -> f64 {
        self.plot.left + self.plot.width * (from_left_deg / 360.0).clamp(0.0, 1.0)
    }

    fn y(&self, altitude_deg: f64) -> f64 {
        let share = (self.top_deg - altitude_deg) / (self.top_deg - self.bottom_deg);
        self.plot.top + self.plot.height * share.clamp(0.0, 1.0)
    }

    /// Lines of equal altitude and of the main bearings.
    fn grid(&self, theme: &Theme) -> Vec<Element> {
        let ink = theme.plot_muted.to_string();
        let dotted = |from, to| line(from, to, &ink, 0.6).with("stroke-dasharray", "1 5");
        let rows = self
            .ticks()
            .into_iter()
            .map(|altitude| dotted((self.plot.left, self.y(altitude)), (self.plot.right(), self.y(altitude))));
        let columns = COMPASS
            .iter()
            .step_by(2)
            .map(|(_, azimuth)| dotted((self.x(*azimuth), self.plot.top), (self.x(*azimuth), self.plot.bottom())));
        rows.chain(columns).collect()
    }

    /// Altitudes named, degrees.
    fn ticks(&self) -> Vec<f64> {
        let step = [2.0, 5.0, 10.0, 20.0].into_iter().find(|step| self.top_deg / step <= 4.5).unwrap_or(30.0);
        (0..5).map(|n| f64::from(n) * step).filter(|altitude| *altitude < self.top_deg).collect()
    }

    fn ground(&self, site: &Site, theme: &Theme) -> Element {
        #[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "360 steps")]
        let steps = (360.0 / STEP_DEG) as u32;
        let from_left = (0..=steps).map(|step| f64::from(step) * STEP_DEG);
        let mut corners: Vec<f64> = site
            .horizon
            .iter()
            .map(|corner| wrap_degrees_360(corner.azimuth_deg - self.first_deg))
            .chain(from_left)
            .filter(|degrees| degrees.is_finite())
            .collect();
        corners.sort_by(f64::total_cmp);
        let mut path = PathData::default();
        let skyline = corners
            .iter()
            .map(|&from_left| (self.x_from_left(from_left), self.y(site.skyline_deg(self.first_deg + from_left))));
        let foot = [(self.plot.right(), self.plot.bottom()), (self.plot.left, self.plot.bottom())];
        path.polyline(skyline.chain(foot), true);
        path.element()
            .with("fill", &theme.ground.to_string())
            .with("stroke", &theme.plot_ink.to_string())
            .at("stroke-width", 1.4)
            .with("stroke-linejoin", "round")
    }

    /// Names of bearings below and of altitudes on the left.
    fn scales(&self, theme: &Theme) -> Vec<Element> {
        let is_narrow = self.plot.width < 420.0;
        let bearings = COMPASS.iter().step_by(if is_narrow { 2 } else { 1 }).map(|(name, azimuth)| {
            let x = self.x(*azimuth);
            text_at(name, x, self.height_px - 4.0, self.font_px, Anchor::Middle, theme.text)
        });
        // the bearing of both edges stands at both
        let edge = COMPASS.iter().find(|(_, azimuth)| wrap_degrees_180(azimuth - self.first_deg).abs() < 1.0);
        let edge = edge.map(|(name, _)| {
            text_at(name, self.plot.right(), self.height_px - 4.0, self.font_px, Anchor::Middle, theme.text)
        });
        let level =
            line((self.plot.left, self.y(0.0)), (self.plot.right(), self.y(0.0)), &theme.plot_muted.to_string(), 1.0);
        let altitudes = self.ticks().into_iter().map(|altitude| {
            let text = degrees_text(altitude);
            text_at(&text, self.plot.left - 5.0, self.y(altitude) + 4.5, self.font_px, Anchor::End, theme.text)
        });
        std::iter::once(level).chain(bearings).chain(edge).chain(altitudes).collect()
    }
}
