//! Single published numbers, one or two to a formula, that the tables do not hold.

use optics::{
    Camera, ContrastRange, Exposure, EyeBackground, Lens, Pointing, Projection, ReadNoise, Sensor, Shot,
    adaptation_log10_elevation, contrast_threshold, luminance_per_kr, mesopic, radiance_per_kr_w_m2_sr,
    sky_luminance_cd_m2, visible_threshold,
};
use quantity::LineBrightness;

/// Luminances printed with three or four digits, from 1 nm tables; ours come from 5 nm.
const PRINTED_LUMINANCE: f64 = 5e-3;
/// The same below 400 nm and above 630 nm, where sensitivity falls by a tenth each nanometre.
const STEEP_LUMINANCE: f64 = 1e-2;
/// Radiances printed with five digits.
const PRINTED_RADIANCE: f64 = 2e-5;
/// Mesopic luminances and cone shares printed with two to four digits: half a unit of 0.0092.
const PRINTED_MESOPIC: f64 = 6e-3;
/// The contrast limits are printed with three digits; a patch of finite size adds 0.3 % at the size used below.
const PRINTED_CONTRAST_LIMIT: f64 = 5e-3;
/// People differ by this many decades in the classical curves, and the light before the dark matters as much.
const ADAPTATION_DECADES: f64 = 0.42;

#[test]
fn luminance_of_a_rayleigh_at_eight_lines() {
    // From the definition of the rayleigh (Hunten, Roach & Chamberlain 1956) and CIE V, V': radiance, photopic, scotopic per R.
    for (nm, radiance, photopic, scotopic) in [
        (391.4, 4.0387e-10, 3.90e-11, 1.852e-9),
        (427.8, 3.6951e-10, 2.421e-9, 1.0938e-7),
        (470.9, 3.3569e-10, 2.167e-8, 3.9141e-7),
        (486.1, 3.2519e-10, 3.930e-8, 4.7716e-7),
        (557.7, 2.8344e-10, 1.9333e-7, 1.7407e-7),
        (589.3, 2.6824e-10, 1.4025e-7, 3.1265e-8),
        (630.0, 2.5091e-10, 4.5414e-8, 1.4226e-9),
        (636.4, 2.4839e-10, 3.4726e-8, 8.43e-10),
    ] {
        let got = luminance_per_kr(nm);
        let tolerance = if (400.0..=630.0).contains(&nm) { PRINTED_LUMINANCE } else { STEEP_LUMINANCE };
        let off = [
            (radiance_per_kr_w_m2_sr(nm) * 1e-3 / radiance - 1.0) * tolerance / PRINTED_RADIANCE,
            got.photopic_cd_m2 * 1e-3 / photopic - 1.0,
            got.scotopic_cd_m2 * 1e-3 / scotopic - 1.0,
        ];
        assert!(off.iter().all(|error| error.abs() < tolerance), "{nm} nm: {off:?}");
    }
}

#[test]
fn a_boundless_patch_is_seen_at_the_contrast_limit() {
    // Crumey (2014), C_inf. The formula approaches it as the 0.6th power of the size, so go by extrapolation from two sizes:
    // C^0.6 = C_inf^0.6 + k / A^0.6 is straight in A^-0.6.
    for (mag, limit) in [(22.0, 0.0596), (21.0, 0.0459), (18.0, 0.0194)] {
        let power = |patch_deg2: f64| {
            contrast_threshold(ContrastRange::Scotopic, sky_luminance_cd_m2(mag), patch_deg2).powf(0.6)
        };
        let share = 10f64.powf(-0.6);
        let at_infinity = ((power(10_000.0) - share * power(1000.0)) / (1.0 - share)).powf(1.0 / 0.6);
        assert!((at_infinity / limit - 1.0).abs() < PRINTED_CONTRAST_LIMIT, "{mag} mag: {at_infinity}");
    }
}

#[test]
fn mesopic_examples_of_the_standard() {
    for (photopic, ratio, luminance, share) in
        [(0.01, 0.9, 0.0092, 0.088), (0.1, 0.9, 0.0965, 0.4285), (1.0, 0.9, 0.989, 0.765), (0.1, 2.05, 0.1324, 0.474)]
    {
        let got = mesopic(photopic, photopic * ratio);
        assert!((got.luminance_cd_m2 / luminance - 1.0).abs() < PRINTED_MESOPIC, "{got:?}");
        assert!((got.cone_share / share - 1.0).abs() < PRINTED_MESOPIC, "{got:?}");
    }
}

#[test]
fn dark_adaptation_passes_the_points_of_the_classical_curve() {
    // After Hecht, Haig & Chase (1937): one decade left at 15 minutes, 0.3 at 25, done between 30 and 45.
    for (minutes, decades) in [(15.0, 1.0), (25.0, 0.3), (45.0, 0.0)] {
        let got = adaptation_log10_elevation(minutes);
        assert!((got - decades).abs() < ADAPTATION_DECADES, "{minutes} min: {got}");
    }
    // The rods gain 0.24 decades a minute after the break (Lamb & Pugh 2004).
    let rate = adaptation_log10_elevation(9.0) - adaptation_log10_elevation(10.0);
    assert!((rate - 0.24).abs() < 0.005, "{rate}");
}

#[test]
fn twice_the_light_is_twice_as_far_above_threshold() {
    let threshold = visible_threshold(EyeBackground::from_sky_magnitude(21.0), 10.0, 2.0);
    let light = LineBrightness { blue_4278_kr: 0.4, green_5577_kr: 3.0, red_6300_kr: 1.5 };
    let (one, two) = (threshold.visibility(&light), threshold.visibility(&light.scaled(2.0)));
    assert!((two.rods / one.rods - 2.0).abs() < 1e-12 && (two.cones / one.cones - 2.0).abs() < 1e-12);
}

#[test]
fn straight_behind_a_fisheye_is_no_pixel() {
    let north = Pointing { azimuth_deg: 0.0, altitude_deg: 0.0, roll_deg: 0.0 };
    for projection in Projection::ALL {
        let view = Camera::centred(projection, 8.0, 6.0, [6000, 4000], north).view();
        assert_eq!(view.pixel_of_vector([0.0, -1.0, 0.0]), None, "{projection:?}");
        assert_eq!(view.pixel_of_vector([0.0, 1.0, 0.0]), Some([2999.5, 1999.5]), "{projection:?}");
    }
}

#[test]
fn settings_that_cannot_be_collect_nothing_and_are_refused() {
    let whole = Sensor::generic_full_frame();
    let read_noise = ReadNoise { low_iso_e: 0.0, high_iso_e: 0.0, crossover_iso: 0.0 };
    let nothing = Sensor { base_iso: 0.0, full_well_e: 0.0, pixel_um: 0.0, dark_current_e_s: 0.0, read_noise, ..whole };
    let lens = Lens {
        f_number: 2.8,
        focal_mm: 14.0,
        transmission: 0.9,
        projection: Projection::Equisolid,
        corner_loss_stops: 1.0,
    };
    let light = LineBrightness { blue_4278_kr: 0.0, green_5577_kr: 10.0, red_6300_kr: 1.0 };
    for sensor in [&nothing, &Sensor::generic_full_frame()] {
        for [seconds, iso, f_number] in [[0.0; 3], [1.0, 0.0, 0.0], [f64::NAN, f64::NAN, f64::NAN], [1.0, 100.0, -0.0]]
        {
            let shot = Shot { sensor, lens: &lens, exposure: Exposure { seconds, iso, f_number } };
            assert!(shot.check().is_err());
            let electrons = shot.line_electrons(&light);
            assert!(electrons.iter().all(|e| e.abs() < f64::EPSILON), "{electrons:?}");
            assert!(shot.snr(electrons[1], 0.0, 1).abs() < f64::EPSILON);
            assert!(!shot.saturation_e().is_nan());
        }
    }
}
