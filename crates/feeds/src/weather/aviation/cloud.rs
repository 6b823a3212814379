//! Cloud groups and what they say about the layers of this program.

use job::CloudCover;
use quantity::Fraction;
use serde::Serialize;

use super::instant::digits;

/// Metres in a foot.
const FOOT_M: f64 = 0.3048;
/// Tops of the low and of the middle layer above ground, m, as in `job::CloudCover`.
const LAYER_TOPS_M: [f64; 2] = [2000.0, 5000.0];

/// How much of the sky a layer covers, together with those below it.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum CloudAmount {
    /// `FEW`.
    Few,
    /// `SCT`.
    Scattered,
    /// `BKN`.
    Broken,
    /// `OVC`.
    Overcast,
}

impl CloudAmount {
    /// Least and most eighths of the sky (WMO No. 306, FM 15).
    pub fn oktas(self) -> (u8, u8) {
        match self {
            Self::Few => (1, 2),
            Self::Scattered => (3, 4),
            Self::Broken => (5, 7),
            Self::Overcast => (8, 8),
        }
    }

    /// Least and most as shares of the sky.
    pub fn range(self) -> (Fraction, Fraction) {
        let (least, most) = self.oktas();
        (Fraction::clamped(f64::from(least) / 8.0), Fraction::clamped(f64::from(most) / 8.0))
    }

    /// The middle of the range: FEW 0.1875, SCT 0.4375, BKN 0.75, OVC 1.
    pub fn middle(self) -> Fraction {
        let (least, most) = self.range();
        Fraction::clamped(f64::midpoint(least.value(), most.value()))
    }
}

/// One layer of cloud.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct CloudLayer {
    /// How much of the sky.
    pub amount: CloudAmount,
    /// Height of its base above the aerodrome, m; `None` where not known.
    pub base_m: Option<f64>,
    /// Cumulonimbus or towering cumulus.
    pub convective: bool,
}

/// The words for no cloud; they differ in what was looked at.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
#[serde(rename_all = "UPPERCASE")]
pub enum ClearWord {
    /// A person: no cloud.
    Skc,
    /// An instrument in the United States: none below 12 000 ft.
    Clr,
    /// An instrument: none detected.
    Ncd,
    /// None that matters to aircraft: below 5000 ft.
    Nsc,
    /// None below 5000 ft, visibility 10 km or more, no weather.
    Cavok,
}

/// What a report says about cloud.
#[derive(Debug, Clone, PartialEq, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum Sky {
    /// An instrument failed: unknown, never clear.
    Unknown,
    /// No cloud in the sense of one of the words.
    Clear(ClearWord),
    /// Layers, as reported from low to high.
    Layers(Vec<CloudLayer>),
    /// The sky cannot be seen for fog, snow or dust.
    Obscured {
        /// How far one sees upwards, m.
        vertical_visibility_m: Option<f64>,
    },
}

impl Sky {
    /// The share of the sky by layer.
    ///
    /// A layer below one that was seen, and not reported itself, is not there; layers above the highest reported are
    /// unknown, because low cloud hides them, instruments do not reach them, and outside North America nothing above
    /// 5000 ft has to be reported. A base that is not known counts as low, where it harms most. An obscured sky is
    /// wholly covered from the ground. For each amount the middle of its range is taken ([`CloudAmount::middle`]).
    /// The words for no cloud speak of low cloud only; `SKC` also makes the total 0, but cirrus unseen by night is
    /// not excluded.
    pub fn cover(&self) -> CloudCover {
        let none = Some(Fraction::clamped(0.0));
        let all = Some(Fraction::clamped(1.0));
        match self {
            Self::Unknown => CloudCover::default(),
            Self::Clear(ClearWord::Skc) => CloudCover { total: none, low: none, ..CloudCover::default() },
            Self::Clear(ClearWord::Clr | ClearWord::Ncd | ClearWord::Nsc | ClearWord::Cavok) => {
                CloudCover { low: none, ..CloudCover::default() }
            }
            Self::Obscured { .. } => CloudCover { total: all, low: all, ..CloudCover::default() },
            Self::Layers(layers) => cover_of(layers),
        }
    }
}

fn cover_of(layers: &[CloudLayer]) -> CloudCover {
    let mut bands: [Option<CloudAmount>; 3] = [None; 3];
    for layer in layers {
        let band = layer.base_m.map_or(0, |base| LAYER_TOPS_M.iter().filter(|top| base >= **top).count());
        bands[band] = bands[band].max(Some(layer.amount));
    }
    let Some(highest) = bands.iter().rposition(Option::is_some) else { return CloudCover::default() };
    let share = |band: usize| match bands[band] {
        Some(amount) => Some(amount.middle()),
        None if band < highest => Some(Fraction::clamped(0.0)),
        None => None,
    };
    let total = bands.iter().flatten().max().map(|amount| amount.middle());
    CloudCover { total, low: share(0), medium: share(1), high: share(2) }
}

/// A cloud group as it stands in a report.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) enum Group {
    Layer(CloudLayer),
    Clear(ClearWord),
    Obscured(Option<f64>),
    Unknown,
}

/// Reads one group.
///
/// An amount with a height that cannot be read (`BKN01`) is still cloud: its base is not known.
pub(super) fn group(text: &str) -> Option<Group> {
    let clear = match text {
        "SKC" => Some(ClearWord::Skc),
        "CLR" => Some(ClearWord::Clr),
        "NCD" => Some(ClearWord::Ncd),
        "NSC" => Some(ClearWord::Nsc),
        "CAVOK" => Some(ClearWord::Cavok),
        _other => None,
    };
    if let Some(word) = clear {
        return Some(Group::Clear(word));
    }
    if let Some(height) = text.strip_prefix("VV") {
        let known = digits::<u16>(height).filter(|_| height.len() == 3);
        return (known.is_some() || height == "///").then(|| Group::Obscured(known.map(hundreds_m)));
    }
    if is_unknown(text) {
        return Some(Group::Unknown);
    }
    let amount = match text.get(..3)? {
        "FEW" => CloudAmount::Few,
        "SCT" => CloudAmount::Scattered,
        "BKN" => CloudAmount::Broken,
        "OVC" => CloudAmount::Overcast,
        _other => return None,
    };
    let rest = text.get(3..)?;
    if rest.len() > 6 || !rest.bytes().all(|b| b.is_ascii_digit() || b == b'/' || b.is_ascii_uppercase()) {
        return None;
    }
    let convective = rest.ends_with("CB") || rest.ends_with("TCU");
    let base_m = rest.get(..3).filter(|_| rest.len() == 3 || !rest.as_bytes()[3].is_ascii_digit());
    Some(Group::Layer(CloudLayer { amount, base_m: base_m.and_then(digits).map(hundreds_m), convective }))
}

/// `//////`, `/////////`, `//////CB`: an instrument that saw nothing it can tell.
fn is_unknown(text: &str) -> bool {
    let slashes = text.bytes().take_while(|b| *b == b'/').count();
    (slashes == 6 || slashes == 9) && matches!(&text[slashes..], "" | "CB" | "TCU")
}

fn hundreds_m(feet: u16) -> f64 {
    f64::from(feet) * 100.0 * FOOT_M
}

#[cfg(test)]
mod tests {
    use super::*;

    fn layers(text: &str) -> CloudCover {
        let layers = text.split(' ').map(|text| match group(text).unwrap() {
            Group::Layer(layer) => layer,
            other => panic!("{other:?}"),
        });
        Sky::Layers(layers.collect()).cover()
    }

    fn shares(cover: CloudCover) -> [Option<f64>; 4] {
        [cover.total, cover.low, cover.medium, cover.high].map(|share| share.map(Fraction::value))
    }

    #[test]
    fn layers_fall_into_bands_and_what_lies_above_is_unknown() {
        assert_eq!(shares(layers("FEW025 SCT060 BKN120")), [Some(0.75), Some(0.4375), Some(0.75), None]);
        assert_eq!(shares(layers("FEW150 BKN210")), [Some(0.75), Some(0.0), Some(0.1875), Some(0.75)]);
        assert_eq!(shares(layers("OVC003")), [Some(1.0), Some(1.0), None, None]);
        assert_eq!(shares(layers("FEW040 BKN///")), [Some(0.75), Some(0.75), None, None]);
    }

    #[test]
    fn a_base_above_2000_m_is_middle_and_above_5000_m_high() {
        // 6500 ft = 1981 m, 6600 ft = 2012 m; 16400 ft = 4999 m, 16500 ft = 5029 m
        assert!(layers("SCT065").medium.is_none() && layers("SCT066").low == Some(Fraction::clamped(0.0)));
        assert!(layers("SCT164").high.is_none() && layers("SCT165").high.is_some());
    }

    #[test]
    fn words_for_no_cloud_speak_of_low_cloud_only() {
        for word in [ClearWord::Clr, ClearWord::Ncd, ClearWord::Nsc, ClearWord::Cavok] {
            assert_eq!(shares(Sky::Clear(word).cover()), [None, Some(0.0), None, None], "{word:?}");
        }
        assert_eq!(shares(Sky::Clear(ClearWord::Skc).cover()), [Some(0.0), Some(0.0), None, None]);
        assert!(Sky::Unknown.cover().is_unknown());
        assert_eq!(shares(Sky::Obscured { vertical_visibility_m: None }.cover()), [Some(1.0), Some(1.0), None, None]);
    }

    #[test]
    fn groups_with_flags_and_faults() {
        let layer = |text| match group(text) {
            Some(Group::Layer(layer)) => layer,
            other => panic!("{text}: {other:?}"),
        };
        assert!(layer("FEW012CB").convective && layer("BKN020TCU").convective && !layer("OVC///").convective);
        assert_eq!(layer("BKN024///").base_m.map(f64::round), Some(732.0));
        for unknown_base in ["BKN01", "SCT20TCU", "FEW///CB", "BKN", "OVC0100"] {
            assert_eq!(layer(unknown_base).base_m, None, "{unknown_base}");
        }
        assert_eq!(group("/////////"), Some(Group::Unknown));
        assert_eq!(group("//////TCU"), Some(Group::Unknown));
        assert_eq!(group("VV///"), Some(Group::Obscured(None)));
        assert_eq!(group("VV001").unwrap(), Group::Obscured(Some(30.48)));
        for other in ["/////", "////", "VV", "FEWER", "fEW020", "é", "SCTé20", "OVC1234567"] {
            assert!(!matches!(group(other), Some(Group::Unknown | Group::Obscured(_))), "{other}");
        }
    }
}
