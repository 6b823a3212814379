//! Sites and kits as text for a terminal.

use std::fmt::Write;

use job::{ForegroundObject, Kit, LensProjection, NumberBasis, Site, SkyQuality, StarterNumbers, Starters};
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

/// One line a kit.
pub(crate) fn kits(kits: &[Kit]) -> String {
    let width = widest(kits.iter().map(|kit| kit.name.as_str()));
    let mut out = String::new();
    for kit in kits {
        line!(out, "{}  {}; {}", padded(&kit.name, width), kit.camera.name, kit.lens.name);
    }
    out
}

/// The numbers of a kit.
pub(crate) fn kit(kit: &Kit) -> String {
    let (camera, lens, limits) = (&kit.camera, &kit.lens, &kit.limits);
    let mm = |pixels: u32| f64::from(pixels) * camera.pixel_um / 1000.0;
    let [red, green, blue] = camera.peak_quantum_efficiency;
    let mut out = String::new();
    line!(out, "{}", kit.name);
    line!(out, "  camera      {}", camera.name);
    line!(out, "  pixels      {} x {} of {:.2} um", camera.width_px, camera.height_px, camera.pixel_um);
    line!(out, "  sensor      {:.1} x {:.1} mm", mm(camera.width_px), mm(camera.height_px));
    line!(out, "  efficiency  red {red:.2}, green {green:.2}, blue {blue:.2}");
    line!(out, "  read noise  {:.1} electrons at night's ISO", camera.read_noise_e);
    line!(out, "  full well   {:.0} electrons at ISO {:.0}", camera.full_well_e, camera.base_iso);
    line!(out, "  lens        {}", lens.name);
    line!(
        out,
        "  glass       {} mm f/{}, {}; {:.0} % comes through, corners {:.1} stops darker",
        lens.focal_mm,
        lens.f_number,
        projection(lens.projection),
        lens.transmission * 100.0,
        lens.corner_loss_stops
    );
    line!(out, "  begin with  {} s at ISO {:.0}", kit.exposure_s, kit.iso);
    let settable = [
        limits.card_gb.map(|gb| format!("card {gb:.0} GB")),
        limits.frame_mb.map(|mb| format!("frame {mb:.0} MB")),
        limits.battery_frames.map(|frames| format!("battery {frames:.0} frames")),
        limits.longest_exposure_s.map(|longest| format!("{longest} s at most")),
        limits.highest_iso.map(|iso| format!("ISO {iso:.0} at most")),
        limits.fixed_aperture.then(|| "fixed aperture".to_owned()),
    ];
    let settable: Vec<String> = settable.into_iter().flatten().collect();
    if !settable.is_empty() {
        line!(out, "  limits      {}", settable.join(", "));
    }
    out
}

fn projection(projection: LensProjection) -> &'static str {
    match projection {
        LensProjection::Rectilinear => "rectilinear",
        LensProjection::Stereographic => "stereographic fisheye",
        LensProjection::Equidistant => "equidistant fisheye",
        LensProjection::Equisolid => "equisolid fisheye",
        LensProjection::Orthographic => "orthographic fisheye",
    }
}

/// The table of classes with the sources of their numbers.
pub(crate) fn starters(starters: &Starters) -> String {
    let mut out = String::new();
    line!(out, "Cameras (--sensor)");
    for sensor in &starters.sensors {
        let camera = &sensor.camera;
        line!(
            out,
            "  {:21} {:55} {:.2} um, {} x {}, read noise {:.1} e, full well {:.0} e, green {:.2}",
            sensor.id,
            sensor.title,
            camera.pixel_um,
            camera.width_px,
            camera.height_px,
            camera.read_noise_e,
            camera.full_well_e,
            camera.peak_quantum_efficiency[1]
        );
    }
    line!(out, "\nLenses (--lens)");
    for lens in &starters.lenses {
        line!(
            out,
            "  {:21} {:59} {:.0} % comes through, corners {:.1} stops darker",
            lens.id,
            lens.title,
            lens.lens.transmission * 100.0,
            lens.lens.corner_loss_stops
        );
    }
    line!(out, "\nWhere the numbers are from");
    let mut said: Vec<&StarterNumbers> = Vec::new();
    let sensors = starters.sensors.iter().flat_map(|sensor| &sensor.numbers);
    for numbers in sensors.chain(starters.lenses.iter().flat_map(|lens| &lens.numbers)) {
        if !said.contains(&numbers) {
            said.push(numbers);
            let basis = match numbers.basis {
                NumberBasis::Published => "published",
                NumberBasis::Estimate => "estimate",
            };
            line!(out, "  - {} ({basis}): {}", numbers.fields.join(", "), numbers.source);
        }
    }
    line!(out, "Numbers measured on your own camera are better in every place.");
    out
}

fn widest<'a>(names: impl Iterator<Item = &'a str>) -> usize {
    names.map(|name| name.chars().count()).max().unwrap_or_default()
}

fn padded(name: &str, width: usize) -> String {
    let missing = width.saturating_sub(name.chars().count());
    format!("{name}{}", " ".repeat(missing))
}
