use draw::{BowlStyle, CompareStyle, Palette, StripStyle, compare_sites, night_strip, sky_bowl};

use crate::sample::{self, Night};

/// Limit asked of a bowl on a grid of three degrees, bytes.
const BOWL_BYTES: usize = 150_000;

fn nights() -> [Night; 6] {
    [
        sample::normal(),
        sample::polar_night(),
        sample::moonlit_without_activity(),
        sample::southern(),
        sample::clouds_unknown(),
        sample::clock_change(),
    ]
}

fn all_pictures() -> Vec<String> {
    let mut out = Vec::new();
    for night in nights() {
        let (outlook, skymap) = (night.outlook(), night.skymap(10.0, 3.0));
        for palette in Palette::ALL {
            for width_px in [200.0, 390.0, 1440.0] {
                out.push(night_strip(&outlook, &StripStyle { width_px, ..StripStyle::desk(palette) }));
                out.push(sky_bowl(&skymap, &BowlStyle::new(width_px, palette)));
                out.push(compare_sites(
                    &[night.row("first"), night.row("second")],
                    &CompareStyle { width_px, palette },
                ));
            }
        }
    }
    out
}

#[test]
fn every_picture_is_sound_xml_that_stands_alone() {
    for picture in all_pictures() {
        let document = roxmltree::Document::parse(&picture).unwrap();
        let root = document.root_element();
        assert_eq!(root.attribute("role"), Some("img"));
        let names: Vec<&str> =
            root.children().filter(roxmltree::Node::is_element).map(|n| n.tag_name().name()).collect();
        assert_eq!(names[..2], ["title", "desc"]);
        assert!(!root.first_element_child().unwrap().text().unwrap().is_empty());
        for node in document.descendants().filter(roxmltree::Node::is_element) {
            assert!(!["script", "style", "image", "use", "foreignObject", "a"].contains(&node.tag_name().name()));
            for attribute in node.attributes() {
                let (name, value) = (attribute.name(), attribute.value());
                assert!(!name.starts_with("on") && name != "href" && name != "style" && name != "id", "{name}");
                assert!(!value.contains("NaN") && !value.contains("inf") && !value.contains("url("), "{name}={value}");
            }
        }
    }
}

#[test]
fn the_same_report_gives_the_same_bytes() {
    assert_eq!(all_pictures(), all_pictures());
}

#[test]
fn dark_eyes_hold_nothing_but_red() {
    let night = sample::normal();
    let bowl = sky_bowl(&night.skymap(10.0, 3.0), &BowlStyle::new(390.0, Palette::DarkEyes));
    let strip = night_strip(&night.outlook(), &StripStyle::phone(Palette::DarkEyes));
    for picture in [bowl, strip] {
        let document = roxmltree::Document::parse(&picture).unwrap();
        for node in document.descendants() {
            for name in ["fill", "stroke"] {
                let colour = node.attribute(name).unwrap_or("none");
                assert!(colour == "none" || colour.ends_with("0000"), "{name} {colour}");
            }
        }
        // a shape without a fill is black, which is allowed; a text without one would be invisible
        assert!(document.descendants().filter(|n| n.has_tag_name("text")).all(|n| n.attribute("fill").is_some()));
    }
}

#[test]
fn a_bowl_stays_small() {
    for night in nights() {
        for size_px in [390.0, 720.0, 1440.0] {
            let bytes = sky_bowl(&night.skymap(10.0, 3.0), &BowlStyle::new(size_px, Palette::Day)).len();
            assert!(bytes < BOWL_BYTES, "{} at {size_px} px: {bytes} bytes", night.name);
        }
    }
}

#[test]
fn contours_that_the_field_crosses_are_drawn_and_named() {
    let mut report = sample::southern().skymap(10.0, 3.0);
    // one hill in the south, 0.001 to 200 kR, so that every line up to 100 kR is crossed
    let across = report.azimuths_deg.len();
    for (index, kr) in report.green_5577_kr.iter_mut().enumerate() {
        let here = quantity::Horizontal::new(report.altitudes_deg[index / across], report.azimuths_deg[index % across]);
        *kr = 200.0 * 10f64.powf(-here.separation_deg(quantity::Horizontal::new(45.0, 180.0)) / 20.0);
    }
    let drawn = sky_bowl(&report, &BowlStyle::new(720.0, Palette::Day));
    for level in ["0.3", "1", "3", "10", "30", "100"] {
        assert!(drawn.contains(&format!("data-contour-kr=\"{level}\"")), "{level} kR has no line");
        assert!(drawn.contains(&format!(">{level} kR<")), "{level} kR has no name");
    }
    assert!(!drawn.contains("data-contour-kr=\"300\""));
}

#[test]
fn unknown_cloud_is_said() {
    let strip = night_strip(&sample::clouds_unknown().outlook(), &StripStyle::phone(Palette::Day));
    assert!(strip.contains("cloud not given"));
}

#[test]
fn the_description_is_the_report_in_words() {
    let report = sample::normal().outlook();
    let strip = night_strip(&report, &StripStyle::desk(Palette::Day));
    let document = roxmltree::Document::parse(&strip).unwrap();
    let description = document.descendants().find(|n| n.has_tag_name("desc")).unwrap();
    assert_eq!(description.text(), Some(report.strip_text.as_str()));
}
