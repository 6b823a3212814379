//! Who may come in.

use crate::running::serve;

fn client() -> ureq::Agent {
    ureq::Agent::config_builder().http_status_as_error(false).max_redirects(0).build().into()
}

fn refusal(answer: &mut ureq::http::Response<ureq::Body>) -> (u16, String) {
    let body: serde_json::Value = answer.body_mut().read_json().unwrap();
    assert!(body["hint"].as_str().is_some_and(|hint| !hint.is_empty()), "{body}");
    (answer.status().as_u16(), body["error"].as_str().unwrap_or_default().to_owned())
}

#[test]
fn a_shared_server_lets_in_only_who_has_the_token() {
    let server = serve(&["serve", "--share"]);
    assert!(server.greeting.contains('\u{2588}'), "a code to scan");
    let (base, token) = server.address.split_once("/?pair=").expect("the address holds a token");
    let agent = client();

    for path in ["/", "/api/sites", "/?pair=", "/?pair=00000000000000000000000000000000", "/api/sites?pair=x"] {
        let (status, words) = refusal(&mut agent.get(format!("{base}{path}")).call().unwrap());
        assert_eq!((status, words.contains("pairing token")), (403, true), "{path}: {words}");
    }
    let wrong = agent.get(format!("{base}/api/sites")).header("cookie", "pair=wrong").call().unwrap();
    assert_eq!(wrong.status(), 403);

    let paired = agent.get(&server.address).call().unwrap();
    assert_eq!(paired.status(), 303);
    assert_eq!(paired.headers()["location"], "/");
    let cookie = paired.headers()["set-cookie"].to_str().unwrap();
    assert!(cookie.contains("HttpOnly") && cookie.contains("SameSite=Strict"), "{cookie}");
    let shown = agent.get(format!("{base}/api/sites")).header("cookie", format!("pair={token}")).call().unwrap();
    assert_eq!(shown.status(), 200);
}

#[test]
fn pairing_leads_to_no_other_host() {
    let server = serve(&["serve", "--share"]);
    let (base, token) = server.address.split_once("/?pair=").unwrap();
    let answer = client().get(format!("{base}//elsewhere.example/?pair={token}")).call().unwrap();
    assert_eq!(answer.headers()["location"], "/elsewhere.example/");
}

#[test]
fn a_local_server_answers_only_to_names_of_this_machine() {
    let server = serve(&["serve"]);
    let agent = client();
    assert_eq!(agent.get(format!("{}api/sites", server.address)).call().unwrap().status(), 200);
    let mut answer =
        agent.get(format!("{}api/sites", server.address)).header("host", "elsewhere.example").call().unwrap();
    assert_eq!(refusal(&mut answer).0, 403);
}
