//! A map as a still: coast, rings of distance, and the lines of sight from the camera to under the light.

use job::{MapSightline, TellMap};
use quantity::{Basis, GeoPosition};

use super::StillStyle;
use super::coast::coasts;
use super::placing::{Placing, gap_px, nearest_point};
use super::sheet::{DESCENT, LINE, Sheet};
use super::width;
use crate::colour::Rgb;
use crate::horizon::compass_point;
use crate::label::{Anchor, Area, haloed, kr_text, text_at};
use crate::ramp::{brightness_colour, colour_at};
use crate::svg::{self, Element, PathData};
use crate::theme::Palette;

/// Mean radius of the Earth, km: the map is a sphere's, within a third of a percent.
const EARTH_KM: f64 = 6371.0;
/// Coast farther from the middle than this is left out, km: no map here shows more, and the projection tears at the antipode.
const SHOWN_KM: f64 = 5000.0;
/// Least half width of a map, km: a single place still shows its surroundings.
const LEAST_HALF_KM: f64 = 120.0;
/// Room around what is shown, as a share.
const MARGIN: f64 = 0.22;
/// Distances between rings, km: the first that gives no more than `MOST_RINGS`.
const RINGS_KM: [f64; 7] = [20.0, 50.0, 100.0, 200.0, 500.0, 1000.0, 2000.0];
/// Rings at most to the farthest corner: a distance can be read off to half a step.
const MOST_RINGS: f64 = 16.0;
/// Points around a ring.
const RING_POINTS: u32 = 120;
/// Widest label in letters: two or three lines, which find room beside the light.
const LABEL_LETTERS: f64 = 18.0;
/// Radii of marks over the size of a name's letters: light that was read, where a line of sight ends.
const LIGHT: f64 = 0.35;
const END: f64 = 0.3;
/// What a step of a letter along a line of sight counts where words cover it, to a dot of light.
const LINE_WEIGHT: f64 = 0.3;

/// The still as SVG of the size asked for.
///
/// The projection is the azimuthal equidistant one about the camera: distances and directions from it are true.
pub fn map_still(told: &TellMap, style: &StillStyle) -> String {
    let sheet = Sheet::of(*style, &told.caption);
    let root = sheet.root(&told.title, &description(told), &sheet.theme.plot.to_string());
    let map = Map::of(told, &sheet);
    let theme = sheet.theme;
    let coast = map.coast().element().with("fill", "none");
    let root = root.child(coast.with("stroke", &theme.plot_muted.to_string()).at("stroke-width", 1.4 * sheet.thin_px));
    let mut placing = map.placing(told, &sheet);
    let root = root.children(map.rings(&sheet, &mut placing));
    let root = root.children(told.light.iter().map(|light| {
        let colour = if told.is_kilorayleighs {
            brightness_colour(light.value, Palette::Day)
        } else {
            colour_at(light.value, Palette::Day)
        };
        dot(map.at(light.ground), LIGHT * sheet.label_px, colour)
    }));
    let accent = theme.plot_accent;
    let root = root.children(told.sightlines.iter().flat_map(|line| map.sightline(line, &sheet)));
    let camera = map.at(told.camera);
    let rounded = map.km_px * told.rounded_km;
    let ring = Element::new("circle").at("cx", camera.0).at("cy", camera.1).at("r", rounded.max(0.4 * sheet.label_px));
    let ring = ring.with("fill", &accent.to_string()).with("fill-opacity", "0.35").with("stroke", &accent.to_string());
    let root = root.child(ring.at("stroke-width", sheet.thin_px));
    let root = root.children(map.labels(told, &sheet, &mut placing));
    let (root, below) = sheet.titled(root, &told.title);
    let words: Vec<String> = words(told).split(' ').map(str::to_owned).collect();
    let lines = width::joined(&words, " ", sheet.label_px, sheet.safe.width);
    let root = root.children(lines.iter().enumerate().map(|(row, line)| {
        let base = below + LINE * sheet.label_px * (row as f64 + 0.9);
        text_at(line, sheet.safe.left, base, sheet.label_px, Anchor::Start, theme.plot_muted)
    }));
    sheet.finished(root)
}

/// What stands below the title.
fn words(told: &TellMap) -> String {
    let light = if told.light.is_empty() {
        String::new()
    } else if told.is_kilorayleighs {
        "; dots: light that was read, by brightness".to_owned()
    } else {
        "; dots: light that was read, dark to bright".to_owned()
    };
    let rounded = if told.rounded_km > 0.0 {
        format!("; the camera is within {:.0} km of its mark", told.rounded_km.ceil())
    } else {
        String::new()
    };
    format!("{}{light}{rounded}. Coast: Natural Earth", told.basis)
}

fn description(told: &TellMap) -> String {
    let lines: Vec<String> = told.sightlines.iter().map(line_words).collect();
    format!("{}. {}", told.caption.join(", "), lines.join("; "))
}

/// "brightest: 12 (8 to 18) kR, an estimate, 24° up in the N, 230 (190 to 280) km away".
fn line_words(line: &MapSightline) -> String {
    let kr = line.kr.map_or(String::new(), |kr| {
        let range =
            if kr.low < kr.high { format!(" ({} to {})", kr_text(kr.low), kr_text(kr.high)) } else { String::new() };
        let basis = match kr.basis {
            Basis::Measured => "",
            Basis::Model | Basis::Assumed => "an estimate, ",
        };
        format!("{}{range} kR, {basis}", kr_text(kr.value))
    });
    let away = &line.distance_km;
    format!(
        "{}: {kr}{:.0}° up in the {}, {:.0} ({:.0} to {:.0}) km away",
        line.name,
        line.direction.altitude_deg,
        compass_point(line.direction.azimuth_deg),
        away.value,
        away.low,
        away.high
    )
}

fn dot((x, y): (f64, f64), radius: f64, colour: Rgb) -> Element {
    Element::new("circle").at("cx", x).at("cy", y).at("r", radius).with("fill", &colour.to_string())
}

/// The projection.
struct Map {
    camera: GeoPosition,
    /// Where the camera is drawn, px.
    origin: (f64, f64),
    /// Pixels of a kilometre.
    km_px: f64,
    /// Where anything may be drawn, px: from left, top to right, bottom.
    shown: [f64; 4],
    /// Farthest that is shown from the camera, km.
    reach_km: f64,
}

impl Map {
    /// All that matters within the title-safe area, between title and caption.
    fn of(told: &TellMap, sheet: &Sheet) -> Self {
        let ends = told.sightlines.iter().flat_map(|line| line.ground).chain(told.light.iter().map(|l| l.ground));
        let mut bounds = [0.0_f64; 4];
        for [east, north] in ends.map(|end| offset_km(told.camera, [end.longitude_deg(), end.latitude_deg()])) {
            bounds = [bounds[0].min(east), bounds[1].min(north), bounds[2].max(east), bounds[3].max(north)];
        }
        let rim = told.rounded_km.max(LEAST_HALF_KM * MARGIN);
        let bounds = [bounds[0] - rim, bounds[1] - rim, bounds[2] + rim, bounds[3] + rim];
        let top = sheet.safe.top + 4.5 * sheet.caption_px;
        let bottom = sheet.caption_top() - sheet.label_px;
        let [width_px, height_px] = [sheet.safe.width, bottom - top];
        let half = |low: f64, high: f64| (0.5 * (high - low) * (1.0 + 2.0 * MARGIN)).max(LEAST_HALF_KM);
        let half_km = [half(bounds[0], bounds[2]), half(bounds[1], bounds[3])];
        let km_px = (0.5 * width_px / half_km[0]).min(0.5 * height_px / half_km[1]);
        let middle_km = [0.5 * (bounds[0] + bounds[2]), 0.5 * (bounds[1] + bounds[3])];
        let middle_px = (sheet.safe.left + 0.5 * width_px, 0.5 * (top + bottom));
        let origin = (middle_px.0 - km_px * middle_km[0], middle_px.1 + km_px * middle_km[1]);
        let shown = [0.0, 0.0, sheet.size.width, sheet.size.height];
        Self { camera: told.camera, origin, km_px, shown, reach_km: sheet.size.width.hypot(sheet.size.height) / km_px }
    }

    fn of_km(&self, [east, north]: [f64; 2]) -> (f64, f64) {
        (self.origin.0 + self.km_px * east, self.origin.1 - self.km_px * north)
    }

    fn at(&self, place: GeoPosition) -> (f64, f64) {
        self.of_km(offset_km(self.camera, [place.longitude_deg(), place.latitude_deg()]))
    }

    fn coast(&self) -> PathData {
        let mut path = PathData::default();
        let reach_km = self.reach_km.min(SHOWN_KM);
        for line in coasts() {
            let mut piece: Vec<(f64, f64)> = Vec::new();
            for place in line {
                let away = offset_km(self.camera, place);
                if away[0].hypot(away[1]) < reach_km {
                    piece.push(self.of_km(away));
                } else if !piece.is_empty() {
                    path.polyline(piece.drain(..), false);
                }
            }
            path.polyline(piece, false);
        }
        path
    }

    /// Where words may stand, and what they should not cover.
    fn placing(&self, told: &TellMap, sheet: &Sheet) -> Placing {
        let font_px = sheet.label_px;
        let top = sheet.safe.top + 5.5 * sheet.caption_px;
        let within =
            Area { left: sheet.safe.left, top, width: sheet.safe.width, height: sheet.caption_top() - font_px - top };
        let mut placing = Placing::new(within, font_px);
        for light in &told.light {
            placing.mark(self.at(light.ground), LIGHT * font_px, 1.0);
        }
        placing.mark(self.origin, (self.km_px * told.rounded_km).max(font_px), 2.0);
        for line in &told.sightlines {
            let [low, end, high] = line.ground.map(|ground| self.at(ground));
            placing.mark(end, font_px, 2.0);
            for (from, to) in [(self.origin, end), (low, high)] {
                for share in shares((from.0 - to.0).hypot(from.1 - to.1) / font_px) {
                    let at = (from.0 + share * (to.0 - from.0), from.1 + share * (to.1 - from.1));
                    placing.mark(at, 0.5 * font_px, LINE_WEIGHT);
                }
            }
        }
        placing
    }

    /// Circles of distance about the camera, each with its distance.
    fn rings(&self, sheet: &Sheet, placing: &mut Placing) -> Vec<Element> {
        let [left, top, right, bottom] = self.shown;
        let corners = [(left, top), (right, top), (left, bottom), (right, bottom)];
        let away = |(x, y): (f64, f64)| (x - self.origin.0).hypot(y - self.origin.1) / self.km_px;
        let farthest = corners.into_iter().map(away).fold(0.0, f64::max);
        let step = RINGS_KM.into_iter().find(|step| farthest / step <= MOST_RINGS).unwrap_or(RINGS_KM[6]);
        let mut out = Vec::new();
        let mut radius_km = step;
        while radius_km < farthest {
            let turn = |point: u32| std::f64::consts::TAU * f64::from(point) / f64::from(RING_POINTS);
            let mut path = PathData::default();
            path.polyline(
                (0..RING_POINTS)
                    .map(|point| self.of_km([turn(point).sin() * radius_km, turn(point).cos() * radius_km])),
                true,
            );
            let ink = sheet.theme.plot_muted;
            out.push(
                path.element()
                    .with("fill", "none")
                    .with("stroke", &ink.to_string())
                    .with("stroke-opacity", "0.5")
                    .with("stroke-dasharray", &format!("{} {}", 3.0 * sheet.thin_px, 4.0 * sheet.thin_px))
                    .at("stroke-width", sheet.thin_px),
            );
            let words = format!("{radius_km:.0} km");
            if let Some(place) = self.ring_label(sheet, radius_km, &words, placing) {
                out.push(haloed(&words, place, sheet.label_px, Anchor::Middle, ink, sheet.theme.plot));
            }
            radius_km += step;
        }
        out
    }

    /// Where on a ring its label stands: nearest to the south of the camera, for the light is seldom there, and not over the light.
    fn ring_label(&self, sheet: &Sheet, radius_km: f64, words: &str, placing: &mut Placing) -> Option<(f64, f64)> {
        let font_px = sheet.label_px;
        let width = width::most_px(words, font_px);
        let areas = (0..=RING_POINTS / 2)
            .flat_map(|point| [f64::from(point), -f64::from(point)])
            .map(|point| std::f64::consts::PI + std::f64::consts::TAU * point / f64::from(RING_POINTS))
            .map(|turn| self.of_km([turn.sin() * radius_km, turn.cos() * radius_km]))
            .map(|(x, y)| Area { left: x - 0.5 * width, top: y - font_px, width, height: (1.0 + DESCENT) * font_px });
        let area = placing.first(areas)?;
        Some((area.left + 0.5 * area.width, area.top + font_px))
    }

    /// The line, the span of the ground that it may end at, and where it is taken to end.
    fn sightline(&self, line: &MapSightline, sheet: &Sheet) -> Vec<Element> {
        let accent = sheet.theme.plot_accent.to_string();
        let [low, middle, high] = line.ground.map(|ground| self.at(ground));
        vec![
            // straight: the projection is about the camera
            svg::line(self.origin, middle, &accent, 2.0 * sheet.thin_px),
            svg::line(low, high, &accent, 5.0 * sheet.thin_px)
                .with("stroke-linecap", "round")
                .with("stroke-opacity", "0.6"),
            dot(middle, END * sheet.label_px, sheet.theme.plot_accent),
        ]
    }

    /// What each line goes to, beside its end, and over as little as can be; a thin line leads to words that stand farther off.
    fn labels(&self, told: &TellMap, sheet: &Sheet, placing: &mut Placing) -> Vec<Element> {
        let (font_px, theme) = (sheet.label_px, sheet.theme);
        let mut out = Vec::new();
        for line in &told.sightlines {
            let end = self.at(line.ground[1]);
            let words: Vec<String> = line_words(line).split(' ').map(str::to_owned).collect();
            let lines = width::joined(&words, " ", font_px, (LABEL_LETTERS * font_px).min(sheet.safe.width));
            let widest = lines.iter().map(|line| width::most_px(line, font_px)).fold(0.0, f64::max);
            let room = [widest + font_px, LINE * font_px * lines.len() as f64 + 0.5 * font_px];
            let Some(area) = placing.nearest(end, room) else { continue };
            if gap_px(area, end) > font_px {
                out.push(svg::line(nearest_point(area, end), end, &theme.plot_accent.to_string(), sheet.thin_px));
            }
            let ground = svg::rect(area.left, area.top, area.width, area.height, &theme.sky_halo.to_string());
            out.push(ground.at("fill-opacity", 0.7));
            out.extend(lines.iter().enumerate().map(|(row, words)| {
                let base = area.top + LINE * font_px * (row as f64 + 0.95);
                text_at(words, area.left + 0.5 * font_px, base, font_px, Anchor::Start, theme.sky_ink)
            }));
        }
        out
    }
}

/// Even steps from 0 to 1, at least so many.
fn shares(least: f64) -> impl Iterator<Item = f64> {
    #[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "letters along a line; saturates")]
    let steps = (least.ceil() as u32).clamp(1, 1000);
    (0..=steps).map(move |step| f64::from(step) / f64::from(steps))
}

/// Kilometres to the east and to the north of a place, along the great circle.
///
/// Source: the azimuthal equidistant projection, Snyder 1987, *Map Projections: A Working Manual* (USGS Professional Paper 1395), 25-2
/// and 22-4 (from memory).
fn offset_km(from: GeoPosition, [longitude_deg, latitude_deg]: [f64; 2]) -> [f64; 2] {
    let (sin_from, cos_from) = from.latitude_deg().to_radians().sin_cos();
    let (sin_to, cos_to) = latitude_deg.to_radians().sin_cos();
    let (sin_turn, cos_turn) = (longitude_deg - from.longitude_deg()).to_radians().sin_cos();
    let east = cos_to * sin_turn;
    let north = cos_from * sin_to - sin_from * cos_to * cos_turn;
    let along = sin_from * sin_to + cos_from * cos_to * cos_turn;
    let size = east.hypot(north);
    if size < 1e-12 {
        return [0.0; 2];
    }
    let km = EARTH_KM * size.atan2(along);
    [km * east / size, km * north / size]
}

#[cfg(test)]
mod tests {
    use super::*;

    /// A degree of latitude is 111 km; along a parallel it is shorter by the cosine of the latitude.
    #[test]
    fn distances_and_directions_from_the_camera_are_true() {
        /// Kilometres: curvature of the parallel over one degree.
        const NEAR_KM: f64 = 0.6;
        let camera = GeoPosition::new(60.0, 179.5, 0.0).unwrap();
        for (place, east, north) in [
            ([179.5, 61.0], 0.0, 111.2),
            ([-179.5, 60.0], 55.6, 0.0),
            ([178.5, 60.0], -55.6, 0.0),
            ([179.5, 60.0], 0.0, 0.0),
        ] {
            let found = offset_km(camera, place);
            assert!((found[0] - east).abs() < NEAR_KM && (found[1] - north).abs() < NEAR_KM, "{place:?}: {found:?}");
        }
    }
}
