//! What people call the bright stars.

/// Proper names by HIP number, in order of number.
///
/// Source: IAU Catalog of Star Names (Working Group on Star Names). Each number was checked against the position of the
/// star of that name; a test repeats the check.
#[rustfmt::skip]
pub(super) const NAMES: [(u32, &str); 121] = [
    (677, "Alpheratz"), (746, "Caph"), (2081, "Ankaa"), (3179, "Schedar"),
    (3419, "Diphda"), (5447, "Mirach"), (6686, "Ruchbah"), (7588, "Achernar"),
    (8886, "Segin"), (8903, "Sheratan"), (9640, "Almach"), (9884, "Hamal"),
    (10826, "Mira"), (11767, "Polaris"), (14135, "Menkar"), (14576, "Algol"),
    (15863, "Mirfak"), (17702, "Alcyone"), (21421, "Aldebaran"), (23015, "Hassaleh"),
    (23875, "Cursa"), (24436, "Rigel"), (24608, "Capella"), (25336, "Bellatrix"),
    (25428, "Elnath"), (25606, "Nihal"), (25930, "Mintaka"), (25985, "Arneb"),
    (26311, "Alnilam"), (26634, "Phact"), (26727, "Alnitak"), (27366, "Saiph"),
    (27989, "Betelgeuse"), (28360, "Menkalinan"), (30324, "Mirzam"), (30438, "Canopus"),
    (31681, "Alhena"), (32349, "Sirius"), (33579, "Adhara"), (34444, "Wezen"),
    (35904, "Aludra"), (36850, "Castor"), (37279, "Procyon"), (37826, "Pollux"),
    (39429, "Naos"), (41037, "Avior"), (42913, "Alsephina"), (44816, "Suhail"),
    (45238, "Miaplacidus"), (45556, "Aspidiske"), (45941, "Markeb"), (46390, "Alphard"),
    (49669, "Regulus"), (50583, "Algieba"), (53910, "Merak"), (54061, "Dubhe"),
    (57632, "Denebola"), (58001, "Phecda"), (59747, "Imai"), (59774, "Megrez"),
    (59803, "Gienah"), (60718, "Acrux"), (61084, "Gacrux"), (61359, "Kraz"),
    (61941, "Porrima"), (62434, "Mimosa"), (62956, "Alioth"), (63125, "Cor Caroli"),
    (63608, "Vindemiatrix"), (65378, "Mizar"), (65474, "Spica"), (65477, "Alcor"),
    (67301, "Alkaid"), (68702, "Hadar"), (68756, "Thuban"), (68933, "Menkent"),
    (69673, "Arcturus"), (70890, "Proxima Centauri"), (71681, "Toliman"), (71683, "Rigil Kentaurus"),
    (72105, "Izar"), (72607, "Kochab"), (72622, "Zubenelgenubi"), (74785, "Zubeneschamali"),
    (75097, "Pherkad"), (76267, "Alphecca"), (77070, "Unukalhai"), (78401, "Dschubba"),
    (78820, "Acrab"), (80763, "Antares"), (80816, "Kornephoros"), (82273, "Atria"),
    (84012, "Sabik"), (84345, "Rasalgethi"), (85670, "Rastaban"), (85927, "Shaula"),
    (86032, "Rasalhague"), (86228, "Sargas"), (87833, "Eltanin"), (87937, "Barnard's Star"),
    (90185, "Kaus Australis"), (91262, "Vega"), (92855, "Nunki"), (93506, "Ascella"),
    (95947, "Albireo"), (97278, "Tarazed"), (97649, "Altair"), (100453, "Sadr"),
    (100751, "Peacock"), (102098, "Deneb"), (105199, "Alderamin"), (106278, "Sadalsuud"),
    (107315, "Enif"), (107556, "Deneb Algedi"), (109074, "Sadalmelik"), (109268, "Alnair"),
    (112122, "Tiaki"), (113368, "Fomalhaut"), (113881, "Scheat"), (113963, "Markab"),
    (116727, "Errai"),
];

/// Name of a star, if it has one here.
pub(super) fn name_of(hip: u32) -> Option<&'static str> {
    NAMES.binary_search_by_key(&hip, |(number, _)| *number).ok().map(|index| NAMES[index].1)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::stars::catalogue;

    /// Half a minute of right ascension and the rounding of the list.
    const POSITION_TOLERANCE_DEG: f64 = 0.05;

    /// Name, right ascension in hours, declination in degrees, J2000, from general knowledge of the sky.
    #[rustfmt::skip]
    const PLACES: [(&str, f64, f64); 121] = [
        ("Sirius", 6.752, -16.72), ("Canopus", 6.399, -52.70), ("Rigil Kentaurus", 14.660, -60.83),
        ("Arcturus", 14.261, 19.18), ("Vega", 18.616, 38.78), ("Capella", 5.278, 46.00),
        ("Rigel", 5.242, -8.20), ("Procyon", 7.655, 5.22), ("Achernar", 1.629, -57.24),
        ("Betelgeuse", 5.919, 7.41), ("Hadar", 14.064, -60.37), ("Altair", 19.846, 8.87),
        ("Acrux", 12.443, -63.10), ("Aldebaran", 4.599, 16.51), ("Antares", 16.490, -26.43),
        ("Spica", 13.420, -11.16), ("Pollux", 7.755, 28.03), ("Fomalhaut", 22.961, -29.62),
        ("Deneb", 20.690, 45.28), ("Mimosa", 12.795, -59.69), ("Toliman", 14.660, -60.84),
        ("Regulus", 10.139, 11.97), ("Adhara", 6.977, -28.97), ("Shaula", 17.560, -37.10),
        ("Castor", 7.577, 31.89), ("Gacrux", 12.519, -57.11), ("Bellatrix", 5.419, 6.35),
        ("Elnath", 5.438, 28.61), ("Miaplacidus", 9.220, -69.72), ("Alnilam", 5.604, -1.20),
        ("Alnair", 22.137, -46.96), ("Alnitak", 5.679, -1.94), ("Alioth", 12.900, 55.96),
        ("Dubhe", 11.062, 61.75), ("Mirfak", 3.405, 49.86), ("Wezen", 7.140, -26.39),
        ("Sargas", 17.622, -43.00), ("Kaus Australis", 18.403, -34.38), ("Avior", 8.375, -59.51),
        ("Alkaid", 13.792, 49.31), ("Menkalinan", 5.992, 44.95), ("Atria", 16.811, -69.03),
        ("Alhena", 6.629, 16.40), ("Peacock", 20.427, -56.74), ("Alsephina", 8.745, -54.71),
        ("Mirzam", 6.378, -17.96), ("Alphard", 9.460, -8.66), ("Polaris", 2.530, 89.26),
        ("Hamal", 2.120, 23.46), ("Algieba", 10.333, 19.84), ("Diphda", 0.726, -17.99),
        ("Nunki", 18.921, -26.30), ("Menkent", 14.111, -36.37), ("Alpheratz", 0.140, 29.09),
        ("Mirach", 1.162, 35.62), ("Saiph", 5.796, -9.67), ("Kochab", 14.845, 74.16),
        ("Tiaki", 22.711, -46.88), ("Rasalhague", 17.582, 12.56), ("Algol", 3.136, 40.96),
        ("Almach", 2.065, 42.33), ("Denebola", 11.818, 14.57), ("Naos", 8.060, -40.00),
        ("Aspidiske", 9.285, -59.28), ("Suhail", 9.133, -43.43), ("Alphecca", 15.578, 26.71),
        ("Mizar", 13.399, 54.93), ("Sadr", 20.371, 40.26), ("Schedar", 0.675, 56.54),
        ("Eltanin", 17.943, 51.49), ("Mintaka", 5.533, -0.30), ("Caph", 0.153, 59.15),
        ("Merak", 11.031, 56.38), ("Izar", 14.750, 27.07), ("Dschubba", 16.006, -22.62),
        ("Ankaa", 0.438, -42.31), ("Enif", 21.736, 9.88), ("Scheat", 23.063, 28.08),
        ("Sabik", 17.173, -15.72), ("Phecda", 11.897, 53.69), ("Aludra", 7.402, -29.30),
        ("Alderamin", 21.310, 62.59), ("Markeb", 9.369, -55.01), ("Markab", 23.079, 15.21),
        ("Menkar", 3.038, 4.09), ("Zubeneschamali", 15.283, -9.38), ("Zubenelgenubi", 14.848, -16.04),
        ("Unukalhai", 15.738, 6.43), ("Sheratan", 1.911, 20.81), ("Ruchbah", 1.430, 60.24),
        ("Arneb", 5.546, -17.82), ("Megrez", 12.257, 57.03), ("Alcyone", 3.791, 24.11),
        ("Mira", 2.322, -2.98), ("Albireo", 19.512, 27.96), ("Thuban", 14.073, 64.38),
        ("Porrima", 12.694, -1.45), ("Vindemiatrix", 13.036, 10.96), ("Cor Caroli", 12.934, 38.32),
        ("Segin", 1.907, 63.67), ("Pherkad", 15.345, 71.83), ("Errai", 23.656, 77.63),
        ("Rastaban", 17.507, 52.30), ("Ascella", 19.044, -29.88), ("Nihal", 5.471, -20.76),
        ("Phact", 5.661, -34.07), ("Gienah", 12.263, -17.54), ("Kraz", 12.573, -23.40),
        ("Acrab", 16.091, -19.81), ("Rasalgethi", 17.244, 14.39), ("Kornephoros", 16.504, 21.49),
        ("Tarazed", 19.771, 10.61), ("Sadalsuud", 21.526, -5.57), ("Sadalmelik", 22.096, -0.32),
        ("Deneb Algedi", 21.784, -16.13), ("Imai", 12.252, -58.75), ("Cursa", 5.131, -5.09),
        ("Hassaleh", 4.950, 33.17), ("Alcor", 13.420, 54.99), ("Barnard's Star", 17.963, 4.69),
        ("Proxima Centauri", 14.495, -62.68),
    ];

    #[test]
    fn the_numbers_are_in_order_and_in_the_catalogue() {
        assert!(NAMES.windows(2).all(|pair| pair[0].0 < pair[1].0));
        assert!(NAMES.iter().all(|(hip, _)| catalogue().star(*hip).is_some()));
    }

    #[test]
    fn each_name_belongs_to_the_star_at_its_place() {
        for (name, ra_h, dec_deg) in PLACES {
            let star = catalogue().named(name).unwrap_or_else(|| panic!("{name} is missing"));
            let across_deg = (star.right_ascension_deg - ra_h * 15.0) * dec_deg.to_radians().cos();
            let miss_deg = across_deg.hypot(star.declination_deg - dec_deg);
            assert!(miss_deg < POSITION_TOLERANCE_DEG, "{name} is {miss_deg} deg off");
        }
    }
}
