//! The settings by command: text, pictures, refusals.

use crate::program::{quietarc, stderr, stdout};

#[test]
fn the_recommended_setting_comes_first_and_pictures_are_saved() {
    let folder = tempfile::tempdir().unwrap();
    let (svg, png) = (folder.path().join("cards.svg"), folder.path().join("cards.png"));
    let output = quietarc(&[
        "expose",
        "--see",
        "hint",
        "--sky-mag",
        "21.5",
        "--hours",
        "1",
        "--temperature",
        "-10",
        "--svg",
        svg.to_str().unwrap(),
        "--png",
        png.to_str().unwrap(),
    ]);
    assert_eq!(output.status.code(), Some(0), "{}", stderr(&output));
    let text = stdout(&output);
    let cards: Vec<&str> = text.lines().filter(|line| line.contains(", f/") && line.contains("   ")).collect();
    assert!((3..=5).contains(&cards.len()), "{text}");
    assert!(cards[0].starts_with("* ") && cards[0].ends_with("recommended"), "{}", cards[0]);
    assert!(text.contains("Do not charge batteries below 0 degrees"), "{text}");
    let drawn = std::fs::read_to_string(&svg).unwrap();
    assert_eq!(drawn.matches("<image").count(), cards.len());
    // a picture without its patches would be a tenth of this
    assert!(std::fs::metadata(&png).unwrap().len() > 100_000);
}

#[test]
fn what_cannot_be_is_refused_with_its_field_and_a_remedy() {
    for (arguments, said) in [
        (&["--kr", "-3"][..], "brightness.green_5577_kr"),
        (&["--kr", "3", "--sky-mag", "40"], "sky.mag_arcsec2"),
        (&["--ibc", "II", "--hours", "0"], "purpose.hours"),
        (&["--ibc", "II", "--temperature", "-300"], "temperature_c"),
        (&["--ibc", "V"], "invalid value"),
        (&[], "--kr"),
        (&["--kr", "3", "--lat", "95", "--lon", "0"], "latitude"),
    ] {
        let output = quietarc(&[&["expose"], arguments].concat());
        assert_eq!(output.status.code(), Some(2), "{arguments:?}");
        assert!(stderr(&output).contains(said), "{arguments:?}: {}", stderr(&output));
        assert!(stdout(&output).is_empty());
    }
}
