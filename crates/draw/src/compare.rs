use job::{Recommendation, SiteOutlook};

use crate::label::{Anchor, Area, fitted, text_at};
use crate::local_time::{LocalClock, night_name};
use crate::strip::{Span, TimeAxis, columns, hour_axis, window_bracket};
use crate::svg::{self, Element, line, rect};
use crate::theme::Palette;

/// Height of one site's row, px.
const ROW_PX: f64 = 84.0;
/// Sites drawn at most.
const MOST_SITES: usize = 60;

/// How a comparison is to look.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct CompareStyle {
    /// Width, px; 280 at least. The height follows from the number of sites.
    pub width_px: f64,
    /// Colours.
    pub palette: Palette,
}

/// Small strips of several sites under one another on one time axis, in the order given: name, drive, chances and the
/// reason above, brightness and best window below.
///
/// Each row is a group with `data-site` (its place in the list, from 0), so that a page can follow a click.
/// Hours are those of the first site's clock. Sites after the sixtieth are left out and the description says so.
pub fn compare_sites(sites: &[SiteOutlook], style: &CompareStyle) -> String {
    let width_px = crate::strip::bounded(style.width_px, 280.0);
    let shown = &sites[..sites.len().min(MOST_SITES)];
    let theme = style.palette.theme();
    let font_px = 13.0;
    let height_px = shown.len() as f64 * ROW_PX + font_px + 14.0;
    let root = svg::root(width_px, height_px, &title(shown), &description(sites));
    let root = root.child(rect(0.0, 0.0, width_px, height_px, &theme.background.to_string()));
    let Some(span) = shown.iter().map(|site| Span::of(&site.night)).reduce(Span::joined) else {
        return root.render();
    };
    let axis = TimeAxis { span, left: 44.0, width: width_px - 56.0 };
    let rows = shown.iter().enumerate().map(|(index, site)| {
        Element::new("g").at("data-site", index as f64).children(row(site, index as f64 * ROW_PX, &axis, style))
    });
    let all = Area { left: axis.left, top: 0.0, width: axis.width, height: shown.len() as f64 * ROW_PX };
    let clock = LocalClock::of(&shown[0].site);
    root.children(rows).children(hour_axis(&clock, &axis, all, all.bottom(), font_px, style.palette)).render()
}

fn title(sites: &[SiteOutlook]) -> String {
    let night = sites.first().map(|site| night_name(site.night.date)).unwrap_or_default();
    format!("{} sites compared, {night}", sites.len())
}

fn description(sites: &[SiteOutlook]) -> String {
    let mut words: Vec<String> = sites
        .iter()
        .take(MOST_SITES)
        .map(|site| format!("{}: {}; {}.", site.site.name, facts(site), site.reason))
        .collect();
    if sites.len() > MOST_SITES {
        words.push(format!("{} more sites are not drawn.", sites.len() - MOST_SITES));
    }
    words.join(" ")
}

/// Name and facts above, small plot below.
fn row(site: &SiteOutlook, top: f64, axis: &TimeAxis, style: &CompareStyle) -> Vec<Element> {
    let theme = style.palette.theme();
    let font_px = 13.0;
    let name = fitted(&site.site.name, font_px + 1.0, axis.width * 0.55);
    let reason = fitted(&site.reason, font_px, axis.width * 0.42);
    let facts = fitted(&facts(site), font_px, axis.width);
    let plot = Area { left: axis.left, top: top + 38.0, width: axis.width, height: ROW_PX - 42.0 };
    let mut out = vec![
        text_at(&name, axis.left, top + 15.0, font_px + 1.0, Anchor::Start, theme.text),
        text_at(&reason, axis.left + axis.width, top + 15.0, font_px, Anchor::End, theme.text),
        text_at(&facts, axis.left, top + 32.0, font_px, Anchor::Start, theme.muted),
        rect(plot.left, plot.top, plot.width, plot.height, &theme.plot.to_string()),
    ];
    out.extend(columns(&site.steps, axis, plot, style.palette));
    let middle = plot.top + plot.height / 2.0;
    out.push(
        line((plot.left, middle), (plot.right(), middle), &theme.plot_muted.to_string(), 1.0)
            .with("stroke-dasharray", "2 5"),
    );
    out.push(text_at("10 kR", plot.left - 4.0, middle + 4.5, 12.0, Anchor::End, theme.muted));
    out.extend(window_bracket(&site.windows, axis, plot, font_px, theme, None));
    out
}

/// Advice, chances, best window and drive in words.
fn facts(site: &SiteOutlook) -> String {
    let clock = LocalClock::of(&site.site);
    let advice = match site.recommendation {
        Recommendation::Go => "go",
        Recommendation::Perhaps => "perhaps",
        Recommendation::Stay => "stay",
        Recommendation::CannotTell => "cannot tell",
    };
    let mut facts = vec![advice.to_owned()];
    if let Some(chances) = site.chances {
        facts.push(format!(
            "eye {}, camera {}",
            job::chance_words(chances.eye_sees),
            job::chance_words(chances.camera_records)
        ));
    }
    facts.push(site.windows.first().map_or_else(
        || "no good window".to_owned(),
        |window| format!("best {} to {}", clock.time(window.from), clock.time(window.to)),
    ));
    if let Some(minutes) = site.site.drive_minutes {
        facts.push(format!("{minutes:.0} min on the road"));
    }
    facts.join(" · ")
}
