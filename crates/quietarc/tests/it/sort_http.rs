//! A night sorted over HTTP: the command's rules, progress as events, pictures, and a person's verdict that stays.

use std::io::{BufRead, BufReader};
use std::path::Path;

use serde_json::{Value, json};

use crate::running::{Server, serve, serve_with};
use crate::sort::{Night, contents};

pub(crate) fn agent() -> ureq::Agent {
    ureq::Agent::config_builder().http_status_as_error(false).max_redirects(0).build().into()
}

pub(crate) fn post(server: &Server, path: &str, body: &Value) -> (u16, Value) {
    let mut answer = agent().post(format!("{}{path}", server.address)).send_json(body).unwrap();
    (answer.status().as_u16(), answer.body_mut().read_json().unwrap_or(Value::Null))
}

pub(crate) fn get(server: &Server, path: &str) -> (u16, Value) {
    let mut answer = agent().get(format!("{}{path}", server.address)).call().unwrap();
    (answer.status().as_u16(), answer.body_mut().read_json().unwrap_or(Value::Null))
}

/// Starts a sort and listens until it is done; all that was said.
pub(crate) fn sorted(server: &Server, folder: &Path) -> Vec<Value> {
    let (status, started) = post(server, "api/sort", &json!({"folder": folder}));
    assert_eq!(status, 202, "{started}");
    let answer = agent().get(format!("{}api/sort/progress", server.address)).call().unwrap();
    assert_eq!(answer.headers()["content-type"], "text/event-stream");
    let lines = BufReader::new(answer.into_body().into_reader()).lines().map_while(Result::ok);
    lines.filter_map(|line| serde_json::from_str(line.strip_prefix("data:")?.trim()).ok()).collect()
}

fn frame<'a>(report: &'a Value, name: &str) -> &'a Value {
    report["report"]["frames"].as_array().unwrap().iter().find(|frame| frame["name"] == name).unwrap()
}

#[test]
fn a_folder_is_sorted_with_progress_and_says_what_the_command_says() {
    let night = Night::new();
    for number in 0..12 {
        night.small(&format!("IMG_{number}.ppm"), number);
    }
    night.put("broken.jpg", b"\xff\xd8\xff\xe0 no more");
    let before = contents(&night.folder());
    let server = serve(&["serve"]);
    assert_eq!(get(&server, "api/sort").1["standing"], Value::Null);
    assert_eq!(get(&server, "api/sort/report").0, 404);
    let said = sorted(&server, &night.folder());
    let last = said.last().unwrap();
    assert_eq!((last["phase"].as_str(), last["to_measure"].as_u64()), (Some("done"), Some(13)), "{last}");
    let arrived: usize = said.iter().map(|one| one["arrived"].as_array().unwrap().len()).sum();
    assert_eq!(arrived, 13);
    let (status, report) = get(&server, "api/sort/report");
    assert_eq!(status, 200);
    let of_command = night.report(&[]);
    assert_eq!(report["report"], of_command);
    assert_eq!(contents(&night.folder()), before, "nothing is written beside the pictures unasked");
}

#[test]
fn a_verdict_is_a_persons_and_stays_over_a_restart_and_a_later_sort() {
    let night = Night::new();
    for number in 0..6 {
        night.small(&format!("IMG_{number}.ppm"), number);
    }
    let server = serve_with(&["serve"], &night.journal());
    sorted(&server, &night.folder());
    let report = get(&server, "api/sort/report").1;
    let hash = |name: &str| frame(&report, name)["content_hash"].clone();
    for (name, verdict) in [("IMG_1.ppm", "dud"), ("IMG_2.ppm", "keep"), ("IMG_3.ppm", "undecided")] {
        let (status, said) =
            post(&server, "api/sort/verdict", &json!({"content_hash": hash(name), "verdict": verdict}));
        assert_eq!(status, 200, "{said}");
        let changed = said["changed"].as_array().unwrap();
        let changed = changed.iter().map(|one| &one["frame"]).find(|frame| frame["name"] == name).unwrap();
        assert_eq!((&changed["verdict"], &changed["person"]), (&json!(verdict), &json!(verdict)));
    }
    // what the page is told of changes makes the whole report
    let after = get(&server, "api/sort/report").1;
    assert_eq!(after["report"], night.report(&[]), "the command sees the same verdicts");
    drop(server);

    let server = serve_with(&["serve"], &night.journal());
    let said = sorted(&server, &night.folder());
    assert_eq!(said.last().unwrap()["known"], 6, "nothing is measured again");
    let again = get(&server, "api/sort/report").1;
    assert_eq!(again["report"], after["report"]);
    // ratings follow the person
    let (status, rated) = post(&server, "api/sort/ratings", &json!({}));
    assert_eq!((status, rated["faults"].as_array().map(Vec::len)), (200, Some(0)), "{rated}");
    let sidecar = std::fs::read_to_string(night.folder().join("IMG_1.xmp")).unwrap();
    assert!(sidecar.contains("Rating=\"-1\""), "{sidecar}");
    assert!(!night.folder().join("IMG_3.xmp").exists(), "left open");
    // taken back
    let take_back = json!({"content_hash": hash("IMG_1.ppm"), "verdict": null});
    assert_eq!(post(&server, "api/sort/verdict", &take_back).0, 200);
    assert_eq!(frame(&get(&server, "api/sort/report").1, "IMG_1.ppm")["person"], Value::Null);
}

#[test]
fn frames_are_shown_small_in_part_and_side_by_side() {
    let night = Night::new();
    night.starry("a.jpg", "a");
    night.starry("b.jpg", "b");
    let server = serve(&["serve"]);
    sorted(&server, &night.folder());
    let report = get(&server, "api/sort/report").1;
    let hash = |name: &str| frame(&report, name)["content_hash"].as_str().unwrap().to_owned();
    let picture = |path: String| {
        let mut answer = agent().get(format!("{}api/sort/{path}", server.address)).call().unwrap();
        let place = answer.headers().get("quietarc-left").map(|left| left.to_str().unwrap().to_owned());
        (answer.status().as_u16(), place, answer.body_mut().read_to_vec().unwrap())
    };
    for palette in ["desk", "dark_eyes"] {
        let (status, _place, png) = picture(format!("frames/{}/small?palette={palette}", hash("a.jpg")));
        assert_eq!((status, &png[1..4]), (200, &b"PNG"[..]));
    }
    let part = format!("frames/{}/part?x=0&y=0&width=200&height=100&palette=desk", hash("a.jpg"));
    let (status, place, png) = picture(part);
    assert_eq!((status, place.as_deref(), &png[16..24]), (200, Some("0"), &[0, 0, 0, 200, 0, 0, 0, 100][..]));
    let (status, pair) = get(&server, &format!("api/sort/same-place?first={}&second={}", hash("a.jpg"), hash("b.jpg")));
    assert_eq!((status, pair["on_star"].as_bool()), (200, Some(true)), "{pair}");
    assert_eq!(pair["first_px"], pair["second_px"], "one picture twice");
    // a hash that is no frame's, and a file that changed since
    assert_eq!(picture(format!("frames/{}/small?palette=desk", "0".repeat(64))).0, 404);
    assert_eq!(picture("frames/..%2f..%2fetc%2fpasswd/small?palette=desk".to_owned()).0, 404);
    night.starry("b.jpg", "other");
    let (status, _place, refusal) = picture(format!("frames/{}/small?palette=desk", hash("b.jpg")));
    assert!(status == 422 && String::from_utf8_lossy(&refusal).contains("has changed"));
}

#[test]
fn what_cannot_be_sorted_is_refused_with_a_remedy() {
    let night = Night::new();
    let server = serve(&["serve"]);
    for (body, field) in [
        (json!({"folder": "/no/such/folder"}), Some("folder")),
        (json!({"folder": night.folder(), "clock": ["soon"]}), Some("clock")),
        (json!({"folder": night.folder(), "time_zone": "Mars/Olympus"}), Some("time_zone")),
        (json!({"folder": night.folder(), "site": "nowhere"}), None),
        (json!({"folder": night.folder(), "files": 3}), Some("files")),
    ] {
        let (status, refusal) = post(&server, "api/sort", &body);
        assert_eq!((status, refusal["field"].as_str()), (422, field), "{body}: {refusal}");
        assert!(!refusal["hint"].as_str().unwrap().is_empty());
    }
}

#[test]
fn a_shared_server_sorts_only_the_folders_it_was_started_with() {
    let night = Night::new();
    night.small("IMG_1.ppm", 1);
    let elsewhere = tempfile::tempdir().unwrap();
    #[cfg(unix)]
    std::os::unix::fs::symlink(elsewhere.path(), night.folder().join("way-out")).unwrap();
    let server = serve(&["serve", "--share", "--frames", night.folder().to_str().unwrap()]);
    let (base, token) = server.address.split_once("/?pair=").unwrap();
    let ask = |folder: &Path| {
        let request = agent().post(format!("{base}/api/sort")).header("cookie", format!("pair={token}"));
        request.send_json(json!({"folder": folder})).unwrap().status().as_u16()
    };
    assert_eq!(ask(elsewhere.path()), 422);
    assert_eq!(ask(&night.folder().join("..")), 422);
    #[cfg(unix)]
    assert_eq!(ask(&night.folder().join("way-out")), 422);
    assert_eq!(ask(&night.folder()), 202);
    assert_eq!(agent().get(format!("{base}/api/sort")).call().unwrap().status(), 403, "no token");
}
