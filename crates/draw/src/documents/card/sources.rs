//! What the card rests on, what would change it, what to mind.

use job::{OutlookReport, age_words};
use quantity::{InputNote, InputState};

use super::html::{block, heading, list};
use crate::documents::plain_text::at_most;
use crate::svg::Element;

/// Lines of each list, and characters of a line.
const MOST_INPUTS: usize = 8;
const LONGEST_INPUT: usize = 96;
const MOST_CHANGES: usize = 3;
const LONGEST_CHANGE: usize = 130;
const MOST_CAUTIONS: usize = 6;
const LONGEST_CAUTION: usize = 230;

pub(super) fn columns(report: &OutlookReport) -> [Element; 2] {
    let inputs = bounded(report.inputs.iter().map(input).collect(), MOST_INPUTS);
    let changes = report.would_change.iter().map(|change| at_most(change, LONGEST_CHANGE)).collect();
    let changes = bounded(changes, MOST_CHANGES);
    let cautions = report
        .cautions
        .iter()
        .map(|caution| format!("{} Ask: {}.", at_most(&caution.text, LONGEST_CAUTION), at_most(&caution.defer_to, 80)));
    let mut rests = block("rests");
    if !changes.is_empty() {
        rests = rests.child(heading("What would change it")).child(list("", changes));
    }
    rests = rests.child(heading("What it rests on")).child(list("", inputs));
    [rests, block("mind").child(heading("Mind")).child(list("", bounded(cautions.collect(), MOST_CAUTIONS)))]
}

/// The first lines of a list, and how many are left out.
fn bounded(mut lines: Vec<String>, most: usize) -> Vec<String> {
    if lines.len() > most {
        let left_out = lines.len() + 1 - most;
        lines.truncate(most - 1);
        lines.push(format!("and {left_out} more"));
    }
    lines
}

fn input(input: &InputNote) -> String {
    let age = input.age_minutes.map_or_else(String::new, |minutes| format!(", {}", age_words(minutes)));
    let state = match input.state {
        InputState::Fresh | InputState::Record | InputState::Given => "",
        InputState::Stale => ", STALE",
        InputState::Assumed => ", assumed",
    };
    format!("{}: {}{age}{state}", at_most(&input.name, 24), at_most(&input.source, LONGEST_INPUT))
}
