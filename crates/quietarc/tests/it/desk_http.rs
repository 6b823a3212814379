//! The desk over HTTP: viewers' pages, two desks at once, and what strangers try.

use serde_json::{Value, json};

use crate::desk::phone_picture;
use crate::desk_form::{agent, form, send_form};
use crate::running::{Server, serve};

fn page(server: &Server, path: &str) -> (u16, String) {
    let mut answer = agent().get(format!("{}{path}", server.address)).call().unwrap();
    (answer.status().as_u16(), answer.body_mut().read_to_string().unwrap())
}

pub(crate) fn get(server: &Server, path: &str) -> Value {
    serde_json::from_str(&page(server, path).1).unwrap()
}

fn say(server: &Server, method: &str, path: &str, body: &Value) -> (u16, Value) {
    let address = format!("{}{path}", server.address);
    let request = if method == "PUT" { agent().put(address) } else { agent().post(address) };
    let mut answer = request.send_json(body).unwrap();
    (answer.status().as_u16(), answer.body_mut().read_json().unwrap_or(Value::Null))
}

fn link(server: &Server) -> String {
    let wish = json!({"label": "To <us>", "time_zone": "Europe/Oslo", "days": 2, "most_pictures": 40});
    let (status, made) = say(server, "POST", "api/desk/links", &wish);
    assert_eq!(status, 200, "{made}");
    made["path"].as_str().unwrap().trim_start_matches('/').to_owned()
}

const SCRIPT: &str = "<script>alert(1)</script><img src=x onerror=alert(2)>";

#[test]
fn a_viewer_sends_permits_and_takes_back() {
    let server = serve(&["serve"]);
    let link = link(&server);
    let (status, asked) = page(&server, &link);
    assert!(
        status == 200 && asked.contains("To &lt;us&gt;") && !asked.contains("<us>") && !asked.contains("<script"),
        "{asked}"
    );
    let fields = [
        ("own", "yes"),
        ("online", "yes"),
        ("when", "2026-03-14T23:40"),
        ("place", SCRIPT),
        ("name", SCRIPT),
        ("caption", SCRIPT),
    ];
    let (status, again) = send_form(&server, &link, &form(&fields[1..], "a.jpg", &phone_picture(1)), None);
    assert!(status == 422 && again.contains("is not ticked"), "{again}");
    let (status, thanks) = send_form(&server, &link, &form(&fields, "../../../<b>a.jpg", &phone_picture(1)), None);
    assert_eq!(status, 200, "{thanks}");
    let whole = get(&server, "api/desk/submissions/1");
    assert_eq!((whole["file_name"].as_str(), whole["credit_name"].as_str()), (Some("<b>a.jpg"), Some(SCRIPT)));
    // 23:40 in Oslo is 22:40 UTC before the clocks change on 29 March
    assert_eq!(whole["claim"]["at"], "2026-03-14T22:40:00Z");
    let uses = &whole["consent"]["uses"];
    assert_eq!((&uses["on_air"], &uses["online"]), (&json!(false), &json!(true)));
    assert!(whole["consent"]["words"].as_str().unwrap().contains("station's pages"), "{whole}");
    let wish = json!({"ids": [1], "permitted_use": "online"});
    let (status, left) = say(&server, "POST", "api/desk/export", &wish);
    assert!(status == 200 && left["exported"].as_array().is_some_and(|copies| copies.len() == 1), "{left}");
    let at = thanks.find("/withdraw/").unwrap();
    let word = &thanks[at + 1..at + 1 + "withdraw/".len() + 32];
    assert!(page(&server, word).1.contains("Number <b>1</b>"));
    assert_eq!(get(&server, "api/desk/submissions/1")["state"].as_str().map(|state| state == "withdrawn"), Some(false));
    let (status, gone) = send_form(&server, word, b"", None);
    assert!(status == 200 && gone.contains("is erased here"), "{gone}");
    let whole = get(&server, "api/desk/submissions/1");
    assert_eq!((whole["state"].as_str(), whole["credit_name"].as_str()), (Some("withdrawn"), Some("")));
    // what left before is still told, so that it can be removed; nothing leaves any more
    assert_eq!(whole["exports"].as_array().map(Vec::len), Some(1), "{whole}");
    // in the desk's own folder nothing is left, and no name on record
    let folder = left["folder"].as_str().unwrap();
    assert_eq!(std::fs::read_dir(folder).unwrap().count(), 0);
    assert_eq!((&whole["exports"][0]["credit"], &whole["consent"]["words"]), (&json!(""), &json!("(erased)")));
    let (status, refused) = say(&server, "POST", "api/desk/export", &wish);
    assert_eq!(status, 200);
    assert!(refused["refused"][0]["error"].as_str().unwrap().contains("withdrawn"), "{refused}");
}

#[test]
fn words_are_not_found_by_trying_and_a_neighbour_who_tries_locks_nobody_out() {
    let server = serve(&["serve"]);
    let link = link(&server);
    let statuses: Vec<u16> = (0..40).map(|number| page(&server, &format!("send/{number:032x}")).0).collect();
    assert_eq!(statuses.iter().filter(|status| **status == 404).count(), 20);
    assert_eq!(statuses[39], 429);
    assert_eq!(page(&server, &format!("withdraw/{:032x}", 7)).0, 429, "one count for all wrong words");
    assert_eq!(page(&server, &link).0, 200);
    let links = get(&server, "api/desk/links");
    assert!(!links.to_string().contains(link.trim_start_matches("send/")), "the word is kept nowhere");
    let revoked = agent().delete(format!("{}api/desk/links/1", server.address)).call().unwrap();
    assert_eq!(revoked.status().as_u16(), 200);
    assert_eq!(page(&server, &link).0, 410);
}

#[test]
fn too_much_and_too_many_are_refused() {
    let server = serve(&["serve"]);
    let link = link(&server);
    let own = [("own", "yes")];
    let large = vec![0xffu8; 60_500_000];
    let (status, text) = send_form(&server, &link, &form(&own, "large.jpg", &large), None);
    assert!(status == 422 && text.contains("60 MB"), "{status} {text}");
    let words = "x".repeat(200_000);
    let (status, text) =
        send_form(&server, &link, &form(&[("caption", words.as_str())], "a.jpg", &phone_picture(1)), None);
    assert!(status == 422 && text.contains("the words of the form are too long"), "{text}");
    let (status, text) = send_form(&server, &link, &form(&own, "a.jpg", b"<html>"), None);
    assert!(status == 422 && text.contains("no picture that can be read here"), "{text}");
    let statuses: Vec<u16> =
        (0..70).map(|shade| send_form(&server, &link, &form(&own, "a.jpg", &phone_picture(shade)), None).0).collect();
    assert_eq!(statuses.iter().filter(|status| **status == 200).count(), 40, "the link was made for 40: {statuses:?}");
    assert_eq!(get(&server, "api/desk/submissions")["total"], 40);
}

#[test]
fn a_page_of_another_site_drops_nothing_on_the_board() {
    let server = serve(&["serve"]);
    let body = form(&[], "a.jpg", &phone_picture(1));
    let (status, text) = send_form(&server, "api/desk/submissions", &body, Some("https://elsewhere.example"));
    assert!(status == 403 && text.contains("another site"), "{text}");
    let own = server.address.trim_end_matches('/').to_owned();
    assert_eq!(send_form(&server, "api/desk/submissions", &body, Some(&own)).0, 200);
}

#[test]
fn a_browser_asks_each_time_whether_a_picture_still_stands() {
    let server = serve(&["serve"]);
    send_form(&server, "api/desk/submissions", &form(&[], "a.jpg", &phone_picture(1)), None);
    let address = format!("{}api/desk/submissions/1/view", server.address);
    // drawn by a worker behind the intake
    let drawn = (0..300).find_map(|_| {
        let answer = agent().get(&address).call().unwrap();
        if answer.status().as_u16() == 200 {
            return Some(answer);
        }
        std::thread::sleep(std::time::Duration::from_millis(100));
        None
    });
    let drawn = drawn.unwrap();
    let header = |name: &str| drawn.headers()[name].to_str().unwrap();
    assert_eq!(header("cache-control"), "private, no-cache");
    let again = || agent().get(&address).header("if-none-match", header("etag")).call().unwrap().status().as_u16();
    assert_eq!(again(), 304);
    let asked = json!({"words": "take it down", "erase": true});
    assert_eq!(say(&server, "POST", "api/desk/submissions/1/withdraw", &asked).0, 200);
    assert_eq!(again(), 404);
}

#[test]
fn two_desks_on_one_item_lose_nothing() {
    let server = serve(&["serve"]);
    send_form(&server, "api/desk/submissions", &form(&[], "a.jpg", &phone_picture(1)), None);
    let seen = get(&server, "api/desk/submissions/1");
    let edit = |notes: &str, by: &str| {
        let fields =
            json!({"claim": {"position": {"latitude_deg": 69.31234, "longitude_deg": 16.12345}}, "notes": notes});
        say(&server, "PUT", "api/desk/submissions/1", &json!({"version": seen["version"], "by": by, "fields": fields}))
    };
    let (status, kept) = edit("hers", "Ada");
    assert_eq!((status, kept["notes"].as_str()), (200, Some("hers")));
    let (status, refused) = edit("his", "Bo");
    assert_eq!(status, 409);
    assert!(refused["error"].as_str().unwrap().contains("Ada"), "{refused}");
    assert_eq!(refused["current"]["notes"], "hers", "what stands there goes along");
    // the place is shown rounded, and stays as it was given
    let whole = get(&server, "api/desk/submissions/1");
    assert_eq!(whole["claim"]["position"]["latitude_deg"], 69.3);
    assert!(!whole.to_string().contains("69.31234"), "{whole}");
    let fields = json!({"notes": "both"});
    let body = json!({"version": whole["version"], "by": "Bo", "fields": fields, "keeps_position": true});
    assert_eq!(say(&server, "PUT", "api/desk/submissions/1", &body).0, 200);
    let exact = get(&server, "api/desk/submissions/1?exact=true");
    assert_eq!(exact["claim"]["position"]["latitude_deg"], 69.31234);
    // a refusal that Ada recorded meanwhile is not passed over by a "yes" of somebody who has not read it
    let consent = |by: &str, on_air: bool| {
        let body = json!({"version": exact["version"], "by": by, "words": "said so", "uses": {"on_air": on_air}});
        say(&server, "POST", "api/desk/submissions/1/consent", &body)
    };
    assert_eq!(consent("Ada", false).0, 200);
    let (status, refused) = consent("Bo", true);
    assert_eq!(status, 409, "{refused}");
    assert_eq!(refused["current"]["consent"]["uses"]["on_air"], false);
}

#[test]
fn a_shared_server_lets_viewers_send_and_nothing_else() {
    let server = serve(&["serve", "--share"]);
    let host = server.address.split("/?").next().unwrap();
    let status = |path: &str| agent().get(format!("{host}/{path}")).call().unwrap().status().as_u16();
    assert_eq!(status("send/00000000000000000000000000000000"), 404, "asked for its word, not for the code");
    for path in ["api/desk", "api/desk/submissions", "send", "send/../api/desk", "api/desk/submissions/1/view"] {
        assert_eq!(status(path), 403, "{path}");
    }
}

#[test]
fn a_name_that_is_a_path_names_no_file() {
    let server = serve(&["serve"]);
    let folder = server.journal.parent().unwrap().to_owned();
    let names = ["../../../escaped.jpg", "..\\..\\escaped.jpg", "/etc/escaped.jpg", "a/../../escaped.jpg", "con.jpg"];
    for (shade, name) in (0..).zip(names) {
        let (status, text) = send_form(&server, "api/desk/submissions", &form(&[], name, &phone_picture(shade)), None);
        assert_eq!(status, 200, "{text}");
    }
    let listed = get(&server, "api/desk/submissions");
    let shown: Vec<&str> =
        listed["rows"].as_array().unwrap().iter().map(|row| row["file_name"].as_str().unwrap()).collect();
    assert_eq!(shown, ["con.jpg", "escaped.jpg", "escaped.jpg", "escaped.jpg", "escaped.jpg"]);
    let mut waiting = vec![folder];
    while let Some(folder) = waiting.pop() {
        for entry in std::fs::read_dir(folder).unwrap().map(Result::unwrap) {
            let name = entry.file_name().to_string_lossy().into_owned();
            assert!(!name.contains("escaped") && !name.contains("con."), "{name}");
            if entry.file_type().unwrap().is_dir() {
                waiting.push(entry.path());
            }
        }
    }
    for path in ["api/desk/submissions/..%2f..%2fjournal.sqlite/view", "api/desk/submissions/1%2e%2e/view"] {
        assert!(matches!(page(&server, path).0, 400 | 404), "{path}");
    }
    // a wish that makes no sense is told, and does not reach the database as it stands
    for asked in ["near=77", "near=1&within_km=0", "within_km=x", "claimed_from=tonight", "state=%27%3B--"] {
        assert!(matches!(page(&server, &format!("api/desk/submissions?{asked}")).0, 400 | 404 | 422), "{asked}");
    }
}

/// A proxy says for whom it asks; without one named on the command line nobody's word for another address counts.
#[test]
fn viewers_behind_a_proxy_are_counted_each_for_themselves() {
    /// Wrong words that one address may say.
    const BORNE: usize = 20;
    let asked = |server: &Server, from: &str| {
        let address = format!("{}send/nosuchlink", server.address);
        agent().get(address).header("x-forwarded-for", from).call().unwrap().status().as_u16()
    };
    let behind = serve(&["serve", "--behind-proxy"]);
    for _ in 0..BORNE {
        assert_eq!(asked(&behind, "198.51.100.7, 203.0.113.1"), 404);
    }
    assert_eq!(asked(&behind, "198.51.100.8, 203.0.113.1"), 429, "the proxy's own word counts, the last one");
    assert_eq!(asked(&behind, "203.0.113.2"), 404);
    for arguments in [&["serve"][..], &["serve", "--behind-proxy", "192.0.2.1"]] {
        let server = serve(arguments);
        for number in 0..BORNE {
            assert_eq!(asked(&server, &format!("203.0.113.{number}")), 404);
        }
        assert_eq!(asked(&server, "203.0.113.200"), 429, "{arguments:?}: one connection, one address");
    }
}
