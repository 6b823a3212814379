//! The skyline of a site: sound for every site, red alone for dark eyes, at the place where it says it is.

use draw::{HorizonStyle, Palette, horizon_profile};
use job::{ForegroundObject, HorizonPoint, Site, WaterBearing};
use quantity::GeoPosition;

fn site(latitude_deg: f64) -> Site {
    Site {
        horizon: [(0.0, 1.5), (60.0, 6.0), (150.0, 9.0), (230.0, 4.0), (300.0, 0.5)]
            .map(|(azimuth_deg, altitude_deg)| HorizonPoint { azimuth_deg, altitude_deg })
            .to_vec(),
        water: vec![WaterBearing { from_deg: 300.0, to_deg: 30.0, sheltered: true }],
        foreground: vec![ForegroundObject {
            name: "<script>boathouse</script>\"".into(),
            bearing_deg: 345.0,
            distance_m: 60.0,
            height_m: 5.5,
            width_m: 9.0,
        }],
        ..Site::bare("Bay \"x\" <b>", GeoPosition::new(latitude_deg, 15.65, 3.0).unwrap())
    }
}

fn drawn(site: &Site, width_px: f64, palette: Palette) -> String {
    horizon_profile(site, &HorizonStyle { width_px, height_px: 220.0, palette })
}

#[test]
fn every_skyline_is_sound_and_said_in_words() {
    let mut odd = site(69.0);
    odd.horizon.push(HorizonPoint { azimuth_deg: f64::NAN, altitude_deg: f64::INFINITY });
    odd.water.push(WaterBearing { from_deg: f64::NAN, to_deg: -1e300, sheltered: false });
    odd.foreground.push(ForegroundObject { distance_m: 0.0, width_m: f64::NAN, ..odd.foreground[0].clone() });
    odd.foreground.extend(vec![odd.foreground[0].clone(); 500]);
    for site in [site(69.0), site(-46.0), Site::bare("", GeoPosition::new(90.0, 0.0, 0.0).unwrap()), odd] {
        for (width_px, palette) in [(342.0, Palette::Day), (1000.0, Palette::Print), (f64::NAN, Palette::DarkEyes)] {
            let picture = drawn(&site, width_px, palette);
            let parsed = roxmltree::Document::parse(&picture).unwrap();
            assert_eq!(parsed.root_element().children().filter(|child| child.has_tag_name("desc")).count(), 1);
            assert!(!picture.contains("NaN") && !picture.contains("<script") && !picture.contains("\"inf"));
            assert!(picture.len() < 60_000, "{} bytes", picture.len());
        }
    }
    let words = drawn(&site(69.0), 600.0, Palette::Day);
    assert!(words.contains("highest at bearing 150° with 9.0°"));
    assert!(words.contains("Water from bearing 300° to 30°, in the lee."));
    assert!(words.contains("345°, 60 m away, 5.2° high"));
}

#[test]
fn dark_eyes_see_red_alone() {
    let picture = drawn(&site(69.0), 342.0, Palette::DarkEyes);
    for colour in picture.split('#').skip(1).filter(|text| text.len() > 6).map(|text| &text[..6]) {
        let is_colour = colour.chars().all(|c| c.is_ascii_hexdigit());
        assert!(!is_colour || colour.ends_with("0000"), "#{colour}");
    }
}

/// Middle of the object's box, as a share of the plot.
fn share_of_object(picture: &str) -> f64 {
    let parsed = roxmltree::Document::parse(picture).unwrap();
    let root = parsed.root_element();
    let number = |node: roxmltree::Node<'_, '_>, name: &str| node.attribute(name).unwrap().parse::<f64>().unwrap();
    let object = parsed.descendants().find(|node| node.has_tag_name("rect") && node.has_attribute("stroke")).unwrap();
    let middle = number(object, "x") + number(object, "width") / 2.0;
    (middle - number(root, "data-plot-left")) / number(root, "data-plot-width")
}

#[test]
fn the_nearer_pole_stands_in_the_middle() {
    // bearing 345: 15 degrees left of north, and 165 degrees right of south
    let north = share_of_object(&drawn(&site(69.0), 1000.0, Palette::Day));
    assert!((north - (180.0 - 15.0) / 360.0).abs() < 0.002, "{north}");
    let south = share_of_object(&drawn(&site(-46.0), 1000.0, Palette::Day));
    assert!((south - 345.0 / 360.0).abs() < 0.002, "{south}");
}

#[test]
fn water_across_the_edge_is_drawn_on_both_sides() {
    let strokes = |from_deg, to_deg| {
        let mut site = site(69.0);
        site.water = vec![WaterBearing { from_deg, to_deg, sheltered: false }];
        let picture = drawn(&site, 1000.0, Palette::Day);
        let parsed = roxmltree::Document::parse(&picture).unwrap();
        let water =
            parsed.descendants().find(|node| node.has_attribute("stroke-dasharray") && node.has_tag_name("path"));
        water.unwrap().attribute("d").unwrap().matches('M').count()
    };
    assert_eq!(strokes(100.0, 120.0), 3);
    assert_eq!(strokes(170.0, 190.0), 6);
    // one bearing twice is water all around
    assert_eq!(strokes(180.0, 180.0), 3);
}
