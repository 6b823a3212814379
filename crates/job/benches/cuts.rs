//! Which cuts of real pictures are found again among others, and what others are called: the table of `docs/desk.md`.
//!
//! The pictures are of too mixed a licence to lie here; `QUIETARC_FRAMES` names the folder that has them.

#![expect(clippy::unwrap_used, reason = "a benchmark of a wrong input is no benchmark")]
#![expect(clippy::print_stdout, reason = "a benchmark is there to print")]
#![expect(clippy::disallowed_methods, reason = "a benchmark needs files and settings; the crate does not")]

#[path = "shared/looks.rs"]
mod looks;

use std::collections::BTreeMap;
use std::path::{Path, PathBuf};

use job::{Fingerprint, KnownPictures, LikenessKind, OpenedPicture, compare, fingerprint};

use self::looks::print;

/// Folders of whole pictures; damaged files and films lie in others.
const FOLDERS: [&str; 7] =
    ["allsky_colour", "allsky_mono", "aurora_photo", "raw_exif", "reject", "starfield", "trick_art"];
/// Drawn nights among which the pictures lie.
const DRAWN: u32 = 300;
/// Shares of the side that are left, percent.
const LEFT: [usize; 4] = [100, 70, 50, 40];
/// Quality of the packed copies.
const QUALITY: u8 = 70;
/// What this bench is called in the table.
const NAME: &str = "cuts/";

struct Real {
    name: String,
    picture: OpenedPicture,
    print: Fingerprint,
}

/// What became of the copies of one size, or of the others that were listed.
#[derive(Default)]
struct Tally {
    copies: usize,
    listed: usize,
    kinds: BTreeMap<&'static str, usize>,
}

fn main() {
    // criterion's settings are numbers; anything else is a filter
    let mut filters =
        std::env::args().skip(1).filter(|argument| !argument.starts_with('-') && argument.parse::<f64>().is_err());
    if filters.next().is_some_and(|filter| !NAME.contains(filter.as_str())) {
        return;
    }
    let beside = || PathBuf::from(env!("CARGO_MANIFEST_DIR")).join("../../../shared/frames");
    let folder = std::env::var_os("QUIETARC_FRAMES").map_or_else(beside, PathBuf::from);
    let all = pictures(&folder);
    if all.is_empty() {
        println!("{NAME}left out: there are no pictures in {}; set QUIETARC_FRAMES", folder.display());
        return;
    }
    let copies = copies(&all);
    for with_stars in [false, true] {
        table(&all, &copies, with_stars);
    }
}

fn pictures(folder: &Path) -> Vec<Real> {
    let mut found = Vec::new();
    for inner in FOLDERS {
        let Ok(entries) = folder.join(inner).read_dir() else { continue };
        let mut paths: Vec<PathBuf> = entries.filter_map(|entry| Some(entry.ok()?.path())).collect();
        paths.sort();
        // calibration tables of a camera are no pictures
        for path in paths.into_iter().filter(|path| !path.to_string_lossy().contains("/cal_")) {
            let Ok(bytes) = std::fs::read(&path) else { continue };
            if let (Ok(picture), Ok(print)) = (OpenedPicture::open(&bytes, false), fingerprint(&bytes)) {
                let name = path.file_name().unwrap_or_default().to_string_lossy().into_owned();
                found.push(Real { name, picture, print });
            }
        }
    }
    found
}

/// The same without its stars.
fn starless(print: &Fingerprint) -> Fingerprint {
    let mut bytes = print.to_bytes();
    let stars = usize::from(bytes[7]);
    bytes[7] = 0;
    bytes.truncate(bytes.len() - 4 * stars);
    Fingerprint::from_bytes(&bytes).unwrap()
}

/// A copy of one of the pictures.
struct Copy {
    of: usize,
    left: usize,
    print: Fingerprint,
}

fn copies(all: &[Real]) -> Vec<Copy> {
    let mut made = Vec::new();
    for (of, real) in all.iter().enumerate().filter(|(_, real)| !real.print.is_plain()) {
        for left in LEFT {
            let both = [false, true].into_iter().filter_map(|mirrored| copy_of(&real.picture, left, mirrored, of));
            made.extend(both.map(|print| Copy { of, left, print }));
        }
    }
    made
}

fn table(all: &[Real], copies: &[Copy], with_stars: bool) {
    let as_known = |print: &Fingerprint| if with_stars { print.clone() } else { starless(print) };
    let mut known = KnownPictures::default();
    for (number, real) in all.iter().enumerate() {
        known.add(number, as_known(&real.print));
    }
    for number in 0..DRAWN {
        known.add(all.len() + number as usize, print(number));
    }
    let of_interest = all.iter().enumerate().filter(|(_, real)| !as_known(&real.print).is_plain());
    let stars = if with_stars { "with stars" } else { "without stars" };
    println!("{NAME}{stars}: {} of {} pictures are not plain", of_interest.clone().count(), all.len());
    let mut others = Tally::default();
    for left in LEFT {
        let mut tally = Tally::default();
        let of_size = copies.iter().filter(|copy| copy.left == left);
        for Copy { of, print, .. } in of_size.filter(|copy| !as_known(&all[copy.of].print).is_plain()) {
            let copy = as_known(print);
            tally.copies += 1;
            for (key, of_other) in known.likest(&copy) {
                let likeness = compare(&copy, of_other);
                let counted = if key == of { &mut tally } else { &mut others };
                counted.listed += 1;
                *counted.kinds.entry(word(likeness.kind)).or_default() += 1;
                if key != of && matches!(word(likeness.kind), "copy" | "cannot tell") {
                    let name = all.get(*key).map_or("a drawn night", |real| &real.name);
                    println!("  {left} % of {} against {name}: {}", all[*of].name, likeness.sentence);
                }
            }
        }
        println!("{NAME}{stars}, {left} % of the side: {}", tally.words());
    }
    println!("{NAME}{stars}, others listed: {}", others.words());
}

impl Tally {
    fn words(&self) -> String {
        let kinds: Vec<String> = self.kinds.iter().map(|(kind, count)| format!("{kind} {count}")).collect();
        format!("{} copies, {} listed: {}", self.copies, self.listed, kinds.join(", "))
    }
}

fn word(kind: LikenessKind) -> &'static str {
    match kind {
        LikenessKind::Same | LikenessKind::Crop | LikenessKind::Mirrored => "copy",
        LikenessKind::OtherFrame => "other frame",
        LikenessKind::Different => "different",
        LikenessKind::CannotTell => "cannot tell",
    }
}

/// Brightened by a third until clipped, cut where chance would have it, mirrored or not, packed.
fn copy_of(picture: &OpenedPicture, left: usize, mirrored: bool, seed: usize) -> Option<Fingerprint> {
    let [width, height] = picture.size_px();
    let size = [width, height].map(|side| (side * left / 100).max(1));
    let chance = |salt: usize| ((seed * 7_919 + salt * 104_729 + usize::from(mirrored) * 15_485) % 1_000) as f64 / 1e3;
    let middle = |side: usize, part: usize, salt: usize| 0.5 * part as f64 + chance(salt + left) * (side - part) as f64;
    let cut = picture.crop([middle(width, size[0], 1), middle(height, size[1], 2)], size).ok()?;
    let mut rgb: Vec<u8> =
        cut.rgb.iter().map(|value| u8::try_from((u32::from(*value) * 4 / 3).min(255)).unwrap_or(255)).collect();
    if mirrored {
        for row in rgb.chunks_mut(3 * cut.width) {
            let turned: Vec<u8> = row.as_chunks::<3>().0.iter().rev().flatten().copied().collect();
            row.copy_from_slice(&turned);
        }
    }
    let mut file = Vec::new();
    let [columns, rows] = [u16::try_from(cut.width).ok()?, u16::try_from(cut.height).ok()?];
    jpeg_encoder::Encoder::new(&mut file, QUALITY).encode(&rgb, columns, rows, jpeg_encoder::ColorType::Rgb).ok()?;
    fingerprint(&file).ok()
}
