//! A map with lines of sight: where the light stood that was seen, or that was foretold.

use geomag::{Sightline, ground_distance_km};
use quantity::{Basis, Estimate, GeoPosition, Horizontal, Timestamp};

use super::{TellSheetRequest, lit, moment};
use crate::tell::still::PlacePrecision;
use crate::{
    JobError, OutlookReport, ReadBeam, ReadBorder, ReadColumn, ReadKeogram, ReadReport, best_step, read_beside,
};

/// Heights at the ends and in the middle of what green light stands at, km: an arc's lower border is seldom under 90 or over 150.
const HEIGHTS_KM: [f64; 3] = [90.0, 110.0, 150.0];
/// Altitude from which light is put on the map, degrees: below, a small error is some hundred km.
const LEAST_ALTITUDE_DEG: f64 = 5.0;
/// How far a rounded place may be from the true one, km along the meridian: half a degree, half a tenth.
const ROUNDED_KM: [f64; 2] = [55.6, 5.6];

/// A line of sight over the ground.
#[derive(Debug, Clone, PartialEq)]
pub struct MapSightline {
    /// What it goes to, in a few words.
    pub name: String,
    /// Which way it looks, from the camera.
    pub direction: Horizontal,
    /// The ground under the light where it is low, as assumed and high.
    pub ground: [GeoPosition; 3],
    /// Distance on the ground to it, km.
    pub distance_km: Estimate,
    /// Green light, kR of 557.7 nm, where it is known.
    pub kr: Option<Estimate>,
}

/// Light that was seen, on the ground under it.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct MapLight {
    /// Where.
    pub ground: GeoPosition,
    /// How bright: kR of 557.7 nm where the reading is calibrated; else 0 to 1 from the darkest to the brightest of the moment.
    pub value: f64,
}

/// A map to be put on air.
#[derive(Debug, Clone, PartialEq)]
pub struct TellMap {
    /// What it is, in a few words.
    pub title: String,
    /// Facts of the caption, the most important first.
    pub caption: Vec<String>,
    /// Where the camera stood, rounded as asked; all else on the map is shifted with it.
    pub camera: GeoPosition,
    /// How far the camera may be from there for the rounding, km.
    pub rounded_km: f64,
    /// The lines of sight, the most important first.
    pub sightlines: Vec<MapSightline>,
    /// The light along the line that was read.
    pub light: Vec<MapLight>,
    /// Whether `light` is in kR.
    pub is_kilorayleighs: bool,
    /// What it rests on.
    pub basis: String,
}

/// Rounds a place.
///
/// # Errors
///
/// No coordinates are to be told: a map without them there is none.
fn rounded(place: GeoPosition, precision: PlacePrecision) -> Result<(GeoPosition, f64), JobError> {
    let (steps, rounded_km) = match precision {
        PlacePrecision::Hidden => {
            return Err(JobError::bad(
                "place_precision",
                "a map shows where the camera stood, and no coordinates are to be told",
                "say how exactly: degree (some 100 km) or tenth (some 10 km)",
            ));
        }
        PlacePrecision::Degree => (1.0, ROUNDED_KM[0]),
        PlacePrecision::Tenth => (10.0, ROUNDED_KM[1]),
    };
    let round = |degrees: f64| (degrees * steps).round() / steps;
    let coarse = GeoPosition::new(round(place.latitude_deg()), round(place.longitude_deg()), 0.0);
    coarse
        .map(|place| (place, rounded_km))
        .map_err(|error| JobError::bad("place", error.to_string(), "give the site's true position"))
}

/// The map of what a reading saw: at the moment asked for, else when the line was brightest while a form was seen.
///
/// The camera is rounded first, and every line of sight starts from there: distances and directions stay true, and the true place
/// cannot be taken from the map.
///
/// # Errors
///
/// A reading without keogram or place; a precision that hides the place; what [`TellSheetRequest::check`] refuses.
pub fn reading_map(report: &ReadReport, request: &TellSheetRequest) -> Result<TellMap, JobError> {
    request.check()?;
    let keogram = lit(report)?;
    let place = report.request.position.ok_or_else(|| {
        JobError::bad("reading", "this reading does not know where the camera stood", "read again with --site")
    })?;
    let (camera, rounded_km) = rounded(place, request.place_precision)?;
    let column = chosen(report, keogram, request.at)?;
    let mut coarse = report.clone();
    coarse.request.position = Some(camera);
    let beside = read_beside(&coarse);
    let seen: Vec<(&ReadBeam, f64)> = beside
        .beams
        .iter()
        .zip(&column.values)
        .filter(|(beam, _)| beam.direction.altitude_deg >= LEAST_ALTITUDE_DEG && beam.ground.is_some())
        .filter_map(|(beam, value)| Some((beam, f64::from((*value)?))))
        .collect();
    let brightest = seen.iter().max_by(|a, b| a.1.total_cmp(&b.1)).ok_or_else(no_light)?;
    let kr = |value: f64| report.scaled_kr(value);
    let mut sightlines = Vec::new();
    let line = |name: &str, beam: &ReadBeam, kr| {
        let (ground, distance_km) = (beam.ground?, beam.distance_km?);
        Some(MapSightline { name: name.to_owned(), direction: beam.direction, ground, distance_km, kr })
    };
    let is_kilorayleighs = keogram.is_kilorayleighs;
    sightlines.extend(line("brightest", brightest.0, is_kilorayleighs.then(|| kr(brightest.1))));
    let border = report.keogram.iter().flat_map(|keogram| &keogram.borders).find(|border| border.at == column.at);
    sightlines.extend(edges(keogram, &beside.beams, border).into_iter().filter_map(|beam| line("edge", beam, None)));
    let zone = request.zone()?;
    Ok(TellMap {
        title: "Where the light stood".to_owned(),
        caption: request.caption(moment(column.at, &zone), Some(camera)),
        camera,
        rounded_km,
        light: light(&seen, is_kilorayleighs),
        is_kilorayleighs,
        sightlines,
        basis: format!("{}; {}", report.scale_words(), beside.beams_basis),
    })
}

fn no_light() -> JobError {
    JobError::bad("at", "no light above the horizon was seen at that moment", "ask for another moment")
}

/// The column of a moment.
fn chosen<'a>(
    report: &ReadReport,
    keogram: &'a ReadKeogram,
    at: Option<Timestamp>,
) -> Result<&'a ReadColumn, JobError> {
    let lit = || keogram.columns.iter().filter(|column| column.values.iter().any(Option::is_some));
    if let Some(at) = at {
        let apart = |column: &&ReadColumn| column.at.duration_since(at).as_secs_f64().abs();
        let nearest = lit().min_by(|a, b| apart(a).total_cmp(&apart(b)));
        return nearest.filter(|column| apart(column) <= keogram.column_s).ok_or_else(|| {
            JobError::bad("at", format!("no frame was read at {at}"), "ask for a moment within the frames")
        });
    }
    // a lamp or the moon may outshine the aurora: moments at which a form was told come first
    let has_form = |column: &&ReadColumn| {
        report
            .forms
            .iter()
            .filter(|form| form.name.is_some())
            .any(|form| matches!((form.from, form.to), (Some(from), Some(to)) if (from..=to).contains(&column.at)))
    };
    let peak = |column: &&ReadColumn| column.values.iter().flatten().copied().fold(f32::NEG_INFINITY, f32::max);
    let brightest = |a: &&ReadColumn, b: &&ReadColumn| peak(a).total_cmp(&peak(b));
    lit().filter(has_form).max_by(brightest).or_else(|| lit().max_by(brightest)).ok_or_else(no_light)
}

/// Beams at the edges of the lit sky that the line shows.
fn edges<'a>(keogram: &ReadKeogram, beams: &'a [ReadBeam], border: Option<&ReadBorder>) -> Vec<&'a ReadBeam> {
    let Some(border) = border else { return Vec::new() };
    let closed = border.zenith_angle_deg.into_iter().zip(border.open).filter(|(_, open)| !open);
    closed
        .filter_map(|(angle_deg, _)| {
            let apart = |place: usize| (keogram.bins[place].zenith_angle_deg - angle_deg).abs();
            let nearest = (0..keogram.bins.len()).min_by(|a, b| apart(*a).total_cmp(&apart(*b)))?;
            beams.get(nearest).filter(|beam| beam.direction.altitude_deg >= LEAST_ALTITUDE_DEG)
        })
        .collect()
}

fn light(seen: &[(&ReadBeam, f64)], is_kilorayleighs: bool) -> Vec<MapLight> {
    let (low, high) = seen
        .iter()
        .fold((f64::INFINITY, f64::NEG_INFINITY), |(low, high), (_, value)| (low.min(*value), high.max(*value)));
    let scaled = |value: f64| {
        if is_kilorayleighs {
            value
        } else if high > low {
            (value - low) / (high - low)
        } else {
            0.0
        }
    };
    seen.iter().filter_map(|(beam, value)| Some(MapLight { ground: beam.ground?[1], value: scaled(*value) })).collect()
}

/// The map of what an outlook foretold for its best moment.
///
/// # Errors
///
/// An outlook that names no brightest patch; a precision that hides the place; what [`TellSheetRequest::check`] refuses.
pub fn outlook_map(outlook: &OutlookReport, request: &TellSheetRequest) -> Result<TellMap, JobError> {
    request.check()?;
    let (camera, rounded_km) = rounded(outlook.request.site.position, request.place_precision)?;
    let step = match request.at {
        Some(at) => outlook.steps.iter().min_by_key(|step| step.at.duration_since(at).abs()),
        None => best_step(&outlook.steps).and_then(|place| outlook.steps.get(place)),
    };
    let nothing = || JobError::bad("outlook", "this outlook names no brightest aurora", "ask for another moment");
    let step = step.ok_or_else(nothing)?;
    let patch = step.brightest.as_ref().ok_or_else(nothing)?;
    let sightline = foretold(camera, patch.direction, patch.brightest_arc_kr).ok_or_else(nothing)?;
    let zone = request.zone()?;
    Ok(TellMap {
        title: "Where the brightest aurora was expected".to_owned(),
        caption: request.caption(moment(step.at, &zone), Some(camera)),
        camera,
        rounded_km,
        sightlines: vec![sightline],
        light: Vec::new(),
        is_kilorayleighs: true,
        basis: "the outlook's model; light taken to be at 110 km, 90 to 150 at its ends".to_owned(),
    })
}

fn foretold(camera: GeoPosition, direction: Horizontal, kr: Estimate) -> Option<MapSightline> {
    let airless_deg = sky::Air::default().airless_altitude_deg(direction.altitude_deg);
    let line = Sightline::new(camera, Horizontal::new(airless_deg, direction.azimuth_deg));
    let ground = |height_km: f64| {
        let point = line.at_height_km(height_km)?;
        GeoPosition::new(point.latitude_deg, point.longitude_deg, 0.0).ok()
    };
    let [low, middle, high] = HEIGHTS_KM.map(ground);
    let ground = [low?, middle?, high?];
    let [low, value, high] = ground.map(|end| ground_distance_km(camera, end));
    let distance_km = Estimate { value, low, high, basis: Basis::Model };
    Some(MapSightline { name: "expected".to_owned(), direction, ground, distance_km, kr: Some(kr) })
}
