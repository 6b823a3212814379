//! Skies with aurora, and what could be taken for it.

use frame::StarsSeen;

use crate::drawn_sky::Dice;
use crate::night_scene::{Clouds, Light, continuum, leaves, line, plus, sky_r_per_a, times};

/// A scene by place: 0..1 across, 0..1 down.
pub(crate) type Scene = Box<dyn Fn(f64, f64) -> (Light, f64)>;

/// Horizon of the scenes, share of the height from the top.
const HORIZON: f64 = 0.86;

/// Degrees above the horizon of a place: a picture of 45 degrees.
fn altitude_deg(y: f64) -> f64 {
    (HORIZON - y).max(0.0) * 52.0
}

/// A night sky brighter towards the horizon, of so many mag/arcsec2.
fn night_sky(magnitude: f64, kelvin: f64) -> impl Fn(f64, f64) -> Light {
    let zenith = times(continuum(kelvin), sky_r_per_a(magnitude));
    move |_x, y| times(zenith, 1.0 + 0.5 * (-altitude_deg(y) / 12.0).exp())
}

/// Hills below the horizon, dark and a little rough.
fn with_hills(sky: impl Fn(f64, f64) -> Light + 'static, dice: &mut Dice) -> Scene {
    let ridge = Clouds::new(dice, 2.0);
    Box::new(move |x, y| {
        if y > HORIZON + 0.08 * (ridge.at(x, 0.0) - 0.5) {
            (times(continuum(4500.0), 0.03), 0.3)
        } else {
            (sky(x, y), 0.0)
        }
    })
}

/// Kinds of drawn aurora.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) enum Form {
    Arc,
    Rays,
    Patches,
    Veil,
    Red,
}

/// Light of an aurora of so many kilorayleighs of its main line at its brightest.
fn aurora(form: Form, kilorayleighs: f64, dice: &mut Dice) -> impl Fn(f64, f64) -> Light + use<> {
    let base = dice.even(0.45, 0.65);
    let bow = dice.even(0.02, 0.15);
    let clouds = Clouds::new(dice, 2.0);
    let folds = Clouds::new(dice, 9.0);
    let green = plus(line(557.7), plus(times(line(427.8), 0.15), times(line(630.0), dice.even(0.05, 0.25))));
    let red = plus(times(line(630.0), 1.0), plus(times(line(636.4), 0.32), times(line(557.7), dice.even(0.0, 0.06))));
    move |x, y| {
        let foot = base + bow * (2.0 * x - 1.0).powi(2) + 0.03 * (clouds.at(x, 0.3) - 0.5);
        let above = foot - y;
        let curtain = |height: f64| if above < 0.0 { (above / 0.012).exp() } else { (-above / height).exp() };
        match form {
            Form::Arc => times(green, kilorayleighs * curtain(0.10)),
            Form::Rays => {
                let ray = (0.25 + 1.5 * folds.at(x, 0.0).powi(2)).min(1.0);
                times(green, kilorayleighs * curtain(0.22) * ray)
            }
            Form::Patches => times(green, kilorayleighs * ((clouds.at(1.6 * x, 1.6 * y) - 0.55) / 0.3).clamp(0.0, 1.0)),
            Form::Veil => {
                times(green, kilorayleighs * (-((y - 0.45) / 0.25).powi(2)).exp() * (0.6 + 0.4 * clouds.at(x, y)))
            }
            Form::Red => times(red, kilorayleighs * (-((y - 0.35 - 0.2 * (x - 0.5)) / 0.16).powi(2)).exp()),
        }
    }
}

pub(crate) fn with_aurora(form: Form, kilorayleighs: f64, magnitude: f64, kelvin: f64, dice: &mut Dice) -> Scene {
    let sky = night_sky(magnitude, kelvin);
    let light = aurora(form, kilorayleighs, dice);
    with_hills(move |x, y| plus(sky(x, y), light(x, y)), dice)
}

/// Scenes without aurora.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) enum Other {
    ClearDark,
    ClearMoon,
    TownSodium,
    TownWarm,
    TownCold,
    TownUnderCloud,
    MoonlitCloud,
    Overcast,
    Twilight,
    TwilightCloud,
    Airglow,
    LeavesByDay,
    LawnByDay,
    DayCloud,
    GreenLamp,
    Flare,
}

pub(crate) const OTHERS: [Other; 16] = [
    Other::ClearDark,
    Other::ClearMoon,
    Other::TownSodium,
    Other::TownWarm,
    Other::TownCold,
    Other::TownUnderCloud,
    Other::MoonlitCloud,
    Other::Overcast,
    Other::Twilight,
    Other::TwilightCloud,
    Other::Airglow,
    Other::LeavesByDay,
    Other::LawnByDay,
    Other::DayCloud,
    Other::GreenLamp,
    Other::Flare,
];

impl Other {
    /// What a search for stars would say.
    pub(crate) fn stars(self) -> StarsSeen {
        match self {
            Self::ClearDark
            | Self::ClearMoon
            | Self::TownSodium
            | Self::TownWarm
            | Self::TownCold
            | Self::Airglow
            | Self::GreenLamp => StarsSeen::Sure,
            Self::TownUnderCloud | Self::MoonlitCloud | Self::Twilight | Self::LeavesByDay | Self::Flare => {
                StarsSeen::Doubtful
            }
            Self::Overcast | Self::TwilightCloud | Self::LawnByDay | Self::DayCloud => StarsSeen::None,
        }
    }

    pub(crate) fn scene(self, dice: &mut Dice) -> Scene {
        let clouds = Clouds::new(dice, 2.5);
        let middle = dice.even(0.2, 0.8);
        let glow = move |x: f64, y: f64| (-altitude_deg(y) / 14.0).exp() * (-((x - middle) / 0.35).powi(2)).exp();
        let dark = night_sky(dice.even(20.8, 21.8), 5200.0);
        let moon = night_sky(dice.even(18.3, 19.8), 8500.0);
        match self {
            Self::ClearDark => with_hills(dark, dice),
            Self::ClearMoon => with_hills(moon, dice),
            Self::TownSodium => {
                let lamps = plus(times(continuum(2000.0), 0.5), times(line(589.3), 1.2));
                with_hills(move |x, y| plus(dark(x, y), times(lamps, 8.0 * glow(x, y))), dice)
            }
            Self::TownWarm => {
                with_hills(move |x, y| plus(dark(x, y), times(continuum(2700.0), 15.0 * glow(x, y))), dice)
            }
            Self::TownCold => {
                with_hills(move |x, y| plus(dark(x, y), times(continuum(4500.0), 15.0 * glow(x, y))), dice)
            }
            Self::TownUnderCloud => with_hills(
                move |x, y| {
                    let cover = clouds.at(x, y);
                    plus(dark(x, y), times(continuum(2400.0), cover * (2.0 + 30.0 * glow(x, y))))
                },
                dice,
            ),
            Self::MoonlitCloud => with_hills(
                move |x, y| {
                    let cover = ((clouds.at(x, y) - 0.4) / 0.3).clamp(0.0, 1.0);
                    plus(
                        times(moon(x, y), 1.0 - 0.6 * cover),
                        times(continuum(4300.0), 40.0 * cover * (0.4 + clouds.at(y, x))),
                    )
                },
                dice,
            ),
            Self::Overcast => {
                with_hills(move |x, y| times(continuum(4000.0), 20.0 * (0.7 + 0.5 * clouds.at(x, y))), dice)
            }
            Self::Twilight => {
                let strength = dice.even(20.0, 300.0);
                with_hills(move |x, y| dusk(x, y, middle, strength), dice)
            }
            Self::TwilightCloud => with_hills(
                move |x, y| {
                    let cover = ((clouds.at(x, y) - 0.45) / 0.2).clamp(0.0, 1.0);
                    let lit = times(continuum(1900.0 + 3000.0 * y), 150.0 * (0.3 + y));
                    plus(times(dusk(x, y, middle, 200.0), 1.0 - 0.8 * cover), times(lit, cover))
                },
                dice,
            ),
            Self::Airglow => {
                let bands = Clouds::new(dice, 3.0);
                let green = dice.even(0.15, 0.30);
                let red = dice.even(0.05, 0.20);
                with_hills(
                    move |x, y| {
                        // van Rhijn's factor for a layer at 90 km
                        let cosine = altitude_deg(y).to_radians().cos() * 6371.0 / 6461.0;
                        let slant = (1.0 - cosine * cosine).sqrt().recip() * (0.9 + 0.2 * bands.at(x, y));
                        plus(
                            dark(x, y),
                            plus(times(line(557.7), green * (slant - 1.0)), times(line(630.0), red * slant)),
                        )
                    },
                    dice,
                )
            }
            Self::LeavesByDay | Self::LawnByDay | Self::DayCloud => self.day(dice),
            Self::GreenLamp | Self::Flare => self.lights(dice),
        }
    }

    fn day(self, dice: &mut Dice) -> Scene {
        let clouds = Clouds::new(dice, 2.5);
        match self {
            Self::LeavesByDay => {
                let bright = Clouds::new(dice, 20.0);
                Box::new(move |x, y| {
                    (times(plus(leaves(), times(continuum(6000.0), 0.25)), 1e5 * (0.2 + bright.at(x, y))), 0.5)
                })
            }
            Self::LawnByDay => Box::new(move |x, y| {
                let sky = y < 0.45;
                if sky {
                    (times(continuum(12000.0), 4e5), 0.0)
                } else {
                    (times(leaves(), 1e5 * (0.8 + 0.2 * clouds.at(x, y))), 0.15)
                }
            }),
            _ => Box::new(move |x, y| {
                let cover = ((clouds.at(x, y) - 0.45) / 0.15).clamp(0.0, 1.0);
                (plus(times(continuum(20000.0), 2e5 * (1.0 - cover)), times(continuum(5800.0), 6e5 * cover)), 0.0)
            }),
        }
    }

    fn lights(self, dice: &mut Dice) -> Scene {
        let middle = dice.even(0.2, 0.8);
        let dark = night_sky(dice.even(20.8, 21.8), 5200.0);
        let moon = night_sky(dice.even(18.3, 19.8), 8500.0);
        match self {
            Self::GreenLamp => with_hills(
                move |x, y| {
                    let near = ((x - middle).powi(2) + (0.6 * (y - 0.8)).powi(2)).sqrt();
                    let lamp = 4000.0 * (-(near / 0.006).powi(2)).exp() + 0.15 / (near + 0.02);
                    plus(dark(x, y), times(plus(line(520.0), line(535.0)), 0.05 * lamp))
                },
                dice,
            ),
            _ => with_hills(
                move |x, y| {
                    let spot =
                        |cx: f64, cy: f64, r: f64| (-(((x - cx).powi(2) + (y - cy).powi(2)) / (r * r)).powi(2)).exp();
                    let disc = times(continuum(4500.0), 1e5 * spot(middle, 0.3, 0.02) + 30.0 * spot(middle, 0.3, 0.15));
                    let ghost = times(line(540.0), 3.0 * spot(1.0 - middle, 0.62, 0.025));
                    plus(moon(x, y), plus(disc, ghost))
                },
                dice,
            ),
        }
    }
}

/// A sky after sunset: warm and bright at the horizon over the sun, blue above.
fn dusk(x: f64, y: f64, middle: f64, strength: f64) -> Light {
    let low = (-altitude_deg(y) / 9.0).exp() * (1.0 - 0.5 * (x - middle).abs());
    let blue = times(continuum(22000.0), strength * (0.35 + 0.4 * (-altitude_deg(y) / 25.0).exp()));
    plus(blue, times(continuum(2600.0 + 2500.0 * (1.0 - low)), strength * 2.5 * low))
}
