//! Stacks by command, of rendered frames whose sky turns: what they gain, what they keep, what they leave out.

use std::path::{Path, PathBuf};
use std::process::Command;

use frame::{Limits, Plane, StarSearch, find_stars, open};
use jiff::SignedDuration;
use scene::{Development, Numbers, SceneSpec, Stage, sample};

use crate::check::TEST_FRAME;
use crate::program::{quietarc, stderr, stdout};

/// Frames of the stack.
const FRAMES: usize = 9;
/// Time between them: the sky turns by 15 px in all.
const EVERY_S: i64 = 30;

fn scene() -> SceneSpec {
    let mut spec = sample("quiet_arc").unwrap();
    spec.aurora.clear();
    // stars below the noise do not average out: the noise of the sky alone is to be measured
    spec.faint_stars = false;
    // the ground is drawn over the sensor's numbers: that of the scene is as dark as its sky
    spec.land = None;
    (spec.kit.sensor.width_px, spec.kit.sensor.height_px) = (1000, 680);
    spec
}

/// Row at which the drawn ground begins, px: a ridge.
fn skyline(x: usize) -> f64 {
    500.0 + 20.0 * (x as f64 / 60.0).sin()
}

/// Width of a reed of the drawn ground, px: half of what the sky turns by.
const REED_PX: usize = 6;
/// Light of the reeds over that of the sky: a silhouette with texture, lit by snow below.
const REEDS: [f64; 2] = [0.04, 0.20];

/// Light of the drawn ground over that of the sky: reeds, each with a light of its own.
fn ground(x: usize, y: usize) -> f64 {
    let mixed = (x / REED_PX * 7919 + y / 40 * 104_729) % 101;
    REEDS[0] + (REEDS[1] - REEDS[0]) * mixed as f64 / 100.0
}

/// Draws the ground over a frame's numbers, and on one of them a meteor through its sky.
fn painted(numbers: &mut Numbers, has_meteor: bool) {
    let [width, black] = [numbers.width, usize::from(numbers.black)];
    let mut sky: Vec<u16> = numbers.values[100 * width..300 * width].to_vec();
    sky.sort_unstable();
    let sky = f64::from(sky[sky.len() / 2]) - black as f64;
    #[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "numbers of a converter")]
    let number = |light: f64| (black as f64 + light * sky).round() as u16;
    for (pixel, value) in numbers.values.iter_mut().enumerate() {
        let (x, y) = (pixel % width, pixel / width);
        if y as f64 >= skyline(x) {
            *value = number(ground(x, y));
        } else if has_meteor && METEOR[0].contains(&x) && (x / 2 + METEOR_TOP).abs_diff(y) < 2 {
            *value = number(METEOR_LIGHT);
        }
    }
}

/// Columns and rows that the meteor lies within, px, with room for the turning of the sky; where it begins, and its light over the
/// sky's.
const METEOR: [std::ops::Range<usize>; 2] = [400..480, 290..360];
const METEOR_TOP: usize = 100;
const METEOR_LIGHT: f64 = 12.0;
/// The frame that it is on.
const METEOR_FRAME: usize = 3;

/// The frames, and three that cannot be taken: one without stars, one of another size, one that breaks off.
fn night(folder: &Path) -> Vec<PathBuf> {
    let base = scene();
    let stage = Stage::new(base.place, base.forms_epoch).unwrap();
    let draw = |number: usize| {
        let after = SignedDuration::from_secs(EVERY_S * i64::try_from(number).unwrap());
        let spec = SceneSpec { opens_at: base.opens_at.checked_add(after).unwrap(), ..base.clone() };
        let mut rendered = stage.render(&spec, number as u64).unwrap();
        painted(&mut rendered.mosaic, number == METEOR_FRAME);
        let jpeg = rendered.to_jpeg(&Development::default()).unwrap();
        let path = folder.join(format!("f{number:02}.jpg"));
        std::fs::write(&path, jpeg).unwrap();
        path
    };
    let paths: Vec<PathBuf> = std::thread::scope(|scope| {
        let halves = [0, 1].map(|half| scope.spawn(move || (half..FRAMES).step_by(2).map(draw).collect::<Vec<_>>()));
        let mut paths: Vec<PathBuf> = halves.into_iter().flat_map(|half| half.join().unwrap()).collect();
        paths.sort();
        paths
    });
    let blank = resvg::tiny_skia::Pixmap::new(1000, 680).unwrap().encode_png().unwrap();
    std::fs::write(folder.join("g_blank.png"), blank).unwrap();
    std::fs::copy(TEST_FRAME, folder.join("g_other.jpg")).unwrap();
    let whole = std::fs::read(&paths[0]).unwrap();
    std::fs::write(folder.join("g_broken.jpg"), &whole[..whole.len() / 2]).unwrap();
    paths
}

fn light(path: &Path) -> Plane {
    open(&std::fs::read(path).unwrap(), &Limits::default()).unwrap().luminance().unwrap()
}

/// The nearest pixel of a place inside the frame.
#[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "places of a small frame")]
fn whole(place_px: f64) -> usize {
    place_px.round() as usize
}

/// Side of the squares that light is summed in: as wide as a star.
const BOX: usize = 5;

fn summed(plane: &Plane, x: usize, y: usize) -> f64 {
    (y..y + BOX).flat_map(|y| plane.row(y).part(x..x + BOX)).map(f64::from).sum()
}

/// Scatter of the sky's light in such squares: from second differences of neighbours, by their median, so that stars and the slope of the
/// sky do not count.
fn noise(plane: &Plane) -> f64 {
    let rows = (40..360).step_by(BOX);
    let mut differences: Vec<f64> = rows
        .flat_map(|y| (40..900).step_by(3 * BOX).map(move |x| (x, y)))
        .map(|(x, y)| (summed(plane, x, y) - 2.0 * summed(plane, x + BOX, y) + summed(plane, x + 2 * BOX, y)).abs())
        .collect();
    differences.sort_by(f64::total_cmp);
    differences[differences.len() / 2]
}

/// Light of stars over the sky around them, in such squares.
fn signal(plane: &Plane, places: &[(usize, usize)]) -> f64 {
    let over = |(x, y): &(usize, usize)| {
        let sky = [(0, 3), (6, 3), (3, 0), (3, 6)].map(|(dx, dy)| summed(plane, x + 2 * dx - 8, y + 2 * dy - 8));
        summed(plane, x - 2, y - 2) - sky.iter().sum::<f64>() / 4.0
    };
    places.iter().map(over).sum()
}

/// How far the gain in signal over noise may be from the root of the number of frames: laying between pixels widens stars by
/// some per cent and smooths noise, JPEG rounds, and the three deviations cut a little.
const GAIN: f64 = 0.12;

#[test]
fn a_stack_gains_by_the_root_of_its_frames_and_says_what_it_left_out() {
    let (night_folder, to) = (tempfile::tempdir().unwrap(), tempfile::tempdir().unwrap());
    let frames = night(night_folder.path());
    let out = to.path().join("sky.tif");
    let (out_words, night_words) = (out.to_str().unwrap(), night_folder.path().to_str().unwrap());
    let output = quietarc(&["tell", "stack", "-o", out_words, "--credit", "Photo: Ida Berg", night_words]);
    assert_eq!(output.status.code(), Some(1), "{}", stderr(&output));
    let caption = std::fs::read_to_string(to.path().join("sky.txt")).unwrap();
    let wanted = [
        "mean of 9 frames over 4 min",
        "3 of 12 frames left out",
        "g_blank.png (0 stars are seen on it",
        "g_other.jpg (",
        "g_broken.jpg (",
        "is that of one frame, f05.jpg",
        "\nPhoto: Ida Berg\n",
    ];
    for wanted in wanted {
        assert!(caption.contains(wanted) && stdout(&output).contains(wanted), "{wanted:?} in {caption}");
    }
    // each step is told where it begins, with its place among the steps
    for step in [
        "step 1 of 5, reading",
        "step 3 of 5, finding stars",
        "step 4 of 5, learning",
        "step 5 of 5, adding up: 0 of 9",
    ] {
        assert!(stderr(&output).contains(step), "{step:?} in {}", stderr(&output));
    }

    // the middle frame of all is the one that the others are laid on
    let (own, stack) = (light(&frames[5]), light(&out));
    assert_eq!((own.width(), own.height()), (stack.width(), stack.height()));
    let field = find_stars(&own, &StarSearch::default());
    let places: Vec<(usize, usize)> = field
        .stars
        .iter()
        .filter(|star| !star.saturated && (60.0..900.0).contains(&star.x_px) && (60.0..360.0).contains(&star.y_px))
        .map(|star| (whole(star.x_px), whole(star.y_px)))
        .collect();
    assert!(places.len() > 40, "{}", places.len());
    let gain = signal(&stack, &places) / signal(&own, &places) * noise(&own) / noise(&stack);
    let root = (FRAMES as f64).sqrt();
    assert!((gain / root - 1.0).abs() < GAIN, "{gain:.2} for {root:.2}");
    // stars are no wider than laying between pixels makes them
    let wide = |plane: &Plane| find_stars(plane, &StarSearch::default()).typical.unwrap().hfd_px;
    assert!(wide(&stack) < 1.2 * wide(&own), "{:.2} {:.2}", wide(&stack), wide(&own));
    ground_is_that_of(&own, &stack);
    // one frame of nine: an outlier of the mean
    let bright = light(&frames[METEOR_FRAME]);
    assert!(meteor(&stack) < 0.2 * meteor(&bright), "{} {}", meteor(&stack), meteor(&bright));

    let meteors = to.path().join("meteors.tif");
    let output = quietarc(&["tell", "stack", "--brightest", "--aligned", "-o", meteors.to_str().unwrap(), night_words]);
    assert_eq!(output.status.code(), Some(1), "{}", stderr(&output));
    let brightest = light(&meteors);
    assert!(meteor(&brightest) > 0.7 * meteor(&bright), "{} {}", meteor(&brightest), meteor(&bright));
    ground_is_that_of(&own, &brightest);
    // laid star on star: no trails, and as many stars as the frame itself shows
    assert!(wide(&brightest) < 1.25 * wide(&own), "{:.2} {:.2}", wide(&brightest), wide(&own));
}

/// Mean light of the brightest pixels where the meteor is, over the sky there.
fn meteor(plane: &Plane) -> f64 {
    let mut lights: Vec<f64> =
        METEOR[1].clone().flat_map(|y| plane.row(y).part(METEOR[0].clone())).map(f64::from).collect();
    lights.sort_by(f64::total_cmp);
    let brightest = &lights[lights.len() - 60..];
    brightest.iter().sum::<f64>() / brightest.len() as f64 - lights[lights.len() / 2]
}

/// The ground's reeds are where the frame has them: its own light, which a turn by half a reed would spoil.
fn ground_is_that_of(own: &Plane, stack: &Plane) {
    /// Part of the reeds' contrast that rounding to 16 bits and back may cost.
    const SPOILT: f64 = 0.05;
    // below the skyline by two cells of the mask and the rim that is faded
    let pixels: Vec<(usize, usize)> = (590..670).flat_map(|y| (40..960).map(move |x| (x, y))).collect();
    let at = |plane: &Plane, (x, y): (usize, usize)| f64::from(plane.row(y).at(x));
    let mean = |of: &dyn Fn((usize, usize)) -> f64| pixels.iter().map(|at| of(*at)).sum::<f64>() / pixels.len() as f64;
    let level = mean(&|pixel| at(own, pixel));
    let contrast = mean(&|pixel| (at(own, pixel) - level).abs());
    let apart = mean(&|pixel| (at(own, pixel) - at(stack, pixel)).abs());
    let shifted = mean(&|(x, y)| (at(own, (x, y)) - at(stack, (x + REED_PX / 2, y))).abs());
    assert!(
        contrast > 0.0 && shifted > 0.3 * contrast,
        "there is texture that a shift would spoil: {shifted} {contrast}"
    );
    assert!(apart < SPOILT * contrast, "{apart} of {contrast}");
}

#[test]
fn trails_are_the_brightest_of_every_pixel_and_carry_their_credit() {
    let to = tempfile::tempdir().unwrap();
    let path = |name: &str| to.path().join(name);
    let frame = |name: &str, bright: usize| {
        let mut bytes = b"P6\n300 200\n255\n".to_vec();
        for pixel in 0..300 * 200 {
            bytes.extend(if pixel == bright { [200, 220, 180] } else { [9, 12, 20] });
        }
        std::fs::write(path(name), bytes).unwrap();
    };
    for (number, bright) in [5000, 5001, 5002].into_iter().enumerate() {
        frame(&format!("f{number}.ppm"), bright);
    }
    let (out, folder) = (path("trails.png"), to.path().to_str().unwrap().to_owned());
    let output =
        quietarc(&["tell", "stack", "--brightest", "--credit", "Ída Berg", "-o", out.to_str().unwrap(), &folder]);
    assert_eq!(output.status.code(), Some(0), "{}", stderr(&output));
    let plane = open(&std::fs::read(&out).unwrap(), &Limits::default()).unwrap().plane(optics::Channel::Red).unwrap();
    let lit: Vec<usize> = (0..300 * 200).filter(|pixel| plane.samples()[*pixel] > 0.1).collect();
    assert_eq!(lit, [5000, 5001, 5002]);

    // the credit is in each kind of file, by an independent reader where there is one
    for ending in ["png", "jpg", "tif"] {
        // each with a caption of its own beside it
        let out = path(&format!("again_{ending}.{ending}"));
        let output = quietarc(&[
            "tell",
            "stack",
            "--brightest",
            "--credit",
            "Ída Berg",
            "-o",
            out.to_str().unwrap(),
            path("f0.ppm").to_str().unwrap(),
            path("f1.ppm").to_str().unwrap(),
        ]);
        assert_eq!(output.status.code(), Some(0), "{}", stderr(&output));
        let bytes = std::fs::read(&out).unwrap();
        let credit = "<photoshop:Credit>Ída Berg</photoshop:Credit>";
        assert!(bytes.windows(credit.len()).any(|part| part == credit.as_bytes()), "{ending}");
        if let Ok(said) = Command::new("exiftool").args(["-j", "-G1", "-XMP:all"]).arg(&out).output() {
            let said: serde_json::Value = serde_json::from_slice(&said.stdout).unwrap();
            assert_eq!(said[0]["XMP-photoshop:Credit"], "Ída Berg", "{ending}: {said}");
        }
    }
}

#[test]
fn what_keeps_a_stack_from_being_made_is_one_sentence() {
    let to = tempfile::tempdir().unwrap();
    let path = |name: &str| to.path().join(name).to_str().unwrap().to_owned();
    let blank = resvg::tiny_skia::Pixmap::new(300, 200).unwrap().encode_png().unwrap();
    std::fs::create_dir(path("blank")).unwrap();
    for name in ["blank/a.png", "blank/b.png"] {
        std::fs::write(path(name), &blank).unwrap();
    }
    std::fs::write(path("there.png"), "somebody's").unwrap();
    let refused = |arguments: &[&str], wanted: &str| {
        let output = quietarc(&[&["tell", "stack"], arguments].concat());
        let said = stderr(&output);
        assert_eq!(output.status.code(), Some(2), "{wanted:?}: {said}");
        assert!(said.contains(wanted) && said.contains("hint: "), "{wanted:?}: {said}");
        assert_eq!(said.lines().filter(|line| line.starts_with("error")).count(), 1, "{said}");
    };
    refused(&["-o", &path("x.png"), &path("blank")], "0 stars are seen on it");
    refused(&["-o", &path("x.gif"), &path("blank")], "ends in none of");
    refused(&["-o", &path("there.png"), &path("blank")], "is there already");
    refused(&["-o", &path("x.png"), "--sigmas", "0", &path("blank")], "clip_sigmas");
    refused(&["--brightest", "-o", &path("gone/x.png"), &path("blank")], "cannot be written");
    refused(&["--brightest", "-o", &path("x.png"), &path("blank/a.png")], "no second frame");
    assert_eq!(std::fs::read(path("there.png")).unwrap(), b"somebody's");
}

/// A still as a JPEG carries its caption and credit, and an overlay needs a ground that can be seen through.
#[test]
fn a_still_as_a_jpeg_keeps_its_credit() {
    let to = tempfile::tempdir().unwrap();
    let out = to.path().join("still.jpg");
    let out = out.to_str().unwrap();
    let output = quietarc(&["tell", "still", "--credit", "Ída Berg", "--out", out, TEST_FRAME]);
    assert_eq!(output.status.code(), Some(0), "{}", stderr(&output));
    let bytes = std::fs::read(out).unwrap();
    assert_eq!(open(&bytes, &Limits::default()).unwrap().stored_size, [1920, 1080]);
    let credit = "<photoshop:Credit>Ída Berg</photoshop:Credit>";
    assert!(bytes.windows(credit.len()).any(|part| part == credit.as_bytes()));
    let output = quietarc(&["tell", "still", "--overlay", "--out", out, TEST_FRAME]);
    assert_eq!(output.status.code(), Some(2));
    assert!(stderr(&output).contains("transparent"), "{}", stderr(&output));
}
