//! A drawn night of known truth through the whole road: opened, measured, sorted; how often each fault is found and how often
//! it is said wrongly.

use std::collections::BTreeMap;
use std::sync::atomic::{AtomicUsize, Ordering};

use job::{CheckRequest, DudKind, FrameVerdict, MeasuredFrame, SortRequest, check_with_signature, sort};
use quantity::GeoPosition;

use crate::drawn_night::{PLANTED, Planted, night};

/// Frames of the night: two of each fault, and the moon in six.
const FRAMES: usize = 90;
/// Floors over all faults.
const LEAST_PRECISION: f64 = 0.9;
const LEAST_RECALL: f64 = 0.9;

fn measured(planted: &[Planted], position: GeoPosition) -> Vec<MeasuredFrame> {
    let next = AtomicUsize::new(0);
    let one = |place: usize| {
        let file = &planted[place];
        let asked = CheckRequest { name: file.name.clone(), position: Some(position), ..CheckRequest::default() };
        let measures = check_with_signature(&asked, &file.bytes, true);
        // for the test any hash will do that tells contents apart
        let hash = file
            .bytes
            .iter()
            .fold(0xcbf2_9ce4_8422_2325u64, |hash, byte| (hash ^ u64::from(*byte)).wrapping_mul(0x0100_0000_01b3));
        MeasuredFrame {
            name: file.name.clone(),
            companions: Vec::new(),
            content_hash: format!("{hash:064x}"),
            bytes: file.bytes.len() as u64,
            report: measures.report,
            signature: measures.signature,
            person: None,
        }
    };
    let mut frames: Vec<(usize, MeasuredFrame)> = std::thread::scope(|scope| {
        let worker = || {
            let mut found = Vec::new();
            loop {
                let place = next.fetch_add(1, Ordering::Relaxed);
                if place >= planted.len() {
                    return found;
                }
                found.push((place, one(place)));
            }
        };
        let workers = [scope.spawn(worker), scope.spawn(worker)];
        workers.into_iter().flat_map(|worker| worker.join().unwrap()).collect()
    });
    frames.sort_by_key(|frame| frame.0);
    frames.into_iter().map(|frame| frame.1).collect()
}

#[test]
#[expect(clippy::print_stdout, reason = "what was found or left out is told to who runs the test")]
fn planted_faults_are_found_by_name() {
    let position = GeoPosition::new(69.0, 15.0, 0.0).unwrap();
    let planted = night(FRAMES, 0x51ee_70ff);
    let frames = measured(&planted, position);
    let report = sort(&SortRequest { position: Some(position), ..SortRequest::default() }, &frames);
    println!("{}", report.summary);

    // (right, said, planted) of each fault
    let mut table: BTreeMap<DudKind, (u32, u32, u32)> =
        PLANTED.iter().chain(&[DudKind::MoonFlare]).map(|kind| (*kind, (0, 0, 0))).collect();
    for frame in &report.frames {
        let truth = planted.iter().find(|planted| planted.name == frame.name).unwrap().truth;
        // of a moved camera in one frame nobody can say whether the sky or the camera turned
        let said: Vec<DudKind> = frame
            .reasons
            .iter()
            .map(|reason| if reason.kind == DudKind::Trailed { DudKind::Shaken } else { reason.kind })
            .collect();
        if said != truth.into_iter().collect::<Vec<_>>() {
            let (sky, stars) = (frame.measures.sky_stops, frame.measures.stars);
            println!("{}: planted {truth:?}, said {said:?}: {} (sky {sky:?}, stars {stars:?})", frame.name, frame.why);
        }
        if let Some(kind) = truth {
            table.entry(kind).or_default().2 += 1;
        }
        for kind in said {
            let row = table.entry(kind).or_default();
            row.1 += 1;
            row.0 += u32::from(truth == Some(kind));
        }
    }
    for (kind, (right, said, planted)) in &table {
        println!("{kind:?}: precision {right}/{said}, recall {right}/{planted}");
    }
    let total = table.values().fold((0, 0, 0), |sum, row| (sum.0 + row.0, sum.1 + row.1, sum.2 + row.2));
    let (precision, recall) = (f64::from(total.0) / f64::from(total.1), f64::from(total.0) / f64::from(total.2));
    println!("all: precision {precision:.2}, recall {recall:.2}");
    assert!(precision >= LEAST_PRECISION, "precision {precision:.2}");
    assert!(recall >= LEAST_RECALL, "recall {recall:.2}");
    for (kind, (right, _said, planted)) in &table {
        assert!(2 * right >= *planted, "{kind:?}: {right} of {planted}");
    }
    assert!(
        report
            .frames
            .iter()
            .filter(|frame| frame.verdict == FrameVerdict::Keep)
            .all(|frame| { planted.iter().any(|planted| planted.name == frame.name && planted.truth.is_none()) })
    );
    // one time-lapse, whatever is wrong with single frames; the unreadable have no time
    let longest = report.sequences.iter().map(|sequence| sequence.frames.len()).max().unwrap();
    assert!(longest >= 80, "{:?}", report.sequences.iter().map(|sequence| &sequence.words).collect::<Vec<_>>());
}
