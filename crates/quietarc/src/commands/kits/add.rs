//! `quietarc kit add` and `quietarc kit change`

use job::{
    CameraBody, Kit, KitLimits, Lens, LensProjection, LensStarter, SensorStarter, Starters, starter_kit, starters,
};

use crate::cli::{CameraArgs, GlassArgs, KitAddArgs, KitChangeArgs, KitFactsArgs, ProjectionChoice};
use crate::commands::open_journal;
use crate::failure::{Failure, Outcome};
use crate::{keeping, output, present_kit};

pub(super) fn add(arguments: &KitAddArgs) -> Result<Outcome, Failure> {
    let starters = starters();
    let facts = &arguments.facts;
    let name = arguments.kit.as_ref().or(arguments.name.as_ref()).cloned().unwrap_or_default();
    let begun = starter_kit(name, &sensor(facts, &starters)?, &lens(facts, &starters)?);
    let kit = told(begun, facts)?;
    // before the journal is opened: a bad number must not make one
    kit.check()?;
    let kept = keeping::add(&open_journal(&arguments.journal)?, kit)?;
    output::answer(&format!("kept:\n{}", present_kit::kit(&kept)))?;
    Ok(Outcome::Done)
}

pub(super) fn change(arguments: &KitChangeArgs) -> Result<Outcome, Failure> {
    let starters = starters();
    let facts = &arguments.facts;
    let journal = open_journal(&arguments.journal)?;
    let mut kit = journal.kit_named(&arguments.name)?.kit;
    if facts.sensor.is_some() {
        let sensor = sensor(facts, &starters)?;
        kit.camera = sensor.camera;
        kit.limits =
            KitLimits { card_gb: kit.limits.card_gb, battery_frames: kit.limits.battery_frames, ..sensor.limits };
    }
    if facts.lens.is_some() {
        kit.lens = lens(facts, &starters)?.lens;
    }
    let mut kit = told(kit, facts)?;
    if let Some(name) = &arguments.rename {
        kit.name.clone_from(name);
    }
    let kept = keeping::replace(&journal, &arguments.name, kit)?;
    output::answer(&format!("changed:\n{}", present_kit::kit(&kept)))?;
    Ok(Outcome::Done)
}

/// A kit with the numbers given; the rest stays.
fn told(mut kit: Kit, facts: &KitFactsArgs) -> Result<Kit, Failure> {
    put_camera(&mut kit.camera, &facts.camera)?;
    put_lens(&mut kit.lens, &facts.glass);
    put(&mut kit.exposure_s, facts.exposure_s);
    put(&mut kit.iso, facts.iso);
    kit.limits.card_gb = facts.card_gb.or(kit.limits.card_gb);
    kit.limits.frame_mb = facts.frame_mb.or(kit.limits.frame_mb);
    kit.limits.battery_frames = facts.battery_frames.or(kit.limits.battery_frames);
    Ok(kit)
}

/// The class named, or the class nearest to the numbers given.
fn sensor(arguments: &KitFactsArgs, starters: &Starters) -> Result<SensorStarter, Failure> {
    let camera = &arguments.camera;
    match (&arguments.sensor, camera.pixel_um, camera.width_px, camera.height_px) {
        (Some(id), ..) => starters.sensor(id).cloned().ok_or_else(|| unknown("camera", "--sensor", id)),
        (None, Some(pixel_um), Some(width_px), Some(height_px)) => own_camera(starters, pixel_um, width_px, height_px),
        (None, ..) => Err(Failure::new(
            "the camera is missing",
            "give --sensor with a class (quietarc kit starters lists them), or --pixel-um, --width-px and --height-px",
        )),
    }
}

/// A camera of which only the pixels are known: noise and efficiency of the first class, full well by area.
fn own_camera(starters: &Starters, pixel_um: f64, width_px: u32, height_px: u32) -> Result<SensorStarter, Failure> {
    let missing = || Failure::new("the program has no starters", "report this as a bug");
    let mut own = starters.sensors.first().cloned().ok_or_else(missing)?;
    let megapixels = |camera: &CameraBody| f64::from(camera.width_px) * f64::from(camera.height_px);
    let before = megapixels(&own.camera);
    let area = (pixel_um / own.camera.pixel_um).powi(2);
    own.camera = CameraBody {
        name: format!("a camera of {:.0} megapixels", f64::from(width_px) * f64::from(height_px) / 1e6),
        pixel_um,
        width_px,
        height_px,
        full_well_e: (own.camera.full_well_e * area / 100.0).round() * 100.0,
        ..own.camera
    };
    own.limits.frame_mb = own.limits.frame_mb.map(|mb| (mb * megapixels(&own.camera) / before).round().max(1.0));
    Ok(own)
}

fn lens(arguments: &KitFactsArgs, starters: &Starters) -> Result<LensStarter, Failure> {
    if let Some(id) = &arguments.lens {
        return starters.lens(id).cloned().ok_or_else(|| unknown("lens", "--lens", id));
    }
    let built_in = |lens: &&LensStarter| lens.built_into.is_some() && lens.built_into == arguments.sensor;
    if let Some(lens) = starters.lenses.iter().find(built_in) {
        return Ok(lens.clone());
    }
    let (Some(focal_mm), Some(f_number)) = (arguments.glass.focal_mm, arguments.glass.f_number) else {
        return Err(Failure::new(
            "the lens is missing",
            "give --lens with a class (quietarc kit starters lists them), or --focal-mm and --f-number",
        ));
    };
    let name = format!("{focal_mm} mm f/{f_number}");
    Ok(LensStarter::own(Lens { name, focal_mm, f_number, ..Kit::plain().lens }))
}

fn unknown(what: &str, flag: &str, id: &str) -> Failure {
    Failure::new(format!("{flag} {id:?} is no {what} class"), "quietarc kit starters lists their short names")
}

fn put<T>(into: &mut T, given: Option<T>) {
    if let Some(given) = given {
        *into = given;
    }
}

fn put_camera(camera: &mut CameraBody, given: &CameraArgs) -> Result<(), Failure> {
    put(&mut camera.pixel_um, given.pixel_um);
    put(&mut camera.width_px, given.width_px);
    put(&mut camera.height_px, given.height_px);
    put(&mut camera.read_noise_e, given.read_noise_e);
    put(&mut camera.full_well_e, given.full_well_e);
    put(&mut camera.base_iso, given.base_iso);
    if let Some(efficiency) = &given.efficiency {
        camera.peak_quantum_efficiency = efficiency.as_slice().try_into().map_err(|_cause| {
            Failure::new(
                format!("--efficiency has {} numbers, not three", efficiency.len()),
                "give red, green and blue, for example 0.40,0.50,0.43",
            )
        })?;
    }
    Ok(())
}

fn put_lens(lens: &mut Lens, given: &GlassArgs) {
    put(&mut lens.focal_mm, given.focal_mm);
    put(&mut lens.f_number, given.f_number);
    put(&mut lens.transmission, given.transmission);
    put(&mut lens.corner_loss_stops, given.corner_loss_stops);
    put(&mut lens.projection, given.projection.map(projection));
}

fn projection(choice: ProjectionChoice) -> LensProjection {
    match choice {
        ProjectionChoice::Rectilinear => LensProjection::Rectilinear,
        ProjectionChoice::Stereographic => LensProjection::Stereographic,
        ProjectionChoice::Equidistant => LensProjection::Equidistant,
        ProjectionChoice::Equisolid => LensProjection::Equisolid,
        ProjectionChoice::Orthographic => LensProjection::Orthographic,
    }
}
