//! `quietarc almanac`

use job::AlmanacRequest;
use quantity::{GeoPosition, Timestamp};
use sky::Air;

use super::{now, request_from, required};
use crate::batch::{self, Row, Work};
use crate::cli::AlmanacArgs;
use crate::failure::{Failure, Outcome};
use crate::{output, present};

pub(super) fn run(arguments: &AlmanacArgs) -> Result<Outcome, Failure> {
    if let Some(file) = &arguments.batch {
        return match (arguments.night, arguments.stars) {
            (true, _) => batch::run(file, &mut Nights),
            (false, true) => batch::run(file, &mut Stars),
            (false, false) => batch::run(file, &mut Positions),
        };
    }
    let report = job::almanac(request(arguments)?)?;
    if arguments.json {
        output::json(&report)?;
    } else {
        output::answer(&present::almanac(&report))?;
    }
    Ok(Outcome::Done)
}

fn request(arguments: &AlmanacArgs) -> Result<AlmanacRequest, Failure> {
    if let Some(path) = &arguments.request {
        return request_from(path);
    }
    let place = &arguments.place;
    Ok(AlmanacRequest {
        at: arguments.at.unwrap_or_else(now),
        position: GeoPosition::new(required(place.lat, "--lat")?, required(place.lon, "--lon")?, place.elev)?,
    })
}

/// Positions of sun and moon.
struct Positions;

impl Work for Positions {
    const INPUT: &'static str = "utc,lat_deg,lon_deg,elev_m";
    const OUTPUT: &'static str = "utc,lat_deg,lon_deg,sun_alt_deg,sun_az_deg,sun_apparent_alt_deg,moon_alt_deg,moon_az_deg,moon_apparent_alt_deg,moon_lit_fraction,moon_distance_km";

    fn answer(&mut self, rows: &[Row]) -> Vec<Result<String, Failure>> {
        rows.iter().map(position).collect()
    }
}

fn position(row: &Row) -> Result<String, Failure> {
    let bodies = sky::sun_moon(row.instant(0)?, row.position(1, Some(3))?)?;
    let (sun, moon) = (bodies.sun.horizontal, bodies.moon.horizontal);
    let air = Air::default();
    Ok(format!(
        "{},{},{},{:.5},{:.5},{:.5},{:.5},{:.5},{:.5},{:.5},{:.1}",
        row.text(0),
        row.text(1),
        row.text(2),
        sun.altitude_deg,
        sun.azimuth_deg,
        air.apparent_altitude_deg(sun.altitude_deg),
        moon.altitude_deg,
        moon.azimuth_deg,
        air.apparent_altitude_deg(moon.altitude_deg),
        bodies.moon.lit_fraction.value(),
        bodies.moon.distance_km
    ))
}

/// Times of nights.
struct Nights;

impl Work for Nights {
    const INPUT: &'static str = "date,lat_deg,lon_deg";
    const OUTPUT: &'static str = "date,lat_deg,lon_deg,sunset,sunrise,civil_dusk,civil_dawn,nautical_dusk,nautical_dawn,astronomical_dusk,astronomical_dawn,moonrise,moonset";

    fn answer(&mut self, rows: &[Row]) -> Vec<Result<String, Failure>> {
        rows.iter().map(night).collect()
    }
}

fn night(row: &Row) -> Result<String, Failure> {
    let date = row
        .text(0)
        .parse()
        .map_err(|_cause| Failure::new(format!("date {:?} is no date", row.text(0)), "give a date as 2026-03-15"))?;
    let night = sky::night(date, row.position(1, None)?)?;
    let times = [
        night.sunset,
        night.sunrise,
        night.civil_dusk,
        night.civil_dawn,
        night.nautical_dusk,
        night.nautical_dawn,
        night.astronomical_dusk,
        night.astronomical_dawn,
        night.moonrise,
        night.moonset,
    ];
    let times = times.map(|at: Option<Timestamp>| at.map_or_else(|| "none".to_owned(), |at| at.to_string()));
    Ok(format!("{},{},{},{}", row.text(0), row.text(1), row.text(2), times.join(",")))
}

/// Places of stars.
struct Stars;

impl Work for Stars {
    const INPUT: &'static str = "hip,utc,lat_deg,lon_deg,elev_m";
    const OUTPUT: &'static str = "hip,utc,lat_deg,lon_deg,alt_deg,az_deg";

    fn answer(&mut self, rows: &[Row]) -> Vec<Result<String, Failure>> {
        rows.iter().map(star).collect()
    }
}

fn star(row: &Row) -> Result<String, Failure> {
    let hip: u32 = row.text(0).parse().map_err(|_cause| {
        Failure::new(format!("hip {:?} is no Hipparcos number", row.text(0)), "give a whole number")
    })?;
    let star = sky::catalogue().star(hip).ok_or_else(|| {
        Failure::new(
            format!("star HIP {hip} is not in the table"),
            "the table holds stars brighter than Hp 7.1 and those that move more than 0.2 arcsec a year",
        )
    })?;
    let place = sky::ObserverSky::new(row.instant(1)?, row.position(2, Some(4))?)?.star(star);
    Ok(format!(
        "{hip},{},{},{},{:.5},{:.5}",
        row.text(1),
        row.text(2),
        row.text(3),
        place.altitude_deg,
        place.azimuth_deg
    ))
}
