//! The sites and their lines of sight, GeoJSON (RFC 7946).

use job::{BrightestPatch, OutlookReport, ground_track};
use quantity::GeoPosition;
use serde::Serialize;

use super::instant::utc_text;
use super::place::{Place, advice, places};
use super::plain_text::one_line;

/// Decimals of a coordinate: 0.1 m.
const COORDINATE_DECIMALS: i32 = 6;

#[derive(Serialize)]
struct Feature {
    #[serde(rename = "type")]
    kind: &'static str,
    geometry: Geometry,
    properties: Properties,
}

/// Longitude, latitude.
type Position = [f64; 2];

#[derive(Serialize)]
#[serde(tag = "type", content = "coordinates")]
enum Geometry {
    Point(Position),
    LineString(Vec<Position>),
    MultiLineString(Vec<Vec<Position>>),
}

#[derive(Serialize)]
#[serde(untagged)]
enum Properties {
    Site(Box<SiteProperties>),
    Sightline(SightlineProperties),
}

/// What is known of a site: absent values are null.
#[derive(Serialize)]
struct SiteProperties {
    what: &'static str,
    name: String,
    night: String,
    asked_at_utc: String,
    rank: Option<usize>,
    sites_compared: Option<usize>,
    advice: &'static str,
    reason: String,
    worth_fraction: Option<f64>,
    eye_sees_fraction: Option<f64>,
    eye_sees_colour_fraction: Option<f64>,
    camera_records_fraction: Option<f64>,
    window_from_utc: Option<String>,
    window_to_utc: Option<String>,
    best_at_utc: Option<String>,
    drive_minutes: Option<f64>,
    height_m: f64,
    time_zone: String,
}

#[derive(Serialize)]
struct SightlineProperties {
    what: &'static str,
    site: String,
    rank: Option<usize>,
    at_utc: String,
    azimuth_deg: f64,
    altitude_deg: f64,
    emission_height_km: f64,
    ground_distance_km: f64,
    slant_km: f64,
    brightest_arc_5577_kr: f64,
    brightest_arc_5577_low_kr: f64,
    brightest_arc_5577_high_kr: f64,
    looks_like: String,
    clear_sightline_fraction: Option<f64>,
}

/// The sites of an outlook as points, and from each the line of sight to the brightest aurora of its best moment as a line over the
/// ground, to under where it meets 110 km.
///
/// Longitude before latitude, WGS-84. A line that crosses 180 degrees of longitude is cut there into a `MultiLineString`. Names of
/// properties carry their units; what is not known is null.
///
/// # Source
///
/// RFC 7946 (2016): 3.1.1 order of coordinates, 3.1.9 the antimeridian.
pub fn geojson(report: &OutlookReport) -> String {
    let all = places(report);
    let features = all.iter().flat_map(|place| [Some(point(place, report)), sightline(place)]).flatten();
    // one feature a line; numbers and strings in plain structs: nothing in them can fail to be written
    let lines: Vec<String> = features.filter_map(|feature| serde_json::to_string(&feature).ok()).collect();
    format!("{{\"type\":\"FeatureCollection\",\"features\":[\n{}\n]}}\n", lines.join(",\n"))
}

fn point(place: &Place<'_>, report: &OutlookReport) -> Feature {
    let site = place.site;
    let chance = |of: fn(&job::Chances) -> quantity::Fraction| {
        place.chances.as_ref().map(|chances| rounded(of(chances).value(), 3))
    };
    let properties = SiteProperties {
        what: "site",
        name: one_line(&site.name),
        night: report.request.night.to_string(),
        asked_at_utc: utc_text(report.request.asked_at),
        rank: place.rank.map(|(rank, _)| rank),
        sites_compared: place.rank.map(|(_, of)| of),
        advice: advice(place.recommendation),
        reason: one_line(place.reason),
        worth_fraction: place.worth.map(|worth| rounded(worth, 3)),
        eye_sees_fraction: chance(|chances| chances.eye_sees),
        eye_sees_colour_fraction: chance(|chances| chances.eye_sees_colour),
        camera_records_fraction: chance(|chances| chances.camera_records),
        window_from_utc: place.window.map(|window| utc_text(window.from)),
        window_to_utc: place.window.map(|window| utc_text(window.to)),
        best_at_utc: place.best.map(|step| utc_text(step.at)),
        drive_minutes: site.drive_minutes,
        height_m: rounded(site.position.height_m(), 1),
        time_zone: one_line(&site.time_zone),
    };
    feature(Geometry::Point(coordinates(site.position)), Properties::Site(Box::new(properties)))
}

fn sightline(place: &Place<'_>) -> Option<Feature> {
    let step = place.best?;
    let BrightestPatch { direction, brightest_arc_kr: arc, looks_like, .. } = step.brightest.as_ref()?;
    let track = ground_track(place.site.position, *direction)?;
    let properties = SightlineProperties {
        what: "line of sight to the brightest aurora",
        site: one_line(&place.site.name),
        rank: place.rank.map(|(rank, _)| rank),
        at_utc: utc_text(step.at),
        azimuth_deg: rounded(direction.azimuth_deg, 1),
        altitude_deg: rounded(direction.altitude_deg, 1),
        emission_height_km: track.emission_height_km,
        ground_distance_km: rounded(track.ground_distance_km, 1),
        slant_km: rounded(track.slant_km, 1),
        brightest_arc_5577_kr: rounded(arc.value, 3),
        brightest_arc_5577_low_kr: rounded(arc.low, 3),
        brightest_arc_5577_high_kr: rounded(arc.high, 3),
        looks_like: looks_like.clone(),
        clear_sightline_fraction: step.clear_sightline.map(|clear| rounded(clear.value(), 3)),
    };
    Some(feature(line(&track.points), Properties::Sightline(properties)))
}

fn feature(geometry: Geometry, properties: Properties) -> Feature {
    Feature { kind: "Feature", geometry, properties }
}

/// A line through points, cut where it crosses 180 degrees of longitude.
fn line(points: &[GeoPosition]) -> Geometry {
    let mut parts: Vec<Vec<Position>> = vec![Vec::new()];
    let mut before: Option<Position> = None;
    for point in points {
        let here = coordinates(*point);
        if let Some(last) = before.filter(|last| (here[0] - last[0]).abs() > 180.0) {
            let side = 180.0f64.copysign(last[0]);
            // longitude of the next point as seen from this side of the cut
            let beyond = here[0] + 2.0 * side;
            let share = if (beyond - last[0]).abs() > 0.0 { (side - last[0]) / (beyond - last[0]) } else { 0.0 };
            let latitude = rounded(last[1] + share * (here[1] - last[1]), COORDINATE_DECIMALS);
            push(&mut parts, [side, latitude]);
            parts.push(vec![[-side, latitude]]);
        }
        push(&mut parts, here);
        before = Some(here);
    }
    parts.retain(|part| part.len() > 1);
    match parts.len() {
        1 => Geometry::LineString(parts.remove(0)),
        _ => Geometry::MultiLineString(parts),
    }
}

/// Adds a position unless the part ends there already: a cut may fall on a point.
fn push(parts: &mut [Vec<Position>], position: Position) {
    if let Some(part) = parts.last_mut().filter(|part| part.last() != Some(&position)) {
        part.push(position);
    }
}

fn coordinates(position: GeoPosition) -> Position {
    [position.longitude_deg(), position.latitude_deg()].map(|angle_deg| rounded(angle_deg, COORDINATE_DECIMALS))
}

fn rounded(value: f64, decimals: i32) -> f64 {
    let unit = 10f64.powi(decimals);
    // adding 0 takes the sign off a negative zero
    (value * unit).round() / unit + 0.0
}

#[cfg(test)]
mod tests {
    use super::*;

    fn through(points: &[(f64, f64)]) -> Geometry {
        line(&points.iter().map(|&(lat, lon)| GeoPosition::new(lat, lon, 0.0).unwrap()).collect::<Vec<_>>())
    }

    #[test]
    fn a_line_over_180_degrees_is_cut_there() {
        let Geometry::MultiLineString(parts) = through(&[(70.0, 179.0), (71.0, -179.0), (71.5, -178.0)]) else {
            panic!("a line in two parts");
        };
        assert_eq!(parts, [vec![[179.0, 70.0], [180.0, 70.5]], vec![[-180.0, 70.5], [-179.0, 71.0], [-178.0, 71.5]]]);
        let Geometry::MultiLineString(west) = through(&[(70.0, -179.5), (71.0, 179.5)]) else {
            panic!("a line in two parts");
        };
        assert_eq!(west, [vec![[-179.5, 70.0], [-180.0, 70.5]], vec![[180.0, 70.5], [179.5, 71.0]]]);
    }

    #[test]
    fn a_line_from_180_degrees_itself_is_whole() {
        let Geometry::LineString(points) = through(&[(60.0, 180.0), (61.0, -179.0)]) else { panic!("one line") };
        assert_eq!(points, [[-180.0, 60.0], [-179.0, 61.0]]);
        assert!(matches!(through(&[(60.0, 10.0), (61.0, 10.0)]), Geometry::LineString(points) if points.len() == 2));
    }
}
