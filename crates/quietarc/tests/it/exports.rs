//! An outlook as a document: the same bytes through the library, the command line and HTTP.

use draw::documents::{DocumentKind, calendar, field_card, file_name, geojson, gpx};
use job::{OutlookReport, OutlookRequest};
use serde_json::Value;

use crate::program::{quietarc, stderr, stdout};
use crate::running::{Server, serve};

fn get(server: &Server, path: &str) -> Value {
    let mut answer = ureq::get(format!("{}{path}", server.address)).call().unwrap();
    answer.body_mut().read_json().unwrap()
}

fn by_library(kind: DocumentKind, report: &OutlookReport) -> String {
    match kind {
        DocumentKind::Card => field_card(report, &job::field_plan(report).unwrap()),
        DocumentKind::Calendar => calendar(report).unwrap(),
        DocumentKind::Gpx => gpx(report),
        DocumentKind::GeoJson => geojson(report),
    }
}

#[test]
fn every_door_gives_the_same_document() {
    let server = serve(&["demo", "--no-night"]);
    let id = get(&server, "api/outings")[0]["id"].as_i64().unwrap();
    let request: OutlookRequest =
        serde_json::from_value(get(&server, &format!("api/outings/{id}"))["request"].clone()).unwrap();
    let report = job::outlook(request.clone()).unwrap();
    let folder = tempfile::tempdir().unwrap();
    let asked = folder.path().join("request.json");
    std::fs::write(&asked, serde_json::to_vec(&request).unwrap()).unwrap();

    let agent: ureq::Agent = ureq::Agent::config_builder().http_status_as_error(false).build().into();
    let answer = agent.post(format!("{}api/export/poster", server.address)).send_json(&request).unwrap();
    assert_eq!(answer.status(), 404, "no such document");

    for kind in DocumentKind::ALL {
        let wanted = by_library(kind, &report);
        let name = kind.name();

        let mut answer = ureq::post(format!("{}api/export/{name}", server.address)).send_json(&request).unwrap();
        assert_eq!(answer.headers()["content-type"], kind.media_type());
        let disposition = format!("attachment; filename=\"{}\"", file_name(&report, kind));
        assert_eq!(answer.headers()["content-disposition"], disposition.as_str());
        assert!(wanted == answer.body_mut().read_to_string().unwrap(), "{name} over HTTP differs");

        let output = quietarc(&["export", name, "--request", asked.to_str().unwrap()]);
        assert!(output.status.success(), "{}", stderr(&output));
        assert!(wanted == stdout(&output), "{name} by command differs");

        let output = quietarc(&[
            "export",
            name,
            "--outing",
            &id.to_string(),
            "--journal",
            server.journal.to_str().unwrap(),
            "--out",
            folder.path().to_str().unwrap(),
        ]);
        assert!(output.status.success(), "{}", stderr(&output));
        assert!(stdout(&output).is_empty());
        let saved = std::fs::read_to_string(folder.path().join(file_name(&report, kind))).unwrap();
        assert!(wanted == saved, "{name} of the stored outing differs");
    }
}

#[test]
fn sites_of_the_journal_are_ranked_and_what_cannot_be_is_refused() {
    let folder = tempfile::tempdir().unwrap();
    let journal = folder.path().join("journal.sqlite");
    let journal = journal.to_str().unwrap();
    assert!(quietarc(&["demo", "--no-night", "--no-serve", "--journal", journal]).status.success());
    let site = "Skerrow Bay (invented)";
    let asked = ["--site", site, "--journal", journal, "--night", "2026-03-14", "--kp", "4"];

    let output = quietarc(&[&["export", "gpx", "--everywhere"], &asked[..]].concat());
    let text = stdout(&output);
    assert_eq!(text.matches("<wpt ").count(), 6, "{text}");
    assert!(text.contains("Rank 1 of 6"), "{text}");

    let other = ["--also", "Ternholm Lake (invented)"];
    let text = stdout(&quietarc(&[&["export", "geojson"], &other[..], &asked[..]].concat()));
    assert!(text.contains("\"sites_compared\":2"), "{text}");

    let still = ["export", "calendar", "--lat", "45", "--lon", "5", "--night", "2026-03-14", "--kp", "0"];
    for (arguments, said) in [
        (&still[..], "export the field card instead"),
        (&["export", "card", "--outing", "99", "--journal", journal], "no outing \"99\""),
        (&["export", "card", "--outing", "1", "--kp", "3"], "cannot be used with"),
        (&["export", "poster"], "invalid value"),
        (&["export", "card", "--lat", "95", "--lon", "0", "--kp", "3"], "latitude"),
        (
            &["export", "gpx", "--lat", "69", "--lon", "15", "--kp", "3", "--out", "/no/such/folder/x"],
            "cannot be written",
        ),
    ] {
        let output = quietarc(arguments);
        assert_eq!(output.status.code(), Some(2), "{arguments:?}: {}", stderr(&output));
        assert!(stderr(&output).contains(said), "{arguments:?}: {}", stderr(&output));
        assert!(stdout(&output).is_empty(), "{arguments:?}");
    }
}
