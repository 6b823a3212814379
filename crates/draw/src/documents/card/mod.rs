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

use job::{FieldPlan, OutlookReport};

use self::html::{block, heading, paragraph};
use super::plain_text::at_most;
use crate::bowl::{self, BowlStyle};
use crate::local_time::{LocalClock, night_name};
use crate::strip::{self, StripStyle};
use crate::svg::Element;
use crate::theme::Palette;

/// Characters of a name kept: a longer one would push something else off the page.
const LONGEST_NAME: usize = 48;
/// Size of the strip as drawn, px: its letters come out at 8 points on the page.
const STRIP_PX: (f64, f64) = (920.0, 186.0);
/// Size of the bowl as drawn, px.
const BOWL_PX: f64 = 400.0;

/// An outlook and its plan as one self-contained HTML document that prints on one page of A4 or of US letter.
///
/// On paper it is black on white and needs no colour: it is read by a red torch. On a screen it starts red on black, with a switch to
/// desk light, for it is opened outside by eyes that have adapted. No script, nothing fetched, both by its own policy. Every list
/// and every text that somebody typed is bounded, so that the page holds whatever the report says; what is left out is counted.
pub fn field_card(report: &OutlookReport, plan: &FieldPlan) -> String {
    let night = night_name(report.night.date);
    let title = format!("{}, {night}", at_most(&report.request.site.name, LONGEST_NAME));
    let sheet = Element::new("main")
        .child(night::header(report))
        .child(night::verdict(report))
        .children(night::windows(report))
        .child(both_eyes("strip", |palette| strip::picture(report, &strip_style(palette))))
        .child(middle(report, plan))
        .children(sites::table(report))
        .child(block("foot").children(sources::columns(report)))
        .child(footer(report));
    let head = Element::new("head")
        .child(Element::new("meta").with("charset", "utf-8"))
        .child(Element::new("meta").with("http-equiv", "Content-Security-Policy").with("content", sheet::POLICY))
        .child(Element::new("meta").with("name", "viewport").with("content", "width=device-width, initial-scale=1"))
        .child(Element::new("title").text(&title))
        .child(Element::new("style").text(&sheet::style()));
    let switch = Element::new("input").with("type", "checkbox").with("id", "light");
    let label = Element::new("label").with("for", "light").text("Desk light");
    let body = Element::new("body").child(switch).child(label).child(sheet);
    format!("<!doctype html>\n{}", Element::new("html").with("lang", "en").child(head).child(body).render())
}

fn strip_style(palette: Palette) -> StripStyle {
    StripStyle { width_px: STRIP_PX.0, height_px: STRIP_PX.1, palette, caption: false, cursor: None }
}

/// A picture for paper and desk and the same for dark eyes; the style sheet shows one of them.
fn both_eyes(class: &str, draw: impl Fn(Palette) -> Element) -> Element {
    block(class).child(block("paper").child(draw(Palette::Print))).child(block("eyes").child(draw(Palette::DarkEyes)))
}

/// The sky on the left; where to point, what to set and the weather on the right.
fn middle(report: &OutlookReport, plan: &FieldPlan) -> Element {
    let clock = LocalClock::of(&report.request.site);
    let when = format!("The sky at {} {}", clock.time(plan.at), clock.zone_name(plan.at));
    let outline = plan.stand.as_ref().map(|stand| stand.outline.as_slice());
    let sky = match &plan.sky {
        Some(sky) => both_eyes("bowl", |palette| {
            bowl::picture(sky, &BowlStyle { size_px: BOWL_PX, palette, frame_outline: outline })
        }),
        None => paragraph("", "No aurora is reckoned for this night, so no sky is drawn."),
    };
    let left = block("sky").child(heading(&when)).child(sky);
    let right = block("plan")
        .children(look::section(report, plan))
        .children(settings::section(plan))
        .children(surroundings::section(report, plan));
    block("middle").child(left).child(right)
}

fn footer(report: &OutlookReport) -> Element {
    let clock = LocalClock::of(&report.request.site);
    let asked = report.request.asked_at;
    Element::new("footer").text(&format!(
        "Asked {} {} {}. Ranges hold about two times in three. A prediction, not a promise: nobody has called any road, ice or place \
         here safe. Made by Quietarc.",
        clock.day(asked),
        clock.time(asked),
        clock.zone_name(asked)
    ))
}
