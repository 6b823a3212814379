//! Where the names of constellations are written.

use sky::catalogue;

/// Constellations with named stars, by their IAU names, each with its stars that have names here.
///
/// Source: IAU Catalog of Star Names (Working Group on Star Names), which gives the constellation of each star; from memory. No
/// figures: only where a name is best written.
#[rustfmt::skip]
const NAMED: [(&str, &[&str]); 47] = [
    ("Andromeda", &["Alpheratz", "Mirach", "Almach"]), ("Aquarius", &["Sadalsuud", "Sadalmelik"]),
    ("Aquila", &["Altair", "Tarazed"]), ("Aries", &["Hamal", "Sheratan"]), ("Auriga", &["Capella", "Menkalinan", "Hassaleh"]),
    ("Boötes", &["Arcturus", "Izar"]), ("Canes Venatici", &["Cor Caroli"]),
    ("Canis Major", &["Sirius", "Mirzam", "Adhara", "Wezen", "Aludra"]), ("Canis Minor", &["Procyon"]),
    ("Capricornus", &["Deneb Algedi"]), ("Carina", &["Canopus", "Avior", "Miaplacidus", "Aspidiske"]),
    ("Cassiopeia", &["Caph", "Schedar", "Ruchbah", "Segin"]), ("Centaurus", &["Hadar", "Menkent", "Rigil Kentaurus"]),
    ("Cepheus", &["Alderamin", "Errai"]), ("Cetus", &["Diphda", "Menkar", "Mira"]), ("Columba", &["Phact"]),
    ("Corona Borealis", &["Alphecca"]), ("Corvus", &["Gienah", "Kraz"]), ("Crux", &["Acrux", "Gacrux", "Mimosa", "Imai"]),
    ("Cygnus", &["Deneb", "Sadr", "Albireo"]), ("Draco", &["Eltanin", "Rastaban", "Thuban"]),
    ("Eridanus", &["Achernar", "Cursa"]), ("Gemini", &["Castor", "Pollux", "Alhena"]), ("Grus", &["Alnair", "Tiaki"]),
    ("Hercules", &["Kornephoros", "Rasalgethi"]), ("Hydra", &["Alphard"]), ("Leo", &["Regulus", "Algieba", "Denebola"]),
    ("Lepus", &["Arneb", "Nihal"]), ("Libra", &["Zubenelgenubi", "Zubeneschamali"]), ("Lyra", &["Vega"]),
    ("Ophiuchus", &["Rasalhague", "Sabik"]),
    ("Orion", &["Rigel", "Betelgeuse", "Bellatrix", "Mintaka", "Alnilam", "Alnitak", "Saiph"]), ("Pavo", &["Peacock"]),
    ("Pegasus", &["Markab", "Scheat", "Enif"]), ("Perseus", &["Mirfak", "Algol"]), ("Phoenix", &["Ankaa"]),
    ("Piscis Austrinus", &["Fomalhaut"]), ("Puppis", &["Naos"]),
    ("Sagittarius", &["Kaus Australis", "Nunki", "Ascella"]),
    ("Scorpius", &["Antares", "Shaula", "Sargas", "Dschubba", "Acrab"]), ("Serpens", &["Unukalhai"]),
    ("Taurus", &["Aldebaran", "Alcyone", "Elnath"]), ("Triangulum Australe", &["Atria"]),
    ("Ursa Major", &["Dubhe", "Merak", "Phecda", "Megrez", "Alioth", "Mizar", "Alkaid"]),
    ("Ursa Minor", &["Polaris", "Kochab", "Pherkad"]), ("Vela", &["Suhail", "Alsephina", "Markeb"]),
    ("Virgo", &["Spica", "Porrima", "Vindemiatrix"]),
];

/// A constellation's name and where it is written: the middle of its named stars.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct ConstellationLabel {
    /// IAU name.
    pub(super) name: &'static str,
    /// Right ascension, J2000, degrees, 0 to 360.
    pub(super) right_ascension_deg: f64,
    /// Declination, degrees.
    pub(super) declination_deg: f64,
}

/// Labels of the constellations that have named stars, in order of name; the others are left out.
pub(super) fn constellation_labels() -> Vec<ConstellationLabel> {
    NAMED.iter().filter_map(|(name, stars)| label(name, stars)).collect()
}

fn label(name: &'static str, stars: &[&str]) -> Option<ConstellationLabel> {
    let mut sum = [0.0; 3];
    for star in stars.iter().filter_map(|star| catalogue().named(star)) {
        let (sin_ra, cos_ra) = star.right_ascension_deg.to_radians().sin_cos();
        let (sin_dec, cos_dec) = star.declination_deg.to_radians().sin_cos();
        for (sum, part) in sum.iter_mut().zip([cos_dec * cos_ra, cos_dec * sin_ra, sin_dec]) {
            *sum += part;
        }
    }
    let [x, y, z] = sum;
    (x.hypot(y).hypot(z) > 0.0).then(|| ConstellationLabel {
        name,
        right_ascension_deg: y.atan2(x).to_degrees().rem_euclid(360.0),
        declination_deg: z.atan2(x.hypot(y)).to_degrees(),
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Rounded middles of constellations (from memory of the IAU's charts): a label may be off by the half of a large one.
    #[test]
    fn names_are_written_where_charts_write_them() {
        const HALF_A_CONSTELLATION_DEG: f64 = 12.0;
        let labels = constellation_labels();
        for (name, ra_deg, dec_deg) in [
            ("Orion", 84.0_f64, 3.0_f64),
            ("Ursa Major", 190.0, 56.0),
            ("Cassiopeia", 15.0, 60.0),
            ("Cygnus", 309.0, 40.0),
            ("Crux", 187.0, -60.0),
            ("Scorpius", 253.0, -30.0),
            ("Leo", 160.0, 15.0),
        ] {
            let label = labels.iter().find(|label| label.name == name).unwrap();
            let across = (label.right_ascension_deg - ra_deg) * f64::to_radians(dec_deg).cos();
            let apart = across.hypot(label.declination_deg - dec_deg);
            assert!(apart < HALF_A_CONSTELLATION_DEG, "{name}: {apart:.1} degrees off");
        }
    }

    #[test]
    fn every_star_named_here_is_in_the_catalogue_and_near_its_fellows() {
        // the widest with named stars, Eridanus, spans 70 degrees
        const WIDEST_DEG: f64 = 45.0;
        for (name, stars) in NAMED {
            let Some(label) = label(name, stars) else { continue };
            for star in stars {
                let star = catalogue().named(star).unwrap_or_else(|| panic!("{star} is not in the catalogue"));
                let (a, b) = (label.declination_deg.to_radians(), star.declination_deg.to_radians());
                let turn = (label.right_ascension_deg - star.right_ascension_deg).to_radians();
                let apart = (a.sin() * b.sin() + a.cos() * b.cos() * turn.cos()).clamp(-1.0, 1.0).acos().to_degrees();
                assert!(apart < WIDEST_DEG, "{name}: {} is {apart:.0} degrees off", star.hip);
            }
        }
    }
}
