//! Against tables made with general-purpose reference libraries (each table's header names them and its settings).

use jiff::Timestamp;
use quantity::{GeoPosition, Horizontal};

use crate::table::{Misses, Row, rows};

const SUN_MOON: &str = include_str!("../data/sun_moon.csv");
const TWILIGHT: &str = include_str!("../data/twilight.csv");
const STARS: &str = include_str!("../data/stars.csv");

/// Sun, great circle. The series is good to 0.7"; polar motion, left out, adds 0.6"; UT1, known to 0.03 s, 0.5".
const SUN_TOLERANCE_DEG: f64 = 0.0005;
/// Moon, great circle. As the Sun, with 3" for the series.
const MOON_TOLERANCE_DEG: f64 = 0.0013;
/// Distances of the Moon: the series is good to 50 km.
const MOON_DISTANCE_TOLERANCE_KM: f64 = 60.0;
/// Distance of the Sun: 10 millionths of an au in the series.
const SUN_DISTANCE_TOLERANCE_AU: f64 = 1.2e-5;
/// Lit fraction: 3" of phase angle and the rounding of the table.
const LIT_TOLERANCE: f64 = 2e-5;
/// Angles that follow from the places: as the Moon's place, doubled, and near new or full moon the phase angle turns with it.
const PHASE_TOLERANCE_DEG: f64 = 0.002;
/// Radius over distance: 60 km in 360 000, and the rounding of the table.
const SEMIDIAMETER_TOLERANCE_DEG: f64 = 5e-5;

/// Times of a crossing away from grazing, s: the table rounds to 1 s, so do we, UT1 0.05 s, polar motion 0.04 s at 45°; the
/// rest is 3" of the Moon or 0.7" of the Sun crossing at a slant.
const TIME_TOLERANCE_S: f64 = 5.0;
/// Times where the Sun grazes a level: the crossing is nearly level itself.
const GRAZING_TOLERANCE_S: f64 = 60.0;
/// The Sun grazes a level when its lowest or highest point is within this, degrees.
const GRAZING_MARGIN_DEG: f64 = 0.2;
/// Below this margin the crossing may be missing on either side.
const VANISHING_MARGIN_DEG: f64 = 0.05;
/// Extremes of the Sun: as its place, and the table's rounding.
const EXTREME_TOLERANCE_DEG: f64 = 0.0006;
/// Within 10° of the zenith or nadir the Sun turns sharply and the table, which has the turning points of a spline
/// through samples, misses: -88.1758° for -88.2328° in its row of 2015-11-04, worked out directly with the same libraries
/// (ours is -88.2329°).
const SHARP_EXTREME_TOLERANCE_DEG: f64 = 0.1;
/// From here on a turn is sharp, degrees.
const SHARP_FROM_DEG: f64 = 80.0;

fn place(row: &Row, height_m: f64) -> GeoPosition {
    GeoPosition::new(row.number("lat_deg"), row.number("lon_deg"), height_m).unwrap()
}

fn seen(row: &Row) -> sky::SunMoon {
    sky::sun_moon(row.text("utc").parse().unwrap(), place(row, row.number("height_m"))).unwrap()
}

fn direction(row: &Row, altitude: &str, azimuth: &str) -> Horizontal {
    Horizontal::new(row.number(altitude), row.number(azimuth))
}

#[test]
fn sun_stands_where_the_ephemeris_has_it() {
    let (mut direction_miss, mut distance_miss) = (Misses::new("sun place, deg"), Misses::new("sun distance, au"));
    for row in rows(SUN_MOON) {
        let sun = seen(&row).sun;
        direction_miss
            .add(sun.horizontal.separation_deg(direction(&row, "sun_alt_deg", "sun_az_deg")), row.text("utc"));
        distance_miss.add(sun.distance_au - row.number("sun_dist_au"), row.text("utc"));
    }
    direction_miss.assert_below(SUN_TOLERANCE_DEG);
    distance_miss.assert_below(SUN_DISTANCE_TOLERANCE_AU);
}

#[test]
fn moon_stands_where_the_ephemeris_has_it() {
    let mut direction_miss = Misses::new("moon place, deg");
    let mut distance_miss = Misses::new("moon distance, km");
    let mut geocentric_miss = Misses::new("moon geocentric distance, km");
    for row in rows(SUN_MOON) {
        let moon = seen(&row).moon;
        direction_miss
            .add(moon.horizontal.separation_deg(direction(&row, "moon_alt_deg", "moon_az_deg")), row.text("utc"));
        distance_miss.add(moon.distance_km - row.number("moon_dist_km"), row.text("utc"));
        geocentric_miss.add(moon.geocentric_distance_km - row.number("moon_geo_dist_km"), row.text("utc"));
    }
    direction_miss.assert_below(MOON_TOLERANCE_DEG);
    distance_miss.assert_below(MOON_DISTANCE_TOLERANCE_KM);
    geocentric_miss.assert_below(MOON_DISTANCE_TOLERANCE_KM);
}

#[test]
fn moon_is_lit_as_the_ephemeris_has_it() {
    let mut lit_miss = Misses::new("lit fraction");
    let mut phase_miss = Misses::new("phase angle, deg");
    let mut elongation_miss = Misses::new("elongation, deg");
    let mut size_miss = Misses::new("semidiameter, deg");
    for row in rows(SUN_MOON) {
        let moon = seen(&row).moon;
        lit_miss.add(moon.lit_fraction.value() - row.number("illum_topo"), row.text("utc"));
        phase_miss.add(moon.phase_angle_deg - row.number("phase_angle_topo_deg"), row.text("utc"));
        elongation_miss
            .add(quantity::wrap_degrees_180(moon.elongation_deg - row.number("elong_ecl_deg")), row.text("utc"));
        size_miss.add(moon.semidiameter_deg - row.number("moon_semidiam_deg"), row.text("utc"));
        assert_eq!(moon.is_waxing(), row.number("elong_ecl_deg") < 180.0, "{}", row.text("utc"));
    }
    lit_miss.assert_below(LIT_TOLERANCE);
    phase_miss.assert_below(PHASE_TOLERANCE_DEG);
    elongation_miss.assert_below(PHASE_TOLERANCE_DEG);
    size_miss.assert_below(SEMIDIAMETER_TOLERANCE_DEG);
}

fn night(row: &Row) -> sky::Night {
    sky::night(row.text("date").parse().unwrap(), place(row, 0.0)).unwrap()
}

fn label(row: &Row, column: &str) -> String {
    format!("{column} {} {} {}", row.text("date"), row.text("lat_deg"), row.text("lon_deg"))
}

fn time_miss_s(row: &Row, column: &str, ours: Option<Timestamp>) -> Option<f64> {
    match (ours, row.text(column)) {
        (None, "none") => None,
        (Some(ours), theirs) if theirs != "none" => {
            let theirs: Timestamp = theirs.parse().unwrap();
            Some((ours.as_second() - theirs.as_second()) as f64)
        }
        _ => Some(f64::INFINITY),
    }
}

fn sun_times(night: &sky::Night) -> [(&'static str, Option<Timestamp>); 8] {
    [
        ("sunset", night.sunset),
        ("civil_dusk", night.civil_dusk),
        ("nautical_dusk", night.nautical_dusk),
        ("astro_dusk", night.astronomical_dusk),
        ("astro_dawn", night.astronomical_dawn),
        ("nautical_dawn", night.nautical_dawn),
        ("civil_dawn", night.civil_dawn),
        ("sunrise", night.sunrise),
    ]
}

#[test]
fn twilights_fall_when_the_ephemeris_has_them() {
    let (mut clear, mut grazing) = (Misses::new("sun times, s"), Misses::new("grazing sun times, s"));
    for row in rows(TWILIGHT) {
        let night = night(&row);
        assert_eq!(night.window_start, row.text("window_start").parse().unwrap());
        let margin = row.number("graze_margin_deg");
        for (column, ours) in sun_times(&night) {
            let Some(miss) = time_miss_s(&row, column, ours) else { continue };
            if margin < VANISHING_MARGIN_DEG && miss.is_infinite() {
                continue;
            }
            let group = if margin < GRAZING_MARGIN_DEG { &mut grazing } else { &mut clear };
            group.add(miss, label(&row, column));
        }
    }
    clear.assert_below(TIME_TOLERANCE_S);
    grazing.assert_below(GRAZING_TOLERANCE_S);
}

#[test]
fn moon_rises_and_sets_when_the_ephemeris_has_it() {
    let mut misses = Misses::new("moon times, s");
    for row in rows(TWILIGHT) {
        let night = night(&row);
        for (column, ours) in [("moonrise", night.moonrise), ("moonset", night.moonset)] {
            if let Some(miss) = time_miss_s(&row, column, ours) {
                misses.add(miss, label(&row, column));
            }
        }
    }
    misses.assert_below(TIME_TOLERANCE_S);
}

#[test]
fn nights_are_classed_as_the_ephemeris_has_them() {
    let (mut extremes, mut sharp) = (Misses::new("extreme of the sun, deg"), Misses::new("sharp extreme, deg"));
    for row in rows(TWILIGHT) {
        let night = night(&row);
        for (ours, column) in [(night.sun_lowest, "sun_min_alt_deg"), (night.sun_highest, "sun_max_alt_deg")] {
            let group = if ours.altitude_deg.abs() < SHARP_FROM_DEG { &mut extremes } else { &mut sharp };
            group.add(ours.altitude_deg - row.number(column), label(&row, column));
        }
        if row.number("graze_margin_deg") < VANISHING_MARGIN_DEG {
            continue;
        }
        assert_eq!(word(night.sun_state), row.text("sun_state"), "{}", label(&row, ""));
        assert_eq!(word(night.darkest), row.text("darkest"), "{}", label(&row, ""));
        assert_eq!(word(night.moon_state), row.text("moon_state"), "{}", label(&row, ""));
    }
    extremes.assert_below(EXTREME_TOLERANCE_DEG);
    sharp.assert_below(SHARP_EXTREME_TOLERANCE_DEG);
}

/// The name of a class in the table's own spelling.
fn word(class: impl std::fmt::Debug) -> String {
    let mut word = String::new();
    for letter in format!("{class:?}").chars() {
        if letter.is_uppercase() && !word.is_empty() {
            word.push('_');
        }
        word.extend(letter.to_lowercase());
    }
    word
}

/// Stars, great circle: 0.6" of polar motion, 0.03 s of UT1 (0.5") and rounding.
const STAR_TOLERANCE_DEG: f64 = 0.0005;
/// The same formula on both sides: what the places differ by, and the table's rounding.
const SAEMUNDSSON_TOLERANCE_DEG: f64 = 0.0013;
/// Formula against a ray through a model atmosphere, by altitude from which it holds: the formula was made for one
/// atmosphere and only scaled for cold, dense air.
const RAY_TOLERANCES_DEG: [(f64, f64); 3] = [(5.0, 0.005), (2.0, 0.008), (0.0, 0.03)];

fn star_place(row: &Row) -> Horizontal {
    let sky = sky::ObserverSky::new(row.text("utc").parse().unwrap(), place(row, 0.0)).unwrap();
    sky.star(sky::catalogue().star(row.text("hip").parse().unwrap()).unwrap())
}

fn air(row: &Row) -> sky::Air {
    sky::Air { pressure_hpa: row.number("pressure_hpa"), temperature_c: row.number("temp_c") }
}

#[test]
fn stars_stand_where_the_catalogue_and_the_iau_have_them() {
    let mut misses = Misses::new("star place, deg");
    for row in rows(STARS) {
        let miss = star_place(&row).separation_deg(direction(&row, "alt_deg", "az_deg"));
        misses.add(miss, format!("HIP {} {}", row.text("hip"), row.text("utc")));
    }
    misses.assert_below(STAR_TOLERANCE_DEG);
}

#[test]
fn refracted_sun_moon_and_stars_match_the_same_formula() {
    let mut misses = Misses::new("Saemundsson, deg");
    for row in rows(SUN_MOON) {
        for body in ["sun", "moon"] {
            let Some(theirs) = row.maybe(&format!("{body}_alt_refr_saem_deg")) else { continue };
            let ours = air(&row).apparent_altitude_deg(row.number(&format!("{body}_alt_deg")));
            misses.add(ours - theirs, format!("{body} {}", row.text("utc")));
        }
    }
    for row in rows(STARS) {
        let Some(theirs) = row.maybe("alt_saem_deg") else { continue };
        misses.add(air(&row).apparent(star_place(&row)).altitude_deg - theirs, row.text("utc"));
    }
    misses.assert_below(SAEMUNDSSON_TOLERANCE_DEG);
}

#[test]
fn refraction_follows_a_ray_through_the_air() {
    let mut misses = RAY_TOLERANCES_DEG.map(|_| Misses::new("against the ray, deg"));
    for row in rows(STARS) {
        let (Some(theirs), airless) = (row.maybe("alt_ray_deg"), row.number("alt_deg")) else { continue };
        let Some(band) = RAY_TOLERANCES_DEG.iter().position(|(from_deg, _)| airless > *from_deg) else { continue };
        misses[band].add(air(&row).apparent_altitude_deg(airless) - theirs, row.text("utc"));
    }
    for (band, (_, tolerance)) in misses.into_iter().zip(RAY_TOLERANCES_DEG) {
        band.assert_below(tolerance);
    }
}
