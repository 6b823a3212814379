//! What the card rests on, what would change it, what to mind.

use job::{OutlookReport, age_words};
use quantity::{InputNote, InputState};

use super::html::{block, heading, list};
use crate::documents::plain_text::at_most;
use crate::svg::Element;

/// Lines of each list, and characters of a line.
const MOST_INPUTS: usize = 7;
const LONGEST_INPUT: usize = 84;
const LONGEST_RECORD: usize = 220;
const MOST_CHANGES: usize = 3;
const LONGEST_CHANGE: usize = 120;
const MOST_CAUTIONS: usize = 6;
const LONGEST_CAUTION: usize = 230;

pub(super) fn columns(report: &OutlookReport) -> Vec<Element> {
    let mut inputs = bounded(report.inputs.iter().map(input).collect(), MOST_INPUTS);
    if !report.past_skill.is_empty() {
        inputs.push(at_most(&report.past_skill, LONGEST_RECORD));
    }
    let changes = report.would_change.iter().map(|change| at_most(change, LONGEST_CHANGE)).collect();
    let changes = bounded(changes, MOST_CHANGES);
    let cautions = report
        .cautions
        .iter()
        .map(|caution| format!("{} Ask: {}.", at_most(&caution.text, LONGEST_CAUTION), at_most(&caution.defer_to, 80)));
    let mind = section("Mind", bounded(cautions.collect(), MOST_CAUTIONS));
    let rests = [section("What would change it", changes), section("What it rests on", inputs)].concat();
    let columns = [("rests", rests), ("mind", mind)].into_iter();
    columns.filter(|(_, parts)| !parts.is_empty()).map(|(class, parts)| block(class).children(parts)).collect()
}

/// A heading and its list; nothing where the list is empty.
fn section(title: &str, lines: Vec<String>) -> Vec<Element> {
    if lines.is_empty() { Vec::new() } else { vec![heading(title), list(lines)] }
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
