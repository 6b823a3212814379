//! Ground, water and the edge of the lens's image: what every pixel of the picture looks at.

use job::{Framing, MirrorStretch, MirrorSurface, StandReport};
use quantity::{Horizontal, wrap_degrees_180, wrap_degrees_360};

use super::{Scene, path_of};
use crate::contour::{Border, Plane};
use crate::svg::{Element, PathData};

/// Nodes along the longer side: a node every six pixels of the drawing.
const LONG_SIDE_NODES: f64 = 150.0;
/// Value of what is certainly not there.
const NOWHERE: f64 = -180.0;

/// Directions of the picture on a fine grid.
pub(super) struct Terrain {
    columns: usize,
    rows: usize,
    directions: Vec<Option<Horizontal>>,
}

impl Terrain {
    pub(super) fn new(report: &StandReport) -> Self {
        let framing = Framing::new(&report.request.kit, &report.pointing);
        let [width, height] = framing.size_px().map(f64::from);
        let count = |size: f64| {
            #[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "2 to 150")]
            let count = (LONG_SIDE_NODES * size / width.max(height)).ceil().max(2.0) as usize;
            count
        };
        let (columns, rows) = (count(width), count(height));
        let at = |n: usize, count: usize, size: f64| n as f64 * (size - 1.0) / (count - 1) as f64;
        let directions = (0..rows)
            .flat_map(|i| (0..columns).map(move |j| (i, j)))
            .map(|(i, j)| framing.direction_of([at(j, columns, width), at(i, rows, height)]))
            .collect();
        Self { columns, rows, directions }
    }

    /// The area where a measure of the direction is 0 or more; `none` stands for pixels without a direction.
    fn area(&self, none: f64, measure: impl Fn(Horizontal) -> f64, scene: &Scene) -> PathData {
        let values = self.directions.iter().map(|d| d.map_or(none, &measure)).collect();
        let plane = Plane { columns: self.columns, rows: self.rows, values };
        path_of(&plane.chains(0.0, Border::Closed), &plane, scene)
    }

    /// What lies below the skyline.
    pub(super) fn ground(&self, report: &StandReport, scene: &Scene) -> Option<Element> {
        let site = &report.request.site;
        let path = self.area(NOWHERE, |d| site.skyline_deg(d.azimuth_deg) - d.altitude_deg, scene);
        filled(path, &scene.theme.ground.to_string())
    }

    /// Where the lens makes no image.
    pub(super) fn beyond_the_lens(&self, scene: &Scene) -> Option<Element> {
        filled(self.area(1.0, |_| -1.0, scene), &scene.theme.background.to_string())
    }

    /// Water that mirrors the sky above the far shore: its outline, and how much of the mirror the wind leaves.
    pub(super) fn mirrors(&self, report: &StandReport, scene: &Scene) -> Vec<(PathData, f64)> {
        let site = &report.request.site;
        let each = |stretch: &MirrorStretch| {
            let length = wrap_degrees_360(stretch.to_deg - stretch.from_deg);
            let half = if length > 0.0 { length / 2.0 } else { 180.0 };
            let middle = stretch.from_deg + half;
            let path = self.area(
                NOWHERE,
                |d| {
                    let below_shore = -d.altitude_deg - site.skyline_deg(d.azimuth_deg).max(0.0);
                    below_shore.min(half - wrap_degrees_180(d.azimuth_deg - middle).abs())
                },
                scene,
            );
            (path, strength(stretch.surface))
        };
        let seen = report.mirror.iter().filter(|stretch| stretch.inside);
        seen.map(each).filter(|(path, strength)| !path.is_empty() && *strength > 0.0).collect()
    }
}

/// How strongly a mirror is drawn: our shape, only to tell the classes apart.
fn strength(surface: MirrorSurface) -> f64 {
    match surface {
        MirrorSurface::Mirror => 1.0,
        MirrorSurface::SoftPillars | MirrorSurface::CannotTell => 0.6,
        MirrorSurface::GlowOnly => 0.3,
        MirrorSurface::None => 0.0,
    }
}

fn filled(path: PathData, fill: &str) -> Option<Element> {
    (!path.is_empty()).then(|| path.element().with("fill", fill).with("fill-rule", "evenodd"))
}
