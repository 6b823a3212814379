use std::path::Path;
use std::process::{Command, Stdio};

use anyhow::{Result, bail};

use crate::step;

/// Oldest Node that Vite 8 accepts.
const NODE_MAJOR_NEEDED: u32 = 20;

/// Whether a program can be started at all.
pub(crate) fn has(program: &str) -> bool {
    let outcome = Command::new(program).arg("--version").stdout(Stdio::null()).stderr(Stdio::null()).status();
    outcome.is_ok_and(|status| status.success())
}

/// Makes sure Node is there and new enough.
pub(crate) fn need_node() -> Result<()> {
    if !has("node") || !has("npm") {
        install("nodejs and npm", &["nodejs", "npm"])?;
    }
    let version = step::output("node version", Command::new("node").arg("--version"))?;
    match node_major(&version) {
        Some(major) if major >= NODE_MAJOR_NEEDED => Ok(()),
        _ => bail!(
            "node {} is too old: version {NODE_MAJOR_NEEDED} or later is needed to build the pages",
            version.trim()
        ),
    }
}

/// Makes sure a Chromium is there for the browser tests; returns its program name.
pub(crate) fn need_chromium() -> Result<String> {
    if let Ok(given) = std::env::var("CHROMIUM") {
        return Ok(given);
    }
    if let Some(found) = chromium() {
        return Ok(found.to_owned());
    }
    install("chromium", &["chromium"])?;
    match chromium() {
        Some(found) => Ok(found.to_owned()),
        None => bail!("no Chromium found: install one, or name it in the environment variable CHROMIUM"),
    }
}

fn chromium() -> Option<&'static str> {
    ["chromium", "chromium-browser", "google-chrome"].into_iter().find(|name| has(name))
}

/// Installs Debian packages where that is possible without asking.
fn install(what: &str, packages: &[&str]) -> Result<()> {
    if !Path::new("/usr/bin/apt-get").is_file() {
        bail!("{what} not found: install it and run this again");
    }
    let is_root = step::output("user", Command::new("id").arg("-u"))?.trim() == "0";
    let apt = |arguments: &[&str]| {
        let mut command = if is_root { Command::new("apt-get") } else { Command::new("sudo") };
        if !is_root {
            command.args(["-n", "apt-get"]);
        }
        command.env("DEBIAN_FRONTEND", "noninteractive").args(arguments);
        command
    };
    step::run("package lists", &mut apt(&["update", "-q"]))?;
    let mut arguments = vec!["install", "-y", "-q", "--no-install-recommends"];
    arguments.extend(packages);
    step::run(&format!("install {what}"), &mut apt(&arguments))
}

fn node_major(version: &str) -> Option<u32> {
    version.trim().trim_start_matches('v').split('.').next()?.parse().ok()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_major_version_of_node_is_read() {
        assert_eq!(node_major("v20.20.2\n"), Some(20));
        assert_eq!(node_major("what"), None);
    }
}
