//! What a good frame is, as one number: the sum of what it serves, each part 0 to 1 times its weight.

use quantity::Horizontal;
use sky::background::Background;

use super::foreground::Angles;
use super::glow::rim_ratio;
use super::heavens::{apparent, moon_disturbs};
use super::light::{Glow, SkyLight, share_in};
use super::mirror::{MirrorSurface, surface};
use super::request::StandRequest;
use crate::FramePointing;
use crate::WaterBearing;
use crate::framing::Framing;
use crate::site_sky::SkyNow;

/// Weights of the parts: this project's judgement of what a picture of the aurora is taken for.
const LIGHT: f64 = 4.0;
const BRIGHTEST: f64 = 2.0;
const CREST: f64 = 2.0;
const CORONA: f64 = 1.0;
const HORIZON: f64 = 1.5;
const FOREGROUND: f64 = 1.0;
const MIRROR: f64 = 0.5;
const MOON: f64 = 2.0;
const TOWNS: f64 = 0.5;
/// Where the skyline should cross the picture, share of its height from the top: the lower third.
const SKYLINE_AT: f64 = 2.0 / 3.0;
/// How far it may be off before half of its worth is gone, share of the height.
const SKYLINE_SLACK: f64 = 0.12;
/// Part of the moon's weight lost when it stands outside within this distance of the axis, times half the diagonal.
const MOON_NEAR_DIAGONALS: f64 = 1.4;
const MOON_NEAR_PART: f64 = 0.3;
/// Town light over natural light at the rim that counts in full against a frame.
const TOWNS_IN_FULL: f64 = 4.0;
/// Depression at which a mirror is looked for below the axis, degrees: there a low arc has its image.
const MIRROR_LOOK_DEG: f64 = 5.0;
/// Share of the light a search looks at; the faint rest costs time and moves nothing.
const SEARCHED_SHARE: f64 = 0.97;

/// Everything a frame is judged by, worked out once for many pointings.
pub(super) struct Wishes<'a> {
    request: &'a StandRequest,
    background: &'a Background,
    glows: Vec<Glow>,
    brightest: Option<[f64; 3]>,
    crest: Vec<[f64; 3]>,
    /// Where to look if no light is predicted: along the field line's way down, poleward.
    poleward_deg: f64,
    corona: Option<[f64; 3]>,
    moon: Option<Horizontal>,
    objects: Vec<[Horizontal; 3]>,
    waters: Vec<WaterBearing>,
}

/// The parts of one frame's score, 0 to 1 each.
#[derive(Debug, Clone, Copy, Default)]
pub(super) struct Parts {
    pub(super) light: f64,
    pub(super) brightest: f64,
    pub(super) crest: f64,
    pub(super) corona: f64,
    pub(super) horizon: f64,
    pub(super) foreground: f64,
    pub(super) mirror: f64,
    /// Against.
    pub(super) moon: f64,
    /// Against.
    pub(super) towns: f64,
}

impl Parts {
    pub(super) fn total(&self) -> f64 {
        LIGHT * self.light
            + BRIGHTEST * self.brightest
            + CREST * self.crest
            + CORONA * self.corona
            + HORIZON * self.horizon
            + FOREGROUND * self.foreground
            + MIRROR * self.mirror
            - MOON * self.moon
            - TOWNS * self.towns
    }
}

impl<'a> Wishes<'a> {
    pub(super) fn new(
        request: &'a StandRequest,
        now: &'a SkyNow,
        light: Option<&SkyLight>,
        magnetic_zenith: Horizontal,
        corona_likely: bool,
    ) -> Self {
        let light = light.filter(|light| !light.is_nothing());
        let wind_m_s = request.weather.at(request.at).and_then(|hour| hour.wind_m_s);
        let still =
            |sheltered| matches!(surface(wind_m_s, sheltered), MirrorSurface::Mirror | MirrorSurface::SoftPillars);
        Self {
            request,
            background: &now.background,
            glows: light.map_or_else(Vec::new, |light| brightest_part(&light.glows)),
            brightest: light.map(|light| light.brightest.east_north_up()),
            crest: light.map_or_else(Vec::new, |light| light.crest.iter().map(|d| d.east_north_up()).collect()),
            poleward_deg: quantity::wrap_degrees_360(magnetic_zenith.azimuth_deg + 180.0),
            corona: corona_likely.then(|| magnetic_zenith.east_north_up()),
            moon: moon_disturbs(request, now).then(|| apparent(now.moon)),
            objects: request.site.foreground.iter().map(|object| Angles::of(object).middle()).collect(),
            waters: request.site.water.iter().copied().filter(|water| still(water.sheltered)).collect(),
        }
    }

    /// Bearing looked along where no light is predicted.
    pub(super) fn poleward_deg(&self) -> f64 {
        self.poleward_deg
    }

    /// Whether there is light to frame.
    pub(super) fn has_light(&self) -> bool {
        !self.glows.is_empty()
    }

    /// The parts of a pointing's score.
    pub(super) fn parts(&self, pointing: &FramePointing) -> Parts {
        let framing = Framing::new(&self.request.kit, pointing);
        let light = if self.has_light() { share_in(&self.glows, &framing) } else { self.looks_poleward(pointing) };
        Parts {
            light,
            crest: if self.crest.is_empty() { light } else { share(&self.crest, |v| framing.sees(*v)) },
            brightest: held(self.brightest, &framing),
            corona: held(self.corona, &framing),
            horizon: self.horizon(pointing, &framing),
            foreground: share(&self.objects, |object| object.iter().all(|d| framing.place(*d).inside)),
            mirror: f64::from(u8::from(self.holds_mirror(pointing, &framing))),
            moon: self.moon.map_or(0.0, |moon| moon_part(moon, pointing, &framing)),
            towns: self.towns(pointing, &framing),
        }
    }

    fn looks_poleward(&self, pointing: &FramePointing) -> f64 {
        (pointing.azimuth_deg - self.poleward_deg).to_radians().cos().max(0.0)
    }

    /// 1 where the skyline crosses at the lower third, falling off as a bell; 0 where it is out of the picture.
    fn horizon(&self, pointing: &FramePointing, framing: &Framing) -> f64 {
        let skyline =
            Horizontal::new(self.request.site.skyline_deg(pointing.azimuth_deg).max(0.0), pointing.azimuth_deg);
        let place = framing.place(skyline);
        let [_, height] = framing.size_px().map(f64::from);
        place.pixel.filter(|_| place.inside).map_or(0.0, |[_, y]| {
            let off = (y / height - SKYLINE_AT) / SKYLINE_SLACK;
            (-std::f64::consts::LN_2 * off * off).exp()
        })
    }

    fn holds_mirror(&self, pointing: &FramePointing, framing: &Framing) -> bool {
        let image = Horizontal::new(-MIRROR_LOOK_DEG, pointing.azimuth_deg);
        let wet = |water: &WaterBearing| {
            let length = quantity::wrap_degrees_360(water.to_deg - water.from_deg);
            quantity::wrap_degrees_360(pointing.azimuth_deg - water.from_deg) <= length
        };
        self.waters.iter().any(wet) && framing.place(image).inside
    }

    fn towns(&self, pointing: &FramePointing, framing: &Framing) -> f64 {
        let rim = Horizontal::new(MIRROR_LOOK_DEG, pointing.azimuth_deg);
        if !framing.place(rim).inside {
            return 0.0;
        }
        (rim_ratio(self.background, pointing.azimuth_deg) / TOWNS_IN_FULL).min(1.0)
    }
}

/// 1 where a direction that matters is in the picture, clear of its edge.
fn held(direction: Option<[f64; 3]>, framing: &Framing) -> f64 {
    f64::from(u8::from(direction.is_some_and(|vector| framing.holds(vector))))
}

fn moon_part(moon: Horizontal, pointing: &FramePointing, framing: &Framing) -> f64 {
    if framing.place(moon).inside {
        return 1.0;
    }
    let axis = Horizontal::new(pointing.altitude_deg, pointing.azimuth_deg);
    let near_deg = MOON_NEAR_DIAGONALS * framing.camera().field_of_view_deg().diagonal_deg / 2.0;
    if axis.separation_deg(moon) < near_deg { MOON_NEAR_PART } else { 0.0 }
}

/// The brightest nodes that together hold nearly all light, in their own order of brightness.
fn brightest_part(glows: &[Glow]) -> Vec<Glow> {
    let mut sorted = glows.to_vec();
    sorted.sort_by(|a, b| b.share.total_cmp(&a.share));
    let mut sum = 0.0;
    sorted
        .into_iter()
        .take_while(|glow| {
            let wanted = sum < SEARCHED_SHARE;
            sum += glow.share;
            wanted
        })
        .collect()
}

fn share<T>(all: &[T], holds: impl Fn(&T) -> bool) -> f64 {
    if all.is_empty() {
        return 0.0;
    }
    all.iter().filter(|one| holds(one)).count() as f64 / all.len() as f64
}
