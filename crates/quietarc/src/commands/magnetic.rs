//! `quietarc magnetic`

use geomag::{ApexExpansion, DatedAnswer, DatedPoint, FieldModel, GeomagError, MagneticClock};
use jiff::Timestamp;
use job::{CoordinateMethod, MagneticRequest};
use quantity::GeoPosition;

use super::{now, request_from, required};
use crate::batch::{self, Row, Work};
use crate::cli::MagneticArgs;
use crate::failure::{Failure, Outcome};
use crate::{output, present};

pub(super) fn run(arguments: &MagneticArgs) -> Result<Outcome, Failure> {
    if let Some(file) = &arguments.batch {
        return batch::run(file, &mut Points { method: method(arguments) });
    }
    let report = job::magnetic(request(arguments)?)?;
    if arguments.json {
        output::json(&report)?;
    } else {
        output::answer(&present::magnetic(&report))?;
    }
    Ok(Outcome::Done)
}

fn request(arguments: &MagneticArgs) -> Result<MagneticRequest, Failure> {
    if let Some(path) = &arguments.request {
        return request_from(path);
    }
    Ok(MagneticRequest {
        at: arguments.date.as_deref().map_or_else(|| Ok(now()), instant)?,
        position: GeoPosition::new(required(arguments.lat, "--lat")?, required(arguments.lon, "--lon")?, 0.0)?,
        height_km: arguments.height_km,
        method: method(arguments),
    })
}

/// A date or an instant.
fn instant(text: &str) -> Result<Timestamp, Failure> {
    text.parse().or_else(|_| format!("{text}T00:00:00Z").parse()).map_err(|_cause| {
        Failure::new(format!("--date {text:?} is no date"), "give 2026-03-14, or UTC as 2026-03-14T22:00:00Z")
    })
}

fn method(arguments: &MagneticArgs) -> CoordinateMethod {
    if arguments.traced { CoordinateMethod::Traced } else { CoordinateMethod::Fitted }
}

/// The batch of places and times.
struct Points {
    method: CoordinateMethod,
}

impl Work for Points {
    const INPUT: &'static str = "lat_deg,lon_deg,height_km,utc";
    const OUTPUT: &'static str = "lat_deg,lon_deg,height_km,utc,north_nt,east_nt,down_nt,declination_deg,inclination_deg,qd_lat_deg,qd_lon_deg,apex_lat_deg,apex_lon_deg,mlt_h,zenith_alt_deg,zenith_az_deg";

    fn answer(&mut self, rows: &[Row]) -> Vec<Result<String, Failure>> {
        let points: Vec<Result<DatedPoint, Failure>> = rows.iter().map(point).collect();
        let places: Vec<DatedPoint> = points.iter().flatten().copied().collect();
        let mut answers = match self.method {
            CoordinateMethod::Fitted => places.iter().map(fitted).collect(),
            // many rows close together share a grid of traced lines
            CoordinateMethod::Traced => geomag::answers_of_dated(&places),
        }
        .into_iter();
        points
            .into_iter()
            .zip(rows)
            .map(|(point, row)| {
                point?;
                answers.next().map_or_else(
                    || Err(Failure::new("a row was lost", "report this as a bug")),
                    |answer| Ok(line(row, &answer?)),
                )
            })
            .collect()
    }
}

fn point(row: &Row) -> Result<DatedPoint, Failure> {
    let position = row.position(0, None)?;
    Ok(DatedPoint {
        instant: row.instant(3)?,
        latitude_deg: position.latitude_deg(),
        longitude_deg: position.longitude_deg(),
        height_km: row.number(2, "height_km")?,
    })
}

fn fitted(point: &DatedPoint) -> Result<DatedAnswer, GeomagError> {
    let model = FieldModel::at(point.instant)?;
    let coordinates =
        ApexExpansion::at(point.instant)?.coordinates(point.latitude_deg, point.longitude_deg, point.height_km)?;
    Ok(DatedAnswer {
        field: model.field(point.latitude_deg, point.longitude_deg, point.height_km),
        coordinates,
        mlt_h: MagneticClock::new(&model, point.instant).mlt_h(coordinates.qd_lon_deg),
    })
}

fn line(row: &Row, answer: &DatedAnswer) -> String {
    let DatedAnswer { field, coordinates: place, mlt_h } = answer;
    let zenith = geomag::magnetic_zenith(field);
    let apex_lat = place.apex_lat_deg.map_or_else(String::new, |latitude| format!("{latitude:.4}"));
    format!(
        "{},{},{},{},{:.2},{:.2},{:.2},{:.5},{:.5},{:.4},{:.4},{apex_lat},{:.4},{mlt_h:.4},{:.5},{:.5}",
        row.text(0),
        row.text(1),
        row.text(2),
        row.text(3),
        field.north_nt,
        field.east_nt,
        field.down_nt,
        field.declination_deg(),
        field.inclination_deg(),
        place.qd_lat_deg,
        place.qd_lon_deg,
        place.apex_lon_deg,
        zenith.altitude_deg,
        zenith.azimuth_deg
    )
}
