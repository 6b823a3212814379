//! Stills: the numbers of the standards, and no word outside of where words are safe.

use draw::{SafeArea, StillLines, StillShape, StillSize, StillStyle, still};
use job::{SkyLabel, SkyLabelKind, StillPicture, TellStillReport};

/// The standards give whole pixels.
const WHOLE_PX: f64 = 0.51;

/// EBU R 95 and SMPTE ST 2046-1, 1920 by 1080 (from memory): action 67 px and 38 lines from the edges, titles 96 and 54; twice that at
/// 3840 by 2160.
#[test]
fn safe_areas_are_those_of_the_standards() {
    for (lines, scale) in [(StillLines::Hd, 1.0), (StillLines::Uhd, 2.0)] {
        let size = StillSize::of(StillShape::Wide, lines);
        assert!((size.width - 1920.0 * scale).abs() < WHOLE_PX && (size.height - 1080.0 * scale).abs() < WHOLE_PX);
        let (action, title) = (size.action_safe(), size.title_safe());
        for (area, left, top) in [(action, 67.0, 38.0), (title, 96.0, 54.0)] {
            assert!(
                (area.left - scale * left).abs() < scale * WHOLE_PX
                    && (area.top - scale * top).abs() < scale * WHOLE_PX
            );
            assert!((area.right() + area.left - size.width).abs() < WHOLE_PX);
            assert!((area.bottom() + area.top - size.height).abs() < WHOLE_PX);
        }
    }
    let tall = StillSize::of(StillShape::Tall, StillLines::Hd);
    assert!((tall.width - 1080.0).abs() < WHOLE_PX && (tall.height - 1920.0).abs() < WHOLE_PX);
}

fn report() -> TellStillReport {
    let at = |name: &str, x: f64, y: f64| SkyLabel {
        kind: SkyLabelKind::Constellation,
        name: name.to_owned(),
        place: [x, y],
    };
    let mut labels = vec![at("Ursa Major", 0.5, 0.5), at("Lyra", 0.5, 0.505)];
    // all over the picture, and on its rims
    for row in 0..=20 {
        labels.extend((0..=20).map(|column| at("Camelopardalis", f64::from(column) / 20.0, f64::from(row) / 20.0)));
    }
    let caption = ["2026-03-14 23:40 CET", "Skerrow Bay (invented)", "8 s", "f/1.8", "ISO 2000", "14 mm"];
    let mut caption: Vec<String> = caption.map(str::to_owned).to_vec();
    caption.push(format!("Photo: {}", "a very long name indeed ".repeat(12)));
    TellStillReport { file: "frame.jpg".to_owned(), caption, labels, horizon: Vec::new(), notes: Vec::new() }
}

fn picture() -> StillPicture {
    StillPicture { width: 30, height: 20, rgb: vec![20; 30 * 20 * 3] }
}

#[test]
fn no_word_leaves_the_title_safe_area() {
    /// Mean letter of a caption over its size in DejaVu Sans: 0.49 to 0.53 in lines like these, measured with Pillow; the
    /// rest is room. The program's own test looks at the ink.
    const MEAN_LETTER: f64 = 0.56;
    for shape in [StillShape::Wide, StillShape::Tall] {
        let style = StillStyle { shape, lines: StillLines::Hd, is_overlay: false, with_guides: false };
        let svg = still(&report(), &picture(), &style);
        let safe: SafeArea = StillSize::of(shape, StillLines::Hd).title_safe();
        let mut words_seen = 0;
        for element in svg.split("<text").skip(1) {
            let number = |name: &str| -> f64 {
                let rest = element.split(&format!(" {name}=\"")).nth(1).unwrap();
                rest.split('"').next().unwrap().parse().unwrap()
            };
            let text = element.split('>').nth(1).unwrap().split('<').next().unwrap();
            let (x, y, size) = (number("x"), number("y"), number("font-size"));
            let width = MEAN_LETTER * size * text.chars().count() as f64;
            let left = if element.contains("text-anchor=\"middle\"") { x - 0.5 * width } else { x };
            assert!(left >= safe.left - 1.0 && left + width <= safe.right() + 1.0, "{text}: {left} {width}");
            assert!(y - size >= safe.top - 1.0 && y <= safe.bottom() + 1.0, "{text}: {y}");
            words_seen += 1;
        }
        assert!(words_seen > 10, "{words_seen}");
    }
}

#[test]
fn an_overlay_has_no_picture_and_guides_are_drawn_only_when_asked() {
    let style = StillStyle { shape: StillShape::Wide, lines: StillLines::Hd, is_overlay: true, with_guides: true };
    let svg = still(&report(), &picture(), &style);
    assert!(!svg.contains("<image") && svg.contains("URSA MAJOR") && svg.contains("Skerrow Bay"));
    assert_eq!(svg.matches("stroke=\"#ffffff\"").count(), 2);
    let plain = still(&report(), &picture(), &StillStyle { is_overlay: false, with_guides: false, ..style });
    assert!(plain.contains("<image") && plain.matches("stroke=\"#ffffff\"").count() == 0);
    assert!(!plain.contains("LYRA"), "a name that would lie over another is left out");
}
