//! Says of pictures whether they show aurora, and why:
//! `cargo run --package quietarc-frame --example aurora -- [--bare] [--overlays FOLDER] FILE...`. `--bare` leaves out stars and settings.

#![expect(clippy::disallowed_methods, clippy::print_stdout, reason = "an example is a program, the crate is not")]

use std::path::{Path, PathBuf};

use frame::{
    AuroraContext, AuroraFinding, Frame, LightMap, Limits, StarField, StarSearch, StarsSeen, find_aurora, find_stars,
    open,
};
use optics::{Channel, Exposure, mid_grey_luminance_cd_m2};

/// Stars from which they are sure.
const SURE_STARS: usize = 20;

fn main() {
    let mut bare = false;
    let mut overlays: Option<PathBuf> = None;
    let mut arguments = std::env::args().skip(1);
    while let Some(argument) = arguments.next() {
        match argument.as_str() {
            "--bare" => bare = true,
            "--overlays" => overlays = arguments.next().map(PathBuf::from),
            path => {
                if let Err(error) = one(Path::new(path), bare, overlays.as_deref()) {
                    println!("{path}: {error}");
                }
            }
        }
    }
}

fn one(path: &Path, bare: bool, overlays: Option<&Path>) -> Result<(), Box<dyn std::error::Error>> {
    let frame = open(&std::fs::read(path)?, &Limits::default())?;
    let map = LightMap::of(&frame)?;
    let mut context =
        AuroraContext { is_linear: frame.linearity.is_linear(), neutral: frame.neutral, ..AuroraContext::default() };
    if !bare {
        context.stars = stars_seen(&find_stars(&frame.plane(Channel::Green)?, &StarSearch::default()));
        context.exposure_s = frame.metadata.exposure_s;
        context.luminance_cd_m2 = luminance(&frame, &map);
        context.is_rendered = is_rendered(&frame)?;
    }
    let mut spent = f64::MAX;
    let mut finding = find_aurora(&map, &context);
    for _ in 0..5 {
        let begin = std::time::Instant::now();
        finding = find_aurora(&map, &context);
        spent = spent.min(begin.elapsed().as_secs_f64() * 1e3);
    }
    report(path, &context, &finding, spent);
    if let Some(folder) = overlays {
        std::fs::write(
            folder.join(path.file_name().unwrap_or_default()).with_extension("ppm"),
            overlay(&map, &finding),
        )?;
    }
    Ok(())
}

fn report(path: &Path, context: &AuroraContext<'_>, finding: &AuroraFinding, spent: f64) {
    println!(
        "{}: {:?} {:.2}, {:.0} % of the sky, brightest {:?}, lines {:?}, {spent:.1} ms; stars {:?}, {:?} cd/m2",
        path.file_name().unwrap_or_default().display(),
        finding.presence,
        finding.probability,
        100.0 * finding.extent.sky_share,
        finding.excess.iter().map(|channel| (1e4 * channel.brightest).round() / 1e4).collect::<Vec<_>>(),
        finding.lines.map(|lines| lines.shares.map(|share| (100.0 * share).round() / 100.0)),
        context.stars,
        context.luminance_cd_m2,
    );
    for evidence in &finding.evidence {
        println!("    {:+.2} {:?}: {}", evidence.log_odds, evidence.clue, evidence.words);
    }
    for rival in &finding.rivals {
        println!("    rival {:?} {:.2}: {}", rival.rival, rival.strength, rival.words);
    }
    if let Some(structure) = &finding.structure {
        println!("    {structure:?}");
    }
}

fn stars_seen(field: &StarField) -> StarsSeen {
    let profile = field.typical.map(|typical| typical.hfd_px / typical.fwhm_px);
    match profile {
        Some(profile) if field.stars.len() >= SURE_STARS && (0.82..1.8).contains(&profile) => StarsSeen::Sure,
        _ if field.stars.is_empty() => StarsSeen::None,
        _ => StarsSeen::Doubtful,
    }
}

fn luminance(frame: &Frame, map: &LightMap) -> Option<f64> {
    let settings = &frame.metadata;
    let exposure = Exposure { seconds: settings.exposure_s?, iso: settings.iso?, f_number: settings.f_number? };
    let grey = if frame.linearity.is_linear() { 10.0 / 78.0 } else { 0.18 };
    let all = vec![true; map.columns * map.rows];
    Some(mid_grey_luminance_cd_m2(exposure) * map.green()?.quantile(&all, 0.5)? / grey)
}

/// Whether nine of ten neighbours are alike to the last step.
fn is_rendered(frame: &Frame) -> Result<bool, Box<dyn std::error::Error>> {
    let plane = frame.plane(Channel::Green)?;
    let (mut same, mut compared) = (0usize, 0usize);
    for y in 0..plane.height() {
        let row: Vec<f32> = plane.row(y).part(0..plane.width()).collect();
        for pair in row.windows(2).filter(|pair| pair[0] > 0.004 && pair[0] < 0.95) {
            compared += 1;
            same += usize::from(pair[0].to_bits() == pair[1].to_bits());
        }
    }
    Ok(frame.metadata.camera().is_none() && compared > 2000 && same * 10 > 9 * compared)
}

/// The cells, with auroral ones framed and refused ones dark.
fn overlay(map: &LightMap, finding: &AuroraFinding) -> Vec<u8> {
    let zoom = (900 / map.columns.max(1)).max(1);
    let mut bytes = format!("P6\n{} {}\n255\n", map.columns * zoom, map.rows * zoom).into_bytes();
    let top = map.channels.iter().filter_map(|c| c.quantile(&finding.sky, 0.995)).fold(1e-6, f64::max);
    for y in 0..map.rows * zoom {
        for x in 0..map.columns * zoom {
            let cell = y / zoom * map.columns + x / zoom;
            for channel in 0..3 {
                let cells = map.channels.get(channel).or(map.channels.first());
                let level = cells.map_or(0.0, |cells| f64::from(cells.medians[cell]));
                let mut shown = (level / top).clamp(0.0, 1.0).powf(1.0 / 2.2) * 255.0;
                if !finding.sky[cell] {
                    shown = 0.35 * shown + if channel == 2 { 60.0 } else { 0.0 };
                }
                if finding.mask[cell] && (x + y) % 6 < 2 {
                    shown = if channel == 1 { 60.0 } else { 255.0 };
                }
                #[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "0 to 255")]
                bytes.push(shown as u8);
            }
        }
    }
    bytes
}
