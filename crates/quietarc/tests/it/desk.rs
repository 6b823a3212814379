//! What viewers send, by command: taken in by content, opened in a worker, let out only with permission.

use std::fs;
use std::path::{Path, PathBuf};
use std::process::Output;

use serde_json::Value;

use crate::program::{quietarc, stderr, stdout};

/// A place that must not get out, as it may stand in a file.
const SECRET: &[u8] = b"69.31234N 16.12345E at home";

/// A small picture as a phone writes it: words of every kind before and behind it.
pub(crate) fn phone_picture(shade: u8) -> Vec<u8> {
    let mut plain = Vec::new();
    let pixels: Vec<u8> = (0..192u8).flat_map(|step| [shade, step, 40].repeat(16)).collect();
    let encoder = jpeg_encoder::Encoder::new(&mut plain, 90);
    encoder.encode(&pixels, 64, 48, jpeg_encoder::ColorType::Rgb).unwrap();
    let segment = |marker: u8, content: &[u8]| {
        let length = u16::try_from(content.len() + 2).unwrap().to_be_bytes();
        [&[0xff, marker], &length[..], content].concat()
    };
    let words = [
        segment(0xe1, &[b"Exif\0\0", SECRET].concat()),
        segment(0xe1, &[b"http://ns.adobe.com/xap/1.0/\0", SECRET].concat()),
        segment(0xed, &[b"Photoshop 3.0\0", SECRET].concat()),
        segment(0xfe, &[b"<script>alert(1)</script>", SECRET].concat()),
    ];
    [&plain[..2], &words.concat(), &plain[2..], SECRET].concat()
}

/// A desk of its own.
struct Desk {
    folder: tempfile::TempDir,
}

impl Desk {
    fn new() -> Self {
        Self { folder: tempfile::tempdir().unwrap() }
    }

    fn path(&self, name: &str) -> PathBuf {
        self.folder.path().join(name)
    }

    fn put(&self, name: &str, bytes: &[u8]) -> PathBuf {
        let path = self.path(&format!("inbox/{name}"));
        fs::create_dir_all(path.parent().unwrap()).unwrap();
        fs::write(&path, bytes).unwrap();
        path
    }

    fn run(&self, arguments: &[&str]) -> Output {
        let journal = self.path("data/journal.sqlite");
        quietarc(&[&["desk"], arguments, &["--journal", journal.to_str().unwrap()]].concat())
    }

    fn json(&self, arguments: &[&str]) -> Value {
        let output = self.run(&[arguments, &["--json"]].concat());
        let told = serde_json::from_slice(&output.stdout);
        assert!(told.is_ok(), "{}{}", stdout(&output), stderr(&output));
        told.unwrap()
    }

    fn take(&self) -> Output {
        self.run(&["take", self.path("inbox").to_str().unwrap()])
    }
}

/// The real pictures, where there are some.
fn frames() -> Option<PathBuf> {
    let beside = || PathBuf::from(env!("CARGO_MANIFEST_DIR")).join("../../../shared/frames");
    let frames = std::env::var_os("QUIETARC_FRAMES").map_or_else(beside, PathBuf::from);
    frames.is_dir().then_some(frames)
}

fn files_below(folder: &Path) -> Vec<PathBuf> {
    let mut found = Vec::new();
    for entry in fs::read_dir(folder).unwrap().map(Result::unwrap) {
        if entry.file_type().unwrap().is_dir() {
            found.extend(files_below(&entry.path()));
        } else {
            found.push(entry.path());
        }
    }
    found
}

/// The creator in a copy's XMP, as a reader of XML would have it.
fn creator_in(copy: &[u8]) -> String {
    let text = String::from_utf8_lossy(copy);
    let (_, after) = text.split_once("<dc:creator><rdf:Seq><rdf:li>").unwrap();
    let (name, _) = after.split_once("</rdf:li>").unwrap();
    [("&lt;", "<"), ("&gt;", ">"), ("&quot;", "\""), ("&amp;", "&")]
        .iter()
        .fold(name.to_owned(), |name, (coded, plain)| name.replace(coded, plain))
}

fn holds(bytes: &[u8], part: &[u8]) -> bool {
    bytes.windows(part.len()).any(|window| window == part)
}

#[test]
fn a_copy_leaves_only_with_permission_and_without_a_word_of_the_original() {
    let desk = Desk::new();
    let sent = phone_picture(90);
    desk.put("IMG_1.jpg", &sent);
    let taken = desk.take();
    assert!(taken.status.success(), "{}", stderr(&taken));
    let out = desk.path("tonight");
    let out = out.to_str().unwrap();
    let refused = desk.run(&["export", "1", "--for", "on-air", "--out", out]);
    assert_eq!(refused.status.code(), Some(1), "{}", stderr(&refused));
    assert!(stderr(&refused).contains("no permission of its sender is recorded"), "{}", stderr(&refused));
    assert!(files_below(Path::new(out)).is_empty());
    let credit = "Åse <script>alert(1)</script> & \"Bo\"";
    let permitted = desk.run(&[
        "consent",
        "1",
        "--use",
        "online",
        "--credit",
        credit,
        "--words",
        "yes, on your page",
        "--by",
        "Ada",
    ]);
    assert!(permitted.status.success(), "{}", stderr(&permitted));
    let refused = desk.run(&["export", "1", "--for", "on-air", "--out", out]);
    assert!(stderr(&refused).contains("not permitted to use it on air"), "{}", stderr(&refused));
    let left = desk.json(&["export", "1", "--for", "online", "--out", out]);
    let file = left["exported"][0]["file"].as_str().unwrap();
    let copy = fs::read(file).unwrap();
    assert!(!holds(&copy, SECRET) && !holds(&copy, b"<script"), "words of the original got out");
    assert_eq!(creator_in(&copy), credit, "escaped in the copy, and the same to whoever reads it");
    assert!(holds(&sent, SECRET));
    // pixels and tables are those that were sent, to the byte
    let tables = sent.windows(2).position(|pair| pair == [0xff, 0xdb]).unwrap();
    let end = sent.len() - SECRET.len();
    assert!(copy.ends_with(&sent[tables..end]));
    let caption = fs::read_to_string(Path::new(file).with_extension("txt")).unwrap();
    assert!(caption.contains(credit), "{caption}");
}

#[test]
fn originals_stay_as_they_were_sent_and_cannot_be_written() {
    let desk = Desk::new();
    let sent = phone_picture(50);
    let path = desk.put("a/IMG_1.jpg", &sent);
    desk.put("b/copy of it.jpg", &sent);
    let report = desk.json(&["take", desk.path("inbox").to_str().unwrap()]);
    let taken = report["taken"].as_array().unwrap();
    assert_eq!(
        (taken.len(), &taken[0]["was_here"], &taken[1]["was_here"]),
        (2, &Value::Bool(false), &Value::Bool(true))
    );
    assert_eq!(fs::read(&path).unwrap(), sent);
    let stored = files_below(&desk.path("data/submissions/originals"));
    assert_eq!(stored.len(), 1);
    assert_eq!(fs::read(&stored[0]).unwrap(), sent);
    assert!(fs::metadata(&stored[0]).unwrap().permissions().readonly());
    let whole = desk.json(&["show", "1"]);
    assert_eq!((whole["state"].as_str(), &whole["size_px"]), (Some("checked"), &serde_json::json!([64, 48])));
    // without a claim, and of a picture of nothing, there is nothing to be said for or against it
    assert_eq!(whole["evidence"]["verdict"], "cannot_tell");
    assert!(whole["evidence"]["checks"].as_array().is_some_and(|checks| checks.len() > 5));
}

#[test]
fn what_was_exported_and_then_withdrawn_is_told_and_leaves_no_more() {
    let desk = Desk::new();
    desk.put("IMG_1.jpg", &phone_picture(10));
    desk.take();
    desk.run(&["consent", "1", "--use", "on-air", "--credit", "A. Viewer", "--words", "yes"]);
    let out = desk.path("tonight");
    let out = out.to_str().unwrap();
    assert!(desk.run(&["export", "1", "--for", "on-air", "--out", out]).status.success());
    let withdrawn = desk.run(&["withdraw", "1", "--words", "please take it down", "--erase"]);
    assert!(
        stdout(&withdrawn).contains("have them removed") && stdout(&withdrawn).contains("tonight"),
        "{}",
        stdout(&withdrawn)
    );
    let refused = desk.run(&["export", "1", "--for", "on-air", "--out", out]);
    assert!(stderr(&refused).contains("its sender has withdrawn it"), "{}", stderr(&refused));
    assert!(files_below(&desk.path("data/submissions/originals")).is_empty(), "erased");
    let again = desk.take();
    assert_eq!(again.status.code(), Some(1));
    assert!(stdout(&again).contains("was withdrawn by its sender"), "{}", stdout(&again));
}

#[test]
fn a_copy_whose_text_cannot_be_written_does_not_leave() {
    let desk = Desk::new();
    desk.put("IMG_1.jpg", &phone_picture(10));
    desk.take();
    desk.run(&["consent", "1", "--use", "on-air", "--credit", "A. Viewer", "--words", "yes"]);
    let out = desk.path("tonight");
    assert!(desk.run(&["export", "1", "--for", "on-air", "--out", out.to_str().unwrap()]).status.success());
    let names: Vec<PathBuf> = files_below(&out);
    let text = names.iter().find(|path| path.extension().is_some_and(|ending| ending == "txt")).unwrap();
    // a folder stands where the text would
    let other = desk.path("other");
    fs::create_dir_all(other.join(text.file_name().unwrap()).join("x")).unwrap();
    let failed = desk.run(&["export", "1", "--for", "on-air", "--out", other.to_str().unwrap()]);
    assert_eq!(failed.status.code(), Some(1), "{}", stderr(&failed));
    assert_eq!(files_below(&other), Vec::<PathBuf>::new());
    let whole = desk.json(&["show", "1"]);
    assert_eq!(whole["exports"].as_array().map(Vec::len), Some(1), "{whole}");
}

#[test]
fn a_card_runs_nothing() {
    let desk = Desk::new();
    let out = desk.path("card.html");
    let out = out.to_str().unwrap();
    let title = "<script>alert(1)</script>";
    let card = |link: &str| quietarc(&["desk", "card", "--title", title, "--link", link, "--out", out]);
    let refused = card("javascript:alert(1)");
    assert!(!refused.status.success() && stderr(&refused).contains("is no address of a page"), "{}", stderr(&refused));
    assert!(!Path::new(out).exists());
    let written = card("https://desk.example/send/\"><script>alert(2)</script>");
    assert!(written.status.success(), "{}", stderr(&written));
    let page = fs::read_to_string(out).unwrap();
    assert!(page.contains("&lt;script&gt;alert(1)") && !page.contains("<script"), "{page}");
}

/// A PNG of 20 000 by 20 000 pixels in some kilobytes.
fn swelling_png() -> Vec<u8> {
    use std::io::Write;
    let side = 20_000u32;
    let mut packed = flate2::write::ZlibEncoder::new(Vec::new(), flate2::Compression::best());
    let row = vec![0u8; 1 + 3 * side as usize];
    for _ in 0..2_000 {
        packed.write_all(&row).unwrap();
    }
    let chunk = |kind: &[u8], content: &[u8]| {
        let mut sum = flate2::Crc::new();
        sum.update(kind);
        sum.update(content);
        [&u32::try_from(content.len()).unwrap().to_be_bytes()[..], kind, content, &sum.sum().to_be_bytes()].concat()
    };
    let head = [&side.to_be_bytes()[..], &side.to_be_bytes(), &[8, 2, 0, 0, 0]].concat();
    [
        b"\x89PNG\r\n\x1a\n".to_vec(),
        chunk(b"IHDR", &head),
        chunk(b"IDAT", &packed.finish().unwrap()),
        chunk(b"IEND", b""),
    ]
    .concat()
}

#[test]
fn hostile_files_spoil_only_their_own_worker() {
    let desk = Desk::new();
    desk.put("bomb.png", &swelling_png());
    desk.put("head.jpg", &phone_picture(1)[..400]);
    desk.put("huge.pgm", b"P5\n60000 60000\n65535\n");
    desk.put("loops.tif", b"II\x2a\0\x08\0\0\0\x01\0\0\x01\x04\0\x01\0\0\0\x08\0\0\0\x08\0\0\0");
    desk.put("page.jpg", b"<html><script>alert(1)</script></html>");
    desk.put("film.jpg", b"\0\0\0\x14ftypqt  \0\0\0\0");
    desk.put("z good.jpg", &phone_picture(200));
    if let Some(frames) = frames() {
        for path in files_below(&frames.join("corrupt")) {
            let name = path.file_name().unwrap().to_str().unwrap().to_owned();
            desk.put(&format!("corrupt/{name}"), &fs::read(&path).unwrap());
        }
    } else {
        skipped("the damaged pictures are not here");
    }
    let taken = desk.take();
    assert_eq!(taken.status.code(), Some(1));
    assert!(stdout(&taken).contains("page.jpg") && stdout(&taken).contains("a video"), "{}", stdout(&taken));
    let listed = desk.json(&["list"]);
    let rows = listed["rows"].as_array().unwrap();
    let row = |name: &str| rows.iter().find(|row| row["file_name"] == name).unwrap();
    for name in ["bomb.png", "head.jpg", "huge.pgm", "loops.tif"] {
        assert!(row(name)["problem"].as_str().is_some_and(|problem| !problem.is_empty()), "{name}");
    }
    assert_eq!(row("z good.jpg")["problem"], Value::Null);
    assert!(rows.iter().all(|row| row["state"] != "received"), "each was looked at, none stopped the others");
}

#[test]
fn a_worker_asked_by_a_person_says_who_it_is_for() {
    let output = quietarc(&["desk-worker"]);
    assert_eq!(output.status.code(), Some(2));
    assert!(stderr(&output).contains("for quietarc itself"), "{}", stderr(&output));
    assert!(!stdout(&quietarc(&["--help"])).contains("desk-worker"));
}

/// Phones write where they were: the copy must not, whichever program wrote the original.
#[test]
fn real_pictures_with_a_place_lose_it() {
    let Some(frames) = frames() else {
        skipped("the real pictures are not here");
        return;
    };
    let desk = Desk::new();
    let mut with_place = 0;
    for path in files_below(&frames) {
        let Ok(bytes) = fs::read(&path) else { continue };
        if bytes.len() < 20_000_000 && frame::sniff(&bytes).is_ok() && frame::read_metadata(&bytes).position.is_some() {
            with_place += 1;
            desk.put(&format!("{with_place} {}", path.file_name().unwrap().display()), &bytes);
        }
        if with_place == MOST_REAL {
            break;
        }
    }
    assert!(with_place > 0, "none of the real pictures says where it was taken");
    desk.take();
    let listed = desk.json(&["list"]);
    for row in listed["rows"].as_array().unwrap() {
        let id = row["id"].to_string();
        desk.run(&["consent", &id, "--use", "archive", "--credit", "A. Viewer", "--words", "yes"]);
        let whole = desk.json(&["show", &id]);
        assert!(!whole["measures"].to_string().contains("latitude"), "a place stands in the measures of {row}");
        if whole["problem"].is_null() {
            let left = desk.json(&["export", &id, "--for", "archive", "--out", desk.path("out").to_str().unwrap()]);
            let file = left["exported"][0]["file"].as_str().unwrap_or_else(|| panic!("{row}: {left}"));
            let copy = frame::read_metadata(&fs::read(file).unwrap());
            assert_eq!((copy.position, copy.taken.is_none(), copy.model), (None, true, None), "{row}");
        }
    }
}

/// Enough of them to see several makers, few enough to wait for.
const MOST_REAL: usize = 12;

#[expect(clippy::print_stdout, reason = "a test that leaves something out says so")]
fn skipped(why: &str) {
    println!("skipped: {why}");
}

/// An invented picture of an aurora, drawn by the project.
const AURORA: &[u8] = include_bytes!("../../data/demo_frame.composed.jpg");

/// A part of it, or the whole, packed anew and perhaps mirrored.
fn packed_again(part: f64, is_mirrored: bool) -> Vec<u8> {
    let picture = job::OpenedPicture::open(AURORA, false).unwrap();
    let [width, height] = picture.size_px();
    #[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "a side of a picture")]
    let size = [width, height].map(|side| (side as f64 * part) as usize);
    let mut crop = picture.crop([0.5 * width as f64, 0.5 * height as f64], size).unwrap();
    if is_mirrored {
        for row in crop.rgb.chunks_mut(3 * crop.width) {
            let turned: Vec<u8> = row.as_chunks::<3>().0.iter().rev().flatten().copied().collect();
            row.copy_from_slice(&turned);
        }
    }
    let mut file = Vec::new();
    let [width, height] = [crop.width, crop.height].map(|side| u16::try_from(side).unwrap());
    jpeg_encoder::Encoder::new(&mut file, 80).encode(&crop.rgb, width, height, jpeg_encoder::ColorType::Rgb).unwrap();
    file
}

#[test]
fn copies_of_others_and_of_own_frames_are_named_from_both_sides() {
    let desk = Desk::new();
    let own = desk.path("own.jpg");
    fs::write(&own, packed_again(1.0, true)).unwrap();
    let known = desk.run(&["know", own.to_str().unwrap()]);
    assert!(stdout(&known).contains("1 frames are known now"), "{}{}", stdout(&known), stderr(&known));
    desk.put("1.jpg", AURORA);
    desk.put("2.jpg", &packed_again(0.7, false));
    desk.put("3.jpg", &phone_picture(3));
    desk.take();
    let row = |id: &str| {
        let whole = desk.json(&["show", id]);
        let checks = whole["evidence"]["checks"].as_array().unwrap();
        let row = checks.iter().find(|check| check["kind"] == "copies").unwrap();
        (row["verdict"].clone(), row.to_string())
    };
    // the first one was measured before the second came, and names it all the same
    let (verdict, first) = row("1");
    assert!(verdict == "inconsistent" && first.contains("Number 2") && first.contains("is cut out of this"), "{first}");
    assert!(first.contains("Own frame own.jpg") && first.contains("mirror"), "{first}");
    let (verdict, second) = row("2");
    assert!(
        verdict == "inconsistent" && second.contains("Number 1") && second.contains("cut out of the other"),
        "{second}"
    );
    let (verdict, third) = row("3");
    assert!(verdict == "cannot_tell" && third.contains("too plain"), "{third}");
    let listed = desk.json(&["list"]);
    let copies: Vec<bool> = listed["rows"].as_array().unwrap().iter().map(|row| row["has_copy"] == true).collect();
    assert_eq!(copies, [false, true, true], "the newest first");
    // what is erased is named no more
    desk.run(&["withdraw", "2", "--erase"]);
    assert!(!row("1").1.contains("Number 2"));
}

#[test]
fn the_command_edits_and_orders_as_the_board_does() {
    let desk = Desk::new();
    for shade in [10, 20, 30] {
        desk.put(&format!("{shade}.jpg"), &phone_picture(shade));
    }
    desk.run(&["take", "--no-measure", desk.path("inbox").to_str().unwrap()]);
    let refused = desk.run(&["rundown", "add", "1"]);
    assert!(stderr(&refused).contains("no permission of its sender"), "{}", stderr(&refused));
    for id in ["1", "2", "3"] {
        desk.run(&["consent", id, "--use", "on-air", "--credit", "A. Viewer", "--words", "yes"]);
    }
    desk.run(&["rundown", "add", "1", "3"]);
    desk.run(&["rundown", "add", "2"]);
    desk.run(&["rundown", "move", "2", "1"]);
    desk.run(&["rundown", "remove", "1"]);
    let order =
        |told: &Value| told.as_array().unwrap().iter().map(|row| row["id"].as_i64().unwrap()).collect::<Vec<_>>();
    assert_eq!(order(&desk.json(&["rundown"])), [2, 3]);
    let seen = desk.json(&["show", "1"])["version"].to_string();
    let edited =
        desk.run(&["edit", "1", "--caption", "Rays\nover it", "--claim-time", "2026-03-14T22:40:00Z", "--by", "Ada"]);
    assert!(edited.status.success(), "{}", stderr(&edited));
    let whole = desk.json(&["show", "1"]);
    assert_eq!(whole["claim"]["at"], "2026-03-14T22:40:00Z");
    assert_eq!((whole["caption"].as_str(), whole["credit_name"].as_str()), (Some("Rays\nover it"), Some("A. Viewer")));
    let late = desk.run(&["edit", "1", "--notes", "mine", "--seen-version", &seen, "--by", "Bo"]);
    assert!(!late.status.success() && stderr(&late).contains("Ada"), "{}", stderr(&late));
    assert_eq!(order(&desk.json(&["list", "--claimed-from", "2026-03-14T22:00:00Z"])["rows"]), [1]);
}
