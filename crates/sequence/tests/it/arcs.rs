//! Ridges of light and forms beyond the oval, on drawn skies and composed findings. Nothing here was observed.

use frame::{
    AuroraExtent, AuroraFinding, AuroraForm, AuroraPresence, AuroraRays, AuroraStructure, ChannelExcess, LightChannel,
    LineShares,
};
use quantity::Horizontal;
use sequence::{FormAnswer, FormName, FormQuestion, LightRidge, MagneticStand, SkyView, light_ridge, tell_form};

use crate::drawn::{Fisheye, bell, evening, skerrow_bay};

/// Height of the drawn layer, km, and the sphere it lies over: the mean radius of the IUGG.
const HEIGHT_KM: f64 = 110.0;
const EARTH_KM: f64 = 6371.0;
const EYE: Fisheye = Fisheye { size: 256 };
/// Magnetic north of the drawn place.
const POLEWARD_DEG: f64 = 8.0;

/// Magnetic east and poleward km of a direction's light.
fn in_layer(direction: Horizontal, height_km: f64) -> [f64; 2] {
    let altitude = direction.altitude_deg.to_radians();
    let radius = EARTH_KM + height_km;
    let arc_km = radius * ((EARTH_KM * altitude.cos() / radius).acos() - altitude);
    let (sin, cos) = (direction.azimuth_deg - POLEWARD_DEG).to_radians().sin_cos();
    [arc_km * sin, arc_km * cos]
}

/// What the drawn camera writes where no light is.
const OFFSET: f32 = 1650.0;

/// A dark sky with airglow that brightens down to 15 degrees, a town's dome on the southern horizon, a camera's offset, and more.
fn sky(more: impl Fn(Horizontal) -> f64) -> Vec<f32> {
    let mut light = EYE.picture(|direction| {
        let airglow = 400.0 * (1.0 + 0.4 * bell(direction.altitude_deg - 15.0, 15.0));
        let town = 600.0
            * bell(direction.altitude_deg, 9.0)
            * bell(direction.separation_deg(Horizontal::new(0.0, 190.0)), 35.0);
        f64::from(OFFSET) + airglow + town + more(direction)
    });
    // outside its circle a camera writes what it writes where no light is
    light.iter_mut().filter(|value| value.is_nan()).for_each(|value| *value = OFFSET);
    light
}

fn ridge(light: &[f32]) -> Option<LightRidge> {
    light_ridge(&EYE.grid(light), &EYE, POLEWARD_DEG, HEIGHT_KM, &|_direction| false)
}

/// Directions of pixels of 0.7 degrees, which are 40 km of layer at this distance.
const RIDGE_KM: f64 = 40.0;
const RIDGE_TILT_DEG: f64 = 6.0;

#[test]
fn a_low_arc_is_a_ridge_and_airglow_and_towns_are_none() {
    assert_eq!(ridge(&sky(|_direction| 0.0)), None);
    let arc = sky(|direction| {
        let [east_km, poleward_km] = in_layer(direction, HEIGHT_KM);
        220.0 * bell(poleward_km - 330.0 - 0.1 * east_km, 30.0)
    });
    let found = ridge(&arc).expect("the arc");
    assert!((found.poleward_km - 330.0).abs() < RIDGE_KM, "{found:?}");
    assert!((found.tilt_deg - 5.7).abs() < RIDGE_TILT_DEG, "{found:?}");
    assert!((0.15..0.7).contains(&found.rise), "{found:?}");
    // heaps of lit cloud lie nowhere along one line
    let heaps = sky(|direction| {
        let [east_km, poleward_km] = in_layer(direction, HEIGHT_KM);
        120.0 * ((east_km / 61.0).sin() * (poleward_km / 83.0 + east_km / 300.0).cos()).max(0.0)
    });
    assert_eq!(ridge(&heaps), None);
}

/// A finding whose aurora is what `lit` says, in lines of these shares (427.8, 557.7, 630.0), with rays or without.
fn finding(lit: impl Fn(Horizontal) -> bool, shares: [f64; 3], rays: bool) -> AuroraFinding {
    let directions =
        (0..EYE.size * EYE.size).map(|cell| EYE.direction_of([(cell % EYE.size) as f64, (cell / EYE.size) as f64]));
    let mask: Vec<bool> = directions.map(|direction| direction.is_some_and(&lit)).collect();
    let cells = mask.iter().map(|lit| f32::from(u8::from(*lit))).collect();
    let rays = rays.then_some(AuroraRays {
        pieces: 30,
        vanishing_px: None,
        scatter_deg: 5.0,
        from_magnetic_zenith_deg: Some(2.0),
        misses_zenith_deg: Some(3.0),
    });
    AuroraFinding {
        presence: AuroraPresence::Yes,
        probability: 0.99,
        evidence: Vec::new(),
        rivals: Vec::new(),
        sky: vec![true; mask.len()],
        extent: AuroraExtent { sky_share: 0.05, across_deg: None, altitude_deg: None },
        excess: vec![ChannelExcess { channel: LightChannel::Green, cells, brightest: 1.0, median: 1.0 }],
        excess_is_least: false,
        lines: Some(LineShares { shares, low: shares.map(|share| 0.9 * share), high: shares.map(|share| 1.1 * share) }),
        structure: Some(AuroraStructure {
            form: if rays.is_some() { AuroraForm::RayedBand } else { AuroraForm::Band },
            coherence: 0.8,
            direction_deg: 0.0,
            length_px: 200.0,
            width_px: 10.0,
            pieces: 1,
            fine_share: 0.1,
            rays,
            corona: None,
        }),
        regions: Vec::new(),
        mask,
    }
}

fn told(finding: &AuroraFinding, stand: Option<MagneticStand>) -> FormAnswer {
    tell_form(&FormQuestion {
        finding,
        columns: EYE.size,
        cell_px: 1.0,
        view: Some(&EYE),
        direction_sigma_deg: 0.5,
        magnetic_zenith: Some(Horizontal::new(72.0, 188.0)),
        poleward_azimuth_deg: Some(POLEWARD_DEG),
        stand,
        height_km: HEIGHT_KM,
        median_kr: None,
    })
}

fn name(answer: &FormAnswer) -> Option<FormName> {
    match answer {
        FormAnswer::Told(form) => Some(form.name),
        FormAnswer::CannotTell(_) | FormAnswer::NoAurora(_) => None,
    }
}

/// Magnetic latitude 58, where Kp says that the oval's border is poleward at Kp 1 and equatorward from Kp 6 on.
fn stand(local_time_h: f64, kp: Option<f64>) -> MagneticStand {
    MagneticStand { latitude_deg: 58.0, local_time_h, kp }
}

/// Lit where the layer at a height is within some km of a line poleward of the camera.
fn band(height_km: f64, poleward_km: f64, half_km: f64) -> impl Fn(Horizontal) -> bool {
    move |direction| {
        let [east_km, at_km] = in_layer(direction, height_km);
        direction.altitude_deg > 12.0 && (at_km - poleward_km).abs() < half_km && east_km.abs() < 500.0
    }
}

/// Mauve: half of the rayleighs red, a quarter blue. Green and red lines alone.
const MAUVE: [f64; 3] = [0.25, 0.25, 0.5];
const GREEN: [f64; 3] = [0.08, 0.9, 0.02];
const RED: [f64; 3] = [0.02, 0.05, 0.93];

#[test]
fn steve_is_told_before_midnight_equatorward_of_the_oval_and_nowhere_else() {
    let steve = finding(band(200.0, 60.0, 12.0), MAUVE, false);
    let sure = told(&steve, Some(stand(21.5, Some(1.0))));
    assert_eq!(name(&sure), Some(FormName::Steve), "{sure:?}");
    let unsure = told(&steve, Some(stand(21.5, None)));
    let (FormAnswer::Told(sure), FormAnswer::Told(unsure)) = (sure, unsure) else { panic!("not told without Kp") };
    assert_eq!(unsure.name, FormName::Steve);
    assert!(unsure.confidence < sure.confidence && sure.place.unwrap().equatorward_of_oval_deg.unwrap() > 2.0);
    // in the morning, inside the oval, in green, or broad: not
    assert_eq!(name(&told(&steve, Some(stand(4.0, Some(1.0))))), None);
    assert_eq!(name(&told(&steve, Some(stand(21.5, Some(8.0))))), None);
    let green = told(&finding(band(200.0, 60.0, 12.0), GREEN, false), Some(stand(21.5, Some(1.0))));
    assert_eq!(name(&green), Some(FormName::Arc), "{green:?}");
    let broad = told(&finding(band(200.0, 60.0, 90.0), MAUVE, false), Some(stand(21.5, Some(1.0))));
    assert_ne!(name(&broad), Some(FormName::Steve), "{broad:?}");
}

#[test]
fn a_picket_fence_is_rays_beyond_the_oval_and_a_rayed_band_within_it() {
    let fence = finding(band(HEIGHT_KM, 60.0, 12.0), GREEN, true);
    assert_eq!(name(&told(&fence, Some(stand(21.5, Some(1.0))))), Some(FormName::PicketFence));
    let elsewhere = [stand(21.5, Some(6.0)), stand(21.5, None), stand(3.0, Some(1.0))];
    for elsewhere in elsewhere.map(Some).into_iter().chain([None]) {
        let said = told(&fence, elsewhere);
        assert_eq!(name(&said), Some(FormName::RayedBand), "{said:?}");
    }
}

#[test]
fn a_stable_red_arc_lies_equatorward_of_the_oval() {
    let arc = finding(band(450.0, 150.0, 110.0), RED, false);
    let low = MagneticStand { latitude_deg: 53.0, local_time_h: 22.0, kp: Some(3.0) };
    assert_eq!(name(&told(&arc, Some(low))), Some(FormName::StableRedArc), "{:?}", told(&arc, Some(low)));
    // red light above the oval is another thing
    let within = MagneticStand { latitude_deg: 60.0, kp: Some(7.0), ..low };
    assert_ne!(name(&told(&arc, Some(within))), Some(FormName::StableRedArc));
}

/// Skerrow Bay stands under the oval of a quiet evening: its magnetic latitude by the program's own field lines, the border by
/// Gussenhoven et al. (1983) at midnight, 66.1 - 1.99 Kp, up to three degrees equatorward of the evening's in the same table.
#[test]
fn light_overhead_has_the_place_of_the_camera_and_its_distance_from_the_published_border() {
    let stand = MagneticStand::of(skerrow_bay(), evening(), HEIGHT_KM, Some(3.0)).unwrap();
    let overhead = stand.place_of(0.0, HEIGHT_KM, 90.0, 0.5);
    assert!((overhead.magnetic_latitude_deg - stand.latitude_deg).abs() < 1e-9);
    assert!((20.0..24.0).contains(&stand.local_time_h), "{stand:?}");
    let border_deg = overhead.equatorward_of_oval_deg.unwrap() + overhead.magnetic_latitude_deg;
    assert!((60.1..63.1).contains(&border_deg), "{border_deg}");
    // one degree of latitude is 113 km at this height
    let north = stand.place_of(113.1, HEIGHT_KM, 45.0, 0.5);
    assert!((north.magnetic_latitude_deg - overhead.magnetic_latitude_deg - 1.0).abs() < 0.01, "{north:?}");
    assert!(north.sigma_deg > overhead.sigma_deg);
}
