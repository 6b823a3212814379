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

/// The constellations without named stars here, with the middles of their areas: right ascension in hours and declination in degrees,
/// J2000.
///
/// Source: boundaries by E. Delporte 1930, Délimitation scientifique des constellations; their middles from memory.
#[rustfmt::skip]
const UNNAMED: [(&str, f64, f64); 41] = [
    ("Antlia", 10.27, -32.5), ("Apus", 16.14, -75.3), ("Ara", 17.37, -56.6), ("Caelum", 4.70, -37.9),
    ("Camelopardalis", 8.86, 69.4), ("Cancer", 8.65, 19.8), ("Chamaeleon", 10.69, -79.2), ("Circinus", 14.58, -63.0),
    ("Coma Berenices", 12.79, 23.3), ("Corona Australis", 18.65, -41.1), ("Crater", 11.40, -15.9),
    ("Delphinus", 20.69, 11.7), ("Dorado", 5.24, -59.4), ("Equuleus", 21.19, 7.8), ("Fornax", 2.80, -31.6),
    ("Horologium", 3.28, -53.3), ("Hydrus", 2.34, -69.9), ("Indus", 21.97, -59.7), ("Lacerta", 22.46, 46.0),
    ("Leo Minor", 10.25, 32.1), ("Lupus", 15.22, -42.7), ("Lynx", 8.00, 47.5), ("Mensa", 5.42, -77.5),
    ("Microscopium", 20.96, -36.3), ("Monoceros", 7.06, 0.3), ("Musca", 12.59, -70.2), ("Norma", 15.90, -51.4),
    ("Octans", 23.00, -82.2), ("Pictor", 5.71, -53.5), ("Pisces", 0.48, 13.7), ("Pyxis", 8.95, -27.4),
    ("Reticulum", 3.92, -60.0), ("Sagitta", 19.65, 18.9), ("Sculptor", 0.44, -32.1), ("Scutum", 18.67, -9.9),
    ("Sextans", 10.27, -2.6), ("Telescopium", 19.33, -51.0), ("Triangulum", 2.18, 31.5), ("Tucana", 23.78, -65.8),
    ("Volans", 7.80, -69.8), ("Vulpecula", 20.23, 24.4),
];

/// A constellation's name and where it is written: the middle of its named stars, or of its area.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct ConstellationLabel {
    /// IAU name.
    pub(super) name: &'static str,
    /// Right ascension, J2000, degrees, 0 to 360.
    pub(super) right_ascension_deg: f64,
    /// Declination, degrees.
    pub(super) declination_deg: f64,
}

/// Labels of the constellations that have named stars, in order of name.
pub(super) fn constellation_labels() -> Vec<ConstellationLabel> {
    NAMED.iter().filter_map(|(name, stars)| label(name, stars)).collect()
}

/// Labels of the others, in order of name: faint ones, that need not stand where a star's name does.
pub(super) fn faint_constellation_labels() -> Vec<ConstellationLabel> {
    let label = |(name, hours, declination_deg): &(&'static str, f64, f64)| ConstellationLabel {
        name,
        right_ascension_deg: 15.0 * hours,
        declination_deg: *declination_deg,
    };
    UNNAMED.iter().map(label).collect()
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

    /// The IAU has 88 constellations (Transactions of the IAU 1, 158, 1922).
    #[test]
    fn all_constellations_have_one_label_and_none_lies_on_another() {
        const IAU: usize = 88;
        /// Equuleus and Delphinus lie nearest to each other.
        const APART_DEG: f64 = 4.0;
        let labels: Vec<ConstellationLabel> =
            constellation_labels().into_iter().chain(faint_constellation_labels()).collect();
        let mut names: Vec<&str> = labels.iter().map(|label| label.name).collect();
        names.sort_unstable();
        names.dedup();
        assert_eq!((labels.len(), names.len()), (IAU, IAU));
        for (place, one) in labels.iter().enumerate() {
            for other in &labels[place + 1..] {
                let (a, b) = (one.declination_deg.to_radians(), other.declination_deg.to_radians());
                let turn = (one.right_ascension_deg - other.right_ascension_deg).to_radians();
                let cos = a.sin() * b.sin() + a.cos() * b.cos() * turn.cos();
                let apart_deg = cos.clamp(-1.0, 1.0).acos().to_degrees();
                assert!(apart_deg > APART_DEG, "{} and {}: {apart_deg:.1} degrees", one.name, other.name);
            }
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
