//! All real pictures as one night, against the labels that a person gave them by eye (0 throw away, 5 show to viewers).

use std::collections::BTreeMap;
use std::fmt::Write;

use job::{CheckRequest, FrameVerdict, MeasuredFrame, SortReport, SortRequest, check_with_signature, sort};

/// Labels from which a frame must not be called a dud, and up to which one that is no night must not be kept.
const WORTH_SHOWING: u32 = 4;
const THROWN_AWAY: u32 = 0;

/// A labelled picture: path below the folder, label, scene.
struct Labelled {
    path: String,
    keeper: u32,
    scene: String,
}

/// Says so where it is left out; the pictures are of too mixed a licence to lie here.
#[expect(clippy::print_stderr, reason = "a test that was left out must say so")]
#[expect(clippy::disallowed_methods, reason = "the crate takes bytes; its tests may read them from a file")]
fn labelled() -> Option<(Vec<Labelled>, Vec<MeasuredFrame>)> {
    let beside = std::path::PathBuf::from(env!("CARGO_MANIFEST_DIR")).join("../../../shared");
    let table = beside.join("checks/14_picture_labels.csv");
    let folder = std::env::var_os("QUIETARC_FRAMES").map_or_else(|| beside.join("frames"), std::path::PathBuf::from);
    let Ok(text) = std::fs::read_to_string(&table) else {
        eprintln!("left out: there is no {}", table.display());
        return None;
    };
    let mut rows = csv::ReaderBuilder::new().comment(Some(b'#')).from_reader(text.as_bytes());
    let head = rows.headers().unwrap().clone();
    let column = |name: &str| head.iter().position(|found| found == name).unwrap();
    let (file, keeper, scene) = (column("file"), column("keeper"), column("scene"));
    let (mut labels, mut frames) = (Vec::new(), Vec::new());
    for (number, row) in rows.records().enumerate() {
        let row = row.unwrap();
        let path = row[file].trim_start_matches("shared/frames/").to_owned();
        let Ok(bytes) = std::fs::read(folder.join(&path)) else { continue };
        let asked = CheckRequest { name: path.clone(), ..CheckRequest::default() };
        let measures = check_with_signature(&asked, &bytes, true);
        frames.push(MeasuredFrame {
            name: path.clone(),
            companions: Vec::new(),
            content_hash: format!("{number:064}"),
            bytes: bytes.len() as u64,
            report: measures.report,
            signature: measures.signature,
            person: None,
        });
        labels.push(Labelled { path, keeper: row[keeper].trim().parse().unwrap(), scene: row[scene].to_owned() });
    }
    (!labels.is_empty()).then_some((labels, frames))
}

#[test]
#[expect(clippy::print_stdout, reason = "what was found or left out is told to who runs the test")]
fn what_a_person_would_show_is_no_dud_and_what_is_no_night_is_not_kept() {
    let Some((labels, frames)) = labelled() else { return };
    let report = sort(&SortRequest::default(), &frames);
    println!("{}", report.summary);
    // by label: keep, spare, undecided, dud
    let mut table: BTreeMap<u32, [u32; 4]> = BTreeMap::new();
    for frame in &report.frames {
        let label = labels.iter().find(|label| label.path == frame.name).unwrap();
        let place = match frame.verdict {
            FrameVerdict::Keep => 0,
            FrameVerdict::Spare => 1,
            FrameVerdict::Undecided => 2,
            FrameVerdict::Dud => 3,
        };
        table.entry(label.keeper).or_default()[place] += 1;
        println!("{} {} {:?} {}: {}", label.keeper, label.scene, frame.verdict, frame.name, frame.why);
        assert!(label.keeper < WORTH_SHOWING || frame.verdict != FrameVerdict::Dud, "{}: {}", frame.name, frame.why);
        let is_other = ["day", "artwork", "other", "indoor_or_street"].contains(&label.scene.as_str());
        assert!(
            !(is_other && label.keeper == THROWN_AWAY && frame.verdict == FrameVerdict::Keep),
            "{}: {}",
            frame.name,
            frame.why
        );
    }
    write_table(&labels, &report);
    for (label, [keep, spare, undecided, dud]) in &table {
        println!("label {label}: keep {keep}, spare {spare}, undecided {undecided}, dud {dud}");
    }
}

/// The table of `docs/real-sort.md`, where `cargo xtask real-frames` asks for it.
#[expect(clippy::disallowed_methods, reason = "the table is written where the one who runs the test wants it")]
fn write_table(labels: &[Labelled], report: &SortReport) {
    let Some(path) = std::env::var_os("QUIETARC_REAL_SORT_TABLE") else { return };
    let mut out = String::from(
        "# What sort says of real pictures\n\nMade by `cargo xtask real-frames FOLDER`; the pictures are others' and lie elsewhere. All stand as if of one night, by sequence as sort finds \
         them. *By eye* is the label of one person who looked once: 0 throw away, 5 show to viewers.\nFloors, asserted by `crates/job/tests/it/sort_real.rs`: nothing labelled 4 or 5 is a dud; nothing \
         by day, drawn or indoors that was labelled 0 is kept.\n",
    );
    let cell = |text: &str| text.replace('|', "/");
    for sequence in &report.sequences {
        let _written = write!(
            out,
            "\n## {}\n\n| picture | what it is | by eye | said | why |\n|---|---|---|---|---|\n",
            sequence.words
        );
        for frame in sequence.frames.iter().filter_map(|index| report.frames.get(*index as usize)) {
            let Some(label) = labels.iter().find(|label| label.path == frame.name) else { continue };
            let said = format!("{:?}", frame.verdict).to_lowercase();
            let row = [cell(&frame.name), cell(&label.scene), label.keeper.to_string(), said, cell(&frame.why)];
            let _written = writeln!(out, "| {} |", row.join(" | "));
        }
    }
    std::fs::write(path, out).unwrap();
}
