//! Stills: the numbers of the standards, and no word outside of where words are safe.

use draw::{SafeArea, StillLines, StillShape, StillSize, StillStyle, keogram_still, map_still, still};
use job::{
    MapLight, MapSightline, ReadBin, ReadColumn, ReadKeogram, SkyLabel, SkyLabelKind, StillPicture, TellKeogram,
    TellMap, TellStillReport,
};
use quantity::{Basis, Estimate, GeoPosition, Horizontal};

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
    TellStillReport {
        file: "frame.jpg".to_owned(),
        frame_px: [600, 400],
        caption,
        taken: None,
        labels,
        horizon: Vec::new(),
        notes: Vec::new(),
    }
}

fn picture() -> StillPicture {
    StillPicture { width: 30, height: 20, rgb: vec![20; 30 * 20 * 3] }
}

/// Words of a drawing that were looked at; each must lie within the title-safe area.
fn words_within_safe(svg: &str, shape: StillShape) -> usize {
    /// Mean letter of a caption over its size in DejaVu Sans: 0.49 to 0.53 in lines like these, measured with Pillow; the
    /// rest is room. The program's own test looks at the ink.
    const MEAN_LETTER: f64 = 0.56;
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
        let left = if element.contains("text-anchor=\"middle\"") {
            x - 0.5 * width
        } else if element.contains("text-anchor=\"end\"") {
            x - width
        } else {
            x
        };
        assert!(left >= safe.left - 1.0 && left + width <= safe.right() + 1.0, "{text}: {left} {width}");
        assert!(y - size >= safe.top - 1.0 && y <= safe.bottom() + 1.0, "{text}: {y}");
        words_seen += 1;
    }
    words_seen
}

#[test]
fn no_word_leaves_the_title_safe_area() {
    for shape in [StillShape::Wide, StillShape::Tall] {
        let style = StillStyle { shape, lines: StillLines::Hd, is_overlay: false, with_guides: false };
        let seen = [
            words_within_safe(&still(&report(), &picture(), &style), shape),
            words_within_safe(&keogram_still(&keogram(true), &style), shape),
            words_within_safe(&keogram_still(&keogram(false), &style), shape),
            words_within_safe(&map_still(&map(), &style), shape),
        ];
        assert!(seen.iter().all(|seen| *seen > 8), "{seen:?}");
    }
}

/// Six hours of a line from north to south, an arc that climbs from the north, and an hour without frames.
fn keogram(is_kilorayleighs: bool) -> TellKeogram {
    let bin = |place: i32| ReadBin {
        zenith_angle_deg: f64::from(place * 2),
        alt_deg: 90.0 - f64::from((place * 2).abs()),
        latitude_deg: None,
        longitude_deg: None,
        magnetic_latitude_deg: None,
    };
    let bins: Vec<ReadBin> = (-37..=37).map(bin).collect();
    let start: jiff::Timestamp = "2026-03-14T20:00:00Z".parse().unwrap();
    let column = |minute: i32| {
        let light = |bin: &ReadBin| {
            let middle = 70.0 - f64::from(minute) / 6.0;
            0.4 + 30.0 * (-((bin.zenith_angle_deg - middle) / 8.0).powi(2)).exp()
        };
        #[expect(clippy::cast_possible_truncation, reason = "light for drawing")]
        let values = bins.iter().map(|bin| (!(180..240).contains(&minute)).then(|| light(bin) as f32)).collect();
        ReadColumn { at: start + jiff::SignedDuration::from_mins(i64::from(minute)), frames: 1, values }
    };
    TellKeogram {
        title: "The sky along one line, through the night".to_owned(),
        caption: report().caption,
        scale: "kR of 557.7 nm above the sky's own light, an estimate".to_owned(),
        time_zone: "Europe/Oslo".to_owned(),
        keogram: ReadKeogram {
            azimuth_deg: 352.0,
            column_s: 60.0,
            is_kilorayleighs,
            columns: (0..360).map(column).collect(),
            bins,
            borders: Vec::new(),
        },
    }
}

fn map() -> TellMap {
    let at = |latitude: f64, longitude: f64| GeoPosition::new(latitude, longitude, 0.0).unwrap();
    let kr = Estimate { value: 8.3, low: 2.5, high: 27.0, basis: Basis::Model };
    let line = |name: &str, altitude_deg: f64, north: f64, kr| MapSightline {
        name: name.to_owned(),
        direction: Horizontal::new(altitude_deg, 352.0),
        ground: [0.8, 1.0, 1.3].map(|share| at(69.0 + share * north, 16.0 - 0.4 * share * north)),
        distance_km: Estimate { value: 111.0 * north, low: 89.0 * north, high: 144.0 * north, basis: Basis::Model },
        kr,
    };
    let light =
        (0..40).map(|place| MapLight { ground: at(69.0 + 0.1 * f64::from(place), 16.0), value: f64::from(place) });
    TellMap {
        title: "Where the light stood".to_owned(),
        caption: report().caption,
        camera: at(69.0, 16.0),
        rounded_km: 55.6,
        sightlines: vec![
            line("brightest", 24.0, 2.1, Some(kr)),
            line("edge", 60.0, 0.6, None),
            line("edge", 22.0, 2.2, None),
        ],
        light: light.collect(),
        is_kilorayleighs: true,
        basis: "kR of 557.7 nm above the sky's own light, an estimate; light taken to be at 110 ± 10 km".to_owned(),
    }
}

/// All words of a drawing in their order.
fn words(svg: &str) -> String {
    let texts = svg.split("<text").skip(1).filter_map(|element| element.split('>').nth(1)?.split('<').next());
    texts.collect::<Vec<_>>().join(" ")
}

/// Words about the light stand beside it.
#[test]
fn no_label_of_a_map_lies_over_its_light() {
    for shape in [StillShape::Wide, StillShape::Tall] {
        let style = StillStyle { shape, lines: StillLines::Hd, is_overlay: false, with_guides: false };
        let svg = map_still(&map(), &style);
        let number = |element: &str, name: &str| -> f64 {
            element.split(&format!(" {name}=\"")).nth(1).unwrap().split('"').next().unwrap().parse().unwrap()
        };
        let plates: Vec<[f64; 4]> = svg
            .split("<rect")
            .filter(|rect| rect.contains("fill-opacity=\".7\""))
            .map(|rect| ["x", "y", "width", "height"].map(|name| number(rect, name)))
            .collect();
        assert_eq!(plates.len(), 3, "a label for each line of sight");
        let covers = |circle: &&str| {
            let [x, y] = ["cx", "cy"].map(|name| number(circle, name));
            plates.iter().any(|[left, top, width, height]| {
                (*left..left + width).contains(&x) && (*top..top + height).contains(&y)
            })
        };
        let dots: Vec<&str> = svg.split("<circle").skip(1).collect();
        assert_eq!(dots.iter().filter(|dot| covers(dot)).count(), 0, "of {} dots in {shape:?}", dots.len());
    }
}

/// What stands on a map and a keogram besides words: the coast, the light, the camera's circle of doubt, gaps in another colour.
#[test]
fn a_map_and_a_keogram_show_what_they_are_made_of() {
    let style = StillStyle { shape: StillShape::Wide, lines: StillLines::Hd, is_overlay: false, with_guides: false };
    let svg = map_still(&map(), &style);
    let said = words(&svg);
    for wanted in
        ["8.3 (2.5 to 27) kR, an estimate", "233 (187 to 302) km", "Natural Earth", "within 56 km", "100 km", "200 km"]
    {
        assert!(said.contains(wanted), "{wanted} in {said}");
    }
    assert!(svg.matches("<circle").count() > 40 && svg.contains("<path"), "light and coast");
    assert_eq!(roxmltree::Document::parse(&svg).unwrap().root_element().attribute("width"), Some("1920"));
    // the circle of doubt is as wide as the rounding: as far as the rings say
    let number = |text: &str, name: &str| -> f64 {
        text.split(&format!(" {name}=\"")).nth(1).unwrap().split('"').next().unwrap().parse().unwrap()
    };
    let doubt = svg.split("<circle").find(|circle| circle.contains("fill-opacity")).unwrap();
    assert!(number(doubt, "r") > 20.0, "{doubt}");
    let plot = keogram_still(&keogram(true), &style);
    for wanted in ["grey: no frame", "30° N", "zenith", "60° S", "22:00<", "data:image/png"] {
        assert!(plot.contains(wanted), "{wanted}");
    }
    let words = StillStyle { is_overlay: true, ..style };
    let ground = "width=\"1920\" height=\"1080\" fill=";
    assert!(plot.contains(ground) && !keogram_still(&keogram(true), &words).contains(ground));
    assert!(svg.contains(ground) && !map_still(&map(), &words).contains(ground));
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
