//! Sites and kits over HTTP: the checks of the commands, refusals with a status, and the same records.

use serde_json::{Value, json};

use crate::running::{Server, serve};

/// Sends a request with a JSON body; status and answer.
fn send(server: &Server, method: &str, path: &str, body: &Value) -> (u16, Value) {
    let agent: ureq::Agent = ureq::Agent::config_builder().http_status_as_error(false).build().into();
    let request = ureq::http::Request::builder()
        .method(method)
        .uri(format!("{}{path}", server.address))
        .header("content-type", "application/json")
        .body(body.to_string())
        .unwrap();
    let request = agent.configure_request(request).allow_non_standard_methods(true).build();
    let mut answer = agent.run(request).unwrap();
    (answer.status().as_u16(), answer.body_mut().read_json().unwrap_or(Value::Null))
}

fn get(server: &Server, path: &str) -> Value {
    ureq::get(format!("{}{path}", server.address)).call().unwrap().body_mut().read_json().unwrap()
}

fn bay(name: &str) -> Value {
    json!({
        "name": name,
        "position": {"latitude_deg": 69.15, "longitude_deg": 15.65, "height_m": 3.0},
        "time_zone": "Europe/Oslo",
        "sky_quality": {"kind": "bortle", "class": 3},
        "horizon": [{"azimuth_deg": 0.0, "altitude_deg": 1.5}],
        "water": [{"from_deg": 300.0, "to_deg": 30.0, "sheltered": true}],
    })
}

#[test]
fn a_site_is_kept_changed_and_removed() {
    let server = serve(&["serve"]);
    assert_eq!(get(&server, "api/sites"), json!([]));
    let (status, kept) = send(&server, "POST", "api/sites", &bay("  Skerrow\tBay "));
    assert_eq!((status, kept["name"].as_str()), (201, Some("Skerrow Bay")));
    assert_eq!(get(&server, "api/sites")[0], kept);

    let (status, refusal) = send(&server, "POST", "api/sites", &bay("Skerrow Bay"));
    assert_eq!((status, refusal["field"].as_str()), (409, Some("site.name")), "{refusal}");
    assert!(
        refusal["error"].as_str().unwrap().contains("already a site") && !refusal["hint"].as_str().unwrap().is_empty()
    );

    let changed = json!({"name": "Skerrow Bay", "site": bay("Skerrow Bay, east")});
    let (status, kept) = send(&server, "PUT", "api/sites", &changed);
    assert_eq!((status, kept["name"].as_str()), (200, Some("Skerrow Bay, east")));
    let (status, _) = send(&server, "PUT", "api/sites", &changed);
    assert_eq!(status, 404);

    assert_eq!(send(&server, "DELETE", "api/sites", &json!({"name": "Skerrow Bay"})).0, 404);
    assert_eq!(send(&server, "DELETE", "api/sites", &json!({"name": "Skerrow Bay, east"})).0, 200);
    assert_eq!(get(&server, "api/sites"), json!([]));
}

#[test]
fn names_of_every_kind_stay_text_and_can_be_addressed() {
    let server = serve(&["serve"]);
    for name in ["<script>alert(1)</script>", "'; DROP TABLE site; --", "..", "a/b?c#d", "北の湖", "\u{202e}evil"] {
        let (status, kept) = send(&server, "POST", "api/sites", &bay(name));
        assert_eq!(status, 201, "{name}");
        let drawn = ureq::post(format!("{}api/draw/horizon", server.address))
            .send_json(json!({"site": kept, "width_px": 400.0, "height_px": 200.0, "palette": "dark_eyes"}))
            .unwrap()
            .body_mut()
            .read_to_string()
            .unwrap();
        assert!(drawn.starts_with("<svg") && !drawn.contains("<script"), "{name}");
        assert_eq!(send(&server, "DELETE", "api/sites", &json!({"name": kept["name"]})).0, 200, "{name}");
    }
}

#[test]
fn what_cannot_be_is_refused_with_its_field() {
    let server = serve(&["serve"]);
    let mut high = bay("High");
    high["horizon"][0]["altitude_deg"] = 99.into();
    let mut nowhere = bay("Nowhere");
    nowhere["position"]["latitude_deg"] = 95.into();
    let mut zone = bay("Zone");
    zone["time_zone"] = "Mars/Olympus".into();
    let mut crowded = bay("Crowded");
    crowded["horizon"] = json!(vec![json!({"azimuth_deg": 0.0, "altitude_deg": 1.0}); 401]);
    for (site, field) in [
        (high, Some("site.horizon[0].altitude_deg")),
        (nowhere, Some("position")),
        (zone, Some("site.time_zone")),
        (crowded, Some("site.horizon")),
        (bay(" \n"), Some("site.name")),
        (bay(&"x".repeat(121)), Some("site.name")),
    ] {
        let (status, refusal) = send(&server, "POST", "api/sites", &site);
        assert_eq!((status, refusal["field"].as_str()), (422, field), "{refusal}");
    }
    assert_eq!(get(&server, "api/sites"), json!([]));
}

#[test]
fn kits_are_kept_from_starters_and_impossible_ones_refused() {
    let server = serve(&["serve"]);
    let starters = get(&server, "api/starters");
    assert_eq!(starters, serde_json::to_value(job::starters()).unwrap());
    let kit = json!({
        "name": "Wide",
        "camera": starters["sensors"][0]["camera"],
        "lens": starters["lenses"][0]["lens"],
        "exposure_s": 5.0,
        "iso": 3200.0,
        "limits": starters["sensors"][0]["limits"],
    });
    assert_eq!(send(&server, "POST", "api/kits", &kit).0, 201);
    assert_eq!(send(&server, "POST", "api/kits", &kit).0, 409);
    let mut flat = kit.clone();
    flat["name"] = "Flat".into();
    flat["camera"]["pixel_um"] = 0.into();
    let (status, refusal) = send(&server, "POST", "api/kits", &flat);
    assert_eq!((status, refusal["field"].as_str()), (422, Some("kit.camera.pixel_um")), "{refusal}");
    let mut renamed = kit;
    renamed["name"] = "Wider".into();
    assert_eq!(send(&server, "PUT", "api/kits", &json!({"name": "Wide", "kit": renamed})).0, 200);
    assert_eq!(send(&server, "DELETE", "api/kits", &json!({"name": "Wider"})).0, 200);
    assert_eq!(get(&server, "api/kits"), json!([]));
}

#[test]
fn what_an_outing_uses_is_refused_as_a_conflict() {
    let server = serve(&["demo", "--no-night"]);
    let sites = get(&server, "api/sites");
    let used = sites.as_array().unwrap().iter().find(|site| site["name"] == "Skerrow Bay (invented)").unwrap();
    let (status, refusal) = send(&server, "DELETE", "api/sites", &json!({"name": used["name"]}));
    assert_eq!(status, 409);
    assert!(refusal["error"].as_str().unwrap().contains("an outing uses it"), "{refusal}");
}

#[test]
fn a_file_of_places_is_imported_over_http_too() {
    let server = serve(&["serve"]);
    let text = "<gpx><wpt lat='69.15' lon='15.65'><name>Bay</name></wpt><wpt lat='99' lon='1'/></gpx>";
    let file = json!({"file_name": "places.gpx", "text": text, "time_zone": "Europe/Oslo"});
    let (status, report) = send(&server, "POST", "api/sites/import", &file);
    assert_eq!((status, &report["added"]), (200, &json!(["Bay"])), "{report}");
    assert_eq!(report["failed"].as_array().unwrap().len(), 1);
    assert_eq!(get(&server, "api/sites")[0]["time_zone"], "Europe/Oslo");
    let saved = ureq::get(format!("{}api/sites.geojson", server.address)).call().unwrap();
    assert_eq!(saved.headers()["content-type"], "application/geo+json");
    let text = saved.into_body().read_to_string().unwrap();
    let again = json!({"file_name": "sites.geojson", "text": text, "time_zone": "UTC"});
    assert_eq!(send(&server, "POST", "api/sites/import", &again).1["already_there"], json!(["Bay"]));
    let broken = json!({"file_name": "places.gpx", "text": "<gpx", "time_zone": "UTC"});
    assert_eq!(send(&server, "POST", "api/sites/import", &broken).0, 422);
}
