//! Sorting as a program: nothing lost, nothing of the pictures touched, a clear line for whatever goes wrong.

use std::collections::BTreeMap;
use std::path::{Path, PathBuf};
use std::process::{Command, Output};

use serde_json::Value;

use crate::check::TEST_FRAME;
use crate::program::{stderr, stdout};

/// A folder of frames with a journal beside it.
pub(crate) struct Night {
    root: tempfile::TempDir,
}

impl Night {
    pub(crate) fn new() -> Self {
        let root = tempfile::tempdir().unwrap();
        std::fs::create_dir(root.path().join("night")).unwrap();
        Self { root }
    }

    pub(crate) fn root(&self) -> &Path {
        self.root.path()
    }

    pub(crate) fn folder(&self) -> PathBuf {
        self.root.path().join("night")
    }

    pub(crate) fn journal(&self) -> PathBuf {
        self.root.path().join("journal.sqlite")
    }

    /// Writes a small picture that no other seed gives.
    pub(crate) fn small(&self, name: &str, seed: u32) -> PathBuf {
        self.put(name, &small_picture(seed))
    }

    /// Writes the drawn test frame with bytes after its end, so that each has a content of its own.
    pub(crate) fn starry(&self, name: &str, mark: &str) -> PathBuf {
        let mut bytes = std::fs::read(TEST_FRAME).unwrap();
        bytes.extend(mark.as_bytes());
        self.put(name, &bytes)
    }

    pub(crate) fn put(&self, name: &str, bytes: &[u8]) -> PathBuf {
        let path = self.folder().join(name);
        std::fs::create_dir_all(path.parent().unwrap()).unwrap();
        std::fs::write(&path, bytes).unwrap();
        // as if copied a while ago: what is fresh is not taken on its stamp
        let long_ago = std::time::SystemTime::now() - std::time::Duration::from_secs(100);
        std::fs::File::options().write(true).open(&path).unwrap().set_modified(long_ago).unwrap();
        path
    }

    pub(crate) fn command(&self, arguments: &[&str]) -> Command {
        let mut command = Command::new(env!("CARGO_BIN_EXE_quietarc"));
        command.arg("sort").arg(self.folder()).arg("--journal").arg(self.journal()).args(arguments);
        command
    }

    pub(crate) fn sort(&self, arguments: &[&str]) -> Output {
        self.command(arguments).output().unwrap()
    }

    pub(crate) fn report(&self, arguments: &[&str]) -> Value {
        let output = self.sort(&[&["--json"], arguments].concat());
        assert!(output.status.code().is_some_and(|code| code < 2), "{}", stderr(&output));
        serde_json::from_str(&stdout(&output)).unwrap()
    }
}

/// 48 by 32 pixels of noise.
pub(crate) fn small_picture(seed: u32) -> Vec<u8> {
    let mut bytes = b"P6\n48 32\n255\n".to_vec();
    let mut state = seed.wrapping_mul(2_654_435_761).wrapping_add(1);
    for _sample in 0..48 * 32 * 3 {
        state ^= state << 13;
        state ^= state >> 17;
        state ^= state << 5;
        bytes.push(40 + u8::try_from(state % 32).unwrap());
    }
    bytes
}

/// Every file below a folder with its content.
pub(crate) fn contents(folder: &Path) -> BTreeMap<PathBuf, Vec<u8>> {
    let mut found = BTreeMap::new();
    for entry in std::fs::read_dir(folder).unwrap() {
        let path = entry.unwrap().path();
        if path.is_dir() {
            found.extend(contents(&path));
        } else {
            found.insert(path.clone(), std::fs::read(&path).unwrap());
        }
    }
    found
}

/// The rating in a sidecar by another reader than the program's: Python's own XML. `None` where there is no Python.
fn outside_rating(path: &Path) -> Option<String> {
    let program = "import sys, xml.etree.ElementTree as t\n\
                   x='{http://ns.adobe.com/xap/1.0/}Rating'\n\
                   d='{http://www.w3.org/1999/02/22-rdf-syntax-ns#}Description'\n\
                   print([e.get(x) if e.get(x) is not None else e.findtext(x) for e in t.parse(sys.argv[1]).iter(d)][0])";
    let output = Command::new("python3").args(["-c", program]).arg(path).output().ok()?;
    assert!(output.status.success(), "{}", stderr(&output));
    Some(stdout(&output).trim().to_owned())
}

#[test]
fn a_second_run_measures_nothing_and_the_pictures_stay_as_they_are() {
    let night = Night::new();
    for number in 0..20 {
        night.small(&format!("a/IMG_{number}.ppm"), number);
    }
    let before = contents(&night.folder());
    let first = night.sort(&[]);
    assert_eq!(first.status.code(), Some(0), "{}", stderr(&first));
    assert!(stdout(&first).starts_with("20 frames: "), "{}", stdout(&first));
    assert!(stdout(&first).contains("20 measured in"), "{}", stdout(&first));
    let second = night.sort(&[]);
    assert!(stdout(&second).contains("0 measured in") && stdout(&second).contains("20 known"), "{}", stdout(&second));
    assert_eq!(contents(&night.folder()), before);

    // a new name is no new picture; a new content is
    std::fs::rename(night.folder().join("a/IMG_3.ppm"), night.folder().join("a/moved.ppm")).unwrap();
    assert!(stdout(&night.sort(&[])).contains("0 measured in"));
    night.small("a/IMG_5.ppm", 1005);
    assert!(stdout(&night.sort(&[])).contains("1 measured in"));
    // another question is measured anew
    assert!(stdout(&night.sort(&["--lat", "60", "--lon", "20"])).contains("20 measured in"));
}

#[test]
fn one_worker_and_four_give_the_same_report() {
    let night = Night::new();
    for number in 0..12 {
        night.small(&format!("IMG_{number}.ppm"), number);
    }
    night.starry("IMG_20.jpg", "a");
    let one = night.report(&["--workers", "1"]);
    std::fs::remove_file(night.journal()).unwrap();
    assert_eq!(one, night.report(&["--workers", "4"]));
}

#[test]
fn a_raw_file_and_its_jpeg_are_one_frame() {
    let night = Night::new();
    night.small("DSC_1.JPG", 1);
    night.small("DSC_1.NEF", 2);
    night.small("DSC_2.NEF", 3);
    let report = night.report(&[]);
    assert_eq!(report["frames_total"], 2);
    assert_eq!(report["frames"][0]["name"], "DSC_1.JPG");
    assert_eq!(report["frames"][0]["companions"][0], "DSC_1.NEF");
}

#[test]
fn a_hostile_folder_gives_a_line_each_and_the_others_are_sorted() {
    use std::os::unix::ffi::OsStringExt;
    let night = Night::new();
    night.small("plain.ppm", 1);
    for (number, name) in
        ["new\nline.ppm", "quo\"te's.ppm", "\u{1b}[31mred.ppm", "-dash.ppm", "Nordlys \u{1f30c}.ppm"].iter().enumerate()
    {
        night.small(name, 10 + u32::try_from(number).unwrap());
    }
    for (byte, seed) in [(0xff, 20), (0xfe, 21)] {
        let odd = std::ffi::OsString::from_vec(vec![b'o', byte, b'.', b'p', b'p', b'm']);
        std::fs::write(night.folder().join(odd), small_picture(seed)).unwrap();
    }
    night.put("empty.jpg", b"");
    night.put("page.jpg", b"<html>not a picture</html>");
    let cut = std::fs::read(TEST_FRAME).unwrap();
    night.put("cut.jpg", &cut[..200]);
    night.put("notes.txt", b"not looked at");
    std::fs::create_dir(night.folder().join("folder.jpg")).unwrap();
    std::os::unix::fs::symlink(night.folder(), night.folder().join("loop")).unwrap();
    std::os::unix::fs::symlink("nowhere.jpg", night.folder().join("dangling.jpg")).unwrap();
    // links that are no pictures by their names: one to itself, two to each other, one to a card that is not there
    for (to, link) in
        [("round", "round"), ("there", "here"), ("here", "there"), ("nowhere", "card"), ("gone", ".#lock")]
    {
        std::os::unix::fs::symlink(to, night.folder().join(link)).unwrap();
    }
    let pipe = Command::new("mkfifo").arg(night.folder().join("pipe.jpg")).status();
    assert!(pipe.is_ok_and(|status| status.success()));

    let before: Vec<PathBuf> = std::fs::read_dir(night.folder()).unwrap().map(|entry| entry.unwrap().path()).collect();
    let output = night.sort(&["--workers", "2"]);
    assert_eq!(output.status.code(), Some(1), "{}", stderr(&output));
    let said = stderr(&output);
    assert!(said.contains("loop: leads back"), "{said}");
    assert!(said.contains("dangling.jpg: cannot be looked at"), "{said}");
    for link in ["round", "here", "there", "card"] {
        let line = format!("{link}: is a link that cannot be followed");
        assert_eq!(said.lines().filter(|said| said.starts_with(&line)).count(), 1, "{link}: {said}");
    }
    assert!(!said.contains(".#lock"), "{said}");
    for name in ["cut.jpg", "empty.jpg", "page.jpg"] {
        let lines = said.lines().filter(|line| line.starts_with(&format!("{name}: "))).count();
        assert_eq!(lines, 1, "{name}: {said}");
    }
    assert!(!said.contains('\u{1b}') && !stdout(&output).contains('\u{1b}'), "a name must not speak to the terminal");
    let report = night.report(&[]);
    // eight small ones and three that cannot be read
    assert_eq!(report["frames_total"], 11, "{}", report["summary"]);
    let unreadable: Vec<&str> = report["frames"]
        .as_array()
        .unwrap()
        .iter()
        .filter(|frame| frame["measures"]["scene"] == "unreadable")
        .map(|frame| frame["name"].as_str().unwrap())
        .collect();
    assert_eq!(unreadable, ["cut.jpg", "empty.jpg", "page.jpg"]);
    assert!(report["frames"].as_array().unwrap().iter().any(|frame| frame["name"] == "o\\xff.ppm"));
    let after: Vec<PathBuf> = std::fs::read_dir(night.folder()).unwrap().map(|entry| entry.unwrap().path()).collect();
    assert_eq!(before.len(), after.len());
}

#[test]
fn files_that_grow_and_vanish_while_they_are_read_stop_nothing() {
    let night = Night::new();
    for number in 0..120 {
        night.small(&format!("IMG_{number}.ppm"), number);
    }
    let growing = night.small("growing.ppm", 900);
    let mut child = night
        .command(&["--json", "--workers", "2"])
        .stdout(std::process::Stdio::piped())
        .stderr(std::process::Stdio::null())
        .spawn()
        .unwrap();
    let mut grown = std::fs::File::options().append(true).open(&growing).unwrap();
    let mut out = child.stdout.take().unwrap();
    let reader = std::thread::spawn(move || std::io::read_to_string(&mut out).unwrap());
    let mut number = 119;
    while child.try_wait().unwrap().is_none() {
        std::io::Write::write_all(&mut grown, &[7; 100]).unwrap();
        if number >= 60 {
            std::fs::remove_file(night.folder().join(format!("IMG_{number}.ppm"))).unwrap();
            number -= 1;
        }
    }
    assert!(child.wait().unwrap().code().is_some_and(|code| code < 2));
    let report: Value = serde_json::from_str(&reader.join().unwrap()).unwrap();
    let frames = report["frames"].as_array().unwrap();
    for kept in 0..60 {
        let name = format!("IMG_{kept}.ppm");
        let frame = frames.iter().find(|frame| frame["name"] == name.as_str()).unwrap();
        assert_ne!(frame["measures"]["scene"], "unreadable", "{name}");
    }
}

/// A sidecar as an editor leaves it, with a person's rating or without.
fn edited(rating: &str) -> String {
    format!(
        "<x:xmpmeta xmlns:x=\"adobe:ns:meta/\" x:xmptk=\"Editor 7\">\r\n <rdf:RDF xmlns:rdf=\"http://www.w3.org/1999/02/22-rdf-syntax-ns#\">\r\n  \
         <rdf:Description rdf:about=\"\"\r\n    xmlns:xmp=\"http://ns.adobe.com/xap/1.0/\"\r\n    xmlns:crs=\"http://ns.adobe.com/camera-raw-settings/1.0/\"\r\n   \
         xmp:Label=\"Green &amp; red\"{rating}\r\n   crs:Exposure2012=\"+0.85\">\r\n   <crs:ToneCurve><rdf:Seq><rdf:li>0, 0</rdf:li></rdf:Seq></crs:ToneCurve>\r\n  \
         </rdf:Description>\r\n </rdf:RDF>\r\n</x:xmpmeta>\r\n"
    )
}

#[test]
#[expect(clippy::print_stdout, reason = "what was found or left out is told to who runs the test")]
fn ratings_go_beside_the_pictures_and_never_over_a_persons_own() {
    let night = Night::new();
    let original = night.starry("IMG_1.jpg", "");
    for copy in ["IMG_2.jpg", "IMG_3.jpg", "IMG_4.jpg", "IMG_5.jpg", "IMG_6.jpg"] {
        std::fs::copy(&original, night.folder().join(copy)).unwrap();
    }
    night.small("IMG_6.png", 4);
    night.put("IMG_3.xmp", edited("\r\n   xmp:Rating=\"4\"").as_bytes());
    night.put("IMG_4.xmp", edited("").as_bytes());
    night.put("IMG_5.xmp", b"<x:xmpmeta");
    let pictures = |night: &Night| -> BTreeMap<PathBuf, Vec<u8>> {
        contents(&night.folder())
            .into_iter()
            .filter(|(path, _bytes)| path.extension().is_some_and(|e| e != "xmp"))
            .collect()
    };
    let before = pictures(&night);
    let text = |name: &str| std::fs::read_to_string(night.folder().join(name)).unwrap();
    assert!(!stdout(&night.sort(&[])).contains("ratings"));
    assert!(!night.folder().join("IMG_1.xmp").exists(), "nothing is written unasked");

    let output = night.sort(&["--ratings"]);
    assert_eq!(output.status.code(), Some(1), "the broken sidecar is named");
    assert!(stderr(&output).contains("IMG_5.jpg: its sidecar is left alone"), "{}", stderr(&output));
    assert!(
        stdout(&output).contains("4 ratings written, 0 stood there already, 1 of your own left"),
        "{}",
        stdout(&output)
    );
    // the first is kept, its copies are rejected
    assert!(text("IMG_1.xmp").contains("xmp:Rating=\"5\""));
    assert!(text("IMG_2.xmp").contains("xmp:Rating=\"-1\""));
    assert_eq!(text("IMG_3.xmp"), edited("\r\n   xmp:Rating=\"4\""));
    assert_eq!(text("IMG_4.xmp").replace(" xmp:Rating=\"-1\"", ""), edited(""), "other fields to the byte");
    assert_eq!(text("IMG_5.xmp"), "<x:xmpmeta");
    // two frames of one name have a sidecar each
    assert!(night.folder().join("IMG_6.jpg.xmp").exists() && !night.folder().join("IMG_6.xmp").exists());
    for (name, rating) in [("IMG_1.xmp", "5"), ("IMG_2.xmp", "-1"), ("IMG_3.xmp", "4"), ("IMG_4.xmp", "-1")] {
        match outside_rating(&night.folder().join(name)) {
            Some(outside) => assert_eq!(outside, rating, "{name}"),
            None => println!("skipped: no python3 to read {name} back"),
        }
    }

    // again: all stand there. A person changes one of ours: it stays from then on
    assert!(stdout(&night.sort(&["--ratings"])).contains("0 ratings written, 4 stood there already"));
    std::fs::write(night.folder().join("IMG_2.xmp"), text("IMG_2.xmp").replace("\"-1\"", "\"3\"")).unwrap();
    let again = stdout(&night.sort(&["--ratings"]));
    assert!(again.contains("0 ratings written, 3 stood there already, 2 of your own left"), "{again}");
    assert!(text("IMG_2.xmp").contains("xmp:Rating=\"3\""));
    // unless it is asked for
    let over = stdout(&night.sort(&["--ratings", "--overwrite-ratings"]));
    assert!(over.contains("2 ratings written"), "{over}");
    assert!(text("IMG_3.xmp").contains("xmp:Rating=\"-1\""));
    assert_eq!(pictures(&night), before);
}

/// All that stands in a sidecar but the rating, one line each, by Python's own XML. `None` where there is no Python.
fn outside_fields(path: &Path) -> Option<String> {
    let program = "import sys, xml.etree.ElementTree as t\n\
                   x='{http://ns.adobe.com/xap/1.0/}Rating'\n\
                   for e in t.parse(sys.argv[1]).iter():\n\
                   \x20if e.tag != x: print(e.tag, ascii((sorted((k, v) for k, v in e.attrib.items() if k != x), (e.text or '').strip())))";
    let output = Command::new("python3").args(["-c", program]).arg(path).output().ok()?;
    assert!(output.status.success(), "{}", stderr(&output));
    Some(stdout(&output))
}

/// A raw editor's sidecar: keywords, a tree of keywords, settings, and the rating as it is given.
fn developed(attribute: &str, element: &str) -> String {
    format!(
        "<?xml version=\"1.0\" encoding=\"UTF-8\"?>\n<x:xmpmeta xmlns:x=\"adobe:ns:meta/\" x:xmptk=\"XMP Core 4.4.0-Exiv2\">\n \
         <rdf:RDF xmlns:rdf=\"http://www.w3.org/1999/02/22-rdf-syntax-ns#\">\n  \
         <rdf:Description rdf:about=\"\"\n   xmlns:xmp=\"http://ns.adobe.com/xap/1.0/\"\n   xmlns:dc=\"http://purl.org/dc/elements/1.1/\"\n   \
         xmlns:lr=\"http://ns.adobe.com/lightroom/1.0/\"\n   xmlns:crs=\"http://ns.adobe.com/camera-raw-settings/1.0/\"{attribute}\n   \
         crs:Temperature=\"3850\"\n   crs:Exposure2012=\"+0.85\">\n   {element}\
         <dc:subject>\n    <rdf:Bag>\n     <rdf:li>Nordlicht</rdf:li>\n     <rdf:li>Fjord &amp; Möwe</rdf:li>\n    </rdf:Bag>\n   </dc:subject>\n   \
         <lr:hierarchicalSubject>\n    <rdf:Bag>\n     <rdf:li>Himmel|Nordlicht</rdf:li>\n    </rdf:Bag>\n   </lr:hierarchicalSubject>\n  \
         </rdf:Description>\n </rdf:RDF>\n</x:xmpmeta>\n"
    )
}

#[test]
#[expect(clippy::print_stdout, reason = "what was left out is told to who runs the test")]
fn a_raw_editors_own_sidecar_is_used_and_keeps_its_other_fields() {
    let night = Night::new();
    let original = night.starry("IMG_1.jpg", "");
    night.small("IMG_1.NEF", 7);
    for copy in ["IMG_2.jpg", "IMG_3.jpg"] {
        std::fs::copy(&original, night.folder().join(copy)).unwrap();
    }
    // not rated, as an attribute and as an element; and a person's four stars as an element
    let attribute = developed("\n   xmp:Rating=\"0\"", "");
    let element = developed("", "<xmp:Rating>0</xmp:Rating>\n   ");
    let rated = developed("", "<xmp:Rating>4</xmp:Rating>\n   ");
    let sidecars = [("IMG_1.NEF.xmp", &attribute), ("IMG_2.jpg.xmp", &element), ("IMG_3.xmp", &rated)];
    let folder = night.folder();
    for (name, text) in sidecars {
        night.put(name, text.as_bytes());
    }
    let before = sidecars.map(|(name, _text)| outside_fields(&folder.join(name)));
    let output = night.sort(&["--ratings"]);
    assert_eq!(output.status.code(), Some(0), "{}", stderr(&output));
    for second in ["IMG_1.xmp", "IMG_1.jpg.xmp", "IMG_2.xmp", "IMG_3.jpg.xmp"] {
        assert!(!folder.join(second).exists(), "{second} beside the editor's own");
    }
    let text = |name: &str| std::fs::read_to_string(folder.join(name)).unwrap();
    // the first is kept, its copies are rejected
    assert_eq!(text("IMG_1.NEF.xmp"), attribute.replace("Rating=\"0\"", "Rating=\"5\""));
    assert_eq!(text("IMG_2.jpg.xmp"), element.replace("<xmp:Rating>0<", "<xmp:Rating>-1<"));
    assert_eq!(text("IMG_3.xmp"), rated);
    let expected = ["5", "-1", "4"];
    for (((name, _text), before), rating) in sidecars.iter().zip(before).zip(expected) {
        let Some(before) = before else {
            println!("skipped: no python3 to read {name} back");
            continue;
        };
        assert_eq!(outside_rating(&folder.join(name)).as_deref(), Some(rating), "{name}");
        assert!(before.contains("Himmel|Nordlicht"), "{before}");
        assert_eq!(outside_fields(&folder.join(name)), Some(before), "{name}");
    }
}

#[test]
fn keepers_are_copied_or_linked_and_nothing_there_is_overwritten() {
    let night = Night::new();
    night.starry("a/IMG_1.jpg", "first");
    night.small("a/IMG_1.NEF", 7);
    let into = night.root().join("best");
    let into_text = into.to_str().unwrap();
    std::fs::create_dir(&into).unwrap();
    std::fs::write(into.join("IMG_1.jpg"), b"another picture of that name").unwrap();
    let originals = contents(&night.folder());
    let output = night.sort(&["--copy-to", into_text]);
    assert_eq!(output.status.code(), Some(0), "{}", stderr(&output));
    assert!(stdout(&output).contains("2 files copied"), "{}", stdout(&output));
    assert_eq!(std::fs::read(into.join("IMG_1.jpg")).unwrap(), b"another picture of that name");
    let copied = contents(&into);
    assert_eq!(copied.len(), 3);
    assert!(originals.values().all(|bytes| copied.values().any(|copy| copy == bytes)));
    assert!(stdout(&night.sort(&["--copy-to", into_text])).contains("0 files copied"));
    let linked = night.root().join("linked");
    assert!(stdout(&night.sort(&["--link-to", linked.to_str().unwrap()])).contains("2 files linked"));
    let second_names = contents(&linked);
    assert_eq!(second_names.len(), 2);
    assert!(originals.values().all(|bytes| second_names.values().any(|second| second == bytes)));
    assert_eq!(contents(&night.folder()), originals, "neither way touches the originals");
    let inside = night.folder().join("best");
    let refused = night.sort(&["--copy-to", inside.to_str().unwrap()]);
    assert_eq!(refused.status.code(), Some(2));
    assert!(stderr(&refused).contains("within the folder"), "{}", stderr(&refused));
    assert!(!inside.exists(), "a refusal leaves nothing behind");
}

/// The Parquet file, read back by the reader of the format's own project, holds the cells of the CSV to the last digit.
#[cfg(feature = "parquet")]
fn same_as_csv(parquet: &Path, head: &[String], rows: &[csv::StringRecord]) {
    use parquet::file::reader::SerializedFileReader;
    use parquet::record::{Field, Row};

    let file = std::fs::File::open(parquet).unwrap();
    let reader = SerializedFileReader::new(file).unwrap();
    let read: Vec<Row> = reader.into_iter().map(Result::unwrap).collect();
    assert_eq!(read.len(), rows.len());
    let (mut texts, mut wholes, mut numbers, mut empty) = (0, 0, 0, 0);
    for (row, other) in rows.iter().zip(&read) {
        let cells: Vec<(&String, &Field)> = other.get_column_iter().collect();
        assert_eq!(cells.iter().map(|(name, _field)| *name).collect::<Vec<_>>(), head.iter().collect::<Vec<_>>());
        for ((name, field), text) in cells.into_iter().zip(row) {
            let (shown, count) = match field {
                Field::Null => (String::new(), &mut empty),
                Field::Str(text) => (text.clone(), &mut texts),
                Field::Long(number) => (number.to_string(), &mut wholes),
                Field::Double(number) => (number.to_string(), &mut numbers),
                other => (format!("a cell of another type: {other:?}"), &mut empty),
            };
            *count += 1;
            assert_eq!(shown, text, "{name}");
        }
    }
    assert!([texts, wholes, numbers, empty].iter().all(|count| *count > 0), "{texts} {wholes} {numbers} {empty}");
}

#[cfg(not(feature = "parquet"))]
fn same_as_csv(_parquet: &Path, _head: &[String], _rows: &[csv::StringRecord]) {}

#[test]
fn the_measures_are_saved_as_tables() {
    let night = Night::new();
    night.starry("IMG_1.jpg", "a");
    night.small("IMG_2.ppm", 2);
    let (csv, parquet) = (night.root().join("frames.csv"), night.root().join("frames.parquet"));
    let output = night.sort(&["--csv", csv.to_str().unwrap(), "--parquet", parquet.to_str().unwrap()]);
    assert_eq!(output.status.code(), Some(0), "{}", stderr(&output));
    let mut table = csv::Reader::from_path(&csv).unwrap();
    let head: Vec<String> = table.headers().unwrap().iter().map(str::to_owned).collect();
    let column = |name: &str| head.iter().position(|found| found == name).unwrap();
    let rows: Vec<csv::StringRecord> = table.records().map(Result::unwrap).collect();
    assert_eq!(rows.len(), 2);
    assert_eq!(&rows[0][column("name")], "IMG_1.jpg");
    assert!(rows[0][column("hfd_px")].parse::<f64>().unwrap() > 3.0);
    assert_eq!(&rows[1][column("hfd_px")], "", "what is not known is empty");
    same_as_csv(&parquet, &head, &rows);
    let full = night.sort(&["--csv", "/dev/full"]);
    assert_eq!(full.status.code(), Some(2));
    assert!(stderr(&full).contains("/dev/full cannot be written"), "{}", stderr(&full));
    assert!(stdout(&full).starts_with("2 frames"), "the report stands all the same: {}", stdout(&full));
    let picture = night.folder().join("IMG_1.jpg");
    let before = std::fs::read(&picture).unwrap();
    for flag in ["--csv", "--parquet"] {
        let refused = night.sort(&[flag, picture.to_str().unwrap()]);
        assert_eq!(refused.status.code(), Some(2), "{}", stderr(&refused));
        assert!(stderr(&refused).contains("IMG_1.jpg does not end in ."), "{}", stderr(&refused));
        assert_eq!(std::fs::read(&picture).unwrap(), before);
    }
}

#[test]
fn what_cannot_be_asked_is_refused() {
    let night = Night::new();
    for (arguments, said) in [
        (&["--clock", "soon"][..], "not understood"),
        (&["--keep", "0"], "keep"),
        (&["--time-zone", "Mars/Olympus"], "time zone"),
        (&["--lat", "60"], "--lon"),
        (&["--overwrite-ratings"], "--ratings"),
    ] {
        let output = night.sort(arguments);
        assert_eq!(output.status.code(), Some(2), "{arguments:?}");
        assert!(stderr(&output).contains(said), "{arguments:?}: {}", stderr(&output));
    }
    for clock in ["+37s", "-1h", "D850=+1h2m", "stars"] {
        let output = night.sort(&["--clock", clock]);
        assert_eq!(output.status.code(), Some(0), "{clock}: {}", stderr(&output));
    }
    let output = crate::program::quietarc(&["sort", "/nowhere/at/all", "--journal", night.journal().to_str().unwrap()]);
    assert_eq!(output.status.code(), Some(2));
    assert!(stdout(&night.sort(&[])).starts_with("No frame was found."));
}

#[test]
fn fifty_thousand_small_files_are_no_matter() {
    let night = Night::new();
    let folder = night.folder();
    for hundred in 0..500 {
        let inner = folder.join(format!("{hundred}"));
        std::fs::create_dir(&inner).unwrap();
        for number in 0..100 {
            // one in ten is called a picture
            let ending = if number % 10 == 0 { "jpg" } else { "dat" };
            std::fs::File::create(inner.join(format!("{number}.{ending}"))).unwrap();
        }
    }
    night.small("one.ppm", 1);
    let output = night.sort(&[]);
    assert_eq!(output.status.code(), Some(1), "{}", stderr(&output));
    assert!(stdout(&output).starts_with("5001 frames: "), "{}", stdout(&output).lines().next().unwrap_or_default());
    assert!(stdout(&output).contains("45000 other files passed over"), "{}", stdout(&output));
}
