//! The same Request through the library, the command line and HTTP gives equal Reports.

use std::io::{BufRead, BufReader};
use std::process::{Child, Command, Stdio};

use job::{AlmanacRequest, MagneticRequest, OutlookRequest, SkymapRequest, StandRequest};
use serde::Serialize;
use serde_json::Value;

use crate::program::{quietarc, stderr, stdout};

/// The demo's server, stopped when dropped.
struct Server {
    child: Child,
    address: String,
    _folder: tempfile::TempDir,
}

impl Drop for Server {
    fn drop(&mut self) {
        let _gone = self.child.kill();
        let _reaped = self.child.wait();
    }
}

fn server() -> Server {
    let folder = tempfile::tempdir().unwrap();
    let journal = folder.path().join("journal.sqlite");
    let mut child = Command::new(env!("CARGO_BIN_EXE_quietarc"))
        .args(["demo", "--port", "0", "--journal", journal.to_str().unwrap()])
        .stdout(Stdio::piped())
        .spawn()
        .unwrap();
    let mut lines = BufReader::new(child.stdout.take().unwrap()).lines();
    let address = lines
        .by_ref()
        .map_while(Result::ok)
        .find_map(|line| line.strip_prefix("Quietarc is at ").map(str::to_owned))
        .expect("the server says where it is");
    // keep reading, or the program would stop at a closed pipe
    std::thread::spawn(move || lines.count());
    Server { child, address, _folder: folder }
}

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
fn every_door_gives_the_same_report() {
    let server = server();
    let mut outings = ureq::get(format!("{}api/outings", server.address)).call().unwrap();
    let outings: Value = outings.body_mut().read_json().unwrap();
    let id = outings[0]["id"].clone();
    let mut page = ureq::get(format!("{}api/outings/{id}", server.address)).call().unwrap();
    let page: Value = page.body_mut().read_json().unwrap();
    let request: OutlookRequest = serde_json::from_value(page["request"].clone()).unwrap();

    let by_library = serde_json::to_value(job::outlook(request.clone()).unwrap()).unwrap();
    assert_eq!(by_library, post(&server, "api/outlook", &request), "outlook over HTTP");
    assert_eq!(by_library, by_command("outlook", &request), "outlook by command");
    assert_eq!(by_library, page["report"], "outlook from the journal");

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
