//! What is told over HTTP: the command's own account and stills; clips and stacks followed to their end.

use std::io::{BufRead, BufReader};

use serde_json::{Value, json};

use crate::check::TEST_FRAME;
use crate::program::{quietarc, stderr, stdout};
use crate::running::{Server, serve, serve_with};
use crate::sort::{Night, contents};
use crate::sort_http::{agent, get, post, sorted};
use crate::tell_clip::{SIZE, is_without_ffmpeg, picture, probe};

fn bytes(server: &Server, path: &str) -> (u16, Vec<u8>) {
    let mut answer = agent().get(format!("{}{path}", server.address)).call().unwrap();
    (answer.status().as_u16(), answer.body_mut().with_config().limit(50_000_000).read_to_vec().unwrap())
}

#[test]
fn an_account_is_that_of_the_command_in_each_form() {
    let server = serve(&["demo", "--no-night"]);
    let outing = get(&server, "api/outings").1[0]["id"].clone();
    let journal = server.journal.to_str().unwrap().to_owned();
    let number = outing.to_string();
    let more = ["--place", "the coast", "--minutes-of-air", "1", "--order", "seen,where", "--journal", &journal];
    let of_command = |form: &[&str]| {
        let output = quietarc(&[&["tell", "account", &number], form, &more[..]].concat());
        assert_eq!(output.status.code(), Some(0), "{}", stderr(&output));
        stdout(&output)
    };
    let path = format!("api/tell/account?outing={outing}&place=the%20coast&minutes=1&order=seen,where");
    let (status, report) = get(&server, &path);
    assert_eq!(status, 200, "{report}");
    assert_eq!(report, serde_json::from_str::<Value>(&of_command(&["--json"])).unwrap());
    let text = String::from_utf8(bytes(&server, &format!("{path}&form=text")).1).unwrap();
    assert_eq!(text.trim(), of_command(&[]).trim());
    let page = String::from_utf8(bytes(&server, &format!("{path}&form=html")).1).unwrap();
    assert!(page.contains("<!doctype html>") && page.contains("the coast"), "{page}");
    for (wrong, status) in [("outing=999", 422), (&format!("outing={outing}&order=weather")[..], 422), ("", 422)] {
        let (found, said) = get(&server, &format!("api/tell/account?{wrong}"));
        assert!(
            found == status && said["hint"].as_str().is_some_and(|hint| !hint.is_empty()),
            "{wrong}: {found} {said}"
        );
    }
}

#[test]
fn a_still_is_that_of_the_command_and_its_preview_has_its_shape() {
    let server = serve(&["serve"]);
    let frame = std::fs::read(TEST_FRAME).unwrap();
    let ask = |more: &str| {
        let path = format!("{}api/tell/still?name=test_frame.composed.jpg&credit=Ida%20Berg{more}", server.address);
        let mut answer = agent().post(path).send(&frame[..]).unwrap();
        (answer.status().as_u16(), answer.body_mut().with_config().limit(50_000_000).read_to_vec().unwrap())
    };
    let to = tempfile::tempdir().unwrap();
    let out = to.path().join("still.jpg");
    let out = out.to_str().unwrap();
    let journal = server.journal.to_str().unwrap().to_owned();
    let output = quietarc(&["tell", "still", "--credit", "Ida Berg", "--out", out, "--journal", &journal, TEST_FRAME]);
    assert_eq!(output.status.code(), Some(0), "{}", stderr(&output));
    let (status, of_http) = ask("&file=jpg");
    assert_eq!(status, 200);
    assert!(of_http == std::fs::read(out).unwrap(), "another still than the command's");
    let preview: Value = serde_json::from_slice(&ask("&shape=9:16&guides=true&palette=dark_eyes").1).unwrap();
    assert_eq!(preview["size_px"], json!([540, 960]));
    assert!(preview["caption"].to_string().contains("Ida Berg"), "{}", preview["caption"]);
    for (more, wanted) in [("&file=gif", "gif"), ("&file=jpg&overlay=true", "transparent"), ("&shape=4:3", "4:3")] {
        let (status, said) = ask(more);
        let said = String::from_utf8_lossy(&said).into_owned();
        assert!(status == 422 && said.contains(wanted) && said.contains("hint"), "{more}: {status} {said}");
    }
}

/// A keogram and a map of an outing are those of the command; a map says how exactly it tells the place.
#[test]
fn a_map_of_an_outing_is_that_of_the_command() {
    let server = serve(&["demo", "--no-night"]);
    let outing = get(&server, "api/outings").1[0]["id"].to_string();
    let journal = server.journal.to_str().unwrap().to_owned();
    let to = tempfile::tempdir().unwrap();
    let out = to.path().join("map.svg");
    let more = ["--shape", "9:16", "--lines", "2160", "--credit", "Ida Berg", "--place-precision", "degree"];
    let command =
        ["tell", "still", "--draw", "map", "--outing", &outing, "--out", out.to_str().unwrap(), "--journal", &journal];
    let output = quietarc(&[&command[..], &more[..]].concat());
    assert_eq!(output.status.code(), Some(0), "{}", stderr(&output));
    let path =
        format!("api/tell/sheet?outing={outing}&what=map&shape=9:16&lines=2160&credit=Ida%20Berg&precision=degree");
    let (status, drawn) = bytes(&server, &format!("{path}&file=svg"));
    assert_eq!(status, 200, "{}", String::from_utf8_lossy(&drawn));
    assert!(drawn == std::fs::read(&out).unwrap(), "another map than the command's");
    let (status, preview) = get(&server, &format!("{path}&guides=true"));
    assert_eq!((status, &preview["size_px"]), (200, &json!([540, 960])), "{preview}");
    for wrong in [
        format!("outing={outing}&what=map"),
        format!("outing={outing}&what=map&precision=degree&overlay=true&file=jpg"),
        format!("outing={outing}&what=clock"),
        "outing=999&what=map&precision=degree".to_owned(),
    ] {
        let (status, said) = get(&server, &format!("api/tell/sheet?{wrong}"));
        let has_hint = said["hint"].as_str().is_some_and(|hint| !hint.is_empty());
        assert!(status == 422 && has_hint, "{wrong}: {status} {said}");
    }
}

/// All that was said of what is being made, to its end.
fn followed(server: &Server) -> Vec<Value> {
    let answer = agent().get(format!("{}api/tell/making/progress", server.address)).call().unwrap();
    assert_eq!(answer.headers()["content-type"], "text/event-stream");
    let lines = BufReader::new(answer.into_body().into_reader()).lines().map_while(Result::ok);
    lines.filter_map(|line| serde_json::from_str(line.strip_prefix("data:")?.trim()).ok()).collect()
}

#[test]
fn a_stack_of_the_sorted_folder_is_followed_and_saved() {
    let night = Night::new();
    for number in 0..6 {
        night.small(&format!("IMG_{number}.ppm"), number);
    }
    let before = contents(&night.folder());
    let server = serve_with(&["serve"], &night.journal());
    let trails = json!({"kind": "trails", "clip_sigmas": 3.0, "longest_px": null, "credit": "Ida Berg", "place": null});
    let question = json!({"what": {"stack": trails}, "keepers_only": false});
    let (status, refused) = post(&server, "api/tell/making", &question);
    assert!(status == 409 && refused["error"].as_str().unwrap().contains("no folder is sorted"), "{refused}");
    assert_eq!(get(&server, "api/tell/making"), (200, Value::Null));
    assert_eq!(get(&server, "api/tell/making/file").0, 404);

    sorted(&server, &night.folder());
    let report = get(&server, "api/sort/report").1;
    let hash = report["report"]["frames"][0]["content_hash"].as_str().unwrap();
    let name = report["report"]["frames"][0]["name"].as_str().unwrap();
    let whole = bytes(&server, &format!("api/sort/frames/{hash}/file")).1;
    assert_eq!(whole, std::fs::read(night.folder().join(name)).unwrap());

    let (status, started) = post(&server, "api/tell/making", &question);
    assert_eq!(status, 202, "{started}");
    let said = followed(&server);
    let last = said.last().unwrap();
    assert_eq!(last["phase"], "done", "{last}");
    assert!(last["caption"].as_str().unwrap().contains("brightest of 6 frames"), "{last}");
    let (status, made) = bytes(&server, "api/tell/making/file");
    assert!(status == 200 && made.starts_with(&[0xff, 0xd8]), "{status}");
    assert_eq!(contents(&night.folder()), before, "nothing is written beside the pictures");

    let wrong = json!({"what": {"stack": {"kind": "mean", "clip_sigmas": 0.0, "longest_px": null, "credit": null, "place": null}}, "keepers_only": false});
    let (status, refused) = post(&server, "api/tell/making", &wrong);
    assert!(status == 422 && refused["field"] == "clip_sigmas", "{status} {refused}");
    // no stars: said in a sentence, and what was made before is no longer offered
    let mean = json!({"what": {"stack": {"kind": "mean", "clip_sigmas": 3.0, "longest_px": null, "credit": null, "place": null}}, "keepers_only": false});
    assert_eq!(post(&server, "api/tell/making", &mean).0, 202);
    let last = followed(&server).pop().unwrap();
    assert_eq!(last["phase"], "failed", "{last}");
    assert!(last["problem"][0].as_str().unwrap().contains("stars"), "{last}");
    assert_eq!(get(&server, "api/tell/making/file").0, 409);
}

/// Ends what is being made.
fn stop(server: &Server) -> u16 {
    agent().delete(format!("{}api/tell/making", server.address)).call().unwrap().status().as_u16()
}

/// Frames through of how many, as often as it was said.
fn counted(said: &[Value]) -> Vec<[u64; 2]> {
    let pair = |frames: &Value| Some([frames[0].as_u64()?, frames[1].as_u64()?]);
    said.iter().filter_map(|standing| pair(&standing["frames"])).collect()
}

/// The clip over HTTP is what its caption says, by ffprobe; its progress counts frames that the encoder gave back.
#[test]
fn a_clip_of_the_sorted_folder_is_counted_stopped_and_read_back() {
    const FRAMES: usize = 40;
    if is_without_ffmpeg() {
        return;
    }
    let night = Night::new();
    for number in 0..FRAMES {
        night.put(&format!("f{number:03}.ppm"), &picture(SIZE, number));
    }
    let server = serve_with(&["serve"], &night.journal());
    sorted(&server, &night.folder());
    let question = |frames_per_s: f64| {
        let clip = json!({
            "codec": "h264", "frames_per_s": frames_per_s, "size": "source", "portrait": false, "whole_frame": false,
            "clock": false, "even_exposure": false, "credit": "Photo: Ida Berg", "place": "the coast"
        });
        json!({"what": {"clip": clip}, "keepers_only": false})
    };
    assert_eq!(post(&server, "api/tell/making", &question(20.0)).0, 202);
    assert_eq!(post(&server, "api/tell/making", &question(25.0)).0, 409, "one at a time");
    assert_eq!(stop(&server), 200);
    let last = followed(&server).pop().unwrap();
    // a machine may have been done before it was stopped
    assert!(last["phase"] == "stopped" || last["phase"] == "done", "{last}");
    if last["phase"] == "stopped" {
        assert_eq!(get(&server, "api/tell/making/file").0, 409);
    }

    assert_eq!(post(&server, "api/tell/making", &question(20.0)).0, 202, "the same goes on");
    let said = followed(&server);
    let last = said.last().unwrap();
    assert_eq!(last["phase"], "done", "{last}");
    let counted = counted(&said);
    assert!(counted.iter().all(|[done, of]| done <= of && *of == FRAMES as u64), "{counted:?}");
    assert!(counted.is_sorted_by_key(|[done, _]| *done), "{counted:?}");
    assert_eq!(counted.last(), Some(&[FRAMES as u64; 2]), "all of them at the end");
    let (status, made) = bytes(&server, "api/tell/making/file");
    assert_eq!(status, 200);
    let to = tempfile::tempdir().unwrap();
    let clip = to.path().join("night.mp4");
    std::fs::write(&clip, made).unwrap();
    let read = probe(&clip);
    let stream = &read["streams"][0];
    assert_eq!((&stream["codec_name"], &stream["nb_read_frames"]), (&"h264".into(), &FRAMES.to_string().into()));
    assert_eq!((&stream["width"], &stream["height"]), (&SIZE[0].into(), &SIZE[1].into()));
    assert_eq!(stream["avg_frame_rate"], "20/1");
    let caption = last["caption"].as_str().unwrap();
    assert!(caption.contains("the coast") && caption.contains("Ida Berg"), "{caption}");
    assert_eq!(read["format"]["tags"]["comment"].as_str().unwrap().trim(), caption.trim());
}
