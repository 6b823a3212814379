use anyhow::{Result, bail};
use cargo_metadata::TargetKind;

use crate::{say, step, workspace};

/// Criterion settings for a quick look rather than a verdict on the last percent.
const SHORT: [&str; 6] = ["--warm-up-time", "0.5", "--measurement-time", "1", "--sample-size", "20"];

/// How the lines of benches begin that are none of criterion's.
const OWN_LINES: [&str; 4] = ["check/", "sort/", "clip/", "desk/"];

/// One line of the table.
#[derive(Debug, PartialEq, Eq)]
struct Timing {
    name: String,
    /// Low, middle and high of the mean, as criterion prints them.
    range: String,
}

/// Runs every benchmark of the workspace and prints one table.
pub(crate) fn run(filter: Option<&str>) -> Result<()> {
    let mut table = Vec::new();
    for (package, bench) in benches()? {
        let mut arguments = vec!["bench", "--package", &package, "--bench", &bench, "--"];
        arguments.extend(SHORT);
        arguments.extend(filter);
        let kept = step::run_and_keep(&format!("bench {package}"), &mut workspace::cargo(&arguments)?)?;
        if !kept.ended_well {
            bail!("the benchmark {bench} of {package} failed");
        }
        table.extend(timings(&kept.text));
    }
    let width = table.iter().map(|timing| timing.name.chars().count()).max().unwrap_or(0);
    say::line("");
    for Timing { name, range } in &table {
        say::line(&format!("{name:width$}  {range}"));
    }
    Ok(())
}

fn benches() -> Result<Vec<(String, String)>> {
    let metadata = workspace::metadata()?;
    let found = metadata.workspace_packages().into_iter().flat_map(|package| {
        let benches = package.targets.iter().filter(|target| target.kind.contains(&TargetKind::Bench));
        benches.map(|target| (package.name.to_string(), target.name.clone())).collect::<Vec<_>>()
    });
    Ok(found.collect())
}

/// Criterion prints `name  time: [low middle high]`, or a long name on a line of its own.
fn timings(output: &str) -> Vec<Timing> {
    let mut found = Vec::new();
    let mut last_line = "";
    for line in output.lines() {
        if let Some((before, after)) = line.split_once("time:") {
            let name = if before.trim().is_empty() { last_line } else { before };
            found.push(Timing { name: name.trim().to_owned(), range: after.trim().to_owned() });
        }
        // benches that compare within one run print lines of their own: "check/decode alone: 170 ms"
        if let Some((name, range)) = line.split_once(": ")
            && OWN_LINES.iter().any(|own| name.starts_with(own))
        {
            found.push(Timing { name: name.to_owned(), range: range.to_owned() });
        }
        last_line = line;
    }
    found
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn short_and_long_names_are_read() {
        let output = "sun   time:   [1.0 us 1.1 us 1.2 us]\na very long name\n      time:   [2 ms 3 ms 4 ms]\n";
        let names: Vec<_> = timings(output).into_iter().map(|t| (t.name, t.range)).collect();
        let own = timings("check/measures over decode, 24 MP: ratio 1.90\nCompiling x: y\n");
        assert_eq!(own.len(), 1);
        assert_eq!(own[0].range, "ratio 1.90");
        assert_eq!(names[0], ("sun".to_owned(), "[1.0 us 1.1 us 1.2 us]".to_owned()));
        assert_eq!(names[1], ("a very long name".to_owned(), "[2 ms 3 ms 4 ms]".to_owned()));
    }
}
