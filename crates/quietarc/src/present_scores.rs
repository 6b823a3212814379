//! Scores as text for a terminal.

use std::fmt::Write;

use job::{ChanceScores, ScoresReport};

use crate::present::list;

/// Appends a line; writing to a String cannot fail.
macro_rules! line {
    ($out:expr, $($argument:tt)*) => {
        let _written = writeln!($out, $($argument)*);
    };
}

pub(crate) fn scores(report: &ScoresReport) -> String {
    let mut out = String::new();
    line!(out, "{}", report.past_skill);
    chances(&mut out, "Chance by eye", &report.eye, report.fewest_to_judge);
    chances(&mut out, "Chance by camera", &report.camera, report.fewest_to_judge);
    if let Some(bias) = &report.brightness {
        let error = bias.standard_error_dex.map_or_else(String::new, |error| format!(" +- {error:.2}"));
        line!(out, "\nBrightness met against predicted: {:+.2}{error} dex (n={})", bias.mean_dex, bias.count);
    }
    if report.lost_to_cloud + report.left_out_hindsight > 0 {
        line!(
            out,
            "\nUnder cloud: {}; left out, asked for after the event: {}",
            report.lost_to_cloud,
            report.left_out_hindsight
        );
    }
    list(&mut out, "Limits", &report.limits);
    out
}

fn chances(out: &mut String, title: &str, scores: &ChanceScores, fewest: usize) {
    let Some(brier) = scores.brier else {
        line!(out, "\n{title}: no record yet");
        return;
    };
    let few = if scores.enough { String::new() } else { format!(", too few to judge: from {fewest}") };
    line!(out, "\n{title} (n={}{few})", scores.count);
    line!(out, "  said       outings  came true  mean chance  share came true (95 %)");
    for row in &scores.table {
        line!(
            out,
            "  {:.1}-{:.1}    {:7}  {:9}  {:11.2}  {:.2} ({:.2} to {:.2})",
            row.from,
            row.to,
            row.count,
            row.came_true,
            row.mean_chance,
            row.share,
            row.share_low,
            row.share_high
        );
    }
    let skill = scores.skill.map_or_else(|| "none: all ended alike".to_owned(), |skill| format!("{skill:+.2}"));
    line!(out, "  Brier score {brier:.3}; skill against this record's own share {skill}");
    if let (Some(reliability), Some(resolution), Some(uncertainty), Some(within)) =
        (scores.reliability, scores.resolution, scores.uncertainty, scores.within_groups)
    {
        line!(
            out,
            "  = reliability {reliability:.3} - resolution {resolution:.3} + uncertainty {uncertainty:.3} {within:+.3} within groups"
        );
    }
}
