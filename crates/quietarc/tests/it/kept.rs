//! `quietarc site` and `quietarc kit` from end to end, each with a journal of its own.

use std::path::PathBuf;
use std::process::{Command, Output};

use serde_json::Value;

use crate::program::{stderr, stdout};

/// A journal and a folder of its own.
pub(crate) struct House {
    folder: tempfile::TempDir,
}

impl House {
    pub(crate) fn new() -> Self {
        Self { folder: tempfile::tempdir().unwrap() }
    }

    pub(crate) fn path(&self, name: &str) -> PathBuf {
        self.folder.path().join(name)
    }

    pub(crate) fn file(&self, name: &str, content: impl AsRef<[u8]>) -> String {
        std::fs::write(self.path(name), content).unwrap();
        self.path(name).to_str().unwrap().to_owned()
    }

    pub(crate) fn run(&self, arguments: &[&str]) -> Output {
        Command::new(env!("CARGO_BIN_EXE_quietarc"))
            .args(arguments)
            .env("QUIETARC_JOURNAL", self.path("journal.sqlite"))
            .output()
            .unwrap()
    }

    pub(crate) fn done(&self, arguments: &[&str]) -> String {
        let output = self.run(arguments);
        assert!(output.status.success(), "{arguments:?}: {}", stderr(&output));
        stdout(&output)
    }

    pub(crate) fn json(&self, arguments: &[&str]) -> Value {
        serde_json::from_str(&self.done(arguments)).unwrap()
    }

    /// Exit code 2, one error and one hint.
    pub(crate) fn refused(&self, arguments: &[&str]) -> String {
        let output = self.run(arguments);
        assert_eq!(output.status.code(), Some(2), "{arguments:?}: {}", stdout(&output));
        let said = stderr(&output);
        assert_eq!(said.matches("error: ").count(), 1, "{said}");
        assert_eq!(said.matches("hint: ").count(), 1, "{said}");
        said
    }
}

const BAY: [&str; 26] = [
    "site",
    "add",
    "Skerrow Bay",
    "--lat",
    "69.15",
    "--lon",
    "15.65",
    "--elev",
    "3",
    "--zone",
    "Europe/Oslo",
    "--sky-mag",
    "21.6",
    "--horizon",
    "0:1.5,60:6,150:9,230:4,300:0.5",
    "--water",
    "300-30:sheltered",
    "--water",
    "100-120",
    "--foreground",
    "boathouse:345:60:5.5:9",
    "--road-notes",
    "gravel, gate closed at night",
    "--drive-minutes",
    "20",
    "--snow",
];

#[test]
fn a_site_is_kept_listed_shown_changed_and_removed() {
    let house = House::new();
    let add = &BAY;
    house.done(add);
    let list = house.json(&["site", "list", "--json"]);
    let site = house.json(&["site", "show", "Skerrow Bay", "--json"]);
    assert_eq!(list[0], site);
    assert_eq!(site["sky_quality"], serde_json::json!({"kind": "measured", "zenith_mag_arcsec2": 21.6}));
    assert_eq!(site["water"][0], serde_json::json!({"from_deg": 300.0, "to_deg": 30.0, "sheltered": true}));
    assert_eq!(site["foreground"][0]["name"], "boathouse");
    assert_eq!(site["horizon"].as_array().unwrap().len(), 5);
    assert_eq!((site["snow_cover"].as_bool(), site["drive_minutes"].as_f64()), (Some(true), Some(20.0)));
    let shown = house.done(&["site", "show", "Skerrow Bay"]);
    for words in [
        "69.1500 N 15.6500 E, 3 m above the sea",
        "measured, 21.60 mag/arcsec2; snow on the ground",
        "300 to 30 deg, sheltered",
        "boathouse: bearing 345 deg, 60 m away, 5.2 deg high, 8.6 deg wide",
        "gravel, gate closed at night",
        "150:9.0",
    ] {
        assert!(shown.contains(words), "{words} in:\n{shown}");
    }
    assert!(house.refused(add).contains("already a site named \"Skerrow Bay\""));
    let change = ["site", "change", "Skerrow Bay", "--lat", "69.2", "--sky-estimated", "--horizon", "flat"];
    house.done(&[&change[..], &["--water", "none", "--snow=false", "--rename", "East Bay"]].concat());
    let mut wanted = site;
    wanted["name"] = "East Bay".into();
    wanted["position"]["latitude_deg"] = 69.2.into();
    wanted["sky_quality"] = serde_json::json!({"kind": "from_towns"});
    wanted["horizon"] = serde_json::json!([]);
    wanted["water"] = serde_json::json!([]);
    wanted["snow_cover"] = false.into();
    assert_eq!(house.json(&["site", "show", "East Bay", "--json"]), wanted, "the rest stays");
    house.done(&["site", "remove", "East Bay"]);
    assert_eq!(house.json(&["site", "list", "--json"]), serde_json::json!([]));
    assert!(house.refused(&["site", "remove", "Skerrow Bay"]).contains("there is no site"));
    assert!(house.refused(&["site", "show", "Skerrow Bay"]).contains("there is no site"));
}

#[test]
fn the_small_profile_stands_where_the_skyline_is() {
    let house = House::new();
    house.done(&BAY);
    let shown = house.done(&["site", "show", "Skerrow Bay"]);
    let lines: Vec<&str> = shown.lines().collect();
    let level = lines.iter().position(|line| line.starts_with("  0.0 ")).unwrap();
    let scale = lines[level + 1];
    let columns = |line: &str| line.chars().skip(6).collect::<Vec<char>>();
    // bearing 150 is 30 columns right of the middle, which is north
    assert_eq!(columns(scale)[36], 'N');
    assert_eq!(columns(lines[level - 6]).get(66), Some(&'#'), "{shown}");
    // the boathouse 3 columns left of north, water around north but not around the south
    assert_eq!(columns(lines[level - 2])[33], '|', "{shown}");
    assert_eq!((columns(lines[level])[36], columns(lines[level])[0]), ('~', '-'), "{shown}");
    assert_eq!(lines.len(), level + 2, "nothing below the bearings");
}

#[test]
fn a_bad_site_is_refused_in_one_sentence_and_makes_no_journal() {
    let house = House::new();
    let with = |more: &[&'static str]| [&["site", "add", "x", "--lat", "69", "--lon", "15"], more].concat();
    for (arguments, words) in [
        (vec!["site", "add", "x", "--lat", "69"], "--lon is missing"),
        (vec!["site", "add", "x", "--lat", "95", "--lon", "15"], "latitude in degrees 95"),
        (vec!["site", "add", " ", "--lat", "69", "--lon", "15"], "a site needs a name"),
        (with(&["--zone", "Mars/Olympus"]), "Mars/Olympus"),
        (with(&["--bortle", "11"]), "11 is outside 1 to 9"),
        (with(&["--horizon", "high"]), "no skyline"),
        (with(&["--horizon", "0:99"]), "99 is outside -5 to 90"),
        (with(&["--water", "north"]), "no stretch of bearings"),
        (with(&["--foreground", "hut"]), "no object"),
        (with(&["--foreground", "hut:0:0:1:1"]), "distance_m: 0 is outside"),
        (with(&["--drive-minutes", "nan"]), "drive_minutes"),
        (with(&["--horizon-from", "nowhere"]), "cannot be read"),
    ] {
        let said = house.refused(&arguments);
        assert!(said.contains(words), "{words} in {said}");
    }
    let long = "x".repeat(200);
    assert!(house.refused(&["site", "add", &long, "--lat", "1", "--lon", "2"]).contains("200 characters"));
    assert!(house.refused(&["site", "remove", "x"]).contains("no site \"x\""));
}

const WAYPOINTS: &str = r#"<gpx version="1.1" xmlns="http://www.topografix.com/GPX/1/1">
<wpt lat="69.15" lon="15.65"><ele>3</ele><name>Skerrow Bay</name><desc>gravel</desc></wpt>
<wpt lat="69.30" lon="15.20"><name>Marrow Head</name></wpt>
<wpt lat="95" lon="15.20"><name>Nowhere</name></wpt>
<wpt lat="60" lon="15.20"><name>marrow head</name></wpt>
<wpt lat="69.3001" lon="15.20"><name>The cairn</name></wpt>
</gpx>"#;

#[test]
fn a_file_of_places_is_imported_and_what_is_left_out_is_named() {
    let house = House::new();
    let file = house.file("waypoints.gpx", WAYPOINTS);
    let output = house.run(&["site", "import", &file, "--time-zone", "Europe/Oslo"]);
    assert_eq!(output.status.code(), Some(1));
    assert!(stdout(&output).contains("3 kept, 2 left out"), "{}", stdout(&output));
    let said = stderr(&output);
    for words in [
        "line 4: coordinates: latitude in degrees 95 is outside",
        "line 5, \"marrow head\": \"Marrow Head\" of this file has that name",
        "line 6, \"The cairn\": only 11 m from \"Marrow Head\" of this file; both are kept",
        "2 of 5 failed; the others are done",
    ] {
        assert!(said.contains(words), "{words} in:\n{said}");
    }
    let site = house.json(&["site", "show", "Skerrow Bay", "--json"]);
    assert_eq!((site["time_zone"].as_str(), site["notes"].as_str()), (Some("Europe/Oslo"), Some("gravel")));
    assert_eq!(site["position"]["height_m"], 3.0);
    // a second time: nothing is doubled
    let again = house.run(&["site", "import", &file, "--json"]);
    let report: Value = serde_json::from_str(&stdout(&again)).unwrap();
    assert_eq!(report[0]["already_there"].as_array().unwrap().len(), 3, "{report}");
    assert_eq!(report[0]["added"], serde_json::json!([]));
    assert_eq!(house.json(&["site", "list", "--json"]).as_array().unwrap().len(), 3);
}

#[test]
fn sites_listed_as_geojson_come_back_whole() {
    let house = House::new();
    house.done(&BAY);
    house.done(&["site", "add", "Tarrant Sound", "--lat", "-46.55", "--lon", "169.45", "--zone", "Pacific/Auckland"]);
    let before = house.json(&["site", "list", "--json"]);
    let file = house.file("sites.geojson", house.done(&["site", "list", "--geojson"]));
    house.done(&["site", "remove", "Skerrow Bay"]);
    house.done(&["site", "remove", "Tarrant Sound"]);
    house.done(&["site", "import", &file]);
    assert_eq!(house.json(&["site", "list", "--json"]), before);
}

#[test]
fn a_file_that_is_none_stores_nothing_and_among_several_the_others_go_on() {
    let house = House::new();
    let good = house.file("good.gpx", "<gpx><wpt lat='1' lon='2'><name>a</name></wpt></gpx>");
    let kmz = house.file("places.kmz", b"PK\x03\x04");
    let bad = house.file("bad.kml", "<kml><Placemark><name>a");
    assert!(house.refused(&["site", "import", &kmz]).contains("doc.kml"));
    assert!(house.refused(&["site", "import", &bad]).contains("line 1"));
    assert!(house.refused(&["site", "import", "nowhere.gpx"]).contains("cannot be read"));
    assert!(house.refused(&["site", "import", &good, "--zone", "Mars/Olympus"]).contains("Mars"));
    assert_eq!(house.json(&["site", "list", "--json"]), serde_json::json!([]));
    let output = house.run(&["site", "import", &kmz, &good, &bad]);
    assert_eq!(output.status.code(), Some(1));
    assert!(stderr(&output).contains("2 of 3 failed"), "{}", stderr(&output));
    assert_eq!(house.json(&["site", "list", "--json"])[0]["name"], "a");
}

#[test]
fn a_locked_journal_takes_a_whole_file_back() {
    let house = House::new();
    house.done(&["site", "list"]);
    let file = house.file("waypoints.gpx", WAYPOINTS);
    let mut journal = journal::Journal::open(&house.path("journal.sqlite")).unwrap();
    let said = journal
        .transaction(|journal| -> Result<String, journal::JournalError> {
            journal.sites()?;
            Ok(house.refused(&["site", "import", &file]))
        })
        .unwrap();
    assert!(said.contains("in use"), "{said}");
    assert_eq!(house.json(&["site", "list", "--json"]), serde_json::json!([]));
}

/// A tile of 3 seconds of arc: sea, and a plateau of 500 m north of a latitude.
fn tile(south_deg: f64, plateau_from_deg: f64) -> Vec<u8> {
    const SIDE: usize = 1201;
    let row = |row: usize| {
        let lat = south_deg + 1.0 - row as f64 / (SIDE - 1) as f64;
        let height: i16 = if lat > plateau_from_deg { 500 } else { 0 };
        std::iter::repeat_n(height.to_be_bytes(), SIDE).flatten()
    };
    (0..SIDE).flat_map(row).collect()
}

#[test]
fn a_skyline_comes_from_tiles_and_missing_ones_are_said() {
    let house = House::new();
    let tiles = house.path("tiles");
    std::fs::create_dir(&tiles).unwrap();
    let tiles = tiles.to_str().unwrap();
    let add = ["site", "add", "Bay", "--lat", "69.5", "--lon", "15.5", "--horizon-from", tiles];
    assert!(house.refused(&add).contains("there is no N69E015.hgt"));
    house.file("tiles/n69e015.HGT", tile(69.0, 69.572));
    house.file("tiles/readme.txt", "not a tile");
    let output = house.run(&add);
    assert!(output.status.success(), "{}", stderr(&output));
    let said = stderr(&output);
    assert!(
        said.contains("tiles are missing") && said.contains("N69E014") && said.contains("--missing-is-sea"),
        "{said}"
    );
    let site = house.json(&["site", "show", "Bay", "--json"]);
    let horizon = site["horizon"].as_array().unwrap();
    let north = horizon.iter().map(|corner| corner["altitude_deg"].as_f64().unwrap()).fold(0.0, f64::max);
    // 500 m, 8 km away: atan(498.5 / 8006) less 4.4 m of curve
    assert!((north - 3.53).abs() < 0.06, "{north}");
    let change = ["site", "change", "Bay", "--horizon-from", tiles];
    let sea = house.run(&[&change[..], &["--missing-is-sea"]].concat());
    assert!(stderr(&sea).contains("taken as sea, as you said"), "{}", stderr(&sea));
    assert!(!stderr(&sea).contains("not known"));
    house.file("tiles/N69E014.hgt", b"short");
    assert!(house.refused(&change).contains("it has 5 bytes"));
}

#[test]
fn a_kit_is_kept_from_classes_and_from_own_numbers() {
    let house = House::new();
    let table = house.done(&["kit", "starters"]);
    assert!(table.contains("full-frame-24") && table.contains("(estimate)") && table.contains("(published)"));
    house.done(&["kit", "add", "Wide", "--sensor", "full-frame-24", "--lens", "20-1.8", "--iso", "1600"]);
    house.done(&["kit", "add", "Phone", "--sensor", "phone-medium"]);
    house.done(&[
        "kit",
        "add",
        "Own",
        "--pixel-um",
        "4.35",
        "--width-px",
        "8256",
        "--height-px",
        "5504",
        "--focal-mm",
        "14",
        "--f-number",
        "2.4",
        "--efficiency",
        "0.4,0.5,0.45",
        "--projection",
        "equisolid",
    ]);
    let kits = house.json(&["kit", "list", "--json"]);
    assert_eq!(kits.as_array().unwrap().len(), 3);
    let wide = house.json(&["kit", "show", "Wide", "--json"]);
    assert_eq!((wide["iso"].as_f64(), wide["exposure_s"].as_f64()), (Some(1600.0), Some(5.0)));
    let phone = house.json(&["kit", "show", "Phone", "--json"]);
    assert_eq!(
        (phone["lens"]["focal_mm"].as_f64(), phone["limits"]["fixed_aperture"].as_bool()),
        (Some(6.8), Some(true))
    );
    let own = house.done(&["kit", "show", "Own"]);
    assert!(own.contains("8256 x 5504 of 4.35 um") && own.contains("equisolid fisheye"), "{own}");
    assert!(
        house.refused(&["kit", "add", "Wide", "--sensor", "aps-c-24", "--lens", "20-1.8"]).contains("already a kit")
    );
    house.done(&["kit", "change", "Wide", "--sensor", "aps-c-24", "--read-noise-e", "2.2", "--card-gb", "64"]);
    let changed = house.json(&["kit", "show", "Wide", "--json"]);
    assert_eq!(
        (changed["camera"]["width_px"].as_f64(), changed["camera"]["read_noise_e"].as_f64()),
        (Some(6000.0), Some(2.2))
    );
    assert_eq!((&changed["lens"], &changed["iso"]), (&wide["lens"], &wide["iso"]), "the rest stays");
    assert!(house.refused(&["kit", "change", "Wide", "--pixel-um", "0"]).contains("0 is outside"));
    house.done(&["kit", "remove", "Wide"]);
    assert!(house.refused(&["kit", "show", "Wide"]).contains("there is no kit"));
}

#[test]
fn a_kit_no_camera_could_be_is_refused_with_its_bound() {
    let house = House::new();
    let with =
        |more: &[&'static str]| [&["kit", "add", "x", "--sensor", "full-frame-24", "--lens", "20-1.8"], more].concat();
    for (arguments, words) in [
        (with(&["--pixel-um", "0"]), "pixel_um: 0 is outside 0.3 to 50 micrometres"),
        (with(&["--f-number", "0"]), "f_number: 0 is outside"),
        (with(&["--focal-mm", "-5"]), "focal_mm: -5 is outside"),
        (with(&["--efficiency", "0.4,0.5"]), "2 numbers, not three"),
        (with(&["--efficiency", "0.4,1.5,0.5"]), "1.5 is outside"),
        (with(&["--exposure-s", "0"]), "exposure_s: 0"),
        (vec!["kit", "add", "x"], "the camera is missing"),
        (vec!["kit", "add", "x", "--sensor", "full-frame-24"], "the lens is missing"),
        (vec!["kit", "add", "x", "--sensor", "big"], "no camera class"),
        (vec!["kit", "add", "x", "--sensor", "full-frame-24", "--lens", "big"], "no lens class"),
        (vec!["kit", "add", "", "--sensor", "full-frame-24", "--lens", "20-1.8"], "a kit needs a name"),
    ] {
        let said = house.refused(&arguments);
        assert!(said.contains(words), "{words} in {said}");
    }
}

#[test]
fn what_an_outing_uses_is_not_removed() {
    let house = House::new();
    house.done(&["site", "add", "Bay", "--lat", "69", "--lon", "15"]);
    house.done(&["kit", "add", "Wide", "--sensor", "full-frame-24", "--lens", "20-1.8"]);
    house.done(&[
        "outlook",
        "--site",
        "Bay",
        "--kit",
        "Wide",
        "--night",
        "2026-03-14",
        "--kp",
        "4",
        "--save",
        "One night",
    ]);
    let said = house.refused(&["site", "remove", "Bay"]);
    assert!(said.contains("\"Bay\" cannot be removed: an outing uses it") && said.contains("site change"), "{said}");
    assert!(house.refused(&["kit", "remove", "Wide"]).contains("an outing uses it"));
    house.done(&["site", "change", "Bay", "--lat", "69.1"]);
}

#[test]
fn the_skyline_is_saved_as_a_picture() {
    let house = House::new();
    house.done(&BAY);
    let (svg, png) = (house.path("bay.svg"), house.path("bay.png"));
    house.done(&["site", "show", "Skerrow Bay", "--svg", svg.to_str().unwrap(), "--png", png.to_str().unwrap()]);
    assert!(std::fs::read_to_string(svg).unwrap().contains("Skyline of Skerrow Bay"));
    assert!(std::fs::read(png).unwrap().starts_with(b"\x89PNG"));
}
