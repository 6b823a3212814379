//! `quietarc stand`

use draw::{BowlStyle, LensStyle, Palette};
use job::{FramePointing, Orientation, SkymapRequest, StandReport, StandRequest, Weather, WeatherHour};
use quantity::Timestamp;

use super::given::{self, GIVEN_HOLDS, Inputs, around};
use super::{now, open_journal, request_from, save_picture};
use crate::cli::StandArgs;
use crate::failure::{Failure, Outcome};
use crate::{output, present};

/// Spacing of the bowl's grid, degrees.
const BOWL_STEP_DEG: f64 = 3.0;

/// The view through the lens as a file.
const VIEW: LensStyle = LensStyle { width_px: 1000.0, height_px: 800.0, palette: Palette::Day };

pub(super) fn run(arguments: &StandArgs) -> Result<Outcome, Failure> {
    let report = job::stand(request(arguments)?)?;
    for path in [&arguments.svg, &arguments.png].into_iter().flatten() {
        save_picture(path, &draw::lens_view(&report, &VIEW))?;
    }
    if let Some(path) = &arguments.bowl {
        save_picture(path, &bowl(&report)?)?;
    }
    if arguments.json {
        output::json(&report)?;
    } else {
        output::answer(&present::stand(&report))?;
    }
    Ok(Outcome::Done)
}

/// The sky bowl with the frame on it.
fn bowl(report: &StandReport) -> Result<String, Failure> {
    let request = &report.request;
    let light = report.light.as_ref().ok_or_else(|| {
        Failure::new("no Kp is given for this instant, so there is no sky to draw", "give --kp or --kp-file")
    })?;
    let sky = job::skymap(SkymapRequest {
        site: request.site.clone(),
        at: request.at,
        kp: light.kp,
        f107: request.f107,
        step_deg: BOWL_STEP_DEG,
    })?;
    let style = BowlStyle { size_px: 900.0, palette: Palette::Day, frame_outline: Some(&report.outline) };
    Ok(draw::sky_bowl(&sky, &style))
}

fn request(arguments: &StandArgs) -> Result<StandRequest, Failure> {
    if let Some(path) = &arguments.request {
        return request_from(path);
    }
    let asked_at = now();
    let at = arguments.at.unwrap_or(asked_at);
    let site = super::site::site(&arguments.site, || open_journal(&arguments.journal))?;
    let inputs = Inputs::new(&arguments.inputs, &arguments.journal, asked_at)?;
    let found = inputs.activity_about(at)?;
    let (weather, said) = inputs.weather(&site, around(at, GIVEN_HOLDS)?)?;
    found.notes.iter().chain(&said).for_each(|note| output::note(note));
    Ok(StandRequest {
        kit: given::kit(arguments.kit.as_deref(), &arguments.journal)?,
        pointing: pointing(arguments),
        activity: found.activity,
        weather: with_given(arguments, weather, at)?,
        f107: found.f107,
        focus_m: arguments.focus_m,
        site,
        at,
    })
}

fn pointing(arguments: &StandArgs) -> Option<FramePointing> {
    Some(FramePointing {
        azimuth_deg: arguments.az?,
        altitude_deg: arguments.alt?,
        roll_deg: arguments.roll,
        orientation: if arguments.portrait { Orientation::Portrait } else { Orientation::Landscape },
    })
}

/// The weather found, with what is given by hand in place of its own for the time around the instant.
fn with_given(arguments: &StandArgs, found: Weather, at: Timestamp) -> Result<Weather, Failure> {
    let StandArgs { wind, temperature, dew_point, .. } = arguments;
    if [wind, temperature, dew_point].into_iter().all(Option::is_none) {
        return Ok(found);
    }
    let (from, to) = around(at, GIVEN_HOLDS)?;
    let known = found.at(at).copied();
    let base = known.unwrap_or_else(|| WeatherHour::unknown(from, to));
    let hour = WeatherHour {
        from,
        to,
        wind_m_s: wind.or(base.wind_m_s),
        temperature_c: temperature.or(base.temperature_c),
        dew_point_c: dew_point.or(base.dew_point_c),
        ..base
    };
    let source = match known {
        Some(_) if arguments.inputs.cloud.is_none() => format!("given by hand; the rest: {}", found.source),
        _ => "given by hand".to_owned(),
    };
    Ok(Weather {
        source,
        issued_at: found.issued_at.filter(|_| known.is_some()),
        hours: vec![hour],
        around: found.around,
    })
}
