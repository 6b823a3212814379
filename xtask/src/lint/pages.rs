use std::collections::BTreeMap;
use std::fs;

use anyhow::{Context, Result, bail};
use serde_json::Value;

use super::{licences, spdx};
use crate::{step, web};

/// Types, lint, formatting of the front end, and the licences of what is bundled into the pages.
pub(crate) fn check() -> Result<()> {
    web::install()?;
    bundled_licences()?;
    step::run("svelte-check", &mut web::npm(&["run", "check"])?)?;
    step::run("eslint and prettier", &mut web::npm(&["run", "lint"])?)
}

/// What npm's lock file says of one package.
struct Locked {
    name: String,
    licence: String,
}

/// Only what lands in the pages counts as production here: it is built from development packages by name.
const BUNDLED: [&str; 1] = ["svelte"];

fn bundled_licences() -> Result<()> {
    let text =
        fs::read_to_string(web::folder()?.join("package-lock.json")).context("web/package-lock.json is missing")?;
    let lock: Value = serde_json::from_str(&text).context("web/package-lock.json is not JSON")?;
    let problems: Vec<String> = bundled(&packages(&lock))
        .into_iter()
        .filter(|package| !spdx::is_met(&package.licence, &licences::ALLOWED))
        .map(|package| format!("npm {}: {}", package.name, package.licence))
        .collect();
    if problems.is_empty() { Ok(()) } else { bail!("licences not on the list:\n{}", problems.join("\n")) }
}

struct Entry {
    licence: String,
    is_dev: bool,
    dependencies: Vec<String>,
}

fn packages(lock: &Value) -> BTreeMap<String, Entry> {
    let listed = lock["packages"].as_object().into_iter().flatten();
    listed
        .filter_map(|(path, entry)| {
            let name = path.rsplit_once("node_modules/")?.1.to_owned();
            let dependencies = entry["dependencies"].as_object().into_iter().flatten();
            let read = Entry {
                licence: entry["license"].as_str().unwrap_or("no licence named").to_owned(),
                is_dev: entry["dev"].as_bool().unwrap_or(false),
                dependencies: dependencies.map(|(name, _)| name.clone()).collect(),
            };
            Some((name, read))
        })
        .collect()
}

/// Production packages, and the bundled development packages with all they need.
fn bundled(packages: &BTreeMap<String, Entry>) -> Vec<Locked> {
    let production = packages.iter().filter(|(_, entry)| !entry.is_dev).map(|(name, _)| name.clone());
    let mut waiting: Vec<String> = production.chain(BUNDLED.map(str::to_owned)).collect();
    let mut found: BTreeMap<String, String> = BTreeMap::new();
    while let Some(name) = waiting.pop() {
        let Some(entry) = packages.get(&name) else { continue };
        if found.insert(name, entry.licence.clone()).is_none() {
            waiting.extend(entry.dependencies.iter().cloned());
        }
    }
    found.into_iter().map(|(name, licence)| Locked { name, licence }).collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_a_bundled_package_needs_is_bundled_too() {
        let lock = serde_json::json!({ "packages": {
            "": {},
            "node_modules/svelte": { "license": "MIT", "dev": true, "dependencies": { "clsx": "2" } },
            "node_modules/clsx": { "license": "GPL-3.0", "dev": true },
            "node_modules/eslint": { "license": "MIT", "dev": true },
        }});
        let names: Vec<_> = bundled(&packages(&lock)).into_iter().map(|package| package.name).collect();
        assert_eq!(names, ["clsx", "svelte"]);
    }
}
