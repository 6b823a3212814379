//! Raw files: the finished picture inside them is measured first, the raw picture itself when asked.

use serde_json::Value;

use crate::program::{quietarc, stderr, stdout};

/// A little-endian TIFF's number at a place.
fn number<const N: usize>(bytes: &[u8], at: usize) -> usize {
    let mut wide = [0u8; 8];
    wide[..N].copy_from_slice(&bytes[at..at + N]);
    usize::try_from(u64::from_le_bytes(wide)).unwrap()
}

/// A DNG with a JPEG as its second directory, as cameras put their previews (TIFF 6.0, section 2; DNG 1.4, `NewSubFileType` 1).
fn with_preview(mut dng: Vec<u8>, jpeg: &[u8], [width, height]: [u32; 2]) -> Vec<u8> {
    assert_eq!(&dng[..4], b"II*\0");
    let first = number::<4>(&dng, 4);
    let next = first + 2 + 12 * number::<2>(&dng, first);
    assert_eq!(number::<4>(&dng, next), 0, "one directory so far");
    dng.resize(dng.len().next_multiple_of(2), 0);
    let picture = u32::try_from(dng.len()).unwrap();
    dng.extend_from_slice(jpeg);
    dng.resize(dng.len().next_multiple_of(2), 0);
    let second = u32::try_from(dng.len()).unwrap();
    dng[next..next + 4].copy_from_slice(&second.to_le_bytes());
    let entries = [
        (254u16, 1u32),
        (256, width),
        (257, height),
        (259, 7),
        (273, picture),
        (278, height),
        (279, u32::try_from(jpeg.len()).unwrap()),
    ];
    dng.extend_from_slice(&u16::try_from(entries.len()).unwrap().to_le_bytes());
    for (tag, value) in entries {
        dng.extend_from_slice(&tag.to_le_bytes());
        dng.extend_from_slice(&4u16.to_le_bytes());
        dng.extend_from_slice(&1u32.to_le_bytes());
        dng.extend_from_slice(&value.to_le_bytes());
    }
    dng.extend_from_slice(&0u32.to_le_bytes());
    dng
}

/// The raw picture is of an empty sky and the one inside of an arc: which of them was measured shows in the chance of aurora.
#[test]
fn a_raw_file_is_measured_by_its_preview_and_by_itself_when_asked() {
    let rendered = |name: &str| scene::render(&scene::sample(name).unwrap(), 1).unwrap();
    let arc = rendered("quiet_arc").to_jpeg(&scene::Development::default()).unwrap();
    let kit = scene::Kit::small_full_frame().sensor;
    let dng = with_preview(rendered("empty").to_dng(), &arc, [kit.width_px, kit.height_px]);
    let folder = tempfile::tempdir().unwrap();
    let night = folder.path().join("night");
    std::fs::create_dir(&night).unwrap();
    std::fs::write(night.join("IMG_1.dng"), &dng).unwrap();
    let journal = folder.path().join("journal.sqlite");
    let probability = |extra: &[&str]| {
        let asked = ["sort", "--json", "--journal", journal.to_str().unwrap(), night.to_str().unwrap()];
        let output = quietarc(&[&asked[..], extra].concat());
        assert_eq!(output.status.code(), Some(0), "{}", stderr(&output));
        let report: Value = serde_json::from_str(&stdout(&output)).unwrap();
        report["frames"][0]["measures"]["aurora_probability"].as_f64().unwrap()
    };
    let by_preview = probability(&[]);
    let by_raw = probability(&["--full-raw"]);
    assert!(by_preview > 0.85 && by_raw < 0.85, "by its preview {by_preview}, by itself {by_raw}");
    assert_eq!(probability(&[]).to_bits(), by_preview.to_bits(), "each question keeps its own answer");
    assert_eq!(std::fs::read(night.join("IMG_1.dng")).unwrap(), dng, "the original is as it was");
}
