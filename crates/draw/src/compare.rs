use job::OutlookReport;

use crate::label::{Anchor, Area, fitted, text_at};
use crate::local_time::{LocalClock, night_name};
use crate::strip::{Span, TimeAxis, columns, hour_axis, window_bracket};
use crate::svg::{self, Element, line, rect};
use crate::theme::Palette;

/// Height of one site's row, px.
const ROW_PX: f64 = 64.0;
/// Sites drawn at most.
const MOST_SITES: usize = 40;

/// How a comparison is to look.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct CompareStyle {
    /// Width, px; 280 at least. The height follows from the number of sites.
    pub width_px: f64,
    /// Colours.
    pub palette: Palette,
}

/// Small strips of several sites under one another on one time axis: brightness and best window.
///
/// Hours are those of the first site's clock. Sites after the fortieth are left out and the description says so.
pub fn compare_sites(reports: &[&OutlookReport], style: &CompareStyle) -> String {
    let width_px = crate::strip::bounded(style.width_px, 280.0);
    let shown = &reports[..reports.len().min(MOST_SITES)];
    let theme = style.palette.theme();
    let font_px = 13.0;
    let height_px = shown.len() as f64 * ROW_PX + font_px + 14.0;
    let root = svg::root(width_px, height_px, &title(shown), &description(reports));
    let root = root.child(rect(0.0, 0.0, width_px, height_px, &theme.background.to_string()));
    let Some(span) = shown.iter().map(|report| Span::of(report)).reduce(Span::joined) else {
        return root.render();
    };
    let axis = TimeAxis { span, left: 44.0, width: width_px - 56.0 };
    let rows = shown.iter().enumerate().flat_map(|(index, report)| row(report, index as f64 * ROW_PX, &axis, style));
    let all = Area { left: axis.left, top: 0.0, width: axis.width, height: shown.len() as f64 * ROW_PX };
    let clock = LocalClock::of(&shown[0].request.site);
    root.children(rows).children(hour_axis(&clock, &axis, all, all.bottom(), font_px, style.palette)).render()
}

fn title(reports: &[&OutlookReport]) -> String {
    let night = reports.first().map(|report| night_name(report.night.date)).unwrap_or_default();
    format!("{} sites compared, {night}", reports.len())
}

fn description(reports: &[&OutlookReport]) -> String {
    let mut words: Vec<String> = reports
        .iter()
        .take(MOST_SITES)
        .map(|report| format!("{}: {}", report.request.site.name, report.strip_text))
        .collect();
    if reports.len() > MOST_SITES {
        words.push(format!("{} more sites are not drawn.", reports.len() - MOST_SITES));
    }
    words.join(" ")
}

/// Name above, small plot below.
fn row(report: &OutlookReport, top: f64, axis: &TimeAxis, style: &CompareStyle) -> Vec<Element> {
    let theme = style.palette.theme();
    let font_px = 13.0;
    let name = fitted(&report.request.site.name, font_px, axis.width - 170.0);
    let plot = Area { left: axis.left, top: top + 20.0, width: axis.width, height: ROW_PX - 24.0 };
    let mut out = vec![
        text_at(&name, axis.left, top + 15.0, font_px, Anchor::Start, theme.text),
        text_at(&best(report), axis.left + axis.width, top + 15.0, font_px, Anchor::End, theme.muted),
        rect(plot.left, plot.top, plot.width, plot.height, &theme.plot.to_string()),
    ];
    out.extend(columns(report, axis, plot, style.palette));
    let middle = plot.top + plot.height / 2.0;
    out.push(
        line((plot.left, middle), (plot.right(), middle), &theme.plot_muted.to_string(), 1.0)
            .with("stroke-dasharray", "2 5"),
    );
    out.push(text_at("10 kR", plot.left - 4.0, middle + 4.5, 12.0, Anchor::End, theme.muted));
    out.extend(window_bracket(report, axis, plot, font_px, theme, None));
    out
}

/// The best window in words.
fn best(report: &OutlookReport) -> String {
    let clock = LocalClock::of(&report.request.site);
    report.windows.first().map_or_else(
        || "no good window".to_owned(),
        |window| format!("best {} to {}", clock.time(window.from), clock.time(window.to)),
    )
}
