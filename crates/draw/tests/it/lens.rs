//! The view through the lens: sound for every kit and pointing, red alone for dark eyes, hostile names stay text.

use draw::{LensStyle, Palette, lens_view};
use job::{
    Activity, ForegroundObject, FramePointing, Framing, HorizonPoint, Kit, LensProjection, Orientation, Site,
    StandReport, StandRequest, WaterBearing, Weather, WeatherHour, stand,
};
use quantity::{GeoPosition, Timestamp};

fn report(focal_mm: f64, projection: LensProjection, pointing: FramePointing, wind_m_s: Option<f64>) -> StandReport {
    let from: Timestamp = "2026-03-14T20:00:00Z".parse().unwrap();
    let to: Timestamp = "2026-03-14T23:00:00Z".parse().unwrap();
    let mut kit = Kit::plain();
    kit.lens.focal_mm = focal_mm;
    kit.lens.projection = projection;
    let hour = WeatherHour { wind_m_s, ..WeatherHour::unknown(from, to) };
    stand(StandRequest {
        site: Site {
            water: vec![WaterBearing { from_deg: 300.0, to_deg: 60.0, sheltered: false }],
            foreground: vec![ForegroundObject {
                name: "<script>hut</script>".into(),
                bearing_deg: 358.0,
                distance_m: 40.0,
                height_m: 4.0,
                width_m: 6.0,
            }],
            ..Site::bare("Bay \"x\" <b>", GeoPosition::new(66.0, 20.0, 5.0).unwrap())
        },
        at: "2026-03-14T21:30:00Z".parse().unwrap(),
        kit,
        pointing: Some(pointing),
        activity: Activity::given(4.0, from, to),
        weather: Weather { source: "test".into(), issued_at: None, hours: vec![hour], around: Vec::new() },
        f107: 120.0,
        focus_m: None,
    })
    .unwrap()
}

fn north(altitude_deg: f64, orientation: Orientation) -> FramePointing {
    FramePointing { azimuth_deg: 0.0, altitude_deg, roll_deg: 0.0, orientation }
}

fn view(report: &StandReport, palette: Palette) -> String {
    lens_view(report, &LensStyle { width_px: 700.0, height_px: 600.0, palette })
}

#[test]
fn every_view_is_sound() {
    for (focal_mm, projection) in [(20.0, LensProjection::Rectilinear), (8.0, LensProjection::Equisolid)] {
        for altitude_deg in [-40.0, 10.0, 89.0] {
            let report = report(focal_mm, projection, north(altitude_deg, Orientation::Portrait), None);
            let picture = view(&report, Palette::Print);
            let parsed = roxmltree::Document::parse(&picture).unwrap();
            assert_eq!(parsed.root_element().children().filter(|child| child.has_tag_name("desc")).count(), 1);
            assert!(!picture.contains("NaN") && !picture.contains("<script"));
        }
    }
}

#[test]
fn dark_eyes_see_red_alone() {
    let picture =
        view(&report(20.0, LensProjection::Rectilinear, north(10.0, Orientation::Landscape), None), Palette::DarkEyes);
    for colour in picture.split('#').skip(1).filter(|text| text.len() > 6).map(|text| &text[..6]) {
        let is_colour = colour.chars().all(|c| c.is_ascii_hexdigit());
        assert!(!is_colour || colour.ends_with("0000"), "#{colour}");
    }
}

#[test]
fn wind_takes_the_mirror_away() {
    let waters = |wind| {
        let report = report(20.0, LensProjection::Rectilinear, north(0.0, Orientation::Landscape), Some(wind));
        view(&report, Palette::Day).matches("id=\"lens-water-").count()
    };
    assert_eq!((waters(0.2), waters(12.0)), (1, 0));
}

#[test]
fn the_same_report_gives_the_same_picture() {
    let report = report(20.0, LensProjection::Rectilinear, north(10.0, Orientation::Landscape), Some(1.0));
    assert_eq!(view(&report, Palette::Day), view(&report, Palette::Day));
}

/// Labels of lines of equal brightness: their words and the place of their middle.
fn contour_labels(picture: &str) -> Vec<(String, f64, f64)> {
    let document = roxmltree::Document::parse(picture).unwrap();
    let number = |node: roxmltree::Node<'_, '_>, name: &str| node.attribute(name).unwrap().parse::<f64>().unwrap();
    document
        .descendants()
        .filter(|node| node.has_tag_name("text") && node.attribute("text-anchor") == Some("middle"))
        .filter(|node| node.attribute("aria-hidden").is_none() && node.text().unwrap_or_default().ends_with(" kR"))
        .map(|node| (node.text().unwrap().to_owned(), number(node, "x"), number(node, "y")))
        .collect()
}

#[test]
fn labels_of_lines_stand_above_the_skyline() {
    let mut seen = 0;
    for (altitude_deg, ridge_deg) in [(5.0, 2.0), (10.0, 12.0), (0.0, 20.0), (25.0, 6.0)] {
        let mut request =
            report(20.0, LensProjection::Rectilinear, north(altitude_deg, Orientation::Landscape), None).request;
        request.site.horizon = [(0.0, ridge_deg), (40.0, 2.0 * ridge_deg), (180.0, 1.0), (320.0, 0.0)]
            .map(|(azimuth_deg, altitude_deg)| HorizonPoint { azimuth_deg, altitude_deg })
            .to_vec();
        let report = stand(request).unwrap();
        let picture = view(&report, Palette::Day);
        let document = roxmltree::Document::parse(&picture).unwrap();
        // the outermost frame of the picture: its clip path
        let frame =
            document.descendants().find(|node| node.has_tag_name("clipPath")).unwrap().first_element_child().unwrap();
        let side = |name: &str| frame.attribute(name).unwrap().parse::<f64>().unwrap();
        let framing = Framing::new(&report.request.kit, &report.pointing);
        let px = side("width") / f64::from(framing.size_px()[0]);
        for (words, x, y) in contour_labels(&picture) {
            let direction = framing.direction_of([(x - side("x")) / px, (y - side("y")) / px]).unwrap();
            let skyline_deg = report.request.site.skyline_deg(direction.azimuth_deg);
            assert!(direction.altitude_deg > skyline_deg, "{words} at {direction:?} under {skyline_deg}");
            seen += 1;
        }
    }
    assert!(seen > 4, "{seen} labels");
}
