//! Stills by command: forms on the sky, letters on a bare machine, and what stands in the way said in one sentence.

use std::process::Command;

use job::{CheckRequest, PlacePrecision, SkyLabelKind, TellStillRequest, tell_still};
use scene::{Development, Rendered, TrueStar, render, sample};
use serde_json::Value;

use crate::check::TEST_FRAME;
use crate::program::{quietarc, stderr, stdout};

/// Names of forms that a single picture of an arc may get: it is long, and folds may not be told.
const LONG: [&str; 3] = ["arc", "band", "arc or band"];

/// A rendered arc, whose light is known, as a file.
fn arc(path: &str) -> Rendered {
    let rendered = render(&sample("quiet_arc").unwrap(), 7).unwrap();
    std::fs::write(path, rendered.to_jpeg(&Development::default()).unwrap()).unwrap();
    rendered
}

/// Names on the sky of a drawing with their middles, in shares of its width and height.
fn labels(svg: &str) -> Vec<(String, [f64; 2])> {
    let tree = roxmltree::Document::parse(svg).unwrap();
    let number = |node: &roxmltree::Node<'_, '_>, name: &str| -> f64 { node.attribute(name).unwrap().parse().unwrap() };
    let root = tree.root_element();
    let size = [number(&root, "width"), number(&root, "height")];
    let groups = tree.descendants().filter(|node| node.attribute("data-role") == Some("label"));
    groups
        // the rim of the letters comes first
        .filter_map(|group| group.descendants().filter(|node| node.has_tag_name("text")).nth(1))
        .map(|text| (text.text().unwrap().to_owned(), [number(&text, "x") / size[0], number(&text, "y") / size[1]]))
        .collect()
}

/// Green light above the air at a share of a rendered frame of three by two that fills a still of 16:9, kR: the rows beyond are cut.
fn light_at(rendered: &Rendered, [x, y]: [f64; 2]) -> f32 {
    let map = &rendered.truth.map;
    let size = [map.columns as f64, map.rows as f64];
    let shown_rows = size[0] * 9.0 / 16.0;
    let row = 0.5 * (size[1] - shown_rows) + y * shown_rows;
    #[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "a place on the map")]
    let [column, row] = [x * size[0], row].map(|place| place as usize);
    map.above_kr[row.min(map.rows - 1) * map.columns + column.min(map.columns - 1)][1]
}

#[test]
fn a_form_is_named_where_its_light_is_and_by_the_reading_where_there_is_one() {
    /// Light of the arc where its name may stand, as a share of its brightest hundredth: a letter's height beside the ridge is still
    /// on the arc.
    const ON_IT: f32 = 0.1;
    let folder = tempfile::tempdir().unwrap();
    let path = |name: &str| folder.path().join(name).to_str().unwrap().to_owned();
    let (frame, out) = (path("arc.jpg"), path("still.svg"));
    let rendered = arc(&frame);
    let drawn = |more: &[&str]| {
        let output = quietarc(&[&["tell", "still", "--out", &out], more, &[frame.as_str()]].concat());
        assert_eq!(output.status.code(), Some(0), "{}", stderr(&output));
        labels(&std::fs::read_to_string(&out).unwrap())
    };
    let alone = drawn(&[]);
    let (name, place) = alone.iter().find(|(name, _)| LONG.contains(&name.as_str())).expect("the form is named");
    let mut light: Vec<f32> = rendered.truth.map.above_kr.iter().map(|lines| lines[1]).collect();
    light.sort_by(f32::total_cmp);
    let (there, brightest) = (light_at(&rendered, *place), light[light.len() * 99 / 100]);
    assert!(there > ON_IT * brightest, "{name} at {place:?}: {there} kR of {brightest}");

    // a reading that saw more than one frame may know better: its word is taken, and only for its own time
    let output = quietarc(&["read", "--json", &frame]);
    let mut reading: Value = serde_json::from_str(&stdout(&output)).unwrap();
    let form = reading["forms"].as_array_mut().unwrap().first_mut().expect("a form is read");
    assert!(form["from"].is_string(), "{form}");
    form["name"] = "corona".into();
    let told = path("reading.json");
    std::fs::write(&told, reading.to_string()).unwrap();
    let by_reading = drawn(&["--reading", &told]);
    assert!(by_reading.iter().any(|(name, _)| name == "corona"), "{by_reading:?}");
    assert!(!by_reading.iter().any(|(other, _)| other == name), "{by_reading:?}");
    for end in ["from", "to"] {
        reading["forms"][0][end] = "2001-01-01T00:00:00Z".into();
    }
    std::fs::write(&told, reading.to_string()).unwrap();
    assert_eq!(drawn(&["--reading", &told]), alone);
    assert!(drawn(&["--plain"]).is_empty());
}

/// The scene knows where it has put each star.
#[test]
fn names_stand_on_their_stars() {
    /// Distance of a name from its star, px of the frame: twice what stars of a solved frame of this size are off.
    const OFF_PX: f64 = 3.0;
    /// Names that such a picture of the northern sky has at least.
    const NAMES: usize = 4;
    let rendered = render(&sample("empty").unwrap(), 11).unwrap();
    let bytes = rendered.to_jpeg(&Development::default()).unwrap();
    let request = TellStillRequest {
        frame: CheckRequest { name: "empty.jpg".to_owned(), ..CheckRequest::default() },
        covers_px: [960, 540],
        annotate: true,
        forms: Vec::new(),
        place: None,
        place_precision: PlacePrecision::Hidden,
        credit: None,
        time_zone: None,
    };
    let told = tell_still(&request, &bytes).report;
    let [width, height] = told.frame_px.map(|side| side as f64);
    let mut named = 0;
    for label in told.labels.iter().filter(|label| label.kind == SkyLabelKind::Star) {
        let is_it = |star: &&TrueStar| star.name.as_deref() == Some(label.name.as_str());
        // a star outside the picture or behind the land has no place in the truth
        let Some(star) = rendered.truth.stars.iter().find(is_it) else { continue };
        let off = (label.place[0] * width - 0.5 - star.x_px).hypot(label.place[1] * height - 0.5 - star.y_px);
        assert!(off < OFF_PX, "{}: {off:.1} px from its star", label.name);
        named += 1;
    }
    assert!(named >= NAMES, "{named} names: {:?}; {:?}", told.labels, told.notes);
    assert!(told.taken.is_some_and(|taken| taken.ends_with('Z')));
}

/// A bare server has no letters of its own.
#[test]
fn letters_are_drawn_where_no_font_is_installed() {
    let folder = tempfile::tempdir().unwrap();
    let drawn = |name: &str, without: bool| {
        let out = folder.path().join(name);
        let mut command = Command::new(env!("CARGO_BIN_EXE_quietarc"));
        command
            .args(["tell", "still", "--overlay", "--plain", "--credit", "Ída Berg", "--out"])
            .arg(&out)
            .arg(TEST_FRAME);
        if without {
            command.env_clear().env("HOME", folder.path()).env("FONTCONFIG_FILE", folder.path().join("none"));
        }
        let output = command.output().unwrap();
        assert_eq!(output.status.code(), Some(0), "{}", stderr(&output));
        std::fs::read(out).unwrap()
    };
    let bare = drawn("bare.png", true);
    assert_eq!(bare, drawn("usual.png", false), "the letters are the program's own");
    let picture = resvg::tiny_skia::Pixmap::decode_png(&bare).unwrap();
    let white = picture.pixels().iter().filter(|pixel| pixel.red() > 200).count();
    assert!(white > 500, "{white} pixels of letters");
}

/// A frame that says no exposure and shows no star: what can be done is done, the rest is said once.
#[test]
fn a_frame_without_stars_or_exposure_is_shown_and_said_to_be_one() {
    let folder = tempfile::tempdir().unwrap();
    let path = |name: &str| folder.path().join(name).to_str().unwrap().to_owned();
    let grey = path("grey.ppm");
    let mut bytes = b"P6\n300 200\n255\n".to_vec();
    bytes.extend(std::iter::repeat_n(60, 300 * 200 * 3));
    std::fs::write(&grey, bytes).unwrap();

    let eye = quietarc(&["tell", "eye", &grey, TEST_FRAME]);
    let said = stdout(&eye);
    assert_eq!(eye.status.code(), Some(0), "{}", stderr(&eye));
    assert_eq!(said.matches("What an eye saw cannot be told from grey.ppm").count(), 1, "{said}");
    assert!(
        said.contains("The camera view alone is shown.") && said.contains("Simulation"),
        "the other is told: {said}"
    );
    let refused = quietarc(&["tell", "eye", "--out", &path("eye.png"), &grey]);
    assert_eq!(refused.status.code(), Some(2));
    let why = stderr(&refused);
    assert!(why.contains("cannot be told from grey.ppm") && why.matches("hint: ").count() == 1, "{why}");

    let still = quietarc(&["tell", "still", "--out", &path("still.png"), "--place", "the coast", &grey]);
    assert_eq!(still.status.code(), Some(0), "{}", stderr(&still));
    assert_eq!(
        stderr(&still)
            .matches("no star, constellation or direction is named: the lens is not found by its stars")
            .count(),
        1
    );
    assert!(stdout(&still).contains("0 names on the sky, caption: the coast"), "{}", stdout(&still));
    assert!(std::fs::read(path("still.png")).unwrap().starts_with(b"\x89PNG"));
}

#[test]
fn a_frame_is_never_written_over_and_what_can_be_saved_is() {
    let folder = tempfile::tempdir().unwrap();
    let path = |name: &str| folder.path().join(name).to_str().unwrap().to_owned();
    let (frame, link) = (path("IMG_1.jpg"), path("link.jpg"));
    std::fs::copy(TEST_FRAME, &frame).unwrap();
    std::fs::hard_link(&frame, &link).unwrap();
    let before = std::fs::read(&frame).unwrap();
    for arguments in [
        &["tell", "still", "--out", &frame, &frame][..],
        &["tell", "still", "--out", &link, &frame],
        &["tell", "eye", "--out", &frame, &frame],
        &["tell", "eye", "--beside", &frame, &frame],
        &["tell", "stack", "--replace", "-o", &frame, &frame, TEST_FRAME],
        &["check", "--overlay", &link, &frame],
        &["check", "--stars-csv", &frame, &frame],
        &["check", "--crops", &frame, &frame],
        &["read", "--keogram", &frame, &frame],
    ] {
        let output = quietarc(arguments);
        assert_eq!(output.status.code(), Some(2), "{arguments:?}: {}", stderr(&output));
        assert!(stderr(&output).contains("never written"), "{arguments:?}: {}", stderr(&output));
        assert_eq!(std::fs::read(&frame).unwrap(), before);
    }

    // one picture that cannot be saved takes neither the other nor the words with it
    let (eye, beside) = (path("gone/eye.png"), path("beside.png"));
    let output = quietarc(&["tell", "eye", "--out", &eye, "--beside", &beside, &frame]);
    assert_eq!(output.status.code(), Some(2), "{}", stderr(&output));
    assert!(stderr(&output).contains("eye.png cannot be written"), "{}", stderr(&output));
    assert!(stdout(&output).contains("Simulation") && std::fs::read(&beside).unwrap().starts_with(b"\x89PNG"));
}

#[test]
fn a_folder_that_cannot_be_written_is_named_with_the_remedy() {
    let folder = tempfile::tempdir().unwrap();
    let file = folder.path().join("a.txt");
    std::fs::write(&file, "no folder").unwrap();
    let out = file.join("x.png");
    let out = out.to_str().unwrap();
    for arguments in [
        &["tell", "still", "--out", out, TEST_FRAME][..],
        &["tell", "eye", "--out", out, TEST_FRAME],
        &["tell", "eye", "--beside", out, TEST_FRAME],
    ] {
        let output = quietarc(arguments);
        let said = stderr(&output);
        assert_eq!(output.status.code(), Some(2), "{arguments:?}: {said}");
        assert!(said.contains("x.png") && said.contains("hint: "), "{arguments:?}: {said}");
        assert_eq!(said.lines().filter(|line| line.starts_with("error")).count(), 1, "{said}");
    }
}
