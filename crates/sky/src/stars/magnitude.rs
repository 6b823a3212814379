//! From the satellite's wide band to Johnson V.

/// Bluest and reddest B - V for which the relation was made.
const COLOUR_RANGE_MAG: (f64, f64) = (-0.3, 2.0);
/// Hp - V of a star of unknown colour: that of B - V 0.5 to 1.3, where most stars lie, within 0.05.
const UNKNOWN_COLOUR_HP_MINUS_V_MAG: f64 = 0.14;

/// V of the four stars that were too bright for the detector, which read Sirius 0.4 mag too faint.
/// Source: Hoffleit & Warren 1991, The Bright Star Catalogue, 5th edition.
const TOO_BRIGHT: [(u32, f64); 4] = [(24_436, 0.12), (30_438, -0.72), (32_349, -1.46), (91_262, 0.03)];

/// Johnson V from the Hipparcos magnitude and the colour B - V.
///
/// Harmanec 1998, *Astronomy & Astrophysics* 335, 173, without its term in U - B (0.005 mag at most). Within 0.02 mag for
/// B - V from -0.2 to 1.4 and up to 0.15 mag for cool giants of class M, which absorb whole bands. Colours outside
/// -0.3 to 2.0 count as those ends.
pub fn v_from_hp(hp_mag: f64, colour_bv_mag: f64) -> f64 {
    let c = colour_bv_mag.clamp(COLOUR_RANGE_MAG.0, COLOUR_RANGE_MAG.1);
    hp_mag - (-0.0072 + c * (0.2964 + c * (-0.1110 - c * 0.0157)))
}

/// V of one star of the catalogue.
pub(super) fn v_mag(hip: u32, hp_mag: f64, colour_bv_mag: Option<f64>) -> f64 {
    match (TOO_BRIGHT.iter().find(|(number, _)| *number == hip), colour_bv_mag) {
        (Some((_, v_mag)), _) => *v_mag,
        (None, Some(colour)) => v_from_hp(hp_mag, colour),
        (None, None) => hp_mag - UNKNOWN_COLOUR_HP_MINUS_V_MAG,
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::stars::catalogue;

    /// The two relations come from different stars; 0.02 mag is what their authors allow each.
    const RELATION_TOLERANCE_MAG: f64 = 0.025;
    /// Two published V of a bright star differ by this much; Hp adds variability over three years.
    const STAR_TOLERANCE_MAG: f64 = 0.05;

    #[test]
    fn the_relation_agrees_with_bessell() {
        // B - V (from BT - VT and its correction) and V - Hp: Bessell 2000, Publ. Astron. Soc. Pac. 112, 961, table 2
        let table =
            [(-0.22, 0.066), (-0.005, -0.011), (0.180, -0.058), (0.420, -0.101), (0.592, -0.127), (0.878, -0.155)];
        for (colour, v_minus_hp) in table {
            let ours = v_from_hp(5.0, colour) - 5.0;
            assert!((ours - v_minus_hp).abs() < RELATION_TOLERANCE_MAG, "at {colour}: {ours} against {v_minus_hp}");
        }
    }

    #[test]
    fn bright_stars_have_the_brightness_people_know() {
        // Hoffleit & Warren 1991
        let known = [
            ("Sirius", -1.46),
            ("Vega", 0.03),
            ("Rigel", 0.12),
            ("Arcturus", -0.04),
            ("Capella", 0.08),
            ("Procyon", 0.38),
            ("Altair", 0.77),
            ("Aldebaran", 0.85),
            ("Pollux", 1.14),
            ("Fomalhaut", 1.16),
            ("Deneb", 1.25),
            ("Polaris", 2.02),
            ("Hamal", 2.00),
        ];
        for (name, v_mag) in known {
            let ours = catalogue().named(name).unwrap().v_mag;
            assert!((ours - v_mag).abs() < STAR_TOLERANCE_MAG, "{name}: {ours} against {v_mag}");
        }
    }
}
