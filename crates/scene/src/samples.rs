//! Scenes to look at and to test with. Places and names are invented.

use optics::{Exposure, Lens, Pointing, Projection};
use quantity::{Fraction, GeoPosition};
use sky::background::{SkyQuality, TownGlow};
use sky::{Air, Extinction};

use crate::{CloudSpec, Curtain, Faults, Form, Glow, Hut, Kit, Lamp, Land, Pulsation, SceneSpec, Water};

/// Names of the scenes.
pub const SAMPLES: [&str; 9] =
    ["empty", "quiet_arc", "folded_bands", "corona", "pulsating", "moonlit_lake", "cloudy", "twilight", "all_sky"];

/// A scene by its name, as a picture of 1.5 megapixels; `None` for another name.
pub fn sample(name: &str) -> Option<SceneSpec> {
    let base = empty()?;
    Some(match name {
        "empty" => base,
        "quiet_arc" => SceneSpec { aurora: vec![Form::Curtain(quiet_arc())], land: Some(shore()), ..base },
        "folded_bands" => SceneSpec { aurora: folded_bands(), land: Some(shore()), molecular_bands: true, ..base },
        "corona" => corona(base),
        "all_sky" => all_sky(base),
        "pulsating" => SceneSpec {
            pointing: Pointing { altitude_deg: 48.0, ..base.pointing },
            exposure: Exposure { seconds: 3.0, iso: 6400.0, ..base.exposure },
            aurora: pulsating(),
            ..base
        },
        "moonlit_lake" => moonlit_lake(base)?,
        "cloudy" => SceneSpec { cloud: Some(broken_cloud()), aurora: folded_bands(), land: Some(shore()), ..base },
        "twilight" => SceneSpec {
            opens_at: "2026-11-25T15:40:00Z".parse().ok()?,
            aurora: vec![Form::Curtain(quiet_arc())],
            land: Some(shore()),
            ..base
        },
        _ => return None,
    })
}

/// A clear moonless night over Skerrow Bay without aurora, looking north; the small full-frame kit.
fn empty() -> Option<SceneSpec> {
    Some(SceneSpec {
        place: GeoPosition::new(69.2, 15.1, 4.0).ok()?,
        opens_at: "2026-11-10T20:30:00Z".parse().ok()?,
        utc_offset_s: 3600,
        exposure: Exposure { seconds: 5.0, iso: 3200.0, f_number: 1.8 },
        kit: Kit::small_full_frame(),
        pointing: Pointing { azimuth_deg: 350.0, altitude_deg: 27.0, roll_deg: 0.0 },
        extinction: Extinction::clear(4.0),
        air: Air::default(),
        sky_quality: SkyQuality::MeasuredMagArcsec2(21.6),
        towns: vec![TownGlow { bearing_deg: 30.0, distance_km: 45.0, population: 20_000 }],
        snow_cover: false,
        cloud: None,
        forms_epoch: "2026-11-10T20:30:00Z".parse().ok()?,
        aurora: Vec::new(),
        molecular_bands: false,
        faint_stars: true,
        land: None,
        water: None,
        faults: Faults::default(),
    })
}

fn quiet_arc() -> Curtain {
    Curtain {
        seed: 11,
        poleward_km: 190.0,
        broadside_kr: 14.0,
        fold_km: 9.0,
        thickness_km: 2.0,
        ray_contrast: 0.25,
        ray_km: 4.0,
        ..Curtain::default()
    }
}

fn folded_bands() -> Vec<Form> {
    let near = Curtain {
        seed: 5,
        poleward_km: 80.0,
        ends_km: [-700.0, 700.0],
        broadside_kr: 60.0,
        energy_kev: 5.0,
        soft_share: 0.22,
        thickness_km: 0.5,
        fold_km: 26.0,
        ray_contrast: 0.85,
        ray_km: 1.2,
        ray_speed_km_s: 0.4,
        ..Curtain::default()
    };
    let far = Curtain {
        seed: 6,
        poleward_km: 210.0,
        broadside_kr: 30.0,
        fold_km: 30.0,
        ends_km: [-1000.0, 900.0],
        ..near.clone()
    };
    let veil = Glow {
        middle_km: [0.0, 130.0],
        half_size_km: [900.0, 110.0],
        column_kr: 1.6,
        unevenness: 0.6,
        ..Glow::default()
    };
    vec![Form::Curtain(near), Form::Curtain(far), Form::Glow(veil)]
}

fn corona(base: SceneSpec) -> SceneSpec {
    let overhead = |seed: u64, poleward_km: f64, kr: f64| {
        Form::Curtain(Curtain {
            seed,
            poleward_km,
            ends_km: [-400.0, 400.0],
            broadside_kr: kr,
            energy_kev: 3.0,
            soft_share: 0.4,
            thickness_km: 0.5,
            fold_km: 26.0,
            ray_contrast: 0.95,
            ray_km: 0.9,
            ray_speed_km_s: 0.4,
            ..Curtain::default()
        })
    };
    let aurora =
        vec![overhead(21, -14.0, 12.0), overhead(22, 22.0, 12.0), overhead(23, -60.0, 9.0), overhead(24, 60.0, 9.0)];
    SceneSpec {
        pointing: Pointing { azimuth_deg: 185.0, altitude_deg: 72.0, roll_deg: 10.0 },
        exposure: Exposure { seconds: 2.0, ..base.exposure },
        molecular_bands: true,
        aurora,
        ..base
    }
}

/// The whole sky by a fisheye that looks up, north at the top.
fn all_sky(base: SceneSpec) -> SceneSpec {
    let mut kit = Kit {
        model: "Tarrant A1".to_owned(),
        lens_name: "Tarrant Fisheye 8mm F2.8".to_owned(),
        k1: 0.0,
        axis_shift_px: [2.5, -4.0],
        image_edge_deg: Some(92.0),
        ..Kit::small_full_frame()
    };
    (kit.sensor.width_px, kit.sensor.height_px) = (1000, 1000);
    kit.lens = Lens {
        f_number: 2.8,
        focal_mm: 8.2,
        transmission: 0.88,
        projection: Projection::Equisolid,
        corner_loss_stops: 0.5,
    };
    SceneSpec {
        kit,
        pointing: Pointing { azimuth_deg: 180.0, altitude_deg: 90.0, roll_deg: 0.0 },
        exposure: Exposure { seconds: 8.0, iso: 3200.0, f_number: 2.8 },
        aurora: folded_bands(),
        molecular_bands: true,
        land: Some(shore()),
        ..base
    }
}

fn pulsating() -> Vec<Form> {
    let patches = (0..14u32).map(|i| {
        let (ring, turn) = (f64::from(i % 4), f64::from(i) * 2.4);
        Form::Glow(Glow {
            seed: 100 + u64::from(i),
            middle_km: [turn.cos() * (40.0 + 70.0 * ring), 60.0 + turn.sin() * (30.0 + 45.0 * ring)],
            half_size_km: [34.0 + 6.0 * ring, 13.0 + 2.0 * ring],
            column_kr: 6.0,
            energy_kev: 10.0,
            unevenness: 0.7,
            edge: 2.2,
            drift_km_s: [0.4, 0.0],
            pulsation: Some(Pulsation {
                period_s: 7.0 + f64::from(i % 5) * 2.3,
                brightest_at_s: f64::from(i) * 1.7,
                depth: 0.9,
                on_share: 0.5,
            }),
            course: Vec::new(),
        })
    });
    let ground = Glow { middle_km: [0.0, 60.0], half_size_km: [1500.0, 160.0], column_kr: 1.0, ..Glow::default() };
    std::iter::once(Form::Glow(ground)).chain(patches).collect()
}

fn broken_cloud() -> CloudSpec {
    CloudSpec {
        seed: 4,
        height_km: 3.0,
        cover: Fraction::clamped(0.5),
        optical_depth: 6.0,
        heap_km: 5.0,
        wind_km_s: [0.008, 0.003],
    }
}

/// The shore of Skerrow Bay: low hills, spruces, a hut.
fn shore() -> Land {
    Land {
        seed: 3,
        hill_deg: 2.6,
        relief_deg: 2.8,
        tree_deg: 5.0,
        tree_share: 0.6,
        albedo: 0.35,
        hut: Some(Hut { azimuth_deg: 330.0, width_deg: 4.0, wall_deg: 2.7, window_cd_m2: 0.02 }),
        lamps: vec![Lamp { azimuth_deg: 8.0, altitude_deg: 0.6, v_mag: -1.0, colour_bv_mag: 1.8 }],
    }
}

fn moonlit_lake(base: SceneSpec) -> Option<SceneSpec> {
    let land = Land { tree_deg: 3.5, albedo: 0.6, hut: None, lamps: Vec::new(), ..shore() };
    Some(SceneSpec {
        opens_at: "2026-11-21T21:30:00Z".parse().ok()?,
        forms_epoch: "2026-11-21T21:30:00Z".parse().ok()?,
        pointing: Pointing { altitude_deg: 5.0, ..base.pointing },
        exposure: Exposure { seconds: 4.0, iso: 3200.0, ..base.exposure },
        aurora: folded_bands(),
        molecular_bands: true,
        snow_cover: true,
        land: Some(land),
        water: Some(Water { far_deg: 0.35, near_deg: 90.0, slope_deg: 0.25 }),
        ..base
    })
}

/// Haldane Point in the evening of the first quarter: the frame that all of an invented night's begin from.
pub(crate) fn night_base() -> Option<SceneSpec> {
    Some(SceneSpec {
        place: GeoPosition::new(69.2, 15.4, 12.0).ok()?,
        opens_at: "2026-11-18T17:30:00Z".parse().ok()?,
        forms_epoch: "2026-11-18T17:30:00Z".parse().ok()?,
        pointing: Pointing { azimuth_deg: 350.0, altitude_deg: 25.0, roll_deg: 0.0 },
        molecular_bands: true,
        land: Some(shore()),
        ..empty()?
    })
}
