//! The field card: one sheet of paper for a night outside.

mod direction;
mod html;
mod look;
mod night;
mod settings;
mod sheet;
mod sites;
mod sources;
mod surroundings;

use job::{FieldPlan, OutlookReport, SkymapReport};

use self::html::{block, heading, paragraph};
use super::plain_text::at_most;
use crate::bowl::{self, BowlStyle, Words};
use crate::local_time::{LocalClock, night_name};
use crate::strip::{self, StripStyle};
use crate::svg::Element;
use crate::theme::Palette;

/// Characters of a name kept: a longer one would push something else off the page.
const LONGEST_NAME: usize = 48;
/// Size of the strip as drawn for paper, px: its letters come out at 8 points on the page.
const WIDE_STRIP_PX: (f64, f64) = (920.0, 162.0);
/// The same for a phone.
const NARROW_STRIP_PX: (f64, f64) = (390.0, 190.0);
/// Size of the bowl as drawn, px.
const BOWL_PX: f64 = 400.0;

/// An outlook and its plan as one self-contained HTML document that prints on one page of A4 or of US letter.
///
/// On paper it is black on white and needs no colour: it is read by a red torch. On a screen it starts red on black, with a switch to
/// desk light, for it is opened outside by eyes that have adapted. No script, nothing fetched, both by its own policy. Every list
/// and every text that somebody typed is bounded, so that the page holds whatever the report says; what is left out is counted.
pub fn field_card(report: &OutlookReport, plan: &FieldPlan) -> String {
    let night = night_name(report.night.date);
    let title = format!("{}, {night}", site_name(report));
    let sheet = block("sheet")
        .child(night::header(report))
        .child(night::verdict(report))
        .children(night::windows(report))
        .child(strip(report))
        .child(middle(report, plan))
        .children(sites::table(report))
        .children(foot(report))
        .child(footer(report));
    let head = Element::new("head")
        .child(Element::new("meta").with("charset", "utf-8"))
        .child(Element::new("meta").with("http-equiv", "Content-Security-Policy").with("content", sheet::POLICY))
        .child(Element::new("meta").with("name", "viewport").with("content", "width=device-width, initial-scale=1"))
        .child(Element::new("title").text(&title))
        .child(Element::new("style").text(&sheet::style()));
    let switch = Element::new("input").with("type", "checkbox").with("id", "light");
    let label = Element::new("label").with("for", "light").text("Desk light");
    let body = Element::new("body").child(Element::new("main").child(switch).child(label).child(sheet));
    format!("<!doctype html>\n{}", Element::new("html").with("lang", "en").child(head).child(body).render())
}

/// What the site is called, cut to a line.
fn site_name(report: &OutlookReport) -> String {
    let name = at_most(&report.request.site.name, LONGEST_NAME);
    if name.is_empty() { "A site without a name".to_owned() } else { name }
}

/// The night strip three times over, of which the style sheet shows one: for paper and a wide screen, for a phone, for dark eyes.
fn strip(report: &OutlookReport) -> Element {
    let drawn = |(width_px, height_px): (f64, f64), palette| {
        strip::picture(report, &StripStyle { width_px, height_px, palette, caption: false, cursor: None })
    };
    block("strip")
        .child(block("paper wide").child(drawn(WIDE_STRIP_PX, Palette::Print)))
        .child(block("paper narrow").child(drawn(NARROW_STRIP_PX, Palette::Print)))
        .child(block("eyes").child(drawn(NARROW_STRIP_PX, Palette::DarkEyes)))
}

/// The sky on the left; where to point, what to set and the weather on the right.
fn middle(report: &OutlookReport, plan: &FieldPlan) -> Element {
    let clock = LocalClock::of(&report.request.site);
    let when = format!("The sky at {} {}", clock.time(plan.at), clock.zone_name(plan.at));
    let sky = sky(report, plan, &when)
        .unwrap_or_else(|| paragraph("", "No aurora is reckoned for this night, so no sky is drawn."));
    let left = block("sky").child(heading(&when)).child(sky);
    let right = block("plan")
        .children(look::section(report, plan))
        .children(settings::section(plan))
        .children(surroundings::section(report, plan));
    block("middle").child(left).child(right)
}

/// The bowl with the frame on it. Its mark stands where the outlook says to look, so that card and bowl name one direction: the
/// map's own, on a finer grid, may lie elsewhere along the same arc.
fn sky(report: &OutlookReport, plan: &FieldPlan, when: &str) -> Option<Element> {
    let sky = plan.sky.as_ref()?;
    let look = report.steps.iter().find(|step| step.at == plan.at)?.brightest.as_ref()?.direction;
    let text = format!(
        "{when}: the aurora stands out most {}, bearing {}.",
        direction::height_words(look),
        direction::bearing_words(look.azimuth_deg)
    );
    let shown = SkymapReport { brightest: look, text, ..sky.clone() };
    let outline = plan.stand.as_ref().map(|stand| stand.outline.as_slice());
    let drawn =
        |palette| bowl::picture(&shown, &BowlStyle { size_px: BOWL_PX, palette, frame_outline: outline }, Words::Ramp);
    Some(
        block("bowl")
            .child(block("paper narrow wide").child(drawn(Palette::Print)))
            .child(block("eyes").child(drawn(Palette::DarkEyes))),
    )
}

/// What it rests on and what to mind, side by side; nothing where the report has neither.
fn foot(report: &OutlookReport) -> Option<Element> {
    let columns = sources::columns(report);
    (!columns.is_empty()).then(|| block("foot").children(columns))
}

fn footer(report: &OutlookReport) -> Element {
    let clock = LocalClock::of(&report.request.site);
    let asked = report.request.asked_at;
    Element::new("footer").text(&format!(
        "Asked {} {} {}. Ranges hold about two times in three. A prediction: it calls no road, ice or place safe. Quietarc.",
        clock.day(asked),
        clock.time(asked),
        clock.zone_name(asked)
    ))
}
