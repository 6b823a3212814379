//! Real pictures, where somebody keeps them at hand; their licences do not let them lie here. `QUIETARC_FRAMES` names
//! the folder that holds `corrupt/`, `starfield/` and the others.

use std::path::PathBuf;

/// The folder of pictures.
fn folder() -> PathBuf {
    let beside = || PathBuf::from(env!("CARGO_MANIFEST_DIR")).join("../../../shared/frames");
    std::env::var_os("QUIETARC_FRAMES").map_or_else(beside, PathBuf::from)
}

/// A small invented picture that lies beside these tests.
#[expect(clippy::disallowed_methods, reason = "a test may read files; the crate may not")]
pub(crate) fn composed(name: &str) -> Vec<u8> {
    let folder = PathBuf::from(env!("CARGO_MANIFEST_DIR")).join("tests/data/pictures");
    std::fs::read(folder.join(name)).unwrap_or_else(|error| panic!("{name}: {error}"))
}

/// All of them, by name.
#[expect(clippy::disallowed_methods, reason = "a test may read files; the crate may not")]
pub(crate) fn all_composed() -> Vec<(String, Vec<u8>)> {
    let folder = PathBuf::from(env!("CARGO_MANIFEST_DIR")).join("tests/data/pictures");
    let mut found: Vec<(String, Vec<u8>)> = std::fs::read_dir(folder)
        .unwrap()
        .map(|entry| entry.unwrap())
        .map(|entry| (entry.file_name().into_string().unwrap(), std::fs::read(entry.path()).unwrap()))
        .collect();
    found.sort();
    found
}

/// One picture by folder and name, or a line saying that this test was left out.
#[expect(clippy::disallowed_methods, reason = "a test may read files; the crate may not")]
pub(crate) fn picture(name: &str) -> Option<Vec<u8>> {
    let bytes = std::fs::read(folder().join(name)).ok();
    if bytes.is_none() {
        println!("left out: there is no {name} in {}; set QUIETARC_FRAMES", folder().display());
    }
    bytes
}

/// All pictures of one folder, by name; none where the folder is absent.
#[expect(clippy::disallowed_methods, reason = "a test may read files; the crate may not")]
pub(crate) fn pictures(of: &str) -> Vec<(String, Vec<u8>)> {
    let entries = std::fs::read_dir(folder().join(of)).into_iter().flatten().flatten();
    let mut found: Vec<(String, Vec<u8>)> = entries
        .filter_map(|entry| Some((entry.file_name().into_string().ok()?, std::fs::read(entry.path()).ok()?)))
        .collect();
    found.sort();
    if found.is_empty() {
        println!("left out: there are no pictures in {}; set QUIETARC_FRAMES", folder().join(of).display());
    }
    found
}
