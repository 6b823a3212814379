//! The same Request through the library, the command line and HTTP gives equal Reports.

use job::{
    AlmanacRequest, AskedBrightness, AskedSky, CheckRequest, ExposeRequest, Kit, MagneticRequest, OutlookRequest,
    ScoresRequest, SkymapRequest, StandRequest,
};
use serde::Serialize;
use serde_json::Value;

use crate::program::{quietarc, stderr, stdout};
use crate::running::{Server, serve};

fn post(server: &Server, path: &str, body: &impl Serialize) -> Value {
    let mut answer = ureq::post(format!("{}{path}", server.address)).send_json(body).unwrap();
    answer.body_mut().read_json().unwrap()
}

fn by_command(verb: &str, request: &impl Serialize) -> Value {
    let folder = tempfile::tempdir().unwrap();
    let file = folder.path().join("request.json");
    std::fs::write(&file, serde_json::to_vec(request).unwrap()).unwrap();
    let output = quietarc(&[verb, "--json", "--request", file.to_str().unwrap()]);
    assert!(output.status.success(), "{}", stderr(&output));
    serde_json::from_str(&stdout(&output)).unwrap()
}

#[test]
fn every_door_gives_the_same_report_of_a_frame() {
    let server = serve(&["demo", "--no-night"]);
    let picture = std::fs::read(crate::check::TEST_FRAME).unwrap();
    let name = "test_frame.composed.jpg";
    let at = "2026-03-14T21:41:07Z";
    let mut kits = ureq::get(format!("{}api/kits", server.address)).call().unwrap();
    let kits: Vec<Kit> = kits.body_mut().read_json().unwrap();
    let kit = kits.into_iter().next().unwrap();
    let request = CheckRequest {
        name: name.to_owned(),
        kit: Some(kit.clone()),
        at: Some(at.parse().unwrap()),
        sharpest_hfd_px: Some(2.4),
        ..CheckRequest::default()
    };
    let by_library = serde_json::to_value(job::check(&request, &picture)).unwrap();

    let kit_in_address = kit.name.replace(' ', "%20");
    let address = format!("{}api/check?name={name}&kit={kit_in_address}&at={at}&sharpest_hfd_px=2.4", server.address);
    let mut answer = ureq::post(address).send(&picture[..]).unwrap();
    let by_http: Value = answer.body_mut().read_json().unwrap();
    assert_eq!(by_library, by_http);

    let journal = server.journal.to_str().unwrap();
    let output = quietarc(&[
        "check",
        "--json",
        "--journal",
        journal,
        "--kit",
        &kit.name,
        "--at",
        at,
        "--sharpest",
        "2.4",
        crate::check::TEST_FRAME,
    ]);
    assert!(output.status.success(), "{}", stderr(&output));
    let by_command: Value = serde_json::from_str(&stdout(&output)).unwrap();
    assert_eq!(by_library, by_command);
}

#[test]
fn every_door_gives_the_same_report() {
    let server = serve(&["demo", "--no-night"]);
    let mut outings = ureq::get(format!("{}api/outings", server.address)).call().unwrap();
    let outings: Value = outings.body_mut().read_json().unwrap();
    let id = outings[0]["id"].clone();
    let mut page = ureq::get(format!("{}api/outings/{id}", server.address)).call().unwrap();
    let page: Value = page.body_mut().read_json().unwrap();
    let request: OutlookRequest = serde_json::from_value(page["request"].clone()).unwrap();

    let report = job::outlook(request.clone()).unwrap();
    assert_eq!(serde_json::to_value(&report).unwrap(), page["report"], "outlook from the journal");
    // a door to a journal adds what it keeps of earlier nights: here nothing was met
    let record = job::scores(&ScoresRequest { outings: Vec::new() }).unwrap();
    let by_library = serde_json::to_value(report.with_past_scores(record)).unwrap();
    assert_eq!(by_library, post(&server, "api/outlook", &request), "outlook over HTTP");
    assert_eq!(by_library, by_command("outlook", &request), "outlook by command");

    let at = "2015-03-17T21:00:00Z".parse().unwrap();
    let position = request.site.position;
    let frame = StandRequest {
        site: request.site.clone(),
        at,
        kit: request.kit.clone(),
        pointing: None,
        activity: request.activity.clone(),
        weather: request.weather.clone(),
        f107: request.f107,
        focus_m: Some(40.0),
    };
    let by_library = serde_json::to_value(job::stand(frame.clone()).unwrap()).unwrap();
    assert_eq!(by_library, post(&server, "api/stand", &frame), "stand over HTTP");
    assert_eq!(by_library, by_command("stand", &frame), "stand by command");

    let expose = ExposeRequest {
        brightness: AskedBrightness::Given { green_5577_kr: 12.0, low_kr: Some(4.0), high_kr: None },
        colours: job::ColourShares::default(),
        kit: request.kit,
        sky: AskedSky::AtSite { site: Box::new(request.site.clone()), at },
        pointing: Some(job::FramePointing {
            orientation: job::Orientation::Portrait,
            ..job::FramePointing::level(350.0, 35.0)
        }),
        least_declination_deg: None,
        motion: Some(job::AuroraMotion::Folds),
        purpose: job::ShootingPurpose::TimeLapse { hours: 1.5, fps: 30.0, gap_s: 0.5 },
        temperature_c: Some(-12.0),
        adaptation_minutes: 20.0,
    };
    let by_library = serde_json::to_value(job::expose(expose.clone()).unwrap()).unwrap();
    assert_eq!(by_library, post(&server, "api/expose", &expose));
    assert_eq!(by_library, by_command("expose", &expose));

    let sky = SkymapRequest { site: request.site, at, kp: 7.0, f107: 120.0, step_deg: 10.0 };
    let by_library = serde_json::to_value(job::skymap(sky.clone()).unwrap()).unwrap();
    assert_eq!(by_library, post(&server, "api/skymap", &sky));
    assert_eq!(by_library, by_command("skymap", &sky));

    let times = AlmanacRequest { at, position };
    let by_library = serde_json::to_value(job::almanac(times.clone()).unwrap()).unwrap();
    assert_eq!(by_library, post(&server, "api/almanac", &times));
    assert_eq!(by_library, by_command("almanac", &times));

    let field = MagneticRequest { at, position, height_km: 110.0, method: job::CoordinateMethod::Traced };
    let by_library = serde_json::to_value(job::magnetic(field.clone()).unwrap()).unwrap();
    assert_eq!(by_library, post(&server, "api/magnetic", &field));
    assert_eq!(by_library, by_command("magnetic", &field));
}
