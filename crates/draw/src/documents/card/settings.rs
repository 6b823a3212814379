//! Three settings to dial in.

use job::{ExposeSetting, FieldPlan, SettingGoal};

use super::html::{block, heading, paragraph, span};
use crate::documents::plain_text::at_most;
use crate::svg::Element;

/// Settings shown.
const SHOWN: usize = 3;
/// Which of them, most wanted first: outside, the light changes; what to do when it moves or brightens comes before a cleaner picture.
const WANTED: [SettingGoal; 6] = [
    SettingGoal::Balanced,
    SettingGoal::Sharper,
    SettingGoal::Headroom,
    SettingGoal::Cleaner,
    SettingGoal::SharpCorners,
    SettingGoal::Brighter,
];

pub(super) fn section(plan: &FieldPlan) -> Vec<Element> {
    let Some(expose) = &plan.expose else { return Vec::new() };
    let wanted = WANTED.iter().flat_map(|goal| expose.settings.iter().filter(move |setting| setting.goal == *goal));
    let mut out = vec![heading("Settings, focus on a star first")];
    out.extend(wanted.take(SHOWN).map(setting));
    let kit = at_most(&expose.request.kit.name, 60);
    let warning = expose.warnings.first().map_or_else(String::new, |warning| format!(" {}", at_most(warning, 120)));
    out.push(paragraph("small", &format!("For {kit}.{warning}")));
    out
}

fn setting(setting: &ExposeSetting) -> Element {
    let when = match setting.goal {
        SettingGoal::Balanced => "start with",
        SettingGoal::Sharper => "rays run",
        SettingGoal::Headroom => "it brightens",
        SettingGoal::Cleaner => "nothing moves",
        SettingGoal::SharpCorners => "sharper corners",
        SettingGoal::Brighter => "to see more on the screen",
    };
    block("setting")
        .child(Element::new("p").child(span("when", when)).child(span("dial", &setting.dial)))
        .child(paragraph("small", &at_most(&setting.limit_text, 110)))
}
