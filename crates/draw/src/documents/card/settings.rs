//! Three settings to dial in.

use job::{ExposeSetting, FieldPlan, SettingGoal};

use super::html::{block, heading, paragraph, span};
use crate::documents::plain_text::at_most;
use crate::svg::Element;

/// Settings shown.
const SHOWN: usize = 3;
/// Characters of the kit's name: with the words around it one line.
const LONGEST_KIT: usize = 30;
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
    let kit = at_most(&expose.request.kit.name, LONGEST_KIT);
    let mut out = vec![heading(&format!("Settings for {kit}; focus on a star first"))];
    out.extend(wanted.take(SHOWN).map(setting));
    out.extend(expose.warnings.first().map(|warning| paragraph("small", &at_most(warning, 120))));
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
        .child(paragraph("small", &at_most(&remark(setting), 110)))
}

/// What one wants to know of a setting when it is the one taken.
fn remark(setting: &ExposeSetting) -> String {
    match setting.goal {
        SettingGoal::Sharper => format!(
            "stars trail {:.1} px, folds move {:.0} px, signal {:.0} times the noise",
            setting.trail_px, setting.blur_px.value, setting.snr_screen.value
        ),
        SettingGoal::Headroom if setting.spare_stops.value > 0.0 => {
            format!("{:.1} stops to spare when it brightens several times over; shoot raw", setting.spare_stops.value)
        }
        SettingGoal::Headroom => {
            "still clips when it brightens several times over: less time then; shoot raw".to_owned()
        }
        SettingGoal::Balanced | SettingGoal::Cleaner | SettingGoal::SharpCorners | SettingGoal::Brighter => {
            setting.limit_text.clone()
        }
    }
}
