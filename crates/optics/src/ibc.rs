use serde::{Deserialize, Serialize};

/// International Brightness Coefficient of an aurora, by its 557.7 nm brightness.
///
/// I is 1 kR, II 10, III 100, IV 1000. A brightness within a factor 1.78 (a quarter of a decade) of a class belongs to
/// it; between the classes it is named by both.
///
/// # Source
///
/// Seaton (1954), Hunten (1955), as given by Chamberlain, *Physics of the Aurora and Airglow* (1961).
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Ibc {
    /// Fainter than class I.
    BelowOne,
    /// About 1 kR.
    One,
    /// Between I and II.
    OneToTwo,
    /// About 10 kR.
    Two,
    /// Between II and III.
    TwoToThree,
    /// About 100 kR.
    Three,
    /// Between III and IV.
    ThreeToFour,
    /// About 1000 kR and more.
    Four,
}

/// The class of a 557.7 nm brightness in kR. Not a number counts as none.
pub fn ibc(green_5577_kr: f64) -> Ibc {
    /// Upper ends, kR: a quarter of a decade each side of 1, 10, 100, 1000.
    const UPPER_KR: [(f64, Ibc); 7] = [
        (0.562_341, Ibc::BelowOne),
        (1.778_279, Ibc::One),
        (5.623_413, Ibc::OneToTwo),
        (17.782_794, Ibc::Two),
        (56.234_133, Ibc::TwoToThree),
        (177.827_941, Ibc::Three),
        (562.341_325, Ibc::ThreeToFour),
    ];
    if green_5577_kr.is_nan() {
        return Ibc::BelowOne;
    }
    UPPER_KR.iter().find(|(upper_kr, _)| green_5577_kr < *upper_kr).map_or(Ibc::Four, |(_, class)| *class)
}

impl Ibc {
    /// The class as it is written: "I", "I-II", "below I".
    pub fn label(self) -> &'static str {
        match self {
            Self::BelowOne => "below I",
            Self::One => "I",
            Self::OneToTwo => "I-II",
            Self::Two => "II",
            Self::TwoToThree => "II-III",
            Self::Three => "III",
            Self::ThreeToFour => "III-IV",
            Self::Four => "IV",
        }
    }

    /// What it looks like to a dark-adapted person, in plain words.
    pub fn plain_words(self) -> &'static str {
        match self {
            Self::BelowOne => "hard or impossible to see by eye; a camera may show it",
            Self::One => "about as bright as the Milky Way, grey",
            Self::OneToTwo => "easily seen, grey or barely tinted",
            Self::Two => "like thin cloud in moonlight, a hint of green",
            Self::TwoToThree => "bright, green begins to show",
            Self::Three => "like bright cloud in moonlight, colour plain",
            Self::ThreeToFour => "brilliant, colours plain, the ground begins to light up",
            Self::Four => "lights the ground and casts shadows",
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn each_class_is_named_at_its_own_brightness_and_between() {
        let labels = [0.0, 0.3, 1.0, 3.0, 10.0, 30.0, 100.0, 300.0, 1000.0, 1e6].map(|kr| ibc(kr).label());
        assert_eq!(labels, ["below I", "below I", "I", "I-II", "II", "II-III", "III", "III-IV", "IV", "IV"]);
        assert_eq!(ibc(f64::NAN), Ibc::BelowOne);
        assert_eq!(ibc(f64::INFINITY), Ibc::Four);
    }
}
