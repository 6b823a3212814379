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

/// Fails on a crate whose licence is missing or cannot be met from the list.
pub(crate) fn check() -> Result<()> {
    let problems: Vec<String> = workspace::metadata()?
        .packages
        .iter()
        .filter(|package| !package.license.as_deref().is_some_and(|licence| spdx::is_met(licence, &ALLOWED)))
        .map(|package| {
            let licence = package.license.as_deref().unwrap_or("no licence named");
            format!("{} {}: {licence}", package.name, package.version)
        })
        .collect();
    if problems.is_empty() { Ok(()) } else { bail!("licences not on the list:\n{}", problems.join("\n")) }
}
