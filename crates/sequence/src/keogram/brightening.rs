use quantity::Timestamp;
use serde::Serialize;

use super::array::Keogram;
use super::borders::{Borders, LitRule, borders};
use super::line::EARTH_RADIUS_KM;
use crate::magnetogram::Onset;
use crate::robust::{median, quantile};

/// Time in which a brightening counts as sudden, s: the initial brightening of an onset takes one to seven minutes (studies
/// listed by Ieda et al., *Earth Planets Space* 70, 73, 2018).
const SUDDEN_S: f64 = 300.0;
/// Factor by which the brightening part of the line outgrows the rest (our choice: double, above what drawn cloud mostly does; twilight and
/// exposure, which brighten all of it, do not count).
const FACTOR: f64 = 2.0;
/// Place in order of the bins that brighten, and of those that stand for the rest.
const BRIGHT_PLACE: f64 = 0.95;
/// See [`BRIGHT_PLACE`].
const REST_PLACE: f64 = 0.25;
/// Contrast of a line that counts as none: less is noise and the lens's fall-off.
const LEAST_CONTRAST: f64 = 0.1;
/// Time before the brightening over which the border's place is taken, s.
const BEFORE_S: f64 = 600.0;
/// Time after it in which the border must move, s: poleward expansion follows within minutes.
const EXPANSION_S: f64 = 900.0;
/// Least way of the border poleward, degrees of magnetic latitude; at 0.5 to 2 km/s (from memory) one to four minutes.
const LEAST_EXPANSION_DEG: f64 = 1.0;
/// Least way where magnetic latitudes are not known, degrees of sky (our choice).
const LEAST_EXPANSION_SKY_DEG: f64 = 10.0;
/// Share of the poleward border's way by which the equatorward one may follow it.
const LARGEST_FOLLOWING: f64 = 0.5;
/// Share of the way over which its speed is taken.
const MOST_OF_WAY: f64 = 0.8;
/// How long the aurora must stay up after a substorm's onset, s; less is a pseudobreakup. Frey et al., *J. Geophys. Res.* 109,
/// A10304, 2004 (from memory: 20 minutes).
const LASTING_S: f64 = 1200.0;
/// Onsets are apart by so much, s (the same, from memory: 30 minutes).
const APART_S: f64 = 1800.0;
/// Share of the columns in that time that must still be up.
const STILL_UP: f64 = 0.8;

/// What a brightening is like.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum BrighteningKind {
    /// Sudden, with poleward expansion, and it lasted, or the sequence ends before that can be told: a substorm candidate.
    SubstormCandidate,
    /// With poleward expansion, but over within 20 minutes.
    Pseudobreakup,
    /// No poleward expansion seen.
    Brightening,
}

/// A sudden brightening along the line.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct Brightening {
    /// What it is like.
    pub kind: BrighteningKind,
    /// Column in which it is first seen.
    pub column: usize,
    /// Its time after the first frame, s.
    pub at_s: f64,
    /// By how much the brightest part outgrew the rest, a factor: the smaller of that of the fastest bins and that of the line's contrast.
    pub factor: f64,
    /// Where it is brightest, angle along the line, degrees.
    pub zenith_angle_deg: f64,
    /// Magnetic latitude there, degrees.
    pub magnetic_latitude_deg: Option<f64>,
    /// Way of the poleward border in the quarter of an hour after, degrees of magnetic latitude.
    pub poleward_deg: Option<f64>,
    /// Its speed, km/s, at the height assumed; a lower bound where the border left the view.
    pub poleward_km_s: Option<f64>,
    /// Whether it stayed up for 20 minutes; none where the sequence ends before or has gaps.
    pub lasted: Option<bool>,
}

/// How far apart a brightening and a magnetic onset may be to be one event, s: either may come first by minutes, and the onset stands at
/// a station's own minute (our choice).
const ONE_EVENT_S: f64 = 600.0;

impl Brightening {
    /// The magnetic onset that goes with it, the nearest within ten minutes: what makes a candidate likely. Cloud lit from below can
    /// brighten and drive poleward too, but moves no magnetometer.
    ///
    /// * `first`: time of the keogram's first frame.
    pub fn magnetic_onset<'a>(&self, first: Timestamp, onsets: &'a [Onset]) -> Option<&'a Onset> {
        let apart_s = |onset: &Onset| (onset.at.duration_since(first).as_secs_f64() - self.at_s).abs();
        onsets.iter().filter(|onset| apart_s(onset) <= ONE_EVENT_S).min_by(|a, b| apart_s(a).total_cmp(&apart_s(b)))
    }
}

/// Sudden brightenings of a keogram, with those that make a substorm candidate.
///
/// # Source
///
/// The two stages of Akasofu (1964), a sudden brightening and within minutes a poleward expansion, as described by Ieda et al. 2018;
/// duration and distance by Frey et al. 2004. The factor and the least way are our choice.
///
/// None where columns are too long (over 150 s) to see a brightening grow. One line of sky cannot say whether the light spread east and
/// west: a candidate is no more than that.
pub fn brightenings(keogram: &Keogram, rule: LitRule) -> Option<Vec<Brightening>> {
    if keogram.column_s() > SUDDEN_S / 2.0 {
        return None;
    }
    let background = keogram.background();
    let lit = borders(keogram, rule);
    let back = steps(keogram, SUDDEN_S).max(1);
    let mut found: Vec<Brightening> = Vec::new();
    let mut column = 1;
    while column < keogram.len() {
        let reference = (column.saturating_sub(back)..column).find(|before| has_light(keogram, *before));
        let seen = lit.binary_search_by_key(&column, |borders| borders.column).is_ok();
        let grown = reference.filter(|_| seen).and_then(|before| growth(keogram, &background, before, column));
        match grown.filter(|grown| grown.factor >= FACTOR) {
            Some(grown) => {
                found.push(describe(keogram, &background, &lit, reference.unwrap_or(column), column, &grown));
                column += steps(keogram, APART_S).max(1);
            }
            None => column += 1,
        }
    }
    Some(found)
}

fn steps(keogram: &Keogram, seconds: f64) -> usize {
    #[expect(
        clippy::cast_possible_truncation,
        clippy::cast_sign_loss,
        reason = "a few minutes over seconds; saturates"
    )]
    let steps = (seconds / keogram.column_s()).round() as usize;
    steps
}

fn has_light(keogram: &Keogram, column: usize) -> bool {
    (0..keogram.line().bins.len()).any(|bin| keogram.value(column, bin).is_finite())
}

struct Growth {
    factor: f64,
    brightest: usize,
}

/// How much the fastest growing part of the line outgrew the rest between two columns.
fn growth(keogram: &Keogram, background: &[f64], before: usize, after: usize) -> Option<Growth> {
    // against division by nothing: a share of the line's own middle level
    let mut levels: Vec<f64> = background.iter().copied().filter(|value| value.is_finite()).collect();
    let floor = median(&mut levels)?.abs() * 0.01 + f64::MIN_POSITIVE;
    let ratios: Vec<(usize, f64)> = (0..keogram.line().bins.len())
        .filter_map(|bin| {
            let [a, b] = [before, after].map(|column| f64::from(keogram.value(column, bin)).max(floor));
            let known = keogram.value(before, bin).is_finite() && keogram.value(after, bin).is_finite();
            known.then(|| (bin, (b / a).ln()))
        })
        .collect();
    let mut values: Vec<f64> = ratios.iter().map(|ratio| ratio.1).collect();
    let high = quantile(&mut values, BRIGHT_PLACE)?;
    let rest = quantile(&mut values, REST_PLACE)?;
    let brightest = ratios
        .iter()
        .filter(|ratio| ratio.1 >= high)
        .max_by(|a, b| f64::from(keogram.value(after, a.0)).total_cmp(&f64::from(keogram.value(after, b.0))))?;
    // light that only moved along the line brightens its new place, but not the line
    let [was, is] = [before, after].map(|column| contrast(keogram, floor, column));
    let line = is? / was?.max(LEAST_CONTRAST);
    Some(Growth { factor: (high - rest).exp().min(line), brightest: brightest.0 })
}

/// How far the brightest part of a column stands above its dark part, as a share of that.
fn contrast(keogram: &Keogram, floor: f64, column: usize) -> Option<f64> {
    let values = (0..keogram.line().bins.len()).map(|bin| f64::from(keogram.value(column, bin)));
    let mut values: Vec<f64> = values.filter(|value| value.is_finite()).collect();
    let bright = quantile(&mut values, BRIGHT_PLACE)?;
    let dark = quantile(&mut values, REST_PLACE)?.max(floor);
    Some((bright - dark) / dark)
}

fn describe(
    keogram: &Keogram,
    background: &[f64],
    lit: &[Borders],
    reference: usize,
    column: usize,
    grown: &Growth,
) -> Brightening {
    let way = expansion(keogram, lit, column);
    let lasted = lasting(keogram, background, reference, column, grown);
    let expanded = way.as_ref().is_some_and(|way| way.far_enough);
    let kind = match (expanded, lasted) {
        (false, _) => BrighteningKind::Brightening,
        (true, Some(false)) => BrighteningKind::Pseudobreakup,
        (true, Some(true) | None) => BrighteningKind::SubstormCandidate,
    };
    let bin = &keogram.line().bins[grown.brightest];
    Brightening {
        kind,
        column,
        at_s: keogram.middle_s(column),
        factor: grown.factor,
        zenith_angle_deg: bin.zenith_angle_deg,
        magnetic_latitude_deg: bin.place.and_then(|place| place.magnetic_latitude_deg),
        poleward_deg: way.as_ref().and_then(|way| way.magnetic_deg),
        poleward_km_s: way.as_ref().and_then(|way| way.speed_km_s),
        lasted,
    }
}

struct Way {
    far_enough: bool,
    magnetic_deg: Option<f64>,
    speed_km_s: Option<f64>,
}

/// How far the poleward border moved after a brightening; none where it was nowhere before or stood beyond the view.
fn expansion(keogram: &Keogram, lit: &[Borders], column: usize) -> Option<Way> {
    let at_s = keogram.middle_s(column);
    let within = |from_s: f64, to_s: f64| {
        lit.iter().filter(move |borders| {
            let offset_s = keogram.middle_s(borders.column) - at_s;
            from_s <= offset_s && offset_s <= to_s
        })
    };
    // where nothing was lit before, the light's own first border stands for it
    let mut before: Vec<&Borders> = within(-BEFORE_S, -keogram.column_s() / 2.0).collect();
    if before.is_empty() {
        before = within(0.0, 0.0).collect();
    }
    let middle = |of: &dyn Fn(&Borders) -> Option<f64>| {
        let mut values: Vec<f64> = before.iter().filter_map(|borders| of(borders)).collect();
        median(&mut values)
    };
    if before.iter().filter(|borders| borders.far.open).count() * 2 > before.len() {
        return None;
    }
    let latitude = |borders: &Borders| borders.far.magnetic_latitude_deg.map(f64::abs);
    let angle = |borders: &Borders| Some(borders.far.zenith_angle_deg);
    let farthest = within(0.0, EXPANSION_S).max_by(|a, b| a.far.zenith_angle_deg.total_cmp(&b.far.zenith_angle_deg))?;
    let sky_deg = farthest.far.zenith_angle_deg - middle(&angle)?;
    let magnetic_deg = latitude(farthest).zip(middle(&latitude)).map(|(after, before)| after - before);
    // what drives poleward as a whole drifts; aurora that expands keeps its equatorward edge
    let near_before = middle(&|borders: &Borders| Some(borders.near.zenith_angle_deg))?;
    let followed_deg = farthest.near.zenith_angle_deg - near_before;
    let widened = followed_deg < LARGEST_FOLLOWING * sky_deg;
    let far_enough =
        widened && magnetic_deg.map_or(sky_deg >= LEAST_EXPANSION_SKY_DEG, |deg| deg >= LEAST_EXPANSION_DEG);
    // the last of the way is slow, and noise moves the farthest point about: the time of most of it counts
    let most_deg = middle(&angle)? + MOST_OF_WAY * sky_deg;
    let most_latitude_deg = magnetic_deg.zip(middle(&latitude)).map(|(way, from)| from + MOST_OF_WAY * way);
    let arrived = within(0.0, EXPANSION_S).find(|borders| match latitude(borders).zip(most_latitude_deg) {
        Some((at, most)) => at >= most,
        None => borders.far.zenith_angle_deg >= most_deg,
    })?;
    let taken_s = keogram.middle_s(arrived.column) - at_s + keogram.column_s();
    let layer_km = EARTH_RADIUS_KM + keogram.line().settings.height_km;
    Some(Way { far_enough, magnetic_deg, speed_km_s: magnetic_deg.map(|deg| deg.to_radians() * layer_km / taken_s) })
}

/// Whether the line stays brighter than before for 20 minutes.
fn lasting(keogram: &Keogram, background: &[f64], reference: usize, column: usize, grown: &Growth) -> Option<bool> {
    let last = column + steps(keogram, LASTING_S);
    let columns: Vec<f64> = (column..=last.min(keogram.len().saturating_sub(1)))
        .filter_map(|later| growth(keogram, background, reference, later))
        .map(|later| later.factor)
        .collect();
    let expected = (last - column + 1) as f64;
    let up = columns.iter().filter(|factor| factor.ln() >= grown.factor.ln() / 2.0).count() as f64;
    if up >= STILL_UP * expected {
        return Some(true);
    }
    let down = columns.len() as f64 - up;
    (down > (1.0 - STILL_UP) * expected).then_some(false)
}
