//! File names: which are pictures, their order, and which of them are one exposure.

use std::cmp::Ordering;
use std::collections::BTreeMap;

/// Endings of the makers' raw files and of DNG.
const RAW: [&str; 14] =
    ["dng", "nef", "nrw", "cr2", "cr3", "arw", "srf", "sr2", "rw2", "raf", "orf", "pef", "srw", "3fr"];
/// Endings of the finished pictures that cameras put beside a raw file, the preferred first.
const FINISHED: [&str; 5] = ["jpg", "jpeg", "heic", "heif", "hif"];
/// Endings of the other pictures that are read.
const OTHER: [&str; 11] = ["png", "tif", "tiff", "fits", "fit", "fts", "pgm", "ppm", "webp", "bmp", "gif"];
/// Endings of pictures that observatories hand out packed by gzip (`NAME.pgm.gz`).
const PACKED: [&str; 5] = ["fits", "fit", "fts", "pgm", "ppm"];

/// Files of one exposure.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct FrameFiles {
    /// Index of the file to measure: the finished picture where there is one.
    pub main: usize,
    /// Indices of the others.
    pub companions: Vec<usize>,
}

/// Which files are one exposure: a raw file and the finished picture of the same name in the same folder.
///
/// Every index of `names` comes back once. Names are compared without regard to case; a name with several raw files or
/// several finished pictures is left apart, since nobody knows which belongs to which.
///
/// * `names`: paths with `/` between their parts.
/// * `full_raw`: measure the raw file rather than the picture beside it.
///
/// ```
/// let files = job::pair_files(&["a/IMG_1.CR2", "a/IMG_1.JPG", "b/IMG_1.JPG"], false);
/// assert_eq!((files[0].main, &files[0].companions[..]), (1, &[0][..]));
/// assert_eq!(files.len(), 2);
/// ```
pub fn pair_files<S: AsRef<str>>(names: &[S], full_raw: bool) -> Vec<FrameFiles> {
    let mut by_stem: BTreeMap<String, Vec<usize>> = BTreeMap::new();
    for (index, name) in names.iter().enumerate() {
        by_stem.entry(stem(name.as_ref()).to_lowercase()).or_default().push(index);
    }
    let mut found = Vec::with_capacity(names.len());
    for (_stem, indices) in by_stem {
        let of = |endings: &[&str]| -> Vec<usize> {
            let is_one = |index: &usize| names.get(*index).is_some_and(|name| has_ending(name.as_ref(), endings));
            indices.iter().copied().filter(is_one).collect()
        };
        let pair = match (of(&RAW).as_slice(), of(&FINISHED).as_slice()) {
            ([raw], [finished]) => Some((*raw, *finished)),
            _ => None,
        };
        if let Some((raw, finished)) = pair {
            let (main, companion) = if full_raw { (raw, finished) } else { (finished, raw) };
            found.push(FrameFiles { main, companions: vec![companion] });
        }
        let is_paired = |index: &usize| pair.is_some_and(|(raw, finished)| [raw, finished].contains(index));
        let alone = indices.iter().copied().filter(|index| !is_paired(index));
        found.extend(alone.map(|main| FrameFiles { main, companions: Vec::new() }));
    }
    found.sort_by_key(|files| files.main);
    found
}

/// Whether a file's name is that of a picture; its content still decides what it is.
///
/// ```
/// assert!(job::is_picture_name("a/IMG_1.NRW") && job::is_picture_name("2014/gill_full.pgm.gz"));
/// assert!(!job::is_picture_name("a/IMG_1.xmp") && !job::is_picture_name("a/.jpg"));
/// ```
pub fn is_picture_name(name: &str) -> bool {
    match name.rsplit_once('.') {
        Some((packed, ending)) if ending.eq_ignore_ascii_case("gz") => has_ending(packed, &PACKED),
        _ => [&RAW[..], &FINISHED, &OTHER].iter().any(|endings| has_ending(name, endings)),
    }
}

/// Whether a file's name is that of a raw picture.
pub fn is_raw_name(name: &str) -> bool {
    has_ending(name, &RAW)
}

fn has_ending(name: &str, endings: &[&str]) -> bool {
    let last = name.rsplit('/').next().unwrap_or(name);
    let is_known = |ending: &str| endings.iter().any(|known| ending.eq_ignore_ascii_case(known));
    last.rsplit_once('.').is_some_and(|(stem, ending)| !stem.is_empty() && is_known(ending))
}

/// The path without its ending.
fn stem(name: &str) -> &str {
    let folder = name.rfind('/').map_or(0, |slash| slash + 1);
    match name[folder..].rfind('.') {
        Some(dot) if dot > 0 => &name[..folder + dot],
        _ => name,
    }
}

/// The folder of a path.
pub(super) fn folder(name: &str) -> &str {
    name.rsplit_once('/').map_or("", |(folder, _file)| folder)
}

/// Order in which people count: `IMG_9` before `IMG_10`.
pub(super) fn natural(a: &str, b: &str) -> Ordering {
    let (mut left, mut right) = (a.as_bytes(), b.as_bytes());
    while let (Some(x), Some(y)) = (left.first(), right.first()) {
        if x.is_ascii_digit() && y.is_ascii_digit() {
            let (x, after_x) = number(left);
            let (y, after_y) = number(right);
            // longer without leading zeros is greater
            let order = x.len().cmp(&y.len()).then_with(|| x.cmp(y));
            if order != Ordering::Equal {
                return order;
            }
            (left, right) = (after_x, after_y);
        } else {
            if x != y {
                return x.cmp(y);
            }
            (left, right) = (&left[1..], &right[1..]);
        }
    }
    left.len().cmp(&right.len()).then_with(|| a.cmp(b))
}

fn number(text: &[u8]) -> (&[u8], &[u8]) {
    let end = text.iter().position(|byte| !byte.is_ascii_digit()).unwrap_or(text.len());
    let (digits, after) = text.split_at(end);
    let zeros = digits.iter().position(|digit| *digit != b'0').unwrap_or(digits.len());
    (&digits[zeros..], after)
}
