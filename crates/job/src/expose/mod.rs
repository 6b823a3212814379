//! Which aperture, seconds and ISO, and what will they give?

mod brightness;
mod framing;
pub(crate) mod judge;
pub(crate) mod ladder;
mod lapse;
mod motion;
pub(crate) mod plan;
mod report;
mod request;
mod scene;
mod verdict;

use quantity::{InputNote, InputState};

pub use self::motion::AuroraMotion;
pub use self::report::{ExposeReport, ExposeSetting, ExposedLight, ExposureBounds, LimitedBy, SettingGoal, TimeLapse};
pub use self::request::{
    AskedBrightness, AskedSky, ColourShares, ExposeRequest, IbcClass, SeenAurora, ShootingPurpose,
};

use self::framing::note;
use self::plan::LAX_STARS;
use self::scene::Scene;
use crate::JobError;

/// Three to five settings for an aurora of some brightness, with what each gives and what limits it.
///
/// The recommended one comes first: as long as the light asks for, as short as stars (NPF rule) and the aurora's motion
/// ask for, unless the noise would spoil the picture; the ISO as people use it for so much light. The others trade
/// sharpness, noise and headroom against each other. Method, sources and published bands stand in `docs/expose.md`.
///
/// # Errors
///
/// A number out of range, an unknown time zone, an instant outside the models' span.
///
/// # Example
///
/// ```
/// use job::{AskedBrightness, AskedSky, ExposeRequest, IbcClass, Kit, ShootingPurpose};
///
/// let report = job::expose(ExposeRequest {
///     brightness: AskedBrightness::Ibc { class: IbcClass::Two },
///     colours: Default::default(),
///     kit: Kit::plain(),
///     sky: AskedSky::Given { mag_arcsec2: 21.8 },
///     pointing: None,
///     least_declination_deg: None,
///     motion: None,
///     purpose: ShootingPurpose::Still,
///     temperature_c: None,
///     adaptation_minutes: 30.0,
/// })?;
/// assert!((2.0..8.0).contains(&report.settings[0].exposure_s));
/// # Ok::<(), job::JobError>(())
/// ```
pub fn expose(request: ExposeRequest) -> Result<ExposeReport, JobError> {
    request.check()?;
    let behind = framing::behind(&request)?;
    let framing = framing::framing(&request);
    let asked = brightness::asked(&request, behind.eye);
    let green_kr = asked.green_kr;
    let motion = request.motion.unwrap_or_else(|| AuroraMotion::usual(green_kr.value));
    let scene = Scene {
        sensor: crate::kit_optics::sensor(&request.kit, request.temperature_c.unwrap_or(lapse::ASSUMED_TEMPERATURE_C)),
        lens: crate::kit_optics::lens(&request.kit),
        limits: request.kit.limits,
        lines: brightness::lines(green_kr.value, request.colours),
        sky_r_per_angstrom: behind.rayleighs_per_angstrom,
        least_declination_deg: framing.least_declination_deg,
        range_km: framing.range_km,
        movement: motion.movement(),
    };
    let light = ExposedLight {
        green_5577_kr: green_kr,
        lines: scene.lines,
        looks_like: crate::outlook::detector::looks_like(green_kr.value),
        brightest_green_5577_kr: brightness::brightening(green_kr.value),
        sky_mag_arcsec2: behind.mag_arcsec2,
        sky_as_green_kr: scene.sky_as_green_kr(),
    };
    let settings: Vec<ExposeSetting> =
        plan::choices(&scene).into_iter().map(|choice| judge::judged(&request, &scene, &light, choice)).collect();
    let mut inputs = vec![asked.note];
    inputs.extend(behind.notes);
    inputs.extend([framing.note, motion_note(&request, motion, &scene), kit_note(&request)]);
    inputs.extend(temperature_note(&request));
    Ok(ExposeReport {
        summary: settings.first().map_or_else(String::new, |best| verdict::summary(&light, best)),
        warnings: verdict::warnings(&request, &scene, &light, &settings),
        bounds: bounds(&scene, motion),
        limits: limits(&request),
        light,
        settings,
        inputs,
        request,
    })
}

fn bounds(scene: &Scene, motion: AuroraMotion) -> ExposureBounds {
    let (sensor, lens) = (&scene.sensor, &scene.lens);
    let equivalent_mm =
        optics::full_frame_equivalent_mm(lens.focal_mm, sensor.pixel_um, sensor.width_px, sensor.height_px);
    ExposureBounds {
        least_declination_deg: scene.least_declination_deg,
        stars_strict_s: scene.stars_s(lens.f_number, 1.0),
        stars_lax_s: scene.stars_s(lens.f_number, LAX_STARS),
        rule_of_500_s: optics::rule_of_500_limit_s(equivalent_mm),
        motion,
        speed_km_s: scene.movement.speed_km_s,
        structure_km: scene.movement.structure_km,
        structure_px: optics::aurora_px_s(scene.movement.structure_km, scene.range_km, sensor.pixel_um, lens.focal_mm),
        pixel_arcsec: optics::pixel_scale_arcsec(sensor.pixel_um, lens.focal_mm),
        range_km: scene.range_km,
        motion_s: scene.movement.limit_s(),
    }
}

fn motion_note(request: &ExposeRequest, motion: AuroraMotion, scene: &Scene) -> InputNote {
    let (origin, state) = match request.motion {
        Some(_) => ("as given", InputState::Given),
        None => ("usual at this brightness", InputState::Assumed),
    };
    note("Motion", format!("{}, {origin}: {}", motion.words(), scene.movement.source), state)
}

fn kit_note(request: &ExposeRequest) -> InputNote {
    let kit = &request.kit;
    let source = format!("{}: {} with {}, as entered", kit.name, kit.camera.name, kit.lens.name);
    note("Kit", source, InputState::Given)
}

fn temperature_note(request: &ExposeRequest) -> Option<InputNote> {
    let ShootingPurpose::TimeLapse { .. } = request.purpose else { return None };
    Some(match request.temperature_c {
        Some(given) => note("Temperature", format!("{given:.0} degrees Celsius, as given"), InputState::Given),
        None => note(
            "Temperature",
            format!("not given: {:.0} degrees Celsius is assumed", lapse::ASSUMED_TEMPERATURE_C),
            InputState::Assumed,
        ),
    })
}

fn limits(request: &ExposeRequest) -> Vec<String> {
    let mut limits = vec![
        "Electrons are for the middle of the frame; corners of a fast wide lens wide open get a quarter to a half of that."
            .to_owned(),
        "One camera's measured colour response stands in for all: green is good to a fifth, red at 630.0 nm to a factor of two."
            .to_owned(),
        "An aurora may brighten three to five times in seconds, and now and then a hundred times: look at the green histogram often."
            .to_owned(),
    ];
    if request.kit.lens.f_number < 2.0 {
        limits.push("Faster than f/2 the pixels themselves lose light that comes in slanted, up to a third at f/1.4: not counted.".to_owned());
    }
    limits
}
