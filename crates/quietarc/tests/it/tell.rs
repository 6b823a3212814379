//! What was seen, by command: numbers first, pictures of one size, words where words are safe, nothing else written.

use serde_json::Value;

use crate::check::TEST_FRAME;
use crate::program::{quietarc, stderr, stdout};

/// Rim of letters drawn smooth, px: half a line of their halo.
const RIM_PX: u32 = 3;

/// Width, height and RGBA of a PNG.
fn pixels(path: &str) -> (u32, u32, Vec<u8>) {
    let picture = resvg::tiny_skia::Pixmap::load_png(path).unwrap();
    (picture.width(), picture.height(), picture.data().to_vec())
}

#[test]
fn the_eye_sees_less_than_the_camera_and_the_caption_says_it_is_a_simulation() {
    let folder = tempfile::tempdir().unwrap();
    let path = |name: &str| folder.path().join(name).to_str().unwrap().to_owned();
    let (eye, beside) = (path("eye.png"), path("beside.png"));
    let output = quietarc(&["tell", "eye", "--out", &eye, "--beside", &beside, TEST_FRAME]);
    assert_eq!(output.status.code(), Some(0), "{}", stderr(&output));
    let text = stdout(&output);
    assert!(text.contains("About ") && text.contains(" kR (") && text.contains("Simulation"), "{text}");

    let (width, height, _) = pixels(&eye);
    let (both, _, beside) = pixels(&beside);
    assert!(both >= 2 * width, "{both} {width}");
    // every pixel of the eye's picture has less colour than the camera's has at its most colourful
    let colour = |from: u32| {
        let tint = |x: u32, y: u32| {
            let at = 4 * (y * both + x) as usize;
            let rgb = &beside[at..at + 3];
            i32::from(*rgb.iter().max().unwrap()) - i32::from(*rgb.iter().min().unwrap())
        };
        (0..height).flat_map(|y| (from..from + width).map(move |x| (x, y))).map(|(x, y)| tint(x, y)).max().unwrap()
    };
    assert!(colour(both - width) < colour(0), "{} {}", colour(both - width), colour(0));
}

/// The same person, long in the dark and just out of the light.
#[test]
fn the_report_is_data_and_follows_the_minutes() {
    let report = |minutes: &str| -> Value {
        let output = quietarc(&["tell", "eye", "--json", "--minutes", minutes, TEST_FRAME]);
        assert_eq!(output.status.code(), Some(0), "{}", stderr(&output));
        serde_json::from_str(&stdout(&output)).unwrap()
    };
    let (dark, lit) = (report("40"), report("2"));
    let faintest = |report: &Value| report["faintest_kr"]["value"].as_f64().unwrap();
    assert!(faintest(&lit) > 10.0 * faintest(&dark), "{} {}", faintest(&lit), faintest(&dark));
    assert!(lit["shares"]["vanished"].as_f64() >= dark["shares"]["vanished"].as_f64());
    assert_eq!(dark["brightest_kr"], lit["brightest_kr"]);

    // violet and red against green, dark-adapted: rods and cones by the CIE's tables
    let limit = |colour: &str, of: &str| {
        let limits = dark["line_limits"].as_array().unwrap();
        limits.iter().find(|limit| limit["colour"] == colour).unwrap()[of]["value"].as_f64().unwrap()
    };
    let over_green = |colour: &str, of: &str| limit(colour, of) / limit("green", of);
    let is_near = |value: f64, wanted: f64| assert!((value / wanted - 1.0).abs() < LUMINANCE, "{value} for {wanted}");
    is_near(over_green("violet", "seen_from_kr"), SCOTOPIC_PER_KR[1] / SCOTOPIC_PER_KR[0]);
    is_near(over_green("red", "colour_from_kr"), PHOTOPIC_PER_KR[1] / PHOTOPIC_PER_KR[2]);
    // red is seen by cones, which are duller than rods: later than by their curve alone, sooner than rods would see it
    let red = over_green("red", "seen_from_kr");
    assert!(red > PHOTOPIC_PER_KR[1] / PHOTOPIC_PER_KR[2] && red < SCOTOPIC_PER_KR[1] / SCOTOPIC_PER_KR[2], "{red}");
}

/// Luminance of 1 kR of 427.8, 557.7 and 630.0 nm, cd/m², by colour-science 0.4.7 from the CIE's V (1924) and V' (1951); its
/// users are told to expect 0.5 %.
const PHOTOPIC_PER_KR: [f64; 3] = [2.421017e-06, 1.933340e-04, 4.541446e-05];
const SCOTOPIC_PER_KR: [f64; 3] = [1.093826e-04, 1.740708e-04, 1.422603e-06];
const LUMINANCE: f64 = 0.005;

#[test]
fn what_cannot_be_told_is_one_sentence() {
    let folder = tempfile::tempdir().unwrap();
    let page = folder.path().join("page.jpg");
    std::fs::write(&page, "<html>").unwrap();
    let output = quietarc(&["tell", "eye", page.to_str().unwrap(), TEST_FRAME]);
    assert_eq!(output.status.code(), Some(1));
    assert!(stdout(&output).contains("page.jpg") && stdout(&output).contains("Simulation"), "{}", stdout(&output));
    for (arguments, word) in [
        (["--minutes", "-1"], "minutes"),
        (["--field-factor", "0"], "field_factor"),
        (["--size", "5"], "longest_px"),
        (["--out", "eye.gif"], ".png"),
    ] {
        let output = quietarc(&["tell", "eye", arguments[0], arguments[1], TEST_FRAME]);
        assert_eq!(output.status.code(), Some(2), "{arguments:?}");
        assert!(stderr(&output).contains(word) && stderr(&output).contains("hint: "), "{}", stderr(&output));
    }
}

/// EBU R 95 and SMPTE ST 2046-1: titles within 90 % of width and height.
#[test]
fn an_overlay_is_clear_outside_the_title_safe_area() {
    let folder = tempfile::tempdir().unwrap();
    for (shape, width, height) in [("16:9", 1920, 1080), ("9:16", 1080, 1920)] {
        let out = folder.path().join("words.png");
        let out = out.to_str().unwrap();
        let credit = "WWW MMM ".repeat(14);
        let output = quietarc(&[
            "tell",
            "still",
            "--shape",
            shape,
            "--overlay",
            "--place",
            "Skerrow Bay (invented)",
            "--credit",
            &credit,
            "--out",
            out,
            TEST_FRAME,
        ]);
        assert_eq!(output.status.code(), Some(0), "{}", stderr(&output));
        let (columns, rows, rgba) = pixels(out);
        assert_eq!((columns, rows), (width, height));
        let (left, top) = (width / 20 - RIM_PX, height / 20 - RIM_PX);
        let mut inked = 0;
        for (pixel, rgba) in (0u32..).zip(rgba.chunks_exact(4)) {
            let (x, y) = (pixel % columns, pixel / columns);
            let is_safe = (left..width - left).contains(&x) && (top..height - top).contains(&y);
            assert!(is_safe || rgba[3] == 0, "{shape}: ink at {x}, {y}");
            inked += usize::from(rgba[3] > 0);
        }
        assert!(inked > 10_000, "{shape}: {inked} pixels of words");
    }
    let output = quietarc(&["tell", "still", "--lines", "720", "--out", "x.png", TEST_FRAME]);
    assert_eq!(output.status.code(), Some(2));
}
