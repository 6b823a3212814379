//! `quietarc skymap`

use draw::{BowlStyle, Palette};
use job::SkymapRequest;

use super::{now, open_journal, request_from, save_picture};
use crate::cli::SkymapArgs;
use crate::failure::{Failure, Outcome};
use crate::{output, present};

pub(super) fn run(arguments: &SkymapArgs) -> Result<Outcome, Failure> {
    let report = job::skymap(request(arguments)?)?;
    let drawing = || draw::sky_bowl(&report, &BowlStyle { size_px: 900.0, palette: Palette::Day, frame_outline: None });
    for path in [&arguments.svg, &arguments.png].into_iter().flatten() {
        save_picture(path, &drawing())?;
    }
    if arguments.json {
        output::json(&report)?;
    } else {
        output::answer(&present::skymap(&report))?;
    }
    Ok(Outcome::Done)
}

fn request(arguments: &SkymapArgs) -> Result<SkymapRequest, Failure> {
    if let Some(path) = &arguments.request {
        return request_from(path);
    }
    Ok(SkymapRequest {
        site: super::site::site(&arguments.site, || open_journal(&arguments.journal))?,
        at: arguments.at.unwrap_or_else(now),
        kp: arguments.kp.ok_or_else(|| Failure::new("--kp is missing", "give a Kp, 0 to 9"))?,
        f107: arguments.f107,
        step_deg: arguments.step,
    })
}
