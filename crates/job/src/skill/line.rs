//! The record in words.

use super::{ChanceScores, FEWEST_TO_JUDGE};

/// Said while nothing is scored.
pub(crate) const NO_RECORD: &str = "No outings scored yet: the outlook has no record of its own skill.";

/// One honest line: counts first, a judgement only from enough outings.
pub(super) fn past_skill(eye: &ChanceScores, lost_to_cloud: usize, invented: bool) -> String {
    if eye.count == 0 {
        return match lost_to_cloud {
            0 => NO_RECORD.to_owned(),
            lost => {
                format!("No outing can be scored yet ({lost} under cloud): the outlook has no record of its own skill.")
            }
        };
    }
    let outings = match (eye.count, invented) {
        (1, false) => "1 outing".to_owned(),
        (1, true) => "1 invented outing".to_owned(),
        (count, false) => format!("{count} outings"),
        (count, true) => format!("{count} invented outings"),
    };
    let less_likely = eye.count - eye.said_likely;
    let cloud = if lost_to_cloud == 0 { String::new() } else { format!(", {lost_to_cloud} under cloud") };
    format!(
        "{outings} kept{cloud}: said \"eye likely\" {}, seen {}; said \"eye unlikely\" {}, seen {}. {}",
        times(eye.said_likely),
        eye.likely_came_true,
        times(less_likely),
        eye.came_true - eye.likely_came_true,
        judgement(eye)
    )
}

fn times(count: usize) -> String {
    if count == 1 { "once".to_owned() } else { format!("{count} times") }
}

fn judgement(eye: &ChanceScores) -> String {
    let Some(brier) = eye.brier.filter(|_| eye.enough) else {
        return format!("Too few to judge (n={}, from {FEWEST_TO_JUDGE}).", eye.count);
    };
    match eye.skill {
        None => format!("Brier score {brier:.2}; all ended alike, so skill cannot be told."),
        Some(skill) if skill > 0.0 => {
            format!("Brier score {brier:.2}, {:.0} % better than always saying this record's share.", skill * 100.0)
        }
        Some(_) => format!("Brier score {brier:.2}, no better than always saying this record's share."),
    }
}

pub(super) fn limits() -> Vec<String> {
    [
        "Outings are the nights somebody went out, mostly the promising ones: chances of other nights are not scored.",
        "The share that these scores are compared with is that of the same outings, known only afterwards.",
        "Met means at any time of the night; the chance is that of the best moment, so a long watch flatters low chances.",
        "Brightness told by a person, or out of a developed picture, is an estimate.",
    ]
    .map(str::to_owned)
    .to_vec()
}
