//! Documents read back by libraries of others.

mod calendar;
mod card;
mod geojson;
mod gpx;
mod names;

use job::OutlookReport;

use crate::sample;

/// An outlook with three sites compared: the one asked about is the second best.
fn compared() -> OutlookReport {
    let mut report = sample::normal().outlook();
    report.request.site.drive_minutes = Some(54.2);
    report.cautions = job::cautions();
    let mut best = sample::normal().row("the clearest line of sight");
    "Marrow Head".clone_into(&mut best.site.name);
    let mut last = sample::normal().row("more cloud on the line of sight");
    "Ternholm Lake".clone_into(&mut last.site.name);
    last.windows.clear();
    last.site.drive_minutes = None;
    report.ranking = vec![best, sample::normal().row("a longer drive"), last];
    report
}
