use anyhow::{Result, bail};

use super::spdx;
use crate::workspace;

/// Licences under which a dependency may come; none of them asks anything of the program but a notice.
pub(super) const ALLOWED: [&str; 15] = [
    "0BSD",
    "Apache-2.0",
    "BSD-2-Clause",
    "BSD-3-Clause",
    "BSL-1.0",
    "BlueOak-1.0.0",
    "CC0-1.0",
    "CDLA-Permissive-2.0",
    "ISC",
    "MIT",
    "MIT-0",
    "Unicode-3.0",
    "Unlicense",
    "Zlib",
    "OFL-1.1",
];

/// Packages that the list cannot judge, each looked at by hand: name, version, and why it may come.
const LOOKED_AT: [(&str, &str, &str); 3] = [
    ("jpeg-encoder", "0.7.1", "IJG beside MIT: asks for one sentence in the documentation, which docs/desk.md has"),
    ("nom-exif", "3.8.0", "names its licence by file alone; the file is the MIT licence"),
    ("rawler", "0.8.0", "LGPL-2.1: alone behind the feature `makers` of crates/raw, and this program comes as source"),
];

/// Fails on a crate whose licence is missing or cannot be met from the list.
pub(crate) fn check() -> Result<()> {
    let problems: Vec<String> = workspace::metadata_of_all_features()?
        .packages
        .iter()
        .filter(|package| !was_looked_at(&package.name, &package.version.to_string()))
        .filter(|package| !package.license.as_deref().is_some_and(|licence| spdx::is_met(licence, &ALLOWED)))
        .map(|package| {
            let licence = package.license.as_deref().unwrap_or("no licence named");
            format!("{} {}: {licence}", package.name, package.version)
        })
        .collect();
    if problems.is_empty() { Ok(()) } else { bail!("licences not on the list:\n{}", problems.join("\n")) }
}

fn was_looked_at(name: &str, version: &str) -> bool {
    LOOKED_AT.iter().any(|(looked_at, seen, _)| (*looked_at, *seen) == (name, version))
}
