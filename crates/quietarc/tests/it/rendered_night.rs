//! Rendered frames, whose truth is known: what the check measures of them, and what the sort throws out and why.

#![expect(clippy::print_stdout, reason = "the spread is wanted when the tests run with --nocapture")]

use std::collections::BTreeMap;
use std::process::Command;

use job::{
    AuroraPresence, CheckReport, CheckRequest, DudKind, FrameVerdict, MeasuredFrame, SortReport, SortRequest, check,
    check_with_signature, sort,
};
use scene::{Development, Dud, Night, Rendered, Stage, TruthMap, render, sample};

fn checked(name: &str, rendered: &Rendered) -> CheckReport {
    let jpeg = rendered.to_jpeg(&Development::default()).unwrap();
    check(&CheckRequest { name: format!("{name}.jpg"), ..CheckRequest::default() }, &jpeg)
}

/// Values of a map where nothing hides the sky, in order.
fn of_the_sky(map: &TruthMap, value: impl Fn(usize) -> f32) -> Vec<f32> {
    let mut values: Vec<f32> = (0..map.land.len()).filter(|i| map.land[*i] + map.water[*i] < 0.5).map(value).collect();
    values.sort_by(f32::total_cmp);
    values
}

/// A picture of cells of twelve pixels makes fine rays fainter, and its own sky holds some of the aurora: measured over
/// truth, at least and at most (judgement: a third of a decade each way beside the stated range).
const KR_RANGE: [f64; 2] = [0.4, 2.0];
/// The magnitude of the sky holds what aurora is too faint to be told from it.
const MAGNITUDE: f64 = 0.6;
/// Share of land and water.
const GROUND: f64 = 0.12;

#[test]
fn aurora_of_known_brightness_is_measured_in_a_developed_picture() {
    for name in ["quiet_arc", "folded_bands", "pulsating"] {
        let spec = sample(name).unwrap();
        let rendered = render(&spec, 7).unwrap();
        let report = checked(name, &rendered);
        let truth = &rendered.truth;
        let above = of_the_sky(&truth.map, |i| truth.map.above_kr[i][1]);
        let brightest = f64::from(above[above.len() * 99 / 100]);
        let aurora = report.aurora.as_ref().unwrap();
        println!("{name}: {brightest:.1} kR; {:?} {:?}", aurora.present, aurora.brightest_kr);
        assert_eq!(aurora.present, AuroraPresence::Yes, "{name}: {:?}", aurora.words);
        let measured = aurora.brightest_kr.unwrap();
        assert!(measured.low < measured.value && measured.value < measured.high);
        let over = measured.value / brightest;
        assert!(over > KR_RANGE[0] && over < KR_RANGE[1], "{name}: {measured:?} for {brightest:.1} kR");
        let median = aurora.median_kr.unwrap();
        assert!(median.value <= measured.value, "{name}: {median:?} {measured:?}");

        let lens = report.lens.as_ref().unwrap();
        assert!(lens.solved, "{name}: {:?}", lens.why_not);
        let off = (lens.alt_deg.unwrap() - truth.middle.altitude_deg).abs();
        assert!(off < 0.1, "{name}: the middle {off} degrees off");
        let ground = report.foreground_fraction.unwrap().value - truth.land_share - truth.water_share;
        assert!(ground.abs() < GROUND, "{name}: {:?}", report.foreground_fraction);
    }
}

#[test]
fn a_dark_sky_of_known_light_is_measured_and_holds_no_aurora() {
    let rendered = render(&sample("empty").unwrap(), 3).unwrap();
    let report = checked("empty", &rendered);
    let sky = of_the_sky(&rendered.truth.map, |i| rendered.truth.map.sky_mag_arcsec2[i]);
    let known = f64::from(sky[sky.len() / 2]);
    let measured = report.sky_mag_arcsec2.unwrap();
    assert!((measured.value - known).abs() < MAGNITUDE, "{measured:?} for {known:.2}");
    assert_ne!(report.aurora.unwrap().present, AuroraPresence::Yes);
    assert!(report.cloud_fraction.unwrap().low < 0.1, "{:?}", report.cloud_fraction);
}

/// Reasons that name a planted fault rightly: one fault may show as another's measure.
fn says(dud: Dud) -> &'static [DudKind] {
    match dud {
        Dud::OutOfFocus => &[DudKind::Soft],
        Dud::Trailed | Dud::Shaken | Dud::Knocked => &[DudKind::Trailed, DudKind::Shaken],
        Dud::Cloud => &[DudKind::Cloud, DudKind::StarsLost],
        Dud::LampSweep => &[DudKind::LampSwept],
        Dud::MoonFlare => &[DudKind::MoonFlare],
        Dud::Dew => &[DudKind::Soft, DudKind::StarsLost],
        Dud::Clipped => &[DudKind::BurntOut],
        Dud::NoAurora => &[DudKind::NoAurora],
        Dud::Dark => &[DudKind::Dark, DudKind::Underexposed],
    }
}

/// Share of the planted duds that are found with the right reason, and of those thrown out that were planted.
const LEAST_RECALL: f64 = 0.9;
const LEAST_PRECISION: f64 = 0.85;
/// Share of each kind that is found: most are planted once to three times, so that one may be missed.
const LEAST_RECALL_OF_A_KIND: f64 = 0.5;
/// Frames: the shortest night in which every kind of dud has its place.
const FRAMES: usize = 60;
/// Threads that render.
const THREADS: usize = 2;

/// Renders and measures a share of a night.
fn measured(night: &Night, part: usize) -> Vec<MeasuredFrame> {
    let first = night.frames.first().unwrap();
    let stage = Stage::new(first.spec.place, first.spec.forms_epoch).unwrap();
    night
        .frames
        .iter()
        .skip(part)
        .step_by(THREADS)
        .map(|planned| {
            let rendered = stage.render(&planned.spec, planned.seed).unwrap();
            let jpeg = rendered.to_jpeg(&Development::default()).unwrap();
            let name = format!("{}.jpg", planned.name);
            let found =
                check_with_signature(&CheckRequest { name: name.clone(), ..CheckRequest::default() }, &jpeg, true);
            MeasuredFrame {
                content_hash: name.clone(),
                name,
                companions: Vec::new(),
                bytes: jpeg.len() as u64,
                report: found.report,
                signature: found.signature,
                person: None,
            }
        })
        .collect()
}

/// Share of the frames named with a reason that were planted for it, for every reason but one: the aurora that fades at the
/// end of the night is as faint as none, and the frames that were emptied stand beside it.
const LEAST_PRECISION_OF_A_REASON: f64 = 0.75;
const LEAST_PRECISION_OF_NO_AURORA: f64 = 0.5;

/// Prints and bounds precision of each reason: the table of `docs/sort.md`.
fn by_reason(report: &SortReport, planted: &BTreeMap<String, Option<Dud>>) {
    // by reason: named, and of them planted for it
    let mut reasons: BTreeMap<DudKind, [u32; 2]> = BTreeMap::new();
    for frame in report.frames.iter().filter(|frame| frame.verdict == FrameVerdict::Dud) {
        for reason in &frame.reasons {
            let count = reasons.entry(reason.kind).or_default();
            count[0] += 1;
            count[1] += u32::from(planted[&frame.name].is_some_and(|dud| says(dud).contains(&reason.kind)));
        }
    }
    for (kind, [named, rightly]) in &reasons {
        println!("| {kind:?} | {rightly} of {named} |");
        let least = if *kind == DudKind::NoAurora { LEAST_PRECISION_OF_NO_AURORA } else { LEAST_PRECISION_OF_A_REASON };
        assert!(f64::from(*rightly) >= least * f64::from(*named), "{kind:?}: {rightly} of {named}");
    }
}

#[test]
fn planted_duds_of_a_rendered_night_are_found_with_their_reasons() {
    let night = Night::invented(FRAMES).unwrap();
    let frames: Vec<MeasuredFrame> = std::thread::scope(|scope| {
        let parts: Vec<_> = (0..THREADS)
            .map(|part| {
                scope.spawn({
                    let night = &night;
                    move || measured(night, part)
                })
            })
            .collect();
        parts.into_iter().flat_map(|part| part.join().unwrap()).collect()
    });
    let report = sort(&SortRequest::default(), &frames);
    let planted: BTreeMap<String, Option<Dud>> =
        night.frames.iter().map(|planned| (format!("{}.jpg", planned.name), planned.dud)).collect();

    by_reason(&report, &planted);
    // by kind: planted, found with the right reason
    let mut kinds: BTreeMap<String, [u32; 2]> = BTreeMap::new();
    let (mut thrown, mut rightly) = (0, 0);
    for frame in &report.frames {
        let dud = planted[&frame.name];
        let is_out = frame.verdict == FrameVerdict::Dud;
        thrown += u32::from(is_out);
        rightly += u32::from(is_out && dud.is_some());
        if is_out && dud.is_none() {
            println!("{}: thrown out: {:?}", frame.name, frame.reasons);
        }
        let Some(dud) = dud else { continue };
        let is_named = is_out && frame.reasons.iter().any(|reason| says(dud).contains(&reason.kind));
        let count = kinds.entry(format!("{dud:?}")).or_default();
        count[0] += 1;
        count[1] += u32::from(is_named);
        if !is_named {
            println!("{}: {dud:?}: {:?} {:?}", frame.name, frame.verdict, frame.reasons);
        }
    }
    let [all, found] = kinds.values().fold([0, 0], |sum, kind| [sum[0] + kind[0], sum[1] + kind[1]]);
    println!("{kinds:?}; {found} of {all} found and rightly named; {rightly} of {thrown} thrown out were planted");
    assert!(f64::from(found) >= LEAST_RECALL * f64::from(all), "{found} of {all}: {kinds:?}");
    let missed = kinds.values().find(|[all, found]| f64::from(*found) < LEAST_RECALL_OF_A_KIND * f64::from(*all));
    assert_eq!(missed, None, "{kinds:?}");
    assert!(f64::from(rightly) >= LEAST_PRECISION * f64::from(thrown), "{rightly} of {thrown}");
}

/// Frames of the demo's night that were spoilt: one of each kind.
const SPOILT_IN_THE_DEMO: usize = 11;
/// Of them found at least: all are, but a weak one of one frame may go unnoticed.
const FOUND_IN_THE_DEMO: usize = 10;

#[test]
fn the_demo_sorts_its_night_and_draws_it_once() {
    let folder = tempfile::tempdir().unwrap();
    let journal = folder.path().join("journal.sqlite");
    let run = || {
        let done = Command::new(env!("CARGO_BIN_EXE_quietarc"))
            .args(["demo", "--no-serve", "--journal", journal.to_str().unwrap()])
            .output()
            .unwrap();
        assert!(done.status.success(), "{}", String::from_utf8_lossy(&done.stderr));
        String::from_utf8(done.stdout).unwrap()
    };
    let drawn = || {
        let files = std::fs::read_dir(folder.path().join("invented-night")).unwrap();
        let changed =
            files.map(|file| file.unwrap()).map(|file| (file.path(), file.metadata().unwrap().modified().unwrap()));
        changed.collect::<BTreeMap<_, _>>()
    };
    let said = run();
    let line = said.lines().find_map(|line| line.trim().strip_suffix(" of them are called duds")).unwrap();
    let (spoilt, found) = line.split_once(" frames were spoilt on purpose: ").unwrap();
    assert_eq!(spoilt.parse::<usize>().unwrap(), SPOILT_IN_THE_DEMO);
    assert!(found.parse::<usize>().unwrap() >= FOUND_IN_THE_DEMO, "{line}");
    let first = drawn();
    run();
    assert_eq!(drawn(), first, "a night that is there is not drawn again");
}
