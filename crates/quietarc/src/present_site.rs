//! Sites as text for a terminal.

use std::fmt::Write;

use job::{ForegroundObject, Site, SkyQuality};
use quantity::{GeoPosition, wrap_degrees_360};

/// Appends a line; writing to a String cannot fail.
macro_rules! line {
    ($out:expr, $($argument:tt)*) => {
        let _written = writeln!($out, $($argument)*);
    };
}

/// Width of the small profile, characters: five degrees each.
const PROFILE_COLUMNS: u32 = 72;
/// Height of the small profile, rows above the level.
const PROFILE_ROWS: u32 = 6;
/// Altitude shown at least, degrees.
const LEAST_TOP_DEG: f64 = 6.0;

/// One line a site.
pub(crate) fn sites(sites: &[Site]) -> String {
    let width = widest(sites.iter().map(|site| site.name.as_str()));
    let mut out = String::new();
    for site in sites {
        let drive = site.drive_minutes.map_or_else(String::new, |minutes| format!(", {minutes:.0} min on the road"));
        line!(out, "{}  {}, {}{drive}", padded(&site.name, width), place(site.position), sky(site.sky_quality));
    }
    out
}

/// Everything of a site that `stand` and `outlook` use.
pub(crate) fn site(site: &Site) -> String {
    let mut out = String::new();
    line!(out, "{}", site.name);
    line!(out, "  place       {}, {:.0} m above the sea", place(site.position), site.position.height_m());
    line!(out, "  times in    {}", site.time_zone);
    line!(out, "  sky         {}{}", sky(site.sky_quality), if site.snow_cover { "; snow on the ground" } else { "" });
    if let Some(minutes) = site.drive_minutes {
        line!(out, "  drive       {minutes:.0} min");
    }
    for (index, note) in site.notes.lines().enumerate() {
        line!(out, "  {:11} {note}", if index == 0 { "notes" } else { "" });
    }
    for water in &site.water {
        let (from, to) = (wrap_degrees_360(water.from_deg), wrap_degrees_360(water.to_deg));
        line!(out, "  water       {from:.0} to {to:.0} deg{}", if water.sheltered { ", sheltered" } else { "" });
    }
    for object in &site.foreground {
        line!(
            out,
            "  foreground  {}: bearing {:.0} deg, {:.0} m away, {:.1} deg high, {:.1} deg wide",
            object.name,
            wrap_degrees_360(object.bearing_deg),
            object.distance_m,
            top_deg(object),
            2.0 * half_width_deg(object)
        );
    }
    if site.horizon.is_empty() {
        line!(out, "  skyline     flat: none is given");
    } else {
        let corners: Vec<String> =
            site.horizon.iter().map(|corner| format!("{:.0}:{:.1}", corner.azimuth_deg, corner.altitude_deg)).collect();
        line!(out, "  skyline     {}", corners.join(", "));
    }
    profile(&mut out, site);
    out
}

/// The skyline in characters: `#` ground, `~` water below the level, `|` objects; the nearer pole's bearing in the middle.
fn profile(out: &mut String, site: &Site) {
    let middle_deg = if site.position.latitude_deg() < 0.0 { 180.0 } else { 0.0 };
    let width_deg = 360.0 / f64::from(PROFILE_COLUMNS);
    let azimuths: Vec<f64> = (0..PROFILE_COLUMNS)
        .map(|column| wrap_degrees_360(middle_deg - 180.0 + (f64::from(column) + 0.5) * width_deg))
        .collect();
    let highest = site.horizon.iter().map(|corner| corner.altitude_deg).chain(site.foreground.iter().map(top_deg));
    let top = highest.fold(LEAST_TOP_DEG, f64::max);
    line!(out, "");
    for row in (0..PROFILE_ROWS).rev() {
        let altitude = (f64::from(row) + 0.5) / f64::from(PROFILE_ROWS) * top;
        let drawn: String = azimuths.iter().map(|&azimuth| mark(site, azimuth, altitude, width_deg)).collect();
        let upper = f64::from(row + 1) / f64::from(PROFILE_ROWS) * top;
        line!(out, "{upper:5.1} {}", drawn.trim_end());
    }
    let water: String = azimuths.iter().map(|&azimuth| if has_water(site, azimuth) { '~' } else { '-' }).collect();
    line!(out, "  0.0 {water}");
    line!(out, "      {}", scale(middle_deg));
}

/// Names of eight bearings under the profile.
fn scale(middle_deg: f64) -> String {
    const NAMES: [&str; 8] = ["N", "NE", "E", "SE", "S", "SW", "W", "NW"];
    let first = if middle_deg > 90.0 { 0 } else { 4 };
    let step = PROFILE_COLUMNS as usize / NAMES.len();
    let mut scale = String::new();
    for n in 0..NAMES.len() {
        let _written = write!(scale, "{:step$}", NAMES[(first + n) % NAMES.len()]);
    }
    scale.push_str(NAMES[first]);
    scale
}

fn mark(site: &Site, azimuth_deg: f64, altitude_deg: f64, column_deg: f64) -> char {
    let is_object = |object: &ForegroundObject| {
        let off = quantity::wrap_degrees_180(azimuth_deg - object.bearing_deg).abs();
        off <= half_width_deg(object).max(column_deg / 2.0) && altitude_deg <= top_deg(object)
    };
    if site.foreground.iter().any(is_object) {
        '|'
    } else if altitude_deg <= site.skyline_deg(azimuth_deg) {
        '#'
    } else {
        ' '
    }
}

fn has_water(site: &Site, azimuth_deg: f64) -> bool {
    site.water.iter().any(|water| {
        let length = wrap_degrees_360(water.to_deg - water.from_deg);
        length <= 0.0 || wrap_degrees_360(azimuth_deg - water.from_deg) <= length
    })
}

fn top_deg(object: &ForegroundObject) -> f64 {
    object.height_m.atan2(object.distance_m).to_degrees()
}

fn half_width_deg(object: &ForegroundObject) -> f64 {
    (object.width_m / 2.0).atan2(object.distance_m).to_degrees()
}

fn place(position: GeoPosition) -> String {
    let (lat, lon) = (position.latitude_deg(), position.longitude_deg());
    format!(
        "{:.4} {} {:.4} {}",
        lat.abs(),
        if lat < 0.0 { "S" } else { "N" },
        lon.abs(),
        if lon < 0.0 { "W" } else { "E" }
    )
}

fn sky(quality: SkyQuality) -> String {
    match quality {
        SkyQuality::Measured { zenith_mag_arcsec2 } => format!("measured, {zenith_mag_arcsec2:.2} mag/arcsec2"),
        SkyQuality::Bortle { class } => format!("estimate by eye, Bortle class {class}"),
        SkyQuality::FromTowns => "estimate from the towns around".to_owned(),
    }
}

/// Characters of the longest of some names.
pub(crate) fn widest<'a>(names: impl Iterator<Item = &'a str>) -> usize {
    names.map(|name| name.chars().count()).max().unwrap_or_default()
}

/// A name with blanks after it.
pub(crate) fn padded(name: &str, width: usize) -> String {
    let missing = width.saturating_sub(name.chars().count());
    format!("{name}{}", " ".repeat(missing))
}
