//! Every input of an outlook: its source and age; and where the models stop being good.

use quantity::{InputNote, InputState, Timestamp};

use super::OutlookRequest;
use crate::{Activity, ActivityKind, Site, SkyQuality};

/// Hours after which a forecast of the activity is called stale.
const FORECAST_STALE_H: f64 = 24.0;
/// Hours after which a weather forecast is called stale.
const WEATHER_STALE_H: f64 = 9.0;

/// Names of the two inputs that a night turns on.
pub(super) const ACTIVITY: &str = "Kp";
pub(super) const WEATHER: &str = "Cloud and weather";

pub(super) fn inputs(request: &OutlookRequest) -> Vec<InputNote> {
    let mut notes = vec![activity(ACTIVITY, &request.activity, request.asked_at)];
    let others = request.other_activity.iter();
    notes.extend(others.map(|other| activity("Kp, second opinion", other, request.asked_at)));
    notes.extend(request.precipitation.iter().map(|grid| grid.note(request.asked_at)));
    notes.push(weather(request));
    notes.extend(site_inputs(&request.site));
    notes.push(model(
        "Kit",
        &format!("{}: {} with {}, as entered", request.kit.name, request.kit.camera.name, request.kit.lens.name),
    ));
    notes
}

/// What every picture of a site's sky rests on.
pub(crate) fn site_inputs(site: &Site) -> Vec<InputNote> {
    let quality = match site.sky_quality {
        SkyQuality::Measured { zenith_mag_arcsec2 } => InputNote {
            name: "Sky quality".into(),
            source: format!("measured at the site, {zenith_mag_arcsec2:.2} mag/arcsec2"),
            observed_at: None,
            age_minutes: None,
            state: InputState::Given,
        },
        SkyQuality::Bortle { class } => InputNote {
            name: "Sky quality".into(),
            source: format!("Bortle class {class}, by eye"),
            observed_at: None,
            age_minutes: None,
            state: InputState::Given,
        },
        SkyQuality::FromTowns => InputNote {
            name: "Sky quality".into(),
            source: "not measured: estimated from towns (GeoNames, CC BY 4.0) by Walker's law".into(),
            observed_at: None,
            age_minutes: None,
            state: InputState::Assumed,
        },
    };
    vec![
        quality,
        model(
            "Aurora",
            "mean oval of Zhang & Paxton 2008; light by height from the GLOW model (Solomon 2017); brightest arc 4 x mean overhead, less low down, spread 0.5 dex (this project's judgement)",
        ),
        model("Magnetic field", "IGRF-14 (IAGA)"),
    ]
}

fn model(name: &str, source: &str) -> InputNote {
    InputNote {
        name: name.into(),
        source: source.into(),
        observed_at: None,
        age_minutes: None,
        state: InputState::Record,
    }
}

fn activity(name: &str, activity: &Activity, asked_at: Timestamp) -> InputNote {
    let age_minutes = activity.issued_at.map(|issued| age(asked_at, issued));
    let mut kinds = activity.intervals.iter().map(|interval| interval.kind);
    let state = match activity.intervals.first().map(|interval| interval.kind) {
        None => InputState::Assumed,
        Some(ActivityKind::Given) => InputState::Given,
        Some(_record) if !kinds.any(ActivityKind::is_ahead) => InputState::Record,
        Some(_ahead) => fresh(age_minutes, FORECAST_STALE_H),
    };
    InputNote {
        name: name.into(),
        source: activity.source.clone(),
        observed_at: activity.issued_at,
        age_minutes,
        state,
    }
}

fn weather(request: &OutlookRequest) -> InputNote {
    let weather = &request.weather;
    let age_minutes = weather.issued_at.map(|issued| age(request.asked_at, issued));
    let state = match (weather.hours.is_empty(), weather.issued_at) {
        (true, _) => InputState::Assumed,
        (false, None) => InputState::Given,
        (false, Some(_)) => fresh(age_minutes, WEATHER_STALE_H),
    };
    InputNote {
        name: WEATHER.into(),
        source: weather.source.clone(),
        observed_at: weather.issued_at,
        age_minutes,
        state,
    }
}

fn fresh(age_minutes: Option<f64>, stale_h: f64) -> InputState {
    match age_minutes {
        Some(age) if age > stale_h * 60.0 => InputState::Stale,
        _ => InputState::Fresh,
    }
}

fn age(asked_at: Timestamp, from: Timestamp) -> f64 {
    (asked_at.as_second() - from.as_second()) as f64 / 60.0
}

/// Where the models stop being good for a Kp and a magnetic latitude.
pub(crate) fn limits(highest_kp: f64, lowest_kp: f64, model_lat_deg: f64) -> Vec<String> {
    let mut limits = vec![
        "The oval is a mean over years: a substorm may be ten times brighter, a lull much darker. The chances include that spread; the map does not.".to_owned(),
    ];
    if highest_kp > 8.0 {
        limits.push("Above Kp 8 the oval rests on few measured hours: border and brightness are rough.".to_owned());
    } else if highest_kp > 7.0 {
        limits.push("Above Kp 7 published borders differ by 2 to 5 degrees.".to_owned());
    }
    if lowest_kp < 0.75 {
        limits.push("Below Kp 1 the oval is extrapolated.".to_owned());
    }
    if model_lat_deg.abs() > 80.0 {
        limits.push("Poleward of magnetic latitude 80 the model says little; treat its numbers as unknown.".to_owned());
    }
    limits
}
