//! Weather, lens and water at the moment of the plan.

use job::{
    FieldPlan, FrostbiteRisk, MirrorSurface, OutlookReport, WeatherHour, beaufort, cloud_words, frostbite_risk,
    wind_chill_c,
};

use super::html::{heading, paragraph};
use crate::documents::plain_text::at_most;
use crate::svg::Element;

pub(super) fn section(report: &OutlookReport, plan: &FieldPlan) -> Vec<Element> {
    let hour = report.request.weather.at(plan.at);
    let mut words = vec![hour.map_or_else(
        || "Weather not known: nobody gave any. Look at a forecast, then at the sky.".to_owned(),
        weather,
    )];
    if let Some(step) = report.steps.iter().find(|step| step.at == plan.at)
        && let Some(clear) = step.clear_sightline
    {
        words.push(format!("Line of sight to the aurora open {} in 10 of the time.", clear.in_ten()));
    }
    if let Some(stand) = &plan.stand {
        words.push(at_most(&stand.dew.text, 150));
        let wet = stand.mirror.iter().filter(|stretch| stretch.inside);
        words.extend(wet.map(|stretch| water(stretch.surface).to_owned()).next());
    }
    vec![heading("Weather and lens"), paragraph("near", &words.join(" "))]
}

/// "Cloud 3 tenths (low 1, middle 2, high 0), -4 °C, wind 6 m/s (Beaufort 4), feels like -11 °C."
fn weather(hour: &WeatherHour) -> String {
    let mut facts = vec![cloud_words(&hour.cloud)];
    facts.extend(hour.temperature_c.map(|celsius| format!("{:.0} °C", celsius.round() + 0.0)));
    facts.extend(hour.wind_m_s.map(|wind| {
        let force = beaufort(wind).map_or_else(String::new, |force| format!(" (Beaufort {force})"));
        format!("wind {wind:.0} m/s{force}")
    }));
    facts.extend(hour.gust_m_s.map(|gust| format!("gusts {gust:.0} m/s")));
    let chill = hour.temperature_c.zip(hour.wind_m_s).and_then(|(celsius, wind)| wind_chill_c(celsius, wind));
    facts.extend(chill.map(|chill| {
        let risk = match frostbite_risk(chill) {
            FrostbiteRisk::Low => "",
            FrostbiteRisk::Within30Minutes => ": bare skin freezes within 30 minutes",
            FrostbiteRisk::Within10Minutes => ": bare skin freezes within 10 minutes",
        };
        format!("feels like {:.0} °C{risk}", chill.round() + 0.0)
    }));
    let mut sentence = facts.join(", ");
    sentence.push('.');
    let first = sentence.chars().next().map(|letter| letter.to_uppercase().to_string()).unwrap_or_default();
    format!("{first}{}", sentence.chars().skip(1).collect::<String>())
}

fn water(surface: MirrorSurface) -> &'static str {
    match surface {
        MirrorSurface::Mirror => "The water should mirror the sky.",
        MirrorSurface::SoftPillars => "The water should show soft pillars of light.",
        MirrorSurface::GlowOnly => "The water should show a glow without shape.",
        MirrorSurface::None => "The water is too rough to mirror anything.",
        MirrorSurface::CannotTell => "Whether the water mirrors depends on the wind, which nobody gave.",
    }
}
