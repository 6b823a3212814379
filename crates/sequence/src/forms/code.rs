//! The code of the International Auroral Atlas (IUGG 1963), as observers' manuals give it.

use std::fmt;

use serde::{Deserialize, Serialize};

macro_rules! letters {
    ($(#[$about:meta])* $name:ident { $($(#[$doc:meta])* $item:ident = $letter:literal),+ $(,)? }) => {
        $(#[$about])*
        #[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
        pub enum $name { $($(#[$doc])* $item),+ }
        impl fmt::Display for $name {
            fn fmt(&self, out: &mut fmt::Formatter<'_>) -> fmt::Result {
                out.write_str(match self { $(Self::$item => $letter),+ })
            }
        }
    };
}

letters! {
    /// How a form changes; only a stretch of time can tell.
    AtlasCondition {
        /// Quiet.
        Quiet = "q",
        /// Folds move along the band.
        FoldsMove = "a1",
        /// The lower border changes fast.
        BorderChanges = "a2",
        /// Rays move fast sideways.
        RaysMove = "a3",
        /// Forms fade and others replace them.
        FormsReplaced = "a4",
        /// Pulsating.
        Pulsating = "p1",
        /// Flaming.
        Flaming = "p2",
        /// Flickering.
        Flickering = "p3",
        /// Streaming.
        Streaming = "p4",
    }
}

/// What stands before the structure.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
pub enum AtlasQualifier {
    /// So many forms alike beside each other.
    Multiple(u8),
    /// Broken into pieces.
    Fragmentary,
    /// Rays meeting at the magnetic zenith.
    Coronal,
}

impl fmt::Display for AtlasQualifier {
    fn fmt(&self, out: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::Multiple(count) => write!(out, "m{count}"),
            Self::Fragmentary => out.write_str("f"),
            Self::Coronal => out.write_str("c"),
        }
    }
}

letters! {
    /// Structure inside a form.
    AtlasStructure {
        /// Homogeneous.
        Homogeneous = "H",
        /// Striated: irregular streaks.
        Striated = "S",
        /// Short rays.
        ShortRays = "R1",
        /// Rays of medium length.
        MediumRays = "R2",
        /// Long rays.
        LongRays = "R3",
    }
}

letters! {
    /// Shape of a form.
    AtlasForm {
        /// An arc without folds.
        Arc = "A",
        /// A band: folded.
        Band = "B",
        /// A patch.
        Patch = "P",
        /// A veil over much of the sky.
        Veil = "V",
        /// Rays by themselves.
        Rays = "R",
        /// Not identifiable.
        NotIdentifiable = "N",
    }
}

letters! {
    /// Colour of a form.
    AtlasColour {
        /// Red in the upper part.
        RedAbove = "a",
        /// Red at the lower border.
        RedBelow = "b",
        /// White, green or yellow.
        Green = "c",
        /// All red.
        Red = "d",
        /// Red and green mixed, with moving rays.
        Mixed = "e",
        /// Blue or purple.
        Blue = "f",
    }
}

/// A form in the code of the atlas; what nobody measured is left out.
///
/// Written condition, qualifier, structure, form, brightness, colour, as in `a3 m2 R2 B 3 b`.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub struct AtlasCode {
    /// How it changes; none from a single picture.
    pub condition: Option<AtlasCondition>,
    /// What stands before the structure.
    pub qualifier: Option<AtlasQualifier>,
    /// Structure; none where not told.
    pub structure: Option<AtlasStructure>,
    /// Shape.
    pub form: AtlasForm,
    /// Class 0 to 4; none where the light is not calibrated. See [`brightness_class`].
    pub brightness: Option<u8>,
    /// Colour; none where not told.
    pub colour: Option<AtlasColour>,
}

impl fmt::Display for AtlasCode {
    fn fmt(&self, out: &mut fmt::Formatter<'_>) -> fmt::Result {
        let parts = [
            self.condition.map(|part| part.to_string()),
            self.qualifier.map(|part| part.to_string()),
            self.structure.map(|part| part.to_string()),
            Some(self.form.to_string()),
            self.brightness.map(|part| part.to_string()),
            self.colour.map(|part| part.to_string()),
        ];
        out.write_str(&parts.into_iter().flatten().collect::<Vec<_>>().join(" "))
    }
}

/// The brightness class 0 to 4 of a form of so many kilorayleighs at 557.7 nm; none for what is no brightness.
///
/// Classes I to IV are 1, 10, 100 and 1000 kR (Seaton 1954, Hunten 1955); a form belongs to the nearest in the logarithm,
/// and to 0 below the first half step (our rule). Ask for both ends of a range: a class that differs between them is not known.
pub fn brightness_class(kilorayleighs: f64) -> Option<u8> {
    /// Class limits halfway between the defined brightnesses in the logarithm, kR.
    const LIMITS_KILORAYLEIGHS: [(f64, u8); 4] = [(0.316_228, 0), (3.162_28, 1), (31.622_8, 2), (316.228, 3)];
    if !kilorayleighs.is_finite() || kilorayleighs < 0.0 {
        return None;
    }
    Some(LIMITS_KILORAYLEIGHS.iter().find(|(limit, _)| kilorayleighs < *limit).map_or(4, |(_, class)| *class))
}
