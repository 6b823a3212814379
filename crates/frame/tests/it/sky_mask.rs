//! Drawn landscapes and fisheyes with a known skyline; sun and moon; pictures that are none.

use frame::{
    BodyHints, BodyKind, BrightBody, BrightLights, CellKind, CloudCover, Frame, LightMap, Limits, Orientation,
    PictureNature, Plane, SkyMask, StarSearch, find_stars, open,
};

use crate::rendered::Dice;

/// Share of ground is right within this.
const SHARE: f64 = 0.05;

/// A grey picture of 16 bits, linear in light, as a file; values are shares of full scale.
#[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "clamped to 16 bits")]
fn file([width, height]: [usize; 2], light: impl Fn(f64, f64) -> f64) -> Vec<u8> {
    let mut bytes = format!("P5\n{width} {height}\n65535\n").into_bytes();
    for y in 0..height {
        for x in 0..width {
            let light = light(x as f64, y as f64).clamp(0.0, 1.0);
            bytes.extend(((65_535.0 * light).round() as u16).to_be_bytes());
        }
    }
    bytes
}

struct Looked {
    frame: Frame,
    plane: Plane,
    cells: LightMap,
    mask: SkyMask,
}

fn look(bytes: &[u8], orientation: Orientation) -> Looked {
    let frame = open(bytes, &Limits::default()).unwrap();
    let plane = frame.luminance().unwrap();
    let field = find_stars(&plane, &StarSearch::default());
    let cells = LightMap::of(&frame).unwrap();
    let mask = SkyMask::of(&cells, &field, None, orientation);
    // whatever it is, an answer comes
    let cover = CloudCover::of(&field, &cells, &mask, None);
    assert!(cover.fraction.is_none_or(|fraction| (0.0..=1.0).contains(&fraction.value)));
    Looked { frame, plane, cells, mask }
}

/// Noise of one place, the same every time: two numbers in, one out.
fn noise(x: f64, y: f64) -> f64 {
    let mut dice = Dice::new((x.to_bits() ^ y.to_bits().rotate_left(29)).wrapping_add(17));
    dice.even();
    dice.normal()
}

/// A night sky that brightens downwards over dark, rough ground below a wavy line, with stars.
fn landscape(share: f64) -> impl Fn(f64, f64) -> f64 {
    let mut dice = Dice::new(5);
    let stars: Vec<[f64; 3]> =
        (0..250).map(|_| [900.0 * dice.even(), 600.0 * dice.even(), 0.1 + 0.4 * dice.even().powi(3)]).collect();
    move |x, y| {
        let line = 600.0 * (1.0 - share) + 25.0 * (x / 90.0).sin() + 10.0 * (x / 23.0).cos();
        if y > line {
            // trunks and grass: long and narrow, as stars are not
            return 0.004 * (1.0 + 0.5 * noise((x / 2.0).floor(), (y / 40.0).floor()).abs()) + 2e-4 * noise(x, y);
        }
        let sky = 0.02 + 0.03 * (y / 600.0).powi(2) + 0.001 * noise(x, y);
        let near = stars.iter().filter(|s| (s[0] - x).abs() < 6.0 && (s[1] - y).abs() < 6.0);
        sky + near.map(|s| s[2] * (-((s[0] - x).powi(2) + (s[1] - y).powi(2)) / 2.6).exp()).sum::<f64>()
    }
}

#[test]
fn the_ground_of_drawn_nights_has_its_share() {
    for share in [0.15, 0.3, 0.5] {
        let mask = look(&file([900, 600], landscape(share)), Orientation::Upright).mask;
        let found = mask.foreground_share.unwrap();
        assert!((found.value - share).abs() < SHARE, "{share}: {found:?}");
        assert_eq!(mask.at([450.0, 30.0]), CellKind::Sky);
        assert_eq!(mask.at([450.0, 590.0]), CellKind::Foreground);
        assert_eq!(mask.at([-3.0, f64::NAN]), CellKind::Outside);
    }
}

/// A picture that was stored on its head has its ground above.
#[test]
fn ground_is_below_as_the_picture_is_shown() {
    let upright = landscape(0.3);
    let turned = file([900, 600], |x, y| upright(899.0 - x, 599.0 - y));
    let mask = look(&turned, Orientation::TurnedHalf).mask;
    assert!((mask.foreground_share.unwrap().value - 0.3).abs() < SHARE, "{:?}", mask.foreground_share);
    assert_eq!(mask.at([450.0, 10.0]), CellKind::Foreground);
    let on_its_side = file([600, 900], |x, y| upright(899.0 - y, x));
    let mask = look(&on_its_side, Orientation::TurnedClockwise).mask;
    assert!((mask.foreground_share.unwrap().value - 0.3).abs() < SHARE, "{:?}", mask.foreground_share);
}

/// Stars to the very bottom and the falloff of a lens: no ground is made up.
#[test]
fn a_frame_full_of_sky_has_no_ground() {
    let sky = landscape(-0.2);
    let falloff = |x: f64, y: f64| 1.0 / (1.0 + ((x - 450.0).powi(2) + (y - 300.0).powi(2)) / 3e5).powi(2);
    let mask = look(&file([900, 600], |x, y| sky(x, y) * falloff(x, y)), Orientation::Upright).mask;
    assert!(mask.foreground_share.unwrap().value < SHARE, "{:?}", mask.foreground_share);
}

#[test]
fn the_circle_of_a_fisheye_and_the_houses_on_its_rim_are_found() {
    let (cx, cy, radius) = (410.0, 395.0, 370.0);
    let drawn = file([820, 800], |x, y| {
        let (dx, dy) = (x - cx, y - cy);
        let (r, angle) = (dx.hypot(dy), dy.atan2(dx));
        let black = 0.001 + 2e-4 * noise(x, y);
        // a third of the horizon is hidden to a fifth of the radius
        let hidden = angle > 0.5 && angle < 2.6 && r > 0.8 * radius;
        if r > radius || hidden { black } else { 0.03 - 0.01 * (r / radius).powi(2) + 0.001 * noise(x, y) }
    });
    let mask = look(&drawn, Orientation::Upright).mask;
    let circle = mask.circle.unwrap();
    assert!((circle.centre_px[0] - cx).hypot(circle.centre_px[1] - cy) < 0.03 * radius, "{circle:?}");
    assert!((circle.radius_px / radius - 1.0).abs() < 0.03, "{circle:?}");
    // 2.1 of 6.28 of the ring between 0.8 and 1
    let share = 2.1 / std::f64::consts::TAU * (1.0 - 0.64);
    assert!((mask.foreground_share.unwrap().value - share).abs() < SHARE, "{:?}", mask.foreground_share);
    assert_eq!(mask.at([5.0, 5.0]), CellKind::Outside);
    assert_eq!(mask.at([cx, cy + 0.93 * radius]), CellKind::Foreground);
}

/// A disc of 8 px that burns out, in a glare that falls off as the square of the distance and veils the sky.
fn with_disc(place: [f64; 2], glare: f64) -> impl Fn(f64, f64) -> f64 {
    let night = landscape(0.25);
    move |x, y| {
        let distance = (x - place[0]).hypot(y - place[1]);
        let veil = if y > 420.0 { 0.0 } else { glare / (1.0 + (distance / 12.0).powi(2)) };
        if distance < 8.0 { 1.0 } else { night(x, y) + veil }
    }
}

#[test]
fn the_moon_is_found_by_its_glare_and_a_planet_is_none() {
    let night = BodyHints { is_night: Some(true), ..BodyHints::default() };
    let at = [300.0, 150.0];
    let moonlit = look(&file([900, 600], with_disc(at, 0.8)), Orientation::Upright);
    let find = |looked: &Looked, hints: &BodyHints| {
        BrightBody::find(&BrightLights::of(&looked.plane), looked.frame.ceiling, &looked.mask, hints)
    };
    let moon =
        find(&moonlit, &night).unwrap_or_else(|| panic!("{:?}: {}", moonlit.mask.foreground_share, moonlit.mask.why));
    assert_eq!(moon.kind, BodyKind::Moon);
    assert!((moon.position_px[0] - at[0]).hypot(moon.position_px[1] - at[1]) < 3.0, "{moon:?}");
    assert!((moon.diameter_px - 16.0).abs() < 4.0, "{moon:?}");
    // where it should be, it is surer; where neither should be, it is a lamp
    let there = BodyHints { predicted: vec![(BodyKind::Moon, [303.0, 148.0])], ..night.clone() };
    assert!(find(&moonlit, &there).unwrap().confidence > moon.confidence);
    let elsewhere = BodyHints { predicted: vec![(BodyKind::Moon, [700.0, 90.0])], ..night.clone() };
    assert_eq!(find(&moonlit, &elsewhere), None);
    // a burnt-out planet without a veil, and a lamp on the ground
    assert_eq!(find(&look(&file([900, 600], with_disc(at, 0.002)), Orientation::Upright), &night), None);
    assert_eq!(find(&look(&file([900, 600], with_disc([450.0, 540.0], 0.0)), Orientation::Upright), &night), None);
    assert_eq!(find(&look(&file([900, 600], landscape(0.25)), Orientation::Upright), &night), None);
}

#[test]
fn drawings_are_told_by_what_noise_they_lack() {
    let nature = |light: &dyn Fn(f64, f64) -> f64| {
        let looked = look(&file([400, 300], light), Orientation::Upright);
        PictureNature::of(&looked.plane).not_a_photograph(&looked.frame)
    };
    assert!(nature(&|_, _| 0.2).unwrap().contains("same number"));
    let diagram = |x: f64, y: f64| if ((x / 57.0).floor() + (y / 31.0).floor()) % 3.0 == 0.0 { 0.2 } else { 0.6 };
    assert!(nature(&diagram).unwrap().contains("drawn"));
    let page = |x: f64, y: f64| if y % 20.0 < 6.0 && x % 13.0 < 5.0 { 0.1 } else { 1.0 };
    assert!(nature(&page).unwrap().contains("page"));
    let photograph = |x: f64, y: f64| 0.1 + 0.0004 * x + 0.003 * noise(x, y);
    assert_eq!(nature(&photograph), None);
    // burnt out and black at once, as the sun over a black shore
    let harsh = |x: f64, y: f64| if x < 200.0 { 1.0 } else { 0.0005 * (1.0 + noise(x, y).abs()) };
    assert_eq!(nature(&harsh), None);
}

/// Packing makes the pixels of a block alike and its edges the only steps: no drawing.
#[test]
fn what_packing_evened_out_is_told_from_what_was_drawn() {
    let [blocks, stripes] = [8usize, 11].map(|width| {
        let samples = (0..400 * 300).map(|i| {
            let (x, y) = (i % 400 / width, i / 400 / width);
            0.1 + 0.001 * ((7 * x + 13 * y) % 29) as f32
        });
        PictureNature::of(&Plane::new(400, 300, samples.collect()).unwrap())
    });
    assert!(blocks.same > 0.85 && blocks.steps_on_blocks > 0.99, "{blocks:?}");
    assert!(stripes.same > 0.9 && stripes.steps_on_blocks < 0.2, "{stripes:?}");
}

#[test]
fn absurd_pictures_are_answered() {
    let one: [fn(f64, f64) -> f64; 4] = [|_, _| 0.0, |_, _| 1.0, |x, _| x % 2.0, |x, y| (x * y) % 3.0 / 2.0];
    for light in one {
        for size in [[1, 1], [1, 40], [37, 2], [300, 200]] {
            let looked = look(&file(size, light), Orientation::TurnedAnticlockwise);
            assert_eq!(looked.mask.kinds.len(), looked.cells.columns * looked.cells.rows);
            let lights = BrightLights::of(&looked.plane);
            let ceilings = [looked.frame.ceiling, None, Some(0.0), Some(f32::NAN)];
            for ceiling in ceilings {
                let _answer = BrightBody::find(&lights, ceiling, &looked.mask, &BodyHints::default());
            }
        }
    }
    // a plane without a number in it
    let looked = look(&file([60, 40], |_, _| 0.3), Orientation::Upright);
    let nothing = Plane::new(60, 40, vec![f32::NAN; 2400]).unwrap();
    assert_eq!(BrightBody::find(&BrightLights::of(&nothing), None, &looked.mask, &BodyHints::default()), None);
    assert_eq!(PictureNature::of(&nothing).compared, 0);
    let mut cells = looked.cells;
    for channel in &mut cells.channels {
        channel.medians.fill(f32::NAN);
        channel.spreads.fill(f32::INFINITY);
    }
    let field = find_stars(&nothing, &StarSearch::default());
    let mask = SkyMask::of(&cells, &field, None, Orientation::Upright);
    assert!(CloudCover::of(&field, &cells, &mask, None).fraction.is_none());
}
