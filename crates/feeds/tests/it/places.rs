//! Files of places in three shapes: what is read, what is refused with which words, and what hostile files cost.

use std::time::{Duration, Instant};

use feeds::places::{FoundPlaces, LARGEST_PLACES_BYTES, PlaceFormat, Sameness, parse_places, to_geojson};
use feeds::{FeedError, Place};
use job::{ForegroundObject, HorizonPoint, Site, SkyQuality, WaterBearing};
use proptest::prelude::*;
use quantity::GeoPosition;

/// Bound on the time of one hostile file in an unoptimised build; unbounded ones took minutes to hours.
const PATIENCE: Duration = Duration::from_secs(20);

const GPX: &str = r#"<?xml version="1.0" encoding="UTF-8"?>
<gpx version="1.1" creator="a phone" xmlns="http://www.topografix.com/GPX/1/1"
     xmlns:xsi="http://www.w3.org/2001/XMLSchema-instance">
  <metadata><name>coast</name></metadata>
  <wpt lat="69.15" lon="15.65">
    <ele>3.4</ele>
    <name>Skerrow Bay</name>
    <cmt>gate closed</cmt>
    <desc>gravel road</desc>
  </wpt>
  <wpt lat="-46.55" lon="169.45"><name>Tarrant &amp; Sound</name></wpt>
  <wpt lat="95.1" lon="15.2"><name>Nowhere</name></wpt>
  <wpt lat="69,3" lon="15.2"><name>Marrow Head</name></wpt>
  <wpt lon="15.2"><name>Half</name></wpt>
  <wpt lat="68.75" lon="16.85"/>
  <rte><rtept lat="1" lon="2"/></rte>
  <trk><name>drive</name><trkseg><trkpt lat="1" lon="2"/></trkseg></trk>
</gpx>"#;

const KML: &str = r#"<?xml version="1.0" encoding="UTF-8"?>
<kml xmlns="http://www.opengis.net/kml/2.2" xmlns:gx="http://www.google.com/kml/ext/2.2"><Document>
  <name>places</name>
  <Folder><Folder>
    <Placemark><name>Skerrow Bay</name><description><![CDATA[<b>gravel</b> road]]></description>
      <Point><coordinates> 15.65,69.15,3 </coordinates></Point></Placemark>
    <Placemark><name>Ternholm Lake</name>
      <Point><altitudeMode>absolute</altitudeMode><coordinates>16.85, 68.75, 120</coordinates></Point></Placemark>
  </Folder></Folder>
  <Placemark><name>road</name><LineString><coordinates>1,2 3,4</coordinates></LineString></Placemark>
  <Placemark><name>two</name><MultiGeometry><Point><coordinates>1,2</coordinates></Point>
    <Point><coordinates>1,2</coordinates></Point></MultiGeometry></Placemark>
  <Placemark><name>empty</name></Placemark>
  <NetworkLink><Link><href>http://example.org/more.kml</href></Link></NetworkLink>
</Document></kml>"#;

const GEOJSON: &str = r#"{"type":"FeatureCollection","features":[
  {"type":"Feature","geometry":{"type":"Point","coordinates":[15.65,69.15,3]},"properties":{"name":"Skerrow Bay","description":"gravel"}},
  {"type":"Feature","geometry":{"type":"Point","coordinates":[69.30,15.20]},"properties":{"title":"Marrow Head"}},
  {"type":"Feature","geometry":{"type":"Point","coordinates":[15.4,112.0]},"properties":null},
  {"type":"Feature","geometry":{"type":"LineString","coordinates":[[1,2],[3,4]]},"properties":{}},
  {"type":"Feature","geometry":null,"properties":{"name":"none"}},
  {"type":"Feature","geometry":{"type":"Point","coordinates":["15","69"]},"properties":{}},
  7
]}"#;

fn parse(text: &str) -> FoundPlaces {
    parse_places(text.as_bytes(), "places").unwrap()
}

fn refused(bytes: &[u8]) -> FeedError {
    let error = parse_places(bytes, "places").unwrap_err();
    let message = error.to_string();
    assert!(!message.contains('\n') && message.chars().count() < 250, "{message}");
    assert!(!error.hint().is_empty());
    error
}

fn names(found: &FoundPlaces) -> Vec<&str> {
    found.places.iter().map(feeds::places::FoundPlace::name).collect()
}

fn reasons(found: &FoundPlaces) -> Vec<String> {
    found.rejected.iter().map(ToString::to_string).collect()
}

#[test]
fn waypoints_are_read_and_bad_ones_named_by_line() {
    let found = parse(GPX);
    assert_eq!(found.format, PlaceFormat::Gpx);
    assert_eq!(names(&found), ["Skerrow Bay", "Tarrant & Sound", "68.7500 N 16.8500 E"]);
    let bay = &found.places[0];
    assert_eq!((bay.at, bay.elevation_m), (Place::Line(5), Some(3.4)));
    assert!((bay.position().height_m() - 3.4).abs() < 1e-12);
    assert_eq!(bay.description, "gravel road\ngate closed");
    assert_eq!(found.places[1].elevation_m, None);
    assert_eq!(
        reasons(&found),
        [
            "line 12, coordinates: latitude in degrees 95.1 is outside -90 to 90; if that is the longitude, the two are swapped",
            "line 13, lat: \"69,3\" is not a decimal number; decimals need a point",
            "line 14, lat: it is missing",
        ]
    );
    let remarks: Vec<String> = found.remarks.iter().map(ToString::to_string).collect();
    assert_eq!(
        remarks,
        [
            "line 15, name: it has none and is called \"68.7500 N 16.8500 E\"",
            "line 1, gpx: 1 routes and 1 tracks are not read, only waypoints",
        ]
    );
}

#[test]
fn gpx_of_the_older_version_and_without_a_vocabulary_is_read_alike() {
    for head in ["<gpx version=\"1.0\" xmlns=\"http://www.topografix.com/GPX/1/0\">", "<gpx version=\"1.1\">", "<gpx>"]
    {
        let found = parse(&format!("{head}<wpt lat='1' lon='2'><name>a</name></wpt></gpx>"));
        assert_eq!((names(&found), found.remarks.len()), (vec!["a"], 0));
    }
}

#[test]
fn placemarks_are_read_in_folders_and_only_points() {
    let found = parse(KML);
    assert_eq!(names(&found), ["Skerrow Bay", "Ternholm Lake"]);
    let (bay, lake) = (&found.places[0], &found.places[1]);
    // clamped to the ground: the number says nothing
    assert_eq!((bay.elevation_m, lake.elevation_m), (None, Some(120.0)));
    assert!((bay.position().latitude_deg() - 69.15).abs() < 1e-12);
    assert!((lake.position().longitude_deg() - 16.85).abs() < 1e-12);
    assert_eq!(bay.description, "<b>gravel</b> road");
    assert_eq!(
        reasons(&found),
        [
            "line 10, geometry: it is a LineString, not a point",
            "line 11, geometry: it has 2 points, not one",
            "line 13, geometry: it has no point",
        ]
    );
    assert!(found.remarks[0].to_string().contains("link to another file"));
}

#[test]
fn point_features_are_read_longitude_first_and_a_swapped_pair_is_said() {
    let found = parse(GEOJSON);
    assert_eq!(names(&found), ["Skerrow Bay", "Marrow Head"]);
    assert!((found.places[0].position().latitude_deg() - 69.15).abs() < 1e-12);
    assert_eq!(found.places[0].elevation_m, Some(3.0));
    // used as it stands
    assert!((found.places[1].position().latitude_deg() - 15.2).abs() < 1e-12);
    assert_eq!(
        found.remarks[0].to_string(),
        "entry 2, coordinates: latitude 15.2, longitude 69.3 look swapped; used as they stand, nothing was guessed"
    );
    assert_eq!(
        reasons(&found),
        [
            "entry 3, coordinates: latitude in degrees 112 is outside -90 to 90; if that is the longitude, the two are swapped",
            "entry 4, geometry: it is a LineString, not a Point",
            "entry 5, geometry: it has none",
            "entry 6, coordinates: one of them is not a number",
            "entry 7, type: it is not a Feature",
        ]
    );
}

#[test]
fn one_feature_and_a_bare_point_are_files_of_places_too() {
    let point = r#"{"type":"Point","coordinates":[15.65,69.15]}"#;
    assert_eq!(names(&parse(point)), ["69.1500 N 15.6500 E"]);
    let feature = format!(r#"{{"type":"Feature","geometry":{point},"properties":{{"name":12}}}}"#);
    assert_eq!(names(&parse(&feature)), ["12"]);
}

fn skerrow() -> Site {
    Site {
        time_zone: "Europe/Oslo".to_owned(),
        sky_quality: SkyQuality::Measured { zenith_mag_arcsec2: 21.6 },
        horizon: vec![HorizonPoint { azimuth_deg: 0.0, altitude_deg: 1.5 }],
        snow_cover: true,
        notes: "gravel\nfrom the north".to_owned(),
        water: vec![WaterBearing { from_deg: 300.0, to_deg: 30.0, sheltered: true }],
        foreground: vec![ForegroundObject {
            name: "boathouse".to_owned(),
            bearing_deg: 345.0,
            distance_m: 60.0,
            height_m: 5.5,
            width_m: 9.0,
        }],
        drive_minutes: Some(20.0),
        ..Site::bare("Skerrow Bay", GeoPosition::new(69.15, 15.65, 3.0).unwrap())
    }
}

/// A site as a feature whose properties are its fields.
fn feature(site: &Site) -> serde_json::Value {
    let collection: serde_json::Value = serde_json::from_str(&to_geojson(std::slice::from_ref(site))).unwrap();
    collection["features"][0].clone()
}

#[test]
fn the_sites_of_an_outlook_are_read_and_its_lines_of_sight_passed_over() {
    let text = r#"{"type":"FeatureCollection","features":[
        {"type":"Feature","geometry":{"type":"Point","coordinates":[15.1,69.2]},"properties":{"what":"site","name":"Skerrow Bay","drive_minutes":45.0,"height_m":5.0,"time_zone":"Europe/Oslo"}},
        {"type":"Feature","geometry":{"type":"LineString","coordinates":[[15.1,69.2],[14.9,69.6]]},"properties":{"what":"line of sight to the brightest aurora"}}]}"#;
    let found = parse(text);
    assert!(found.rejected.is_empty() && found.remarks[0].to_string().contains("1 lines of sight"));
    let site = found.places[0].to_site("UTC");
    assert_eq!((found.places[0].elevation_m, site.drive_minutes), (Some(5.0), Some(45.0)));
    assert_eq!(site.time_zone, "Europe/Oslo");
}

#[test]
fn sites_written_as_features_come_back_whole() {
    let sites = [
        skerrow(),
        Site { sky_quality: SkyQuality::Bortle { class: 4 }, ..Site::bare("<b>\"Head\"", skerrow().position) },
        Site::bare("Pole", GeoPosition::new(-90.0, -180.0, 2835.0 / 7.0).unwrap()),
    ];
    let found = parse(&to_geojson(&sites));
    let back: Vec<Site> = found.places.iter().map(|place| place.to_site("Asia/Tokyo")).collect();
    assert_eq!(back, sites);
    assert!(found.remarks.is_empty() && found.rejected.is_empty());
}

#[test]
fn foreign_properties_of_our_names_are_left_out_and_said_but_bad_values_are_refused() {
    let mut foreign = feature(&skerrow());
    foreign["properties"]["horizon"] = "high in the south".into();
    foreign["properties"]["time_zone"] = 1.into();
    let found = parse(&foreign.to_string());
    let site = found.places[0].to_site("Europe/Oslo");
    assert!(site.horizon.is_empty() && site.time_zone == "Europe/Oslo");
    assert_eq!(found.remarks.len(), 2);
    let mut bad = feature(&skerrow());
    bad["properties"]["horizon"][0]["altitude_deg"] = 95.into();
    let found = parse(&bad.to_string());
    assert_eq!(reasons(&found), ["entry 1, properties: site.horizon[0].altitude_deg: 95 is outside -5 to 90 degrees"]);
}

#[test]
fn doubles_are_reported_and_not_removed() {
    let text = r#"<gpx><wpt lat="69.15" lon="15.65"><name>Bay</name></wpt><wpt lat="69.15" lon="15.6503"><name>bay</name></wpt>
        <wpt lat="60" lon="10"><name>Bay</name></wpt><wpt lat="69.1501" lon="15.65"><name>beach</name></wpt></gpx>"#;
    let found = parse(text);
    assert_eq!(found.places.len(), 4);
    let pairs: Vec<_> = found.duplicates.iter().map(|pair| (pair.first, pair.second, pair.sameness)).collect();
    assert!(matches!(pairs[0], (0, 1, Sameness::NameAndPlace { distance_m }) if (11.0..13.0).contains(&distance_m)));
    assert_eq!(pairs[1], (0, 2, Sameness::Name));
    assert!(matches!(pairs[2], (0, 3, Sameness::Place { distance_m }) if (11.0..11.3).contains(&distance_m)));
}

#[test]
fn a_name_is_cleaned_and_a_script_in_it_stays_text() {
    let text =
        "<gpx><wpt lat='1' lon='2'><name>&lt;script&gt;alert(1)&lt;/script&gt;&#x202e;\n\u{9}x</name></wpt></gpx>";
    assert_eq!(names(&parse(text)), ["<script>alert(1)</script> x"]);
}

#[test]
fn a_height_no_place_has_is_not_known() {
    let found = parse("<gpx><wpt lat='60' lon='2'><ele>1e7</ele><name>a</name></wpt></gpx>");
    assert_eq!(found.places[0].elevation_m, None);
    assert!(found.places[0].position().height_m().abs() < f64::EPSILON);
    assert!(found.remarks[0].to_string().contains("no height"));
}

#[test]
fn other_files_are_named_with_their_remedy() {
    assert!(matches!(refused(b" \n"), FeedError::Empty { .. }));
    let kmz = refused(b"PK\x03\x04rest");
    assert!(kmz.to_string().contains("KMZ") && kmz.hint().contains("doc.kml"));
    for (bytes, word) in [
        (&b"\x1f\x8b\x08"[..], "gzip"),
        (b"\xff\xfe<\0", "UTF-16"),
        (b"<gpx>\xe5</gpx>", "byte 6 is not UTF-8"),
        (b"<!DOCTYPE html><html></html>", "HTML"),
        (b"<svg/>", "<svg>"),
        (b"name,lat,lon\n", "begins with"),
        (b"[1,2]", "begins with"),
        (br#"{"type":"Topology"}"#, "Topology"),
        (br#"{"a":1}"#, "without a GeoJSON `type`: a"),
    ] {
        let error = refused(bytes);
        assert!(matches!(error, FeedError::NotPlaces { .. }) && error.to_string().contains(word), "{error}");
    }
    let utm = br#"{"type":"FeatureCollection","crs":{"type":"name","properties":{"name":"urn:ogc:def:crs:EPSG::25833"}},"features":[]}"#;
    assert!(refused(utm).to_string().contains("EPSG::25833"));
    let tracks = refused(b"<gpx><trk/></gpx>");
    assert_eq!(tracks.to_string(), "places holds no place: 0 routes and 1 tracks, but no waypoint");
    assert!(refused(b"<kml/>").to_string().contains("no placemark"));
    assert!(refused(br#"{"type":"FeatureCollection","features":[]}"#).to_string().contains("without a feature"));
    let cut = refused(b"<gpx>\n<wpt lat='1' lon='2'><name>a");
    assert!(cut.to_string().starts_with("places, line 2, column "), "{cut}");
    assert!(cut.to_string().ends_with("the XML breaks off"), "{cut}");
}

#[test]
fn a_document_type_is_refused_whatever_it_holds() {
    let laughs = r#"<?xml version="1.0"?><!DOCTYPE gpx [<!ENTITY a "ha"><!ENTITY b "&a;&a;&a;&a;">]>
        <gpx><wpt lat="1" lon="2"><name>&b;</name></wpt></gpx>"#;
    let outside = r#"<!DOCTYPE gpx SYSTEM "file:///etc/passwd"><gpx><wpt lat="1" lon="2"/></gpx>"#;
    for text in [laughs, outside] {
        assert!(refused(text.as_bytes()).to_string().contains("DOCTYPE"), "{text}");
    }
}

#[test]
fn hostile_files_are_refused_soon() {
    let begun = Instant::now();
    let wide = format!("<gpx {}/>", (0..400_000).map(|i| format!("a{i}=''")).collect::<Vec<_>>().join(" "));
    let deep = "<a>".repeat(1_000_000);
    let vocabularies = (0..100_000).map(|i| format!("<a xmlns:n{i}='n{i}'>")).collect::<Vec<_>>().join(" ");
    let siblings = format!("<a>{}</a>", "<b xmlns:x='y'/>".repeat(300_000));
    let empty = format!("<gpx>{}</gpx>", "<a/>".repeat(1_500_000));
    let many = format!("<gpx>{}</gpx>", "<wpt lat='1' lon='2'/>".repeat(10_001));
    for text in [wide, deep, vocabularies, siblings, empty, many] {
        let error = refused(text.as_bytes());
        assert!(matches!(error, FeedError::PlacesBeyondLimit { .. }), "{error}");
    }
    assert!(matches!(refused(&vec![b' '; LARGEST_PLACES_BYTES + 1]), FeedError::PlacesBeyondLimit { .. }));
    // the fullest files that are read
    let crowd = format!("<gpx>{}</gpx>", "<wpt lat='69' lon='2'><name>a</name></wpt>".repeat(10_000));
    assert_eq!(parse(&crowd).places.len(), 10_000);
    let brackets = "[".repeat(LARGEST_PLACES_BYTES);
    refused(format!("{{\"type\":{brackets}").get(..LARGEST_PLACES_BYTES).unwrap().as_bytes());
    assert!(begun.elapsed() < PATIENCE, "{:?}", begun.elapsed());
}

#[test]
fn every_file_cut_or_flipped_is_refused_or_read_without_a_panic() {
    for text in [GPX, KML, GEOJSON] {
        for length in 0..text.len() {
            survive(&text.as_bytes()[..length]);
        }
        for at in 0..text.len() {
            let mut bytes = text.as_bytes().to_vec();
            bytes[at] ^= 1 << (at % 8);
            survive(&bytes);
        }
    }
}

/// Whatever is accepted is a site the program can use, and whatever is said is one line.
fn survive(bytes: &[u8]) {
    match parse_places(bytes, "x") {
        Ok(found) => {
            for place in &found.places {
                place.to_site("UTC").check().unwrap();
                assert!(!place.name().is_empty() && !place.name().contains(char::is_control));
            }
            for error in found.rejected.iter().chain(&found.remarks) {
                assert!(!error.to_string().contains('\n'), "{error}");
            }
        }
        Err(error) => assert!(!error.to_string().contains('\n') && !error.hint().is_empty(), "{error}"),
    }
}

proptest! {
    #[test]
    fn any_name_and_place_comes_through_each_shape(
        name in "[^\\p{Cc}\\p{Cf}\\p{Z}\\u{fffe}\\u{ffff}]{1,40}", lat in -90.0..90.0f64, lon in -180.0..180.0f64
    ) {
        let escaped = name.replace('&', "&amp;").replace('<', "&lt;").replace('>', "&gt;");
        let shapes = [
            format!("<gpx><wpt lat='{lat}' lon='{lon}'><name>{escaped}</name></wpt></gpx>"),
            format!("<kml><Placemark><name>{escaped}</name><Point><coordinates>{lon},{lat}</coordinates></Point></Placemark></kml>"),
            serde_json::json!({"type": "Feature", "geometry": {"type": "Point", "coordinates": [lon, lat]},
                "properties": {"name": name}}).to_string(),
        ];
        for text in shapes {
            let found = parse_places(text.as_bytes(), "x").unwrap();
            let place = &found.places[0];
            prop_assert_eq!(place.name(), &name);
            prop_assert!((place.position().latitude_deg() - lat).abs() < 1e-12);
            prop_assert!((place.position().longitude_deg() - lon).abs() < 1e-12);
        }
    }

    #[test]
    fn no_text_makes_it_panic(text in "\\PC{0,200}") {
        survive(text.as_bytes());
        survive(format!("<gpx>{text}</gpx>").as_bytes());
    }
}
