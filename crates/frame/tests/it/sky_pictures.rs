//! Real pictures against what a person saw in them.

use frame::{
    BodyHints, BrightBody, BrightLights, CloudCover, LensHints, LightMap, Limits, PictureNature, SkyMask, StarSearch,
    find_stars, open, solve_lens,
};

use crate::pictures::picture;
use crate::spread::rows;

/// Tolerance of the shares.
const SHARE: f64 = 0.15;
/// Share of the answers given that must be right: the labels themselves err.
const LEAST_RIGHT: f64 = 0.85;
/// Pictures of the sky of which the share of the ground, and of cloud, must be told at all.
const LEAST_GROUNDS: u32 = 24;
const LEAST_CLOUDS: u32 = 12;

#[derive(Default)]
struct Score {
    told: u32,
    right: u32,
}

impl Score {
    fn add(&mut self, found: Option<f64>, label: f64) -> &'static str {
        let Some(found) = found else { return "" };
        self.told += 1;
        let right = (found - label).abs() <= SHARE + 0.005;
        self.right += u32::from(right);
        if right { "" } else { "!" }
    }

    fn share(&self) -> f64 {
        f64::from(self.right) / f64::from(self.told.max(1))
    }
}

/// Pictures in which there is a sky to speak of.
fn is_of_the_sky(scene: &str) -> bool {
    matches!(scene, "night_sky" | "moonlit" | "twilight" | "panorama" | "overcast_night")
}

#[test]
fn real_pictures_are_seen_as_a_person_saw_them() {
    let (mut ground, mut cloud, mut moons, mut false_moons, mut seen) = (Score::default(), Score::default(), 0, 0, 0);
    let (mut of_moons, mut sky_grounds) = (0, 0);
    for row in rows(include_str!("../data/picture_labels.csv")) {
        let (name, scene) = (row.text("file"), row.text("scene"));
        let Some(frame) = picture(name).and_then(|bytes| open(&bytes, &Limits::default()).ok()) else { continue };
        seen += 1;
        let plane = frame.luminance().unwrap();
        let field = find_stars(&plane, &StarSearch::default());
        let lens = is_of_the_sky(scene).then(|| solve_lens(&field, &LensHints::default()).ok()).flatten();
        let cells = LightMap::of(&frame).unwrap();
        let mask = SkyMask::of(&cells, &field, lens.as_ref(), frame.orientation);
        let cover = CloudCover::of(&field, &cells, &mask, lens.as_ref());
        let body = BrightBody::find(&BrightLights::of(&plane), frame.ceiling, &mask, &BodyHints::default());
        let nature = PictureNature::of(&plane).not_a_photograph(&frame);
        let share = mask.foreground_share.map(|share| share.value);
        let of_ground = ground.add(share, row.number("foreground"));
        sky_grounds += u32::from(is_of_the_sky(scene) && share.is_some());
        let fraction = cover.fraction.map(|fraction| fraction.value);
        let of_cloud = cloud.add(fraction, row.number("cloud"));
        let has_moon = row.text("moon") == "yes";
        of_moons += u32::from(has_moon);
        moons += u32::from(has_moon && body.is_some());
        // a sun is one too, and is asked for where there is day
        false_moons += u32::from(!has_moon && body.is_some() && is_of_the_sky(scene));
        println!(
            "{name}: {scene}; ground {} for {}{of_ground}; cloud {} for {}{of_cloud}; body {:?}; {}",
            share.map_or_else(|| "?".to_owned(), |share| format!("{share:.2}")),
            row.text("foreground"),
            fraction.map_or_else(|| "?".to_owned(), |fraction| format!("{fraction:.2}")),
            row.text("cloud"),
            body.map(|body| body.position_px.map(f64::round)),
            nature.unwrap_or("may be a photograph")
        );
        assert!(nature.is_none() || matches!(scene, "other" | "artwork"), "{name}: {nature:?}");
    }
    if seen == 0 {
        return;
    }
    println!(
        "ground {} of {}, cloud {} of {}, moons {moons} of {of_moons}, false {false_moons}",
        ground.right, ground.told, cloud.right, cloud.told
    );
    assert!(ground.share() >= LEAST_RIGHT && sky_grounds >= LEAST_GROUNDS, "{sky_grounds}");
    assert!(cloud.share() >= LEAST_RIGHT && cloud.told >= LEAST_CLOUDS);
    assert!(moons == of_moons && false_moons == 0);
}
