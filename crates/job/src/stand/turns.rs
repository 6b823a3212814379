//! What is gained and lost by turning the camera.

use quantity::{Horizontal, wrap_degrees_360};
use serde::{Deserialize, Serialize};

use super::foreground::Angles;
use super::heavens::{BodiesUp, apparent};
use super::light::SkyLight;
use super::request::StandRequest;
use crate::FramePointing;
use crate::framing::{Framing, milli};
use crate::site_sky::SkyNow;

/// How far each turn goes, degrees.
const TURN_DEG: f64 = 10.0;
/// Stars worth a word: down to this magnitude.
const WORTH_NAMING_MAGNITUDE: f64 = 1.6;
/// Most things named on each side of a turn.
const MOST_NAMED: usize = 4;

/// A turn of the camera.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
#[cfg_attr(feature = "typescript", derive(ts_rs::TS))]
pub enum TurnKind {
    /// 10 degrees to the left.
    Left,
    /// 10 degrees to the right.
    Right,
    /// 10 degrees up.
    Up,
    /// 10 degrees down.
    Down,
    /// From landscape to portrait or back.
    OtherOrientation,
}

/// What a turn brings into the picture and takes out of it.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "typescript", derive(ts_rs::TS))]
pub struct FrameTurn {
    /// Which turn.
    pub turn: TurnKind,
    /// Where it ends.
    pub pointing: FramePointing,
    /// Share of the predicted light in the picture after it, 0..1; none where no light is predicted.
    pub light_share: Option<f64>,
    /// What comes in.
    pub comes_in: Vec<String>,
    /// What goes out.
    pub goes_out: Vec<String>,
    /// The same as one line.
    pub text: String,
}

/// Named directions whose coming and going is worth a word.
pub(super) struct Landmarks {
    points: Vec<(String, Horizontal)>,
}

impl Landmarks {
    pub(super) fn new(
        request: &StandRequest,
        now: &SkyNow,
        light: Option<&SkyLight>,
        magnetic_zenith: Horizontal,
        bodies: &BodiesUp,
    ) -> Self {
        let mut points = Vec::new();
        if let Some(light) = light.filter(|light| !light.is_nothing()) {
            points.push(("the brightest part".to_owned(), light.brightest));
        }
        points.push(("the magnetic zenith".to_owned(), magnetic_zenith));
        let moon = apparent(now.moon);
        if moon.altitude_deg > request.site.skyline_deg(moon.azimuth_deg) {
            points.push(("the moon".to_owned(), moon));
        }
        for object in &request.site.foreground {
            points.push((object.name.clone(), Angles::of(object).middle()[1]));
        }
        points.extend(bodies.planets.iter().map(|(name, _, d)| (name.clone(), *d)));
        let bright = bodies.stars.iter().filter(|(_, magnitude, _)| *magnitude < WORTH_NAMING_MAGNITUDE);
        points.extend(bright.map(|(name, _, d)| (name.clone(), *d)));
        Self { points }
    }

    /// In the picture after a turn and not before.
    fn new_in(&self, after: &Framing, before: &Framing) -> Vec<String> {
        let fresh = |d: &Horizontal| after.place(*d).inside && !before.place(*d).inside;
        self.points.iter().filter(|(_, d)| fresh(d)).map(|(name, _)| name.clone()).collect()
    }
}

/// The five turns from a pointing.
pub(super) fn turns(
    request: &StandRequest,
    pointing: &FramePointing,
    light: Option<&SkyLight>,
    landmarks: &Landmarks,
) -> Vec<FrameTurn> {
    let before = Framing::new(&request.kit, pointing);
    let light = light.filter(|light| !light.is_nothing());
    let share_before = light.map(|light| light.share_in(&before));
    [TurnKind::Left, TurnKind::Right, TurnKind::Up, TurnKind::Down, TurnKind::OtherOrientation]
        .into_iter()
        .map(|turn| {
            let pointing = turned(pointing, turn);
            let after = Framing::new(&request.kit, &pointing);
            let (comes_in, goes_out) = (landmarks.new_in(&after, &before), landmarks.new_in(&before, &after));
            let light_share = light.map(|light| light.share_in(&after));
            let text = text(turn, &pointing, share_before.zip(light_share), &comes_in, &goes_out);
            FrameTurn { turn, pointing, light_share: light_share.map(milli), comes_in, goes_out, text }
        })
        .collect()
}

fn turned(from: &FramePointing, turn: TurnKind) -> FramePointing {
    let (across, up) = match turn {
        TurnKind::Left => (-TURN_DEG, 0.0),
        TurnKind::Right => (TURN_DEG, 0.0),
        TurnKind::Up => (0.0, TURN_DEG),
        TurnKind::Down => (0.0, -TURN_DEG),
        TurnKind::OtherOrientation => return FramePointing { orientation: from.orientation.turned(), ..*from },
    };
    FramePointing {
        azimuth_deg: wrap_degrees_360(from.azimuth_deg + across),
        altitude_deg: (from.altitude_deg + up).clamp(-90.0, 90.0),
        ..*from
    }
}

fn text(
    turn: TurnKind,
    to: &FramePointing,
    light: Option<(f64, f64)>,
    comes_in: &[String],
    goes_out: &[String],
) -> String {
    let name = match turn {
        TurnKind::Left => "10° left",
        TurnKind::Right => "10° right",
        TurnKind::Up => "10° up",
        TurnKind::Down => "10° down",
        TurnKind::OtherOrientation => to.orientation.label(),
    };
    let mut facts = Vec::new();
    if let Some((before, after)) = light {
        facts.push(light_words(before, after));
    }
    if !comes_in.is_empty() {
        facts.push(format!("in: {}", few(comes_in)));
    }
    if !goes_out.is_empty() {
        facts.push(format!("out: {}", few(goes_out)));
    }
    if facts.is_empty() {
        facts.push("nothing of note changes".to_owned());
    }
    format!("{name}: {}", facts.join("; "))
}

fn light_words(before: f64, after: f64) -> String {
    let tenths = |share: f64| (share * 10.0).round();
    let (from, to) = (tenths(before), tenths(after));
    if (from - to).abs() < 0.5 {
        return format!("light as before, {to:.0} in 10");
    }
    let word = if to > from { "more" } else { "less" };
    format!("{word} light, {to:.0} in 10 instead of {from:.0}")
}

fn few(names: &[String]) -> String {
    let shown = names.iter().take(MOST_NAMED).map(String::as_str).collect::<Vec<_>>().join(", ");
    if names.len() > MOST_NAMED { format!("{shown} and {} more", names.len() - MOST_NAMED) } else { shown }
}
