//! Where things stand and where to point.

use job::{FieldPlan, OutlookReport, StandReport, lit_words};

use super::direction::{bearing_words, height_words, towards};
use super::html::{heading, paragraph, row};
use crate::documents::plain_text::at_most;
use crate::label::{degrees_text, kr_text};
use crate::local_time::LocalClock;
use crate::svg::Element;

/// Things in front that are listed.
const MOST_OBJECTS: usize = 2;
/// Declination below which a compass need not be corrected, degrees: nobody reads one closer by torch.
const COMPASS_MATTERS_FROM_DEG: f64 = 2.0;

pub(super) fn section(report: &OutlookReport, plan: &FieldPlan) -> Vec<Element> {
    let mut rows = Vec::new();
    rows.extend(plan.stand.as_ref().map(camera));
    rows.extend(brightest(report, plan));
    let zenith = report.magnetic_zenith;
    let corona = plan.stand.as_ref().is_some_and(|stand| stand.magnetic_zenith.corona_likely);
    let rays = if corona { "a corona may stand here" } else { "where rays converge" };
    rows.push(row(&["Magnetic zenith", &towards(zenith), &height_words(zenith), rays]));
    rows.extend(moon(report, plan));
    rows.extend(plan.stand.iter().flat_map(objects));
    vec![
        heading("Where to look and point"),
        Element::new("table").with("class", "look").children(rows),
        paragraph("small", &compass(plan.declination_deg)),
    ]
}

fn camera(stand: &StandReport) -> Element {
    let p = stand.pointing;
    let size = format!("{} x {}", degrees_text(stand.field.horizontal_deg), degrees_text(stand.field.vertical_deg));
    let axis = quantity::Horizontal::new(p.altitude_deg, p.azimuth_deg);
    let held = format!("{}, {size}", p.orientation.label());
    row(&["Camera", &bearing_words(p.azimuth_deg), &height_words(axis), &held]).with("class", "camera")
}

fn brightest(report: &OutlookReport, plan: &FieldPlan) -> Option<Element> {
    let patch = report.steps.iter().find(|step| step.at == plan.at)?.brightest.as_ref()?;
    let arc = patch.brightest_arc_kr;
    let light = format!(
        "{} kR ({} to {}), {}",
        kr_text(arc.value),
        kr_text(arc.low),
        kr_text(arc.high),
        at_most(&patch.looks_like, 56)
    );
    Some(row(&["Aurora", &towards(patch.direction), &height_words(patch.direction), &light]))
}

fn moon(report: &OutlookReport, plan: &FieldPlan) -> Option<Element> {
    let step = report.steps.iter().find(|step| step.at == plan.at)?;
    let lit = lit_words(step.moon_lit_fraction);
    let clock = LocalClock::of(&report.request.site);
    let place = plan.sky.as_ref().and_then(|sky| sky.moon);
    Some(match place {
        Some(moon) => {
            let sets = report.night.moonset.filter(|set| *set > plan.at);
            let sets = sets.map_or_else(String::new, |at| format!(", sets {}", clock.time(at)));
            row(&["Moon", &bearing_words(moon.azimuth_deg), &height_words(moon), &format!("{lit}{sets}")])
        }
        None if step.moon_altitude_deg > 0.0 => row(&["Moon", "", "up", &lit]),
        None => {
            let rises = report.night.moonrise.filter(|rise| *rise > plan.at);
            let rises = rises.map_or_else(String::new, |at| format!(", rises {}", clock.time(at)));
            row(&["Moon", "", "down", &format!("{lit}{rises}")])
        }
    })
}

/// What stands in front and is in the picture, the widest first.
fn objects(stand: &StandReport) -> Vec<Element> {
    let mut inside: Vec<_> = stand.foreground.iter().filter(|object| object.inside).collect();
    inside.sort_by(|a, b| b.width_deg.total_cmp(&a.width_deg));
    let line = |object: &&job::FrameObject| {
        let top = quantity::Horizontal::new(object.top_deg, object.bearing_deg);
        let far = format!("{:.0} m off, {} wide", object.distance_m, degrees_text(object.width_deg));
        let name = at_most(&object.name, 20);
        row(&[&name, &bearing_words(object.bearing_deg), &height_words(top), &far])
    };
    inside.iter().take(MOST_OBJECTS).map(line).collect()
}

/// What a compass shows instead of the bearings given.
fn compass(declination_deg: f64) -> String {
    let size = declination_deg.abs();
    if !size.is_finite() || size < COMPASS_MATTERS_FROM_DEG {
        return "Bearings from true north; a compass needs no correction here.".to_owned();
    }
    let (side, turn) = if declination_deg > 0.0 { ("east", "less") } else { ("west", "more") };
    format!(
        "Bearings from true north. A compass needle points {size:.0}° {side} of it here: it reads {size:.0}° {turn}."
    )
}
