//! The settings as text: short lines, to be read at arm's length.

use std::fmt::Write;

use job::{ExposeReport, ExposeSetting, SettingGoal};
use quantity::Estimate;

use crate::present::{inputs, list, range};

/// Appends a line; writing to a String cannot fail.
macro_rules! line {
    ($out:expr, $($argument:tt)*) => {
        let _written = writeln!($out, $($argument)*);
    };
}

pub(crate) fn expose(report: &ExposeReport) -> String {
    let mut out = String::new();
    line!(out, "{}", report.summary);
    for warning in &report.warnings {
        line!(out, "! {warning}");
    }
    for (index, setting) in report.settings.iter().enumerate() {
        one(&mut out, index, setting);
    }
    let (light, bounds) = (&report.light, &report.bounds);
    line!(out, "\nCounted with");
    line!(out, "  aurora 557.7 nm   {} kR ({})", range(&light.green_5577_kr, 2), light.looks_like);
    line!(out, "  next brightening  {} kR", range(&light.brightest_green_5577_kr, 0));
    line!(
        out,
        "  sky               {} mag/arcsec2, to green pixels as {:.1} kR",
        range(&light.sky_mag_arcsec2, 1),
        light.sky_as_green_kr
    );
    line!(
        out,
        "  stars             points up to {:.1} s (NPF), lax {:.1} s, at declination {:.0}; rule of 500: {:.0} s",
        bounds.stars_strict_s,
        bounds.stars_lax_s,
        bounds.least_declination_deg,
        bounds.rule_of_500_s
    );
    line!(
        out,
        "  motion            {:.0} km across moves its own width in {} s, {:.0} km away",
        bounds.structure_km,
        range(&bounds.motion_s, 1),
        bounds.range_km
    );
    inputs(&mut out, &report.inputs);
    list(&mut out, "Limits", &report.limits);
    out
}

fn one(out: &mut String, index: usize, setting: &ExposeSetting) {
    let star = if index == 0 { "*" } else { " " };
    line!(out, "\n{star} {}   {}", setting.dial, goal(setting.goal));
    line!(out, "    {}", setting.why);
    line!(out, "    {}", setting.limit_text);
    line!(
        out,
        "    green e-  aurora {}, sky {}, noise {:.1}; red {:.0} + {:.0}, blue {:.0} + {:.0}",
        range(&setting.aurora_e[1], 0),
        range(&setting.sky_e[1], 0),
        setting.noise_e,
        setting.aurora_e[0].value,
        setting.sky_e[0].value,
        setting.aurora_e[2].value,
        setting.sky_e[2].value
    );
    line!(out, "    SNR       {} a pixel, {} on a screen", range(&setting.snr_pixel, 1), range(&setting.snr_screen, 1));
    line!(
        out,
        "    histogram {} of mid-grey, {:.1} stops below clipping; {} stops to spare at the next brightening",
        side(&setting.mid_grey_stops),
        setting.below_clipping_stops.value,
        range(&setting.spare_stops, 1)
    );
    line!(
        out,
        "    smear     stars {:.1} px, aurora {:.0} px = {:.2} deg",
        setting.trail_px,
        setting.blur_px.value,
        setting.blur_deg.value
    );
    if let Some(lapse) = &setting.time_lapse {
        line!(out, "    lapse     {}", lapse.text);
    }
}

/// "1.5 stops left", as a histogram shows it.
fn side(stops: &Estimate) -> String {
    if stops.value < 0.0 {
        format!("{:.1} stops left", -stops.value)
    } else {
        format!("{:.1} stops right", stops.value)
    }
}

fn goal(goal: SettingGoal) -> &'static str {
    match goal {
        SettingGoal::Balanced => "recommended",
        SettingGoal::Sharper => "sharper",
        SettingGoal::Cleaner => "cleaner",
        SettingGoal::Headroom => "more headroom",
        SettingGoal::SharpCorners => "sharper corners",
        SettingGoal::Brighter => "brighter on the screen",
    }
}
