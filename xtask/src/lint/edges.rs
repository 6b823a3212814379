use std::collections::BTreeMap;

use anyhow::{Result, bail};

use crate::workspace;

/// Which crates of ours a crate may name, tests included. The order is from the bottom up.
const ALLOWED: [(&str, &[&str]); 15] = [
    ("quietarc-quantity", &[]),
    ("quietarc-sky", &["quietarc-quantity"]),
    ("quietarc-geomag", &["quietarc-quantity"]),
    ("quietarc-optics", &["quietarc-quantity"]),
    ("quietarc-frame", &["quietarc-sky", "quietarc-optics", "quietarc-quantity"]),
    ("quietarc-raw", &["quietarc-frame", "quietarc-optics"]),
    ("quietarc-aurora", &["quietarc-sky", "quietarc-geomag", "quietarc-quantity"]),
    (
        "quietarc-sequence",
        &[
            "quietarc-frame",
            "quietarc-aurora",
            "quietarc-sky",
            "quietarc-geomag",
            "quietarc-optics",
            "quietarc-quantity",
        ],
    ),
    (
        "quietarc-job",
        &[
            "quietarc-sequence",
            "quietarc-aurora",
            "quietarc-raw",
            "quietarc-frame",
            "quietarc-sky",
            "quietarc-geomag",
            "quietarc-optics",
            "quietarc-quantity",
        ],
    ),
    // rendered nights for the demo and for tests; `frame` reads them back in its tests
    (
        "quietarc-scene",
        &[
            "quietarc-quantity",
            "quietarc-sky",
            "quietarc-geomag",
            "quietarc-aurora",
            "quietarc-optics",
            "quietarc-frame",
        ],
    ),
    ("quietarc-draw", &["quietarc-quantity", "quietarc-job"]),
    ("quietarc-feeds", &["quietarc-quantity", "quietarc-job"]),
    ("quietarc-journal", &["quietarc-quantity", "quietarc-job"]),
    (
        "quietarc",
        &[
            "quietarc-quantity",
            "quietarc-sky",
            "quietarc-geomag",
            "quietarc-optics",
            "quietarc-aurora",
            "quietarc-job",
            "quietarc-draw",
            "quietarc-feeds",
            "quietarc-journal",
            "quietarc-frame",
            "quietarc-raw",
            "quietarc-sequence",
            "quietarc-scene",
        ],
    ),
    ("xtask", &[]),
];

/// Fails on an edge between our crates that the table does not allow.
pub(crate) fn check() -> Result<()> {
    let metadata = workspace::metadata()?;
    let ours: Vec<String> = metadata.workspace_packages().iter().map(|package| package.name.to_string()).collect();
    let edges: Vec<(String, String)> = metadata
        .workspace_packages()
        .iter()
        .flat_map(|package| {
            let from = package.name.to_string();
            package.dependencies.iter().map(move |dependency| (from.clone(), dependency.name.clone()))
        })
        .filter(|(_, to)| ours.contains(to))
        .collect();
    let problems = problems(&ours, &edges);
    if problems.is_empty() { Ok(()) } else { bail!("{}", problems.join("\n")) }
}

fn problems(crates: &[String], edges: &[(String, String)]) -> Vec<String> {
    let allowed: BTreeMap<&str, &[&str]> = ALLOWED.into_iter().collect();
    let unknown = crates
        .iter()
        .filter(|name| !allowed.contains_key(name.as_str()))
        .map(|name| format!("{name} is not in the table of xtask/src/lint/edges.rs; say what it may depend on"));
    let refused = edges
        .iter()
        .filter(|(from, to)| allowed.get(from.as_str()).is_some_and(|list| !list.contains(&to.as_str())))
        .map(|(from, to)| format!("{from} must not depend on {to}, in tests neither"));
    unknown.chain(refused).collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    fn edge(from: &str, to: &str) -> (String, String) {
        (from.to_owned(), to.to_owned())
    }

    #[test]
    fn physics_may_not_look_up() {
        let edges = [edge("quietarc-sky", "quietarc-quantity"), edge("quietarc-sky", "quietarc-job")];
        assert_eq!(problems(&[], &edges), ["quietarc-sky must not depend on quietarc-job, in tests neither"]);
    }

    #[test]
    fn a_new_crate_needs_a_row() {
        assert_eq!(problems(&["quietarc-new".to_owned()], &[]).len(), 1);
    }
}
