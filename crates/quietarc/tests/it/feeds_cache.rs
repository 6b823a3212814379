//! `quietarc feeds` from end to end, against a server of this machine and from folders; never the real network.

use std::path::Path;
use std::process::Stdio;

use serde_json::Value;

use crate::house::House;
use crate::program::{stderr, stdout};
use crate::server::{Act, Server, answer, bytes};

const KP: &str = r#"[{"time_tag":"2026-07-31T00:00:00","Kp":1.33,"a_running":5,"station_count":8},
{"time_tag":"2026-07-31T03:00:00","Kp":2.67,"a_running":12,"station_count":8}]"#;
const TAG: &str = "ETag: \"a\"";
const JSON: &str = "Content-Type: application/json";

#[test]
fn a_good_answer_is_stored_and_not_asked_for_again_too_early() {
    let server = Server::new(vec![answer("200 OK", &[JSON, TAG], KP.as_bytes())]);
    let house = House::with_kp(&server);
    let line = house.pull_kp(0);
    assert_eq!(
        (line["outcome"].as_str(), line["newest_sample_at"].as_str()),
        (Some("new"), Some("2026-07-31T06:00:00Z"))
    );
    assert_eq!(house.body(&server).as_deref(), Some(KP.as_bytes()));
    assert_eq!(house.pull_kp(0)["outcome"], "not_yet");
    server.question();
    assert_eq!(server.questions_left(), 0);
}

#[test]
fn a_second_question_carries_the_tag_and_304_keeps_body_and_age() {
    let server = Server::new(vec![answer("200 OK", &[JSON, TAG], KP.as_bytes()), answer("304 Not Modified", &[], b"")]);
    let house = House::with_kp(&server);
    house.pull_kp(0);
    let before = house.status("noaa_kp_3h", "2026-07-31T09:00:00Z");
    house.let_time_pass(&server);
    assert_eq!(house.pull_kp(0)["outcome"], "unchanged");
    server.question();
    assert!(server.question().contains("if-none-match: \"a\"\r\n"));
    let after = house.status("noaa_kp_3h", "2026-07-31T09:00:00Z");
    assert_eq!(before["newest_sample_at"], after["newest_sample_at"]);
    assert_eq!(before["stored"]["received_at"], after["stored"]["received_at"]);
    assert_ne!(before["stored"]["checked_at"], after["stored"]["checked_at"]);
    assert_eq!(house.body(&server).as_deref(), Some(KP.as_bytes()));
}

#[test]
fn no_bad_answer_ever_replaces_the_last_good_body() {
    let cut = bytes("200 OK", &[JSON], KP.as_bytes());
    let acts: Vec<(Act, &str)> = vec![
        (Act::Send(cut[..cut.len() - 30].to_vec()), "cut off"),
        (answer("200 OK", &["Content-Type: text/html"], b"<html>Sign in</html>"), "web page"),
        (answer("200 OK", &[], b""), "answers with nothing"),
        (answer("200 OK", &[JSON], b"[{\"time_tag\":\"2026-07-31T00:00:00\",\"Kp\":"), "breaks off"),
        (answer("200 OK", &[JSON], b"[[\"time_tag\",\"Kp\"]]"), "without values"),
        (answer("200 OK", &[JSON], &vec![b'1'; 2 << 20]), "larger than"),
        (answer("403 Forbidden", &[], b"no"), "refuses this program"),
        (answer("429 Too Many Requests", &["Retry-After: 7200"], b""), "come back later"),
        (answer("500 Oops", &[], b""), "status 500"),
        (answer("302 Found", &["Location: ftp://example.org/"], b""), "not followed"),
        (Act::Send(b"rubbish".to_vec()), "FAILED"),
    ];
    let (acts, words): (Vec<Act>, Vec<&str>) = acts.into_iter().unzip();
    let first = answer("200 OK", &[JSON, TAG], KP.as_bytes());
    let server = Server::new(std::iter::once(first).chain(acts).collect());
    let house = House::with_kp(&server);
    house.pull_kp(0);
    for (count, word) in words.iter().enumerate() {
        house.let_time_pass(&server);
        let output = house.feeds(&["pull", "noaa_kp_3h"]);
        let said = stdout(&output);
        assert_eq!(output.status.code(), Some(1), "{word}: {said}");
        assert!(said.contains("FAILED") && said.contains(word) && said.contains("hint: "), "{word}: {said}");
        assert_eq!(house.body(&server).as_deref(), Some(KP.as_bytes()), "{word}");
        let stored = house.journal().feed("noaa_kp_3h", &server.url("/kp.json")).unwrap().unwrap();
        assert_eq!((stored.consecutive_failures as usize, stored.etag.as_deref()), (count + 1, Some("\"a\"")));
    }
    let aside = house.journal().bad_feed_body("noaa_kp_3h", &server.url("/kp.json")).unwrap();
    assert!(aside.is_some(), "a bad body is kept for the report");
}

#[test]
fn a_program_killed_while_an_answer_comes_in_leaves_everything_as_it_was() {
    let whole = bytes("200 OK", &[JSON], &vec![b' '; 500_000]);
    let half = Act::SendThenHang(whole[..whole.len() / 2].to_vec());
    let server = Server::new(vec![answer("200 OK", &[JSON, TAG], KP.as_bytes()), Act::Hang, half]);
    let house = House::with_kp(&server);
    house.pull_kp(0);
    server.question();
    for _ in 0..2 {
        house.let_time_pass(&server);
        let before = house.journal().feeds().unwrap();
        let mut child = house.command(&["feeds", "pull", "noaa_kp_3h"]).stdout(Stdio::null()).spawn().unwrap();
        server.question();
        child.kill().unwrap();
        child.wait().unwrap();
        house.journal().check().unwrap();
        assert_eq!(house.journal().feeds().unwrap(), before);
        assert_eq!(house.body(&server).as_deref(), Some(KP.as_bytes()));
    }
}

#[test]
fn blocked_and_retired_are_said_in_the_status_and_the_age_stays() {
    let gone = || answer("404 Not Found", &[], b"");
    let acts = vec![answer("200 OK", &[JSON], KP.as_bytes()), answer("403 Forbidden", &[], b""), gone(), gone()];
    let server = Server::new(acts);
    let house = House::with_kp(&server);
    let state = || house.status("noaa_kp_3h", "2026-07-31T09:00:00Z");
    assert_eq!(state()["state"], "never");
    let mut states = Vec::new();
    for code in [0, 1, 1, 1] {
        house.pull_kp(code);
        house.let_time_pass(&server);
        let line = state();
        assert_eq!(line["newest_sample_age_s"], 3 * 3600);
        states.push(line["state"].as_str().unwrap().to_owned());
    }
    assert_eq!(states, ["fresh", "blocked", "fresh", "retired"]);
    assert!(state()["remedy"].as_str().unwrap().contains("new address"));
    let text = stdout(&house.feeds(&["status", "--asked-at", "2026-07-31T09:00:00Z"]));
    let row = text.lines().find(|line| line.starts_with("noaa_kp_3h")).unwrap();
    assert!(row.contains("retired") && row.contains("3.0 h"), "{row}");
}

#[test]
fn the_state_goes_by_the_newest_sample_and_not_by_the_pull() {
    let server = Server::new(vec![answer("200 OK", &[JSON], KP.as_bytes())]);
    let house = House::with_kp(&server);
    house.pull_kp(0);
    for (asked_at, state) in [
        ("2026-07-31T06:00:00Z", "fresh"),
        ("2026-07-31T10:00:01Z", "ageing"),
        ("2026-07-31T13:00:01Z", "stale"),
        ("2026-07-31T02:00:00Z", "ahead_of_clock"),
    ] {
        assert_eq!(house.status("noaa_kp_3h", asked_at)["state"], state, "{asked_at}");
    }
}

#[test]
fn without_a_network_every_feed_says_so_and_the_cache_stays() {
    let nobody = {
        let listener = std::net::TcpListener::bind("127.0.0.1:0").unwrap();
        format!("http://{}", listener.local_addr().unwrap())
    };
    let fixed = [
        "noaa_rtsw_mag",
        "noaa_rtsw_wind",
        "noaa_propagated",
        "noaa_kp_3h",
        "noaa_kp_forecast",
        "noaa_kp_1m",
        "noaa_ovation",
        "noaa_hemi_power",
        "noaa_3day",
        "noaa_27day",
        "gfz_kp",
    ];
    let settings = fixed.map(|feed| format!("[feeds.{feed}]\nurl = \"{nobody}/{feed}\"\n")).concat();
    let house = House::new(&settings);
    let stored = house.path("stored");
    put(&stored, "noaa_kp_3h.json", KP);
    let from_folder = ["pull", "--from", stored.to_str().unwrap()];
    assert_eq!(house.feeds(&from_folder).status.code(), Some(0));
    let old = || house.journal().feed_body("taf", "u:old").unwrap();
    house.journal().record_feed_file("taf", "u:old", b"[]", "2020-01-01T00:00:00Z".parse().unwrap()).unwrap();
    let output = house.feeds(&["pull"]);
    assert!(old().is_some(), "nothing is thrown away while nothing newer comes");
    assert_eq!(output.status.code(), Some(1));
    let said = stdout(&output);
    for feed in fixed {
        let line = said.lines().find(|line| line.starts_with(&format!("{feed} "))).unwrap();
        assert!(line.contains("FAILED: no connection to 127.0.0.1") || line.contains("did not answer"), "{line}");
    }
    assert!(said.contains("metar") && said.contains("left out: the address needs an airfield"), "{said}");
    assert!(stderr(&output).contains("11 of 11 failed"), "{}", stderr(&output));
    assert_eq!(house.status("noaa_kp_3h", "2026-07-31T07:00:00Z")["state"], "fresh");
    assert_eq!(house.feeds(&from_folder).status.code(), Some(0));
    assert!(old().is_none(), "a good pull makes room");
}

fn put(folder: &Path, name: &str, content: &str) {
    std::fs::create_dir_all(folder).unwrap();
    std::fs::write(folder.join(name), content).unwrap();
}

/// The least a place's forecast can be.
const FORECAST: &str = r#"{"type":"Feature","properties":{"meta":{"updated_at":"2026-07-31T05:30:00Z"},"timeseries":[
    {"time":"2026-07-31T06:00:00Z","data":{"instant":{"details":{"cloud_area_fraction":12.5}}}},
    {"time":"2026-07-31T07:00:00Z","data":{"instant":{"details":{"cloud_area_fraction":50.0}}}}]}}"#;

#[test]
fn a_folder_is_read_like_the_network_good_and_bad() {
    let house = House::new("");
    let stored = house.path("stored");
    put(&stored, "noaa_kp_3h.2026-07-31.json", KP);
    put(&stored, "noaa_hemi_power.txt", "<html>Sign in</html>");
    put(&stored, "gfz_kp.json", "{\"Kp\":[");
    put(&stored, "notes.txt", "not a feed");
    put(&stored, "metno_locationforecast.json", FORECAST);
    let from = stored.to_str().unwrap();
    let output = house.feeds(&["pull", "--from", from]);
    let said = stdout(&output);
    assert_eq!(output.status.code(), Some(1));
    assert!(said.contains("noaa_kp_3h") && said.contains("newest sample 2026-07-31 06:00 UTC"), "{said}");
    assert!(said.contains("noaa_hemi_power") && said.contains("web page"), "{said}");
    assert!(said.contains("gfz_kp") && said.contains("breaks off"), "{said}");
    assert!(said.contains("metno_locationforecast  FAILED: the address needs a place"), "{said}");
    assert!(stderr(&output).contains("3 of 4 failed"), "{}", stderr(&output));
    let line = house.status("noaa_kp_3h", "2026-07-31T07:00:00Z");
    assert_eq!((line["state"].as_str(), line["stored"]["origin"].as_str()), (Some("fresh"), Some("folder")));
    let weather =
        house.feeds(&["pull", "metno_locationforecast", "--from", from, "--lat", "69.649", "--lon", "18.9553"]);
    assert_eq!(weather.status.code(), Some(0), "{}", stdout(&weather));
    let line = house.status("metno_locationforecast", "2026-07-31T07:00:00Z");
    assert!(line["stored"]["url"].as_str().unwrap().ends_with("lat=69.65&lon=18.96"));
}

/// A body for every feed that has a time of its own, with the file it is loaded from; composed, all of one evening.
fn bodies() -> Vec<(&'static str, String, &'static str)> {
    let grid: Vec<String> = (0..360).flat_map(|lon| (-90..=90).map(move |lat| format!("[{lon},{lat},0]"))).collect();
    let kp = r#"[{"time_tag":"2026-07-31T18:00:00","kp":1.33,"observed":"observed","noaa_scale":null},
        {"time_tag":"2026-07-31T21:00:00","kp":2.67,"observed":"predicted","noaa_scale":null}]"#;
    vec![
        (
            "noaa_rtsw_mag.json",
            r#"[{"time_tag":"2026-07-31T21:01:00","active":false,"source":"IMAP","bt":5.0,"by_gsm":1.0,"bz_gsm":-2.0,"overall_quality":0},
            {"time_tag":"2026-07-31T21:00:00","active":true,"source":"ACE","bt":5.0,"by_gsm":1.0,"bz_gsm":-2.0,"overall_quality":0}]"#
                .to_owned(),
            "2026-07-31T21:00:00Z",
        ),
        (
            "noaa_rtsw_wind.json",
            r#"[{"time_tag":"2026-07-31T20:59:00","active":true,"source":"ACE","proton_speed":400,"proton_density":5,"overall_quality":0}]"#
                .to_owned(),
            "2026-07-31T20:59:00Z",
        ),
        (
            "noaa_propagated.json",
            r#"[["time_tag","speed","density","temperature","bx","by","bz","bt","vx","vy","vz","propagated_time_tag"],
            ["2026-07-31T20:58:00Z",321.9,2.58,64325,0.47,2.4,3.13,3.97,-321.1,11.6,-19.1,"2026-07-31T22:02:12Z"],
            ["2026-07-31T21:00:00Z",null,null,null,0.47,2.4,3.13,3.97,null,null,null,null]]"#
                .to_owned(),
            "2026-07-31T20:58:00Z",
        ),
        ("noaa_kp_3h.json", KP.replace("T00", "T15").replace("T03", "T18"), "2026-07-31T21:00:00Z"),
        ("noaa_kp_forecast.json", kp.to_owned(), "2026-07-31T21:00:00Z"),
        (
            "noaa_kp_1m.json",
            r#"[{"time_tag":"2026-07-31T21:02:00","kp_index":1,"estimated_kp":0.67,"kp":"1M"}]"#.to_owned(),
            "2026-07-31T21:02:00Z",
        ),
        (
            "noaa_ovation.json",
            format!(
                r#"{{"Observation Time":"2026-07-31T20:55:00Z","Forecast Time":"2026-07-31T21:55:00Z","coordinates":[{}]}}"#,
                grid.join(",")
            ),
            "2026-07-31T20:55:00Z",
        ),
        (
            "noaa_hemi_power.txt",
            "# comment\n2026-07-31_20:50    2026-07-31_21:50      16      n/a\n".to_owned(),
            "2026-07-31T20:50:00Z",
        ),
        (
            "noaa_3day.txt",
            ":Issued: 2026 Jul 31 1230 UTC\n        Jul 31   Aug 01   Aug 02\n00-03UT   2.67   1.33   5.00 (G1)\n".to_owned(),
            "2026-07-31T12:30:00Z",
        ),
        (
            "noaa_27day.txt",
            ":Issued: 2026 Jul 27 0242 UTC\n2026 Jul 27     172          22          5\n".to_owned(),
            "2026-07-27T02:42:00Z",
        ),
        ("gfz_kp.json", r#"{"Kp":[2.0],"datetime":["2026-07-31T18:00:00Z"],"status":["pre"]}"#.to_owned(), "2026-07-31T21:00:00Z"),
        ("metno_locationforecast.json", FORECAST.replace("05:30", "20:30"), "2026-07-31T20:30:00Z"),
        (
            "metar.json",
            r#"[{"icaoId":"ENTC","obsTime":1785531000,"rawOb":"METAR ENTC 312050Z 18005KT 9999 FEW020 08/03 Q1015"}]"#.to_owned(),
            "2026-07-31T20:50:00Z",
        ),
        (
            "taf.json",
            r#"[{"icaoId":"ENTC","issueTime":"2026-07-31T20:00:00Z","rawTAF":"TAF ENTC 312000Z 3121/0121 18005KT 9999 FEW020"}]"#
                .to_owned(),
            "2026-07-31T20:00:00Z",
        ),
    ]
}

#[test]
fn every_feed_with_a_time_of_its_own_is_checked() {
    let house = House::new("stations = [\"ENTC\"]\n");
    let stored = house.path("stored");
    for (name, body, _) in bodies() {
        put(&stored, name, &body);
    }
    let from = stored.to_str().unwrap();
    let output = house.feeds(&["pull", "--from", from, "--lat", "69.65", "--lon", "18.96"]);
    assert_eq!(output.status.code(), Some(0), "{}{}", stdout(&output), stderr(&output));
    for (name, _, newest) in bodies() {
        let line = house.status(name.split('.').next().unwrap(), "2026-07-31T21:05:00Z");
        assert_eq!(line["newest_sample_at"].as_str(), Some(newest), "{name}: {line}");
        assert_eq!(line["state"], "fresh", "{name}");
    }
    let text = stdout(&house.feeds(&["status", "--asked-at", "2026-07-31T21:05:00Z"]));
    assert!(!text.contains("not checked"), "{text}");
}

#[test]
fn the_forecast_cell_is_asked_where_the_points_say_and_looked_up_again_when_it_is_gone() {
    let acts = |server: &str| {
        let points = format!("{{\"properties\":{{\"forecastGridData\":\"{server}/gridpoints/AFG/1,2\"}}}}");
        vec![answer("200 OK", &[JSON], points.as_bytes()), answer("404 Not Found", &[], b"")]
    };
    let server = Server::with_address(acts);
    let house = House::new(&format!(
        "contact = \"desk@example.org\"\n[feeds.nws_points]\nurl = \"{}/points/{{lat}},{{lon}}\"\n",
        server.address
    ));
    let output = house.feeds(&["pull", "nws_points", "nws_gridpoints", "--lat", "64.838", "--lon=-147.716", "--json"]);
    assert_eq!(output.status.code(), Some(1), "{}", stdout(&output));
    let question = server.question();
    assert!(question.starts_with("get /points/64.84,-147.72 "), "{question}");
    assert!(question.contains("(+desk@example.org)"), "{question}");
    assert!(server.question().starts_with("get /gridpoints/afg/1,2 "));
    let points = house.journal().feed("nws_points", &server.url("/points/64.84,-147.72")).unwrap().unwrap();
    assert_eq!(points.next_allowed_at, None, "a cell that is gone has moved: the points may be asked at once");
}

#[test]
fn a_request_that_is_wrong_ends_with_code_two_and_a_remedy() {
    for (arguments, part) in [
        (&["pull", "noaa_kp"][..], "there is no feed \"noaa_kp\""),
        (&["pull", "--from", "no/such/folder"], "cannot be read"),
        (&["pull", "--site", "Atlantis"], "there is no site"),
        (&["pull", "--lat", "95", "--lon", "0"], "latitude in degrees 95"),
    ] {
        let output = House::new("").feeds(arguments);
        assert_eq!(output.status.code(), Some(2), "{arguments:?}");
        let said = stderr(&output);
        assert!(said.contains(part) && said.contains("hint: "), "{arguments:?}: {said}");
    }
    let output = House::new("[feeds.gfz]\noff = true").feeds(&["status"]);
    assert_eq!(output.status.code(), Some(2));
    assert!(stderr(&output).contains("settings.toml: the settings name a feed that does not exist"));
}

#[test]
fn weather_without_a_contact_or_outside_its_country_is_not_asked() {
    let house = House::new("");
    let output = house.feeds(&["pull", "metno_locationforecast", "nws_points", "--lat", "69.65", "--lon", "18.96"]);
    assert_eq!(output.status.code(), Some(1));
    let said = stdout(&output);
    assert!(said.contains("MET Norway refuses programs without a contact"), "{said}");
    assert!(said.contains("contact = \"you@example.org\""), "{said}");
    assert!(said.contains("nws_points does not cover this place"), "{said}");
}

#[test]
fn sources_name_licence_credit_and_address_and_follow_the_settings() {
    let house = House::new("[feeds.gfz_kp]\nurl = \"https://mirror.example.org/kp.txt\"\n[feeds.taf]\noff = true\n");
    let text = stdout(&house.feeds(&["sources"]));
    for part in ["CC BY 4.0", "Matzka", "public domain", "mirror.example.org/kp.txt (from the settings)", "taf (off)"] {
        assert!(text.contains(part), "{part}: {text}");
    }
    let json: Value = serde_json::from_str(&stdout(&house.feeds(&["sources", "--json"]))).unwrap();
    assert_eq!(json.as_array().unwrap().len(), feeds::FeedId::ALL.len());
    assert_eq!(json[0]["id"], "noaa_rtsw_mag");
}
