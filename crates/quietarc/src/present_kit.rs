//! Kits and starters as text for a terminal.

use std::fmt::Write;

use job::{Kit, LensProfile, LensProjection, NumberBasis, SharpestStars, StarterNumbers, Starters};

use crate::present_site::{padded, widest};

/// Appends a line; writing to a String cannot fail.
macro_rules! line {
    ($out:expr, $($argument:tt)*) => {
        let _written = writeln!($out, $($argument)*);
    };
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
    if let Some(measured) = &lens.profile {
        line!(out, "  by stars    {}", profile(measured, kit));
    }
    if let Some(stars) = &lens.sharpest {
        line!(out, "  sharpest    {}", sharpest(stars));
    }
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

/// The sharpest stars known of a lens.
pub(crate) fn sharpest(stars: &SharpestStars) -> String {
    let at = stars.f_number.map_or_else(String::new, |f_number| format!(" at f/{f_number}"));
    let when = stars.taken_at.map_or_else(String::new, |at| format!(" of {at}"));
    format!(
        "stars {:.2} px wide (half of their light){at} on {} x {} px, by {}{when}",
        stars.hfd_px, stars.width_px, stars.height_px, stars.frame
    )
}

/// The lens as stars showed it.
pub(crate) fn profile(profile: &LensProfile, kit: &Kit) -> String {
    let camera = &kit.camera;
    let longer = camera.width_px.max(camera.height_px);
    let [x, y] = profile.centre_offset_px;
    let when = profile.taken_at.map_or_else(String::new, |at| format!(" of {at}"));
    format!(
        "{:.2} mm, {}, k1 {:+.4}, k2 {:+.4}, axis {x:+.0}, {y:+.0} px from the middle of {} x {}; {} stars within {:.2} px on {}{when}",
        profile.focal_mm(camera.pixel_um, longer),
        projection(profile.projection),
        profile.k1,
        profile.k2,
        profile.width_px,
        profile.height_px,
        profile.stars,
        profile.residual_px,
        profile.frame
    )
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
