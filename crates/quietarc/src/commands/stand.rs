//! `quietarc stand`

use draw::{BowlStyle, LensStyle, Palette};
use jiff::SignedDuration;
use job::{
    Activity, CloudCover, Kit, Orientation, SkymapRequest, StandPointing, StandReport, StandRequest, Weather,
    WeatherHour,
};
use quantity::{Fraction, Timestamp};

use super::{now, open_journal, read, request_from, save_picture};
use crate::cli::StandArgs;
use crate::failure::{Failure, Outcome};
use crate::{output, present};

/// What is given by hand holds this long to either side of the instant.
const GIVEN_HOLDS: SignedDuration = SignedDuration::from_hours(1);
/// How far around the instant a table of Kp is read.
const TABLE_READ: SignedDuration = SignedDuration::from_hours(24);
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
    let at = arguments.at.unwrap_or_else(now);
    Ok(StandRequest {
        site: super::site::site(&arguments.site, || open_journal(&arguments.journal))?,
        kit: match &arguments.kit {
            Some(name) => open_journal(&arguments.journal)?.kit_named(name)?.kit,
            None => Kit::plain(),
        },
        pointing: pointing(arguments),
        activity: activity(arguments, at)?,
        weather: weather(arguments, at)?,
        f107: arguments.f107,
        focus_m: arguments.focus_m,
        at,
    })
}

fn pointing(arguments: &StandArgs) -> Option<StandPointing> {
    Some(StandPointing {
        azimuth_deg: arguments.az?,
        altitude_deg: arguments.alt?,
        roll_deg: arguments.roll,
        orientation: if arguments.portrait { Orientation::Portrait } else { Orientation::Landscape },
    })
}

fn activity(arguments: &StandArgs, at: Timestamp) -> Result<Activity, Failure> {
    let around = |span: SignedDuration| -> Result<(Timestamp, Timestamp), Failure> {
        Ok((at.checked_sub(span).map_err(|_cause| far(at))?, at.checked_add(span).map_err(|_cause| far(at))?))
    };
    match (&arguments.kp_file, arguments.kp) {
        (Some(path), _) => {
            let series = feeds::parse_kp(&read(path)?, &path.display().to_string())?;
            if let Some(summary) = series.rejected_summary() {
                output::note(&summary);
            }
            let (from, to) = around(TABLE_READ)?;
            Ok(series.to_activity(from, to))
        }
        (None, Some(kp)) => {
            let (from, to) = around(GIVEN_HOLDS)?;
            Ok(Activity::given(kp, from, to))
        }
        (None, None) => Ok(Activity { source: "nothing given".to_owned(), issued_at: None, intervals: Vec::new() }),
    }
}

fn far(at: Timestamp) -> Failure {
    Failure::new(format!("--at {at} is at the end of the calendar"), "give an instant between 1975 and 2030")
}

fn weather(arguments: &StandArgs, at: Timestamp) -> Result<Weather, Failure> {
    let StandArgs { cloud, wind, temperature, dew_point, .. } = arguments;
    if [cloud, wind, temperature, dew_point].into_iter().all(Option::is_none) {
        return Ok(Weather::unknown());
    }
    let total = cloud
        .map(|tenths| {
            Fraction::new(tenths / 10.0).map_err(|_cause| {
                Failure::new(
                    format!("--cloud {tenths} is outside 0 to 10"),
                    "give tenths of the sky, 0 clear to 10 overcast",
                )
            })
        })
        .transpose()?;
    let from = at.checked_sub(GIVEN_HOLDS).map_err(|_cause| far(at))?;
    let to = at.checked_add(GIVEN_HOLDS).map_err(|_cause| far(at))?;
    let hour = WeatherHour {
        cloud: CloudCover { total, ..CloudCover::default() },
        wind_m_s: *wind,
        temperature_c: *temperature,
        dew_point_c: *dew_point,
        ..WeatherHour::unknown(from, to)
    };
    Ok(Weather { source: "given by hand".to_owned(), issued_at: None, hours: vec![hour], around: Vec::new() })
}
