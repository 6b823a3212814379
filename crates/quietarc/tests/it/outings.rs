//! Outings kept, listed, shown and forgotten; settings for what is predicted.

use serde_json::Value;

use crate::house::House;
use crate::program::{stderr, stdout};
use crate::running::serve_with;

fn told(house: &House, arguments: &[&str], code: i32) -> String {
    let output = house.run(arguments);
    assert_eq!(output.status.code(), Some(code), "{arguments:?}: {}{}", stdout(&output), stderr(&output));
    if code == 0 { stdout(&output) } else { stderr(&output) }
}

#[test]
fn an_outing_is_kept_listed_shown_and_forgotten() {
    let house = House::new("");
    assert!(told(&house, &["outing", "list"], 0).contains("No outing is kept yet"));
    told(&house, &["site", "add", "Skerrow Bay", "--lat", "69.15", "--lon", "15.65", "--time-zone", "Europe/Oslo"], 0);
    let night = ["outlook", "--site", "Skerrow Bay", "--night", "2026-03-14", "--kp", "4", "--save", "A test"];
    let said = told(&house, &night, 0);
    let list: Value = serde_json::from_str(&told(&house, &["outing", "list", "--json"], 0)).unwrap();
    let number = list[0]["id"].to_string();
    assert!(told(&house, &["outing", "list"], 0).contains("2026-03-14  Skerrow Bay: A test"));
    let shown = told(&house, &["outing", "show", &number], 0);
    assert!(shown.contains(said.lines().next().unwrap()), "{shown}");
    // a site in use stays
    assert!(told(&house, &["site", "remove", "Skerrow Bay"], 2).contains("hint"));
    told(&house, &["outing", "remove", &number], 0);
    assert!(told(&house, &["outing", "show", &number], 2).contains("outing"));
    told(&house, &["site", "remove", "Skerrow Bay"], 0);
}

#[test]
fn settings_come_for_what_is_predicted() {
    let house = House::new("");
    let place = ["--lat", "69.3", "--lon", "16.0", "--at", "2026-03-14T22:30:00Z", "--json"];
    let at = |more: &[&str]| told(&house, &[&["expose", "--predicted"], more, &place].concat(), 0);
    let brightness = |kp: &str| {
        let report: Value = serde_json::from_str(&at(&["--kp", kp])).unwrap();
        report["request"]["brightness"]["green_5577_kr"].as_f64().unwrap()
    };
    assert!(brightness("6") > brightness("2"), "a stronger activity is brighter here");
    let nothing = told(&house, &[&["expose", "--predicted", "--no-feeds"], &place[..]].concat(), 2);
    assert!(nothing.contains("no activity is known") && nothing.contains("--kp"), "{nothing}");
}

#[test]
fn what_was_met_is_kept_and_scored() {
    let house = House::new("");
    assert!(told(&house, &["scores"], 0).contains("no record of its own skill"));
    told(&house, &["site", "add", "Skerrow Bay", "--lat", "69.15", "--lon", "15.65", "--time-zone", "Europe/Oslo"], 0);
    let ask = ["outlook", "--site", "Skerrow Bay", "--cloud", "1", "--kp", "5", "--no-feeds"];
    let first = ["--night", "2026-03-14", "--asked-at", "2026-03-14T12:00:00Z", "--save", "First"];
    assert!(told(&house, &[&ask[..], &first[..]].concat(), 0).contains("no record of its own skill"));
    let kept = told(&house, &["outing", "saw", "First", "--eye", "yes", "--camera", "yes", "--kr", "12"], 0);
    assert!(kept.contains("1 outing kept") && kept.contains("Too few to judge (n=1"), "{kept}");
    // a later night knows of it, the night itself does not
    let later = told(&house, &[&ask[..], &["--night", "2026-03-20"]].concat(), 0);
    assert!(later.contains("1 outing kept: said \"eye likely\""), "{later}");
    let same = told(&house, &[&ask[..], &["--night", "2026-03-14"]].concat(), 0);
    assert!(same.contains("no record of its own skill"));
    let report: Value = serde_json::from_str(&told(&house, &["scores", "--json"], 0)).unwrap();
    assert_eq!(report["eye"]["came_true"], 1);
    assert_eq!(report["brightness"]["count"], 1);
    // one night seen: the Brier score is the square of what its chance fell short of one
    let chance = report["eye"]["table"][0]["mean_chance"].as_f64().unwrap();
    let brier = report["eye"]["brier"].as_f64().unwrap();
    assert!((brier - (1.0 - chance).powi(2)).abs() < 1e-9, "{brier} of {chance}");
    let server = serve_with(&["serve"], &house.path("journal.sqlite"));
    let mut page = ureq::get(format!("{}api/scores", server.address)).call().unwrap();
    assert_eq!(page.body_mut().read_json::<Value>().unwrap(), report, "the page has what the command has");
    drop(server);
    let svg = house.path("scores.svg");
    told(&house, &["scores", "--svg", svg.to_str().unwrap()], 0);
    assert!(std::fs::read_to_string(svg).unwrap().contains("1 of 1"));
    // what cannot be kept says why
    assert!(told(&house, &["outing", "saw", "First"], 2).contains("--eye"));
    assert!(told(&house, &["outing", "saw", "Second", "--eye", "no"], 2).contains("outing list"));
    assert!(told(&house, &["outing", "saw", "First", "--eye", "no", "--kr", "-2"], 2).contains("kR"));
    let unread = told(&house, &["outing", "saw", "First", "--camera", "yes", "--from-reading"], 2);
    assert!(unread.contains("no frames of it were read") && unread.contains("quietarc read"), "{unread}");
}
