//! What a frame shows of a kit's lens, kept in the kit.

use job::{CheckReport, Kit, SharpestStars};

use super::open_journal;
use crate::cli::CheckArgs;
use crate::failure::Failure;
use crate::{keeping, output, present_kit};

/// Keeps what is asked for: the lens that the stars show, the width of the sharpest of them.
pub(super) fn keep(arguments: &CheckArgs, kit: &str, report: &CheckReport) -> Result<(), Failure> {
    if !arguments.save_lens && !arguments.save_sharpest {
        return Ok(());
    }
    let journal = open_journal(&arguments.journal)?;
    let mut kit = journal.kit_named(kit)?.kit;
    let mut words = Vec::new();
    if arguments.save_lens {
        words.push(with_lens(&mut kit, report)?);
    }
    if arguments.save_sharpest {
        words.push(with_sharpest(&mut kit, report)?);
    }
    let name = kit.name.clone();
    let kept = keeping::replace(&journal, &name, kit)?;
    if !arguments.json {
        output::answer(&format!("kept in {:?}: {}", kept.name, words.join("; ")))?;
    }
    Ok(())
}

/// Puts the sharpest stars of a lens into a kit; answers them in words.
fn with_sharpest(kit: &mut Kit, report: &CheckReport) -> Result<String, Failure> {
    let stars = SharpestStars::of(report).map_err(|why| {
        Failure::new(
            format!("no width is kept: {}: {why}", report.file),
            "use a frame with some twenty stars or more, short enough that they stay points, as it left the camera",
        )
    })?;
    let words = present_kit::sharpest(&stars);
    kit.lens.sharpest = Some(stars);
    Ok(words)
}

/// Puts the lens of a frame into a kit; answers it in words.
fn with_lens(kit: &mut Kit, report: &CheckReport) -> Result<String, Failure> {
    let found = report.lens.as_ref();
    let Some(profile) = found.and_then(|lens| lens.profile.clone()) else {
        let why = found.and_then(|lens| lens.why_not.as_deref()).unwrap_or("its stars cannot be trusted");
        return Err(Failure::new(
            format!("no lens is kept: it was not found on {}: {why}", report.file),
            "use a sharp frame with some twenty stars or more, as it left the camera",
        ));
    };
    let (width, height) = (kit.camera.width_px, kit.camera.height_px);
    let sides = [width, height].map(|side| usize::try_from(side).unwrap_or(usize::MAX));
    if profile.model_for(sides).is_none() {
        return Err(Failure::new(
            format!(
                "no lens is kept: {} has {} x {} pixels, which is not the shape of the kit's {width} x {height}",
                report.file, profile.width_px, profile.height_px
            ),
            "use a frame that was neither cut nor turned",
        ));
    }
    let words = present_kit::profile(&profile, kit);
    kit.lens.profile = Some(profile);
    Ok(words)
}
