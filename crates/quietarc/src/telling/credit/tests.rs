use std::process::Command;

use super::*;

fn fields() -> CreditFields {
    CreditFields {
        creator: Some("Ída <of> Skerrow".to_owned()),
        copyright: Some("© 2026 Ída & others".to_owned()),
        credit_line: Some("Photo: Ída / Skerrow Weather".to_owned()),
        caption: Some("Arc over the bay.\nEdits: none.".to_owned()),
        date_created: Some("2026-03-14T22:41:05+01:00".to_owned()),
        place: Some("near Skerrow Bay".to_owned()),
        instructions: Some("Name the photographer.".to_owned()),
        source: Some(DigitalSource::Composite),
    }
}

fn tiny_png() -> Vec<u8> {
    crate::raster::png("<svg xmlns='http://www.w3.org/2000/svg' width='2' height='2'/>", 1.0).unwrap()
}

/// A composed JPEG with Exif of a camera in it.
const JPEG: &[u8] = include_bytes!("../../../data/test_frame.composed.jpg");

/// What `exiftool` (an independent reader of all these fields) says, by its own names, or `None` where it is not installed.
fn read_back(bytes: &[u8], ending: &str) -> Option<serde_json::Value> {
    let folder = tempfile::tempdir().unwrap();
    let path = folder.path().join(format!("copy.{ending}"));
    std::fs::write(&path, bytes).unwrap();
    let out =
        Command::new("exiftool").args(["-j", "-G1", "-validate", "-warning", "-XMP:all"]).arg(&path).output().ok()?;
    let said: serde_json::Value = serde_json::from_slice(&out.stdout).unwrap();
    said.get(0).cloned()
}

#[test]
#[expect(clippy::print_stdout, reason = "says why it tests nothing")]
fn an_independent_reader_finds_every_field_in_both_kinds() {
    for (picture, ending) in [(JPEG.to_vec(), "jpg"), (tiny_png(), "png")] {
        // written twice: the second packet takes the first one's place
        let once =
            with_credit(&picture, &CreditFields { creator: Some("somebody else".to_owned()), ..fields() }).unwrap();
        let copy = with_credit(&once, &fields()).unwrap();
        let Some(said) = read_back(&copy, ending) else {
            println!("skipped: exiftool is not installed");
            return;
        };
        let expected = [
            ("XMP-dc:Creator", "Ída <of> Skerrow"),
            ("XMP-dc:Rights", "© 2026 Ída & others"),
            ("XMP-dc:Description", "Arc over the bay.\nEdits: none."),
            ("XMP-photoshop:Credit", "Photo: Ída / Skerrow Weather"),
            ("XMP-photoshop:DateCreated", "2026:03:14 22:41:05+01:00"),
            ("XMP-photoshop:Instructions", "Name the photographer."),
            ("XMP-iptcCore:Location", "near Skerrow Bay"),
            ("XMP-iptcExt:DigitalSourceType", "http://cv.iptc.org/newscodes/digitalsourcetype/compositeCapture"),
        ];
        for (name, value) in expected {
            let found = said[name].as_str().unwrap_or_default();
            // the reader replaces the address of a term it knows by its words
            let term = name.ends_with("SourceType") && found.to_ascii_lowercase().contains("computational");
            assert!(found == value || term, "{ending}: {name}: {found:?}: {said}");
        }
        // it has no complaint that it did not have about the picture as it was
        let complaint = |said: &serde_json::Value| said.get("ExifTool:Warning").map(ToString::to_string);
        let before = read_back(&picture, ending).unwrap();
        assert_eq!(complaint(&said), complaint(&before), "{ending}");
    }
}

#[test]
fn pixels_and_the_cameras_own_words_stay() {
    let copy = with_credit(JPEG, &fields()).unwrap();
    let [before, after] = [JPEG, &copy].map(|bytes| frame::open(bytes, &frame::Limits::default()).unwrap());
    assert_eq!(before, after);
    let png = tiny_png();
    let copy = with_credit(&png, &fields()).unwrap();
    let [before, after] = [&png, &copy].map(|bytes| frame::open(bytes, &frame::Limits::default()).unwrap());
    assert_eq!(before, after);
}

#[test]
fn empty_fields_are_left_out_and_what_xml_cannot_hold_is_a_blank() {
    let text = packet::packet(&CreditFields {
        creator: Some("  ".into()),
        place: Some("a\u{1}b\u{ffff}".into()),
        ..Default::default()
    });
    let tree = roxmltree::Document::parse(&text).unwrap();
    assert!(tree.descendants().all(|node| node.tag_name().name() != "creator"));
    let place = tree.descendants().find(|node| node.tag_name().name() == "Location").unwrap();
    assert_eq!(place.text(), Some("a b "));
}

#[test]
fn what_is_no_picture_breaks_off_or_says_too_much_is_refused_with_a_remedy() {
    for length in [0, 1, 2, 3, 20, 40] {
        assert!(with_credit(&JPEG[..length], &fields()).is_err(), "JPEG of {length} bytes");
    }
    let png = tiny_png();
    for length in 0..png.len() {
        assert!(with_credit(&png[..length], &fields()).is_err(), "PNG of {length} bytes");
    }
    let long = CreditFields { caption: Some("x".repeat(70_000)), ..Default::default() };
    let refused = with_credit(JPEG, &long).unwrap_err();
    assert!(refused.message.contains("too long") && refused.hint.contains(".png"), "{refused:?}");
}
