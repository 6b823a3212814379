use std::collections::{BTreeMap, BTreeSet};
use std::fs;

use anyhow::{Context, Result, bail};
use cargo_metadata::{DependencyKind, Metadata, PackageId};

use crate::workspace;

/// Folders of the crates that must run anywhere, WebAssembly included.
const PURE: [&str; 10] = ["quantity", "sky", "geomag", "aurora", "optics", "frame", "sequence", "scene", "job", "draw"];

/// Doors to the outside that the clippy.toml of every pure crate closes.
const CLOSED: [&str; 12] = [
    "std::env::temp_dir",
    "std::fs::read",
    "std::fs::read_to_string",
    "std::fs::write",
    "std::fs::File::open",
    "std::fs::File::create",
    "std::env::var",
    "std::time::Instant::now",
    "std::time::SystemTime::now",
    "std::thread::spawn",
    "std::net::TcpStream::connect",
    "std::net::TcpListener::bind",
];

/// Packages that bring a file system, a clock, threads or a network with them.
const OUTER: [&str; 14] = [
    "axum",
    "tokio",
    "hyper",
    "tower-http",
    "ureq",
    "reqwest",
    "rustls",
    "rusqlite",
    "libsqlite3-sys",
    "rayon",
    "rust-embed",
    "clap",
    "tempfile",
    "resvg",
];

/// Edges that are not followed: from, to, and why that does no harm.
const EXCUSED: [(&str, &str, &str); 1] = [(
    "heic-decoder",
    "rayon",
    "tiles are unpacked side by side; where there are no threads (WebAssembly) on the one there is",
)];

/// Fails where a pure crate leaves a door open or depends, however deep, on an outer package.
pub(crate) fn check() -> Result<()> {
    let metadata = workspace::metadata()?;
    let mut problems = Vec::new();
    for folder in PURE {
        problems.extend(open_doors(folder)?);
        problems.extend(outer_packages(&metadata, &format!("quietarc-{folder}")));
    }
    if problems.is_empty() { Ok(()) } else { bail!("{}", problems.join("\n")) }
}

fn open_doors(folder: &str) -> Result<Vec<String>> {
    let file = format!("crates/{folder}/clippy.toml");
    let text = fs::read_to_string(workspace::root()?.join(&file)).with_context(|| format!("{file} is missing"))?;
    let open = CLOSED.iter().filter(|door| !text.contains(&format!("\"{door}\"")));
    Ok(open.map(|door| format!("{file} does not disallow {door}")).collect())
}

fn outer_packages(metadata: &Metadata, name: &str) -> Vec<String> {
    let names: BTreeMap<&PackageId, &str> =
        metadata.packages.iter().map(|package| (&package.id, package.name.as_str())).collect();
    let Some(start) = metadata.packages.iter().find(|package| package.name.as_str() == name) else {
        return vec![format!("{name} is not in the workspace")];
    };
    let reached = reach(metadata, &names, &start.id);
    let outer = reached.iter().filter_map(|id| names.get(id)).filter(|reached| OUTER.contains(reached));
    outer.map(|outer| format!("{name} is to be pure and depends on {outer}")).collect()
}

/// Everything a package needs to run (not its tests, not its build scripts).
fn reach<'a>(
    metadata: &'a Metadata,
    names: &BTreeMap<&PackageId, &str>,
    start: &'a PackageId,
) -> BTreeSet<&'a PackageId> {
    let nodes: BTreeMap<&PackageId, _> =
        metadata.resolve.iter().flat_map(|resolve| &resolve.nodes).map(|node| (&node.id, node)).collect();
    let mut reached = BTreeSet::new();
    let mut waiting = vec![start];
    while let Some(id) = waiting.pop() {
        if !reached.insert(id) {
            continue;
        }
        let dependencies = nodes.get(id).into_iter().flat_map(|node| &node.deps);
        let needed = dependencies
            .filter(|dependency| dependency.dep_kinds.iter().any(|kind| kind.kind == DependencyKind::Normal))
            .map(|dependency| &dependency.pkg);
        waiting.extend(needed.filter(|to| !is_excused(names.get(id), names.get(to))));
    }
    reached
}

fn is_excused(from: Option<&&str>, to: Option<&&str>) -> bool {
    EXCUSED.iter().any(|(excused_from, excused_to, _)| (from, to) == (Some(excused_from), Some(excused_to)))
}
