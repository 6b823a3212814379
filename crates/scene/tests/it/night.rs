//! The invented night has its duds where it says.

use scene::{Dud, Night, Stage};

#[test]
fn a_night_is_in_order_and_has_every_dud() {
    let night = Night::invented(300).unwrap();
    assert_eq!(night.frames.len(), 300);
    assert!(night.frames.windows(2).all(|pair| pair[0].spec.opens_at < pair[1].spec.opens_at));
    let all = [
        Dud::OutOfFocus,
        Dud::Trailed,
        Dud::Shaken,
        Dud::Knocked,
        Dud::Cloud,
        Dud::LampSweep,
        Dud::MoonFlare,
        Dud::Dew,
        Dud::Clipped,
        Dud::NoAurora,
        Dud::Dark,
    ];
    for dud in all {
        assert!(night.frames.iter().any(|frame| frame.dud == Some(dud)), "{dud:?}");
    }
    let good = night.frames.iter().filter(|frame| frame.dud.is_none()).count();
    assert!(good > 230, "{good}");
    assert!(night.frames.iter().all(|frame| frame.spec.check().is_ok()));
}

#[test]
fn the_truth_of_a_dud_shows_it() {
    let night = Night::invented(120).unwrap();
    let first = &night.frames[0].spec;
    let stage = Stage::new(first.place, first.forms_epoch).unwrap();
    let truth = |dud: Option<Dud>| {
        let frame = night.frames.iter().rev().find(|frame| frame.dud == dud).unwrap();
        let mut spec = frame.spec.clone();
        spec.kit.sensor =
            optics::Sensor { width_px: 450, height_px: 300, pixel_um: 80.0, full_well_e: 1.2e7, ..spec.kit.sensor };
        let rendered = stage.render(&spec, frame.seed).unwrap();
        let clipped = rendered.mosaic.values.iter().filter(|value| **value == rendered.mosaic.white).count();
        (rendered.truth, clipped as f64 / rendered.mosaic.values.len() as f64)
    };
    let (cloudy, _) = truth(Some(Dud::Cloud));
    assert!(cloudy.cloud_share > 0.5, "{}", cloudy.cloud_share);
    let (empty, _) = truth(Some(Dud::NoAurora));
    assert!(empty.brightest_5577_kr < 0.001);
    let (_, clipped) = truth(Some(Dud::Clipped));
    let (flare, _) = truth(Some(Dud::MoonFlare));
    assert!(flare.moon_altitude_deg > 3.0, "{}", flare.moon_altitude_deg);
    let (good, share) = truth(None);
    // lamp, window and the brightest stars clip in any frame
    assert!(clipped > 0.01 && share < 0.003, "{clipped} {share}");
    assert!(good.cloud_share < 0.01);
}
