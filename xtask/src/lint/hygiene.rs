use std::fs;
use std::path::Path;
use std::process::Command;

use anyhow::{Result, bail};

use crate::{step, workspace};

/// Hosts that packages are fetched from: which one is a matter of the machine, never of the repository.
/// Written in two halves so that this file passes its own check.
const HOSTS: [&str; 6] = [
    concat!("registry.", "npmjs"),
    concat!("registry.", "yarnpkg"),
    concat!("static.", "crates.io"),
    concat!("index.", "crates.io"),
    concat!("files.", "pythonhosted"),
    concat!("proxy.", "golang"),
];

/// Beginnings of paths that exist on one machine only.
const MACHINE_PATHS: [&str; 4] =
    [concat!("/wo", "rk/"), concat!("/ro", "ot/"), concat!("/ho", "me/"), concat!("/Us", "ers/")];

/// Cargo's own name for the public index; the only source a lock file may hold.
const PUBLIC_INDEX: &str = "registry+https://github.com/rust-lang/crates.io-index";

/// Larger files are data, not text that a person wrote.
const LARGEST_TEXT_BYTES: u64 = 4_000_000;

/// Fails on a file that names a package host or a path of this machine.
pub(crate) fn check() -> Result<()> {
    let root = workspace::root()?;
    let mut problems = Vec::new();
    for file in files(&root)? {
        if let Some(text) = read_text(&root.join(&file)) {
            problems.extend(problems_in(&file, &text, &root.to_string_lossy()));
        }
    }
    if problems.is_empty() { Ok(()) } else { bail!("{}", problems.join("\n")) }
}

/// Tracked files, and new ones that are not ignored.
fn files(root: &Path) -> Result<Vec<String>> {
    let mut git = Command::new("git");
    git.current_dir(root).args(["ls-files", "-z", "--cached", "--others", "--exclude-standard"]);
    let list = step::output("git ls-files", &mut git)?;
    Ok(list.split('\0').filter(|name| !name.is_empty()).map(str::to_owned).collect())
}

fn read_text(path: &Path) -> Option<String> {
    let size = path.metadata().ok()?.len();
    (size <= LARGEST_TEXT_BYTES).then(|| fs::read(path).ok()).flatten().and_then(|bytes| String::from_utf8(bytes).ok())
}

fn problems_in(file: &str, text: &str, root: &str) -> Vec<String> {
    let numbered = text.lines().enumerate();
    numbered
        .filter_map(|(index, line)| problem_in(file, line, root).map(|what| format!("{file}:{}: {what}", index + 1)))
        .collect()
}

fn problem_in(file: &str, line: &str, root: &str) -> Option<String> {
    if let Some(host) = HOSTS.iter().find(|host| line.contains(*host)) {
        return Some(format!("names the package host {host}"));
    }
    if let Some(path) = MACHINE_PATHS.iter().find(|path| starts_a_path(line, path)) {
        return Some(format!("holds a path of one machine ({path}...)"));
    }
    if starts_a_path(line, root) {
        return Some("holds the path of this checkout".to_owned());
    }
    let trimmed = line.trim();
    if file == "Cargo.lock" && trimmed.starts_with("source = ") && !trimmed.contains(PUBLIC_INDEX) {
        return Some("a package comes from elsewhere than the public index".to_owned());
    }
    if file.ends_with("package-lock.json") && trimmed.starts_with("\"resolved\": \"http") {
        return Some(
            "names where a package was fetched; keep omit-lockfile-registry-resolved in web/.npmrc".to_owned(),
        );
    }
    None
}

/// Whether the text occurs with nothing before it that would make it the middle of another path or word.
fn starts_a_path(line: &str, path: &str) -> bool {
    line.match_indices(path).any(|(at, _)| {
        let before = line[..at].chars().next_back();
        !before.is_some_and(|c| c.is_alphanumeric() || matches!(c, '.' | '-' | '_' | '/' | '}' | '~'))
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_machine_path_is_found_and_a_link_is_not() {
        let path = MACHINE_PATHS[2];
        assert!(problem_in("a.rs", &format!("see {path}somebody/x"), "/nowhere").is_some());
        assert!(problem_in("a.rs", &format!("https://example.org{path}page"), "/nowhere").is_none());
        assert!(problem_in("a.rs", "open /nowhere/src", "/nowhere").is_some());
    }

    #[test]
    fn lock_files_name_no_host() {
        let foreign = "source = \"registry+https://example.org/index\"";
        assert!(problem_in("Cargo.lock", foreign, "/nowhere").is_some());
        assert!(problem_in("Cargo.lock", &format!("source = \"{PUBLIC_INDEX}\""), "/nowhere").is_none());
        let resolved = "      \"resolved\": \"https://example.org/x.tgz\",";
        assert!(problem_in("web/package-lock.json", resolved, "/nowhere").is_some());
        assert!(problem_in("a.rs", &format!("// {}", HOSTS[0]), "/nowhere").is_some());
    }
}
