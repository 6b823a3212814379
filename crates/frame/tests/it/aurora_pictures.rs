//! Real pictures, where somebody keeps them at hand: labels are one person's judgement, by eye.

use frame::{
    AuroraContext, AuroraFinding, AuroraPresence, Frame, LightMap, Limits, StarSearch, StarsSeen, find_aurora,
    find_stars, open,
};
use optics::{Channel, Exposure, mid_grey_luminance_cd_m2};

use crate::pictures::picture;

/// By the settings: mid-grey of a developed picture is 0.18 of white (ISO 12232).
fn luminance_cd_m2(frame: &Frame, map: &LightMap) -> Option<f64> {
    let settings = &frame.metadata;
    let exposure = Exposure { seconds: settings.exposure_s?, iso: settings.iso?, f_number: settings.f_number? };
    let all = vec![true; map.columns * map.rows];
    Some(mid_grey_luminance_cd_m2(exposure) * map.green()?.quantile(&all, 0.5)? / 0.18)
}

/// Twenty alike, with the profile of a lens, are sure.
fn stars_seen(frame: &Frame) -> StarsSeen {
    let field = find_stars(&frame.plane(Channel::Green).unwrap(), &StarSearch::default());
    match field.typical.map(|typical| typical.hfd_px / typical.fwhm_px) {
        Some(profile) if field.stars.len() >= 20 && (0.82..1.8).contains(&profile) => StarsSeen::Sure,
        _ if field.stars.is_empty() => StarsSeen::None,
        _ => StarsSeen::Doubtful,
    }
}

/// Judges a picture with what it says of itself.
fn judged(name: &str, filter_nm: Option<f64>) -> Option<AuroraFinding> {
    let frame = open(&picture(name)?, &Limits::default()).unwrap();
    let map = LightMap::of(&frame).unwrap();
    let context = AuroraContext {
        stars: stars_seen(&frame),
        luminance_cd_m2: luminance_cd_m2(&frame, &map),
        is_linear: frame.linearity.is_linear(),
        neutral: frame.neutral,
        exposure_s: frame.metadata.exposure_s,
        filter_nm,
        ..AuroraContext::default()
    };
    Some(find_aurora(&map, &context))
}

#[test]
fn photographs_of_aurora_are_called_so() {
    for name in [
        "aurora_photo/Fig11_RAGDA_DonnaLach.jpg",
        "aurora_photo/Fig13b_AuroraNLC_Eero_Karvinen.jpg",
        "aurora_photo/Fig7b_SAR-LesLadbrook.jpg",
        "allsky_colour/20211030_060500_149606_gill_rgb-04_320ms_burst.png",
        "allsky_colour/LYR-Sony-111220_200933.jpg",
    ] {
        let Some(finding) = judged(name, None) else { continue };
        assert_eq!(finding.presence, AuroraPresence::Yes, "{name}: {:?}", finding.evidence);
    }
}

#[test]
fn a_filter_makes_the_bands_of_a_grey_camera_sure() {
    for (name, nm) in [
        ("allsky_mono/PKR_DASC_0558_20151007_082351.743.FITS", 557.7),
        ("allsky_mono/PKR_DASC_0428_20151007_082355.961.FITS", 427.8),
    ] {
        let Some(finding) = judged(name, Some(nm)) else { continue };
        assert_eq!(finding.presence, AuroraPresence::Yes, "{name}: {:?}", finding.evidence);
    }
}

#[test]
fn no_other_picture_is_called_aurora() {
    for name in [
        "reject/EveningGlow_2560x1600.jpg",
        "reject/Kite_2560x1600.jpg",
        "reject/Storm.jpg",
        "reject/sunset_by_Aitzol_Berasategi.jpg",
        "trick_art/Ubuntu-Mate-Warm-no-logo.png",
        "allsky_colour/LYR-Sony-20241113_230000.jpg",
        "allsky_colour/LYR-Sony-20241229_203300.jpg",
        "allsky_mono/20140310_0600_gill_themis19_full.pgm.gz",
        "starfield/20180817_0055.fits",
        "starfield/starry.fits",
        "starfield/orion_belt.jpg",
        "starfield/orion_trees.jpg",
        "starfield/pleiades.jpg",
        "starfield/jan1_g90_e100ms.jpg",
        "starfield/img_00000.bmp",
        "starfield/2019-07-29T204726_Alt40_Azi-135_Try1.tiff",
        "starfield/2019-07-29T204726_Alt40_Azi45_Try1.tiff",
        "raw_exif/landscape_6.jpg",
        "raw_exif/portrait_8.jpg",
        "raw_exif/30-type_error.jpg",
        "raw_exif/45-gps_ifd.jpg",
        "raw_exif/DSCN0010.jpg",
        "raw_exif/DSCN0042.jpg",
        "raw_exif/Nikon_D70.jpg",
        "raw_exif/Canon_40D.jpg",
        "raw_exif/empty_gps.jpg",
        "raw_exif/cheers_1440x960.heic",
        "raw_exif/exif-one-entry.heic",
        "raw_exif/tif.tif",
        "corrupt/exiv2-empty.jpg",
        "corrupt/image01551.jpg",
        "corrupt/issue_1918_poc1.jpg",
        "corrupt/hopper_bad_exif.jpg",
    ] {
        let Some(finding) = judged(name, None) else { continue };
        println!("{name}: {:?} {:.2}", finding.presence, finding.probability);
        assert_ne!(finding.presence, AuroraPresence::Yes, "{name}: {:?}", finding.evidence);
    }
}
