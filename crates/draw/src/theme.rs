use crate::colour::Rgb;
use crate::ramp::{RAMP_STOPS, brightness_colour, stop_kr};
use job::DarknessClass;

/// Which eyes the picture is for.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum Palette {
    /// At the desk, with the lights on.
    Day,
    /// Outside, adapted to the dark: red on black and nothing else.
    DarkEyes,
    /// On white paper, in colour or grey.
    Print,
}

impl Palette {
    /// All of them.
    pub const ALL: [Self; 3] = [Self::Day, Self::DarkEyes, Self::Print];

    /// Its colours.
    pub fn theme(self) -> &'static Theme {
        match self {
            Self::Day => &DAY,
            Self::DarkEyes => &DARK_EYES,
            Self::Print => &PRINT,
        }
    }
}

/// The colours of one palette, by what they are for.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Theme {
    /// Behind everything.
    pub background: Rgb,
    /// Behind a card or a field.
    pub surface: Rgb,
    /// Text.
    pub text: Rgb,
    /// Text of second rank.
    pub muted: Rgb,
    /// Lines that part things.
    pub rule: Rgb,
    /// What matters now: the best window, the chosen verb, the frame outline on paper.
    pub accent: Rgb,
    /// Ring around what has the keyboard.
    pub focus: Rgb,
    /// Ground of a plot.
    pub plot: Rgb,
    /// Lines and text on that ground.
    pub plot_ink: Rgb,
    /// The same, of second rank.
    pub plot_muted: Rgb,
    /// The best window on that ground.
    pub plot_accent: Rgb,
    /// Lines and text over the sky bowl.
    pub sky_ink: Rgb,
    /// Rim around them, so that they stay legible over every colour of the ramp.
    pub sky_halo: Rgb,
    /// Skyline of the bowl.
    pub ground: Rgb,
    /// The lit moon.
    pub moon: Rgb,
    /// Day, civil, nautical, astronomical twilight, dark.
    pub twilight: [Rgb; 5],
}

impl Theme {
    /// The shade of a part of the night.
    pub fn twilight_shade(&self, class: DarknessClass) -> Rgb {
        self.twilight[match class {
            DarknessClass::Day => 0,
            DarknessClass::Civil => 1,
            DarknessClass::Nautical => 2,
            DarknessClass::Astronomical => 3,
            DarknessClass::Dark => 4,
        }]
    }

    /// Of the theme's two inks the one that reads better on a shade.
    pub fn ink_on(&self, shade: Rgb) -> Rgb {
        let dark = if self.background.lightness() < self.text.lightness() { self.background } else { self.text };
        if self.plot_ink.contrast(shade) >= dark.contrast(shade) { self.plot_ink } else { dark }
    }
}

const fn rgb(hex: u32) -> Rgb {
    let [_, red, green, blue] = hex.to_be_bytes();
    Rgb::new(red, green, blue)
}

const DAY: Theme = Theme {
    background: rgb(0xf3f0ea),
    surface: rgb(0xfcfaf6),
    text: rgb(0x221d2b),
    muted: rgb(0x5d5668),
    rule: rgb(0xcbc4cf),
    accent: rgb(0x8b2a60),
    focus: rgb(0xb0480d),
    plot: rgb(0x171321),
    plot_ink: rgb(0xf4ecd9),
    plot_muted: rgb(0xb7acc2),
    plot_accent: rgb(0xffb27a),
    sky_ink: rgb(0xf6efdf),
    sky_halo: rgb(0x0d0a14),
    ground: rgb(0x3a3346),
    moon: rgb(0xf3ecd8),
    twilight: [rgb(0xe6d9bd), rgb(0xc08f7f), rgb(0x6d577b), rgb(0x453c60), rgb(0x221b36)],
};

const DARK_EYES: Theme = Theme {
    background: rgb(0x000000),
    surface: rgb(0x140000),
    text: rgb(0xeb0000),
    muted: rgb(0xd00000),
    rule: rgb(0x5a0000),
    accent: rgb(0xeb0000),
    focus: rgb(0xeb0000),
    plot: rgb(0x0c0000),
    plot_ink: rgb(0xeb0000),
    plot_muted: rgb(0xd00000),
    plot_accent: rgb(0xeb0000),
    sky_ink: rgb(0xeb0000),
    sky_halo: rgb(0x000000),
    ground: rgb(0x2c0000),
    moon: rgb(0xb00000),
    twilight: [rgb(0x8c0000), rgb(0x600000), rgb(0x3c0000), rgb(0x200000), rgb(0x0c0000)],
};

const PRINT: Theme = Theme {
    background: rgb(0xffffff),
    surface: rgb(0xffffff),
    text: rgb(0x000000),
    muted: rgb(0x444444),
    rule: rgb(0xb5b5b5),
    accent: rgb(0x000000),
    focus: rgb(0x000000),
    plot: rgb(0xffffff),
    plot_ink: rgb(0x000000),
    plot_muted: rgb(0x444444),
    plot_accent: rgb(0x000000),
    sky_ink: rgb(0xffffff),
    sky_halo: rgb(0x000000),
    ground: rgb(0x5f5f5f),
    moon: rgb(0xffffff),
    twilight: [rgb(0xffffff), rgb(0xe2e2e2), rgb(0xc6c6c6), rgb(0xa9a9a9), rgb(0x8c8c8c)],
};

/// Names of the ramp stops as CSS custom properties, dark to light.
const STOP_NAMES: [&str; RAMP_STOPS] = [
    "--qa-ramp-00",
    "--qa-ramp-01",
    "--qa-ramp-02",
    "--qa-ramp-03",
    "--qa-ramp-04",
    "--qa-ramp-05",
    "--qa-ramp-06",
    "--qa-ramp-07",
    "--qa-ramp-08",
    "--qa-ramp-09",
    "--qa-ramp-10",
    "--qa-ramp-11",
    "--qa-ramp-12",
];

/// The colours of a palette as CSS custom properties: name and hexadecimal value, always in the same order.
///
/// Ramp stop `n` is the colour of [`stop_kr`]`(n)` kR: three stops a decade, `--qa-ramp-03` is 1 kR (IBC I).
pub fn tokens(palette: Palette) -> Vec<(&'static str, String)> {
    let theme = palette.theme();
    let named = [
        ("--qa-background", theme.background),
        ("--qa-surface", theme.surface),
        ("--qa-text", theme.text),
        ("--qa-muted", theme.muted),
        ("--qa-rule", theme.rule),
        ("--qa-accent", theme.accent),
        ("--qa-on-accent", theme.background),
        ("--qa-focus", theme.focus),
        ("--qa-plot", theme.plot),
        ("--qa-plot-ink", theme.plot_ink),
        ("--qa-plot-muted", theme.plot_muted),
        ("--qa-plot-accent", theme.plot_accent),
        ("--qa-moon", theme.moon),
        ("--qa-twilight-day", theme.twilight[0]),
        ("--qa-twilight-civil", theme.twilight[1]),
        ("--qa-twilight-nautical", theme.twilight[2]),
        ("--qa-twilight-astronomical", theme.twilight[3]),
        ("--qa-twilight-dark", theme.twilight[4]),
    ];
    let ramp = STOP_NAMES.iter().enumerate().map(|(stop, name)| (*name, brightness_colour(stop_kr(stop), palette)));
    named.into_iter().chain(ramp).map(|(name, colour)| (name, colour.to_string())).collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Contrast asked of text by the Web Content Accessibility Guidelines 2.2, level AA.
    const TEXT_CONTRAST: f64 = 4.5;
    /// Asked there of large text and of marks. Red alone cannot give second-rank text more and stay dim.
    const MARK_CONTRAST: f64 = 3.0;

    #[test]
    fn text_can_be_read_on_its_ground() {
        for palette in Palette::ALL {
            let t = palette.theme();
            for ground in [t.background, t.surface] {
                assert!(t.text.contrast(ground) > TEXT_CONTRAST || palette == Palette::DarkEyes, "{palette:?} text");
                assert!(t.text.contrast(ground) > MARK_CONTRAST);
                let second = if palette == Palette::DarkEyes { MARK_CONTRAST } else { TEXT_CONTRAST };
                assert!(t.muted.contrast(ground) > second, "{palette:?} muted {}", t.muted.contrast(ground));
                assert!(t.accent.contrast(ground) > MARK_CONTRAST);
                assert!(t.focus.contrast(ground) > MARK_CONTRAST);
            }
            assert!(t.plot_ink.contrast(t.plot) > if palette == Palette::DarkEyes { 4.0 } else { TEXT_CONTRAST });
            assert!(t.plot_muted.contrast(t.plot) > MARK_CONTRAST);
        }
        assert!(DARK_EYES.text.contrast(DARK_EYES.background) > TEXT_CONTRAST);
    }

    #[test]
    fn every_shade_of_twilight_carries_a_label() {
        for palette in [Palette::Day, Palette::Print] {
            let t = palette.theme();
            for shade in t.twilight {
                assert!(t.ink_on(shade).contrast(shade) > TEXT_CONTRAST, "{palette:?} {shade}");
            }
        }
    }

    #[test]
    fn dark_eyes_hold_red_alone() {
        for (name, value) in tokens(Palette::DarkEyes) {
            assert!(value.ends_with("0000"), "{name} {value}");
        }
    }
}
