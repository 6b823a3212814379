//! One region of light over a stretch of time: what the looks at it say together.

use quantity::{Horizontal, Timestamp};

use super::geometry::FormGeometry;
use super::place::FormPlace;
use super::tell::{FOLDED_STRAY, FormAnswer, FormFound, FormName, MOST_ARC_TILT_DEG, SMOOTH_STRAY};
use crate::robust::{median, quantile};

/// Share of the looks at a region that must tell a form by themselves, and share of the telling ones that must agree (judgements: a form
/// that most looks leave open is open).
const LEAST_TELLING: f64 = 0.5;
const LEAST_AGREEING: f64 = 2.0 / 3.0;
/// Looks whose numbers are kept for the medians; of more, every second one goes.
const MOST_KEPT: usize = 128;

/// A form over a stretch of time.
#[derive(Debug, Clone, PartialEq)]
pub struct FormStretch {
    /// First and last look; none for a picture that says no time.
    pub span: Option<[Timestamp; 2]>,
    /// Looks at this region.
    pub looks: u32,
    /// Looks that tell this form by themselves; all of them where none is told.
    pub agreeing: u32,
    /// Its name; none where it cannot be told.
    pub name: Option<FormName>,
    /// In the code of the atlas, as most of these looks have it.
    pub code: Option<String>,
    /// Chance that the name is right, 0 to 1 (judgement): that of the middle look, less where looks do not agree.
    pub confidence: f64,
    /// What was measured, or why it cannot be told.
    pub reasons: Vec<String>,
    /// Its shape in the layer, medians over these looks, where directions are known.
    pub geometry: Option<FormGeometry>,
    /// Where it lies against the oval, as of the surest look.
    pub place: Option<FormPlace>,
    /// Middle of its light on the sky, where directions are known.
    pub middle: Option<Horizontal>,
}

/// Names that looks at one form may give it in turn, because one says less than the other.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub(super) enum Family {
    Long,
    Rayed,
    Other(u8),
}

impl Family {
    pub(super) fn of(name: FormName) -> Self {
        match name {
            FormName::Arc | FormName::Band | FormName::ArcOrBand => Self::Long,
            FormName::RayedBand | FormName::Rays => Self::Rayed,
            FormName::Corona => Self::Other(0),
            FormName::Veil => Self::Other(1),
            FormName::RedArc => Self::Other(2),
            FormName::StableRedArc => Self::Other(3),
            FormName::Steve => Self::Other(4),
            FormName::PicketFence => Self::Other(5),
            FormName::PulsatingPatches => Self::Other(6),
        }
    }
}

/// What looks of one name gave.
#[derive(Debug, Clone)]
struct Votes {
    name: FormName,
    looks: u32,
    codes: Vec<(String, u32)>,
    surest: FormFound,
    /// Every so many looks one is kept.
    every: u32,
    kept: Vec<(f64, Option<FormGeometry>)>,
}

impl Votes {
    fn new(form: &FormFound) -> Self {
        Self { name: form.name, looks: 0, codes: Vec::new(), surest: form.clone(), every: 1, kept: Vec::new() }
    }

    /// Counts a code. There are some dozens: a class of brightness and a colour more or less.
    fn count(&mut self, code: String, looks: u32) {
        match self.codes.iter_mut().find(|known| known.0 == code) {
            Some(known) => known.1 = known.1.saturating_add(looks),
            None => self.codes.push((code, looks)),
        }
    }

    fn push(&mut self, form: &FormFound) {
        if self.looks.is_multiple_of(self.every) {
            self.kept.push((form.confidence, form.geometry));
        }
        if self.kept.len() > MOST_KEPT {
            let mut index = 0;
            self.kept.retain(|_| {
                index += 1;
                index % 2 == 1
            });
            self.every = self.every.saturating_mul(2);
        }
        self.looks = self.looks.saturating_add(1);
        if let Some(code) = form.code.as_ref().map(ToString::to_string) {
            self.count(code, 1);
        }
        if form.confidence > self.surest.confidence {
            self.surest = form.clone();
        }
    }
}

/// Looks at one region that are being put together.
#[derive(Debug, Clone, Default)]
pub(super) struct Looks {
    span: Option<[Timestamp; 2]>,
    count: u32,
    votes: Vec<Votes>,
    open_reasons: Vec<String>,
    toward: [f64; 3],
}

impl Looks {
    pub(super) fn push(&mut self, at: Option<Timestamp>, answer: &FormAnswer, middle: Option<Horizontal>) {
        self.count = self.count.saturating_add(1);
        self.span = at.map(|at| [self.span.map_or(at, |span| span[0]), at]);
        if let Some(toward) = middle.map(Horizontal::east_north_up) {
            self.toward = [0, 1, 2].map(|axis| self.toward[axis] + toward[axis]);
        }
        match answer {
            FormAnswer::Told(form) => {
                let known = self.votes.iter().position(|votes| votes.name == form.name);
                if known.is_none() {
                    self.votes.push(Votes::new(form));
                }
                let index = known.unwrap_or(self.votes.len().saturating_sub(1));
                if let Some(votes) = self.votes.get_mut(index) {
                    votes.push(form);
                }
            }
            FormAnswer::CannotTell(reasons) => self.open_reasons.clone_from(reasons),
            FormAnswer::NoAurora(_) => {}
        }
    }

    /// Takes in looks that came after these.
    pub(super) fn join(&mut self, later: Self) {
        self.count = self.count.saturating_add(later.count);
        self.span = match (self.span, later.span) {
            (Some([from, _]), Some([_, to])) => Some([from, to]),
            (one, other) => one.or(other),
        };
        self.toward = [0, 1, 2].map(|axis| self.toward[axis] + later.toward[axis]);
        if !later.open_reasons.is_empty() {
            self.open_reasons = later.open_reasons;
        }
        for votes in later.votes {
            let Some(known) = self.votes.iter_mut().find(|known| known.name == votes.name) else {
                self.votes.push(votes);
                continue;
            };
            known.looks = known.looks.saturating_add(votes.looks);
            known.kept.extend(votes.kept);
            votes.codes.into_iter().for_each(|(code, count)| known.count(code, count));
            if votes.surest.confidence > known.surest.confidence {
                known.surest = votes.surest;
            }
        }
    }

    pub(super) fn middle(&self) -> Option<Horizontal> {
        self.toward.iter().any(|part| part.abs() > 0.0).then(|| Horizontal::from_east_north_up(self.toward))
    }

    pub(super) fn looks(&self) -> u32 {
        self.count
    }

    /// Looks that tell a form.
    pub(super) fn telling(&self) -> u32 {
        self.votes.iter().map(|votes| votes.looks).sum()
    }

    /// The family that most telling looks name, and how many; none where none tells.
    pub(super) fn leading(&self) -> Option<(Family, u32)> {
        let count = |family: Family| self.of_family(family).map(|votes| votes.looks).sum::<u32>();
        self.votes
            .iter()
            .map(|votes| Family::of(votes.name))
            .map(|family| (family, count(family)))
            .max_by_key(|of| of.1)
    }

    fn of_family(&self, family: Family) -> impl Iterator<Item = &Votes> {
        self.votes.iter().filter(move |votes| Family::of(votes.name) == family)
    }

    /// What they say together.
    pub(super) fn together(self) -> FormStretch {
        let telling = self.telling();
        let middle = self.middle();
        let empty = FormStretch {
            span: self.span,
            looks: self.count,
            agreeing: self.count,
            name: None,
            code: None,
            confidence: 0.0,
            reasons: Vec::new(),
            geometry: None,
            place: None,
            middle,
        };
        let Some((family, agreeing)) = self.leading() else {
            return FormStretch { reasons: self.open_reasons, ..empty };
        };
        let is_told = f64::from(agreeing) >= LEAST_TELLING * f64::from(self.count)
            && f64::from(agreeing) >= LEAST_AGREEING * f64::from(telling);
        if !is_told {
            let mut reasons = vec![self.counts()];
            reasons.extend(self.open_reasons);
            return FormStretch { reasons, ..empty };
        }
        self.told(family, agreeing, empty)
    }

    fn told(&self, family: Family, agreeing: u32, empty: FormStretch) -> FormStretch {
        let kept: Vec<&(f64, Option<FormGeometry>)> = self.of_family(family).flat_map(|votes| &votes.kept).collect();
        let shapes: Vec<FormGeometry> = kept.iter().filter_map(|kept| kept.1).collect();
        let geometry = medians(&shapes);
        let most = self.of_family(family).max_by_key(|votes| votes.looks);
        let Some(most) = most else { return empty };
        let name = match geometry {
            Some(geometry) if family == Family::Long && self.of_family(family).count() > 1 => long_name(&geometry),
            _ if family == Family::Long && !is_most(most.looks, agreeing) => FormName::ArcOrBand,
            _ => most.name,
        };
        let of_name = self.of_family(family).find(|votes| votes.name == name);
        let code = of_name.and_then(|votes| votes.codes.iter().max_by_key(|code| code.1)).map(|code| code.0.clone());
        let middle_confidence = median(&mut kept.iter().map(|kept| kept.0).collect::<Vec<_>>()).unwrap_or(0.0);
        let agreement = f64::from(agreeing) / f64::from(self.count.max(1));
        let surest = &of_name.unwrap_or(most).surest;
        let mut reasons = Vec::new();
        if self.count > 1 {
            reasons.push(self.counts());
            reasons.extend(geometry.map(|geometry| spread_words(&geometry, &shapes)));
        }
        reasons.extend(surest.reasons.iter().cloned());
        FormStretch {
            agreeing,
            name: Some(name),
            code,
            confidence: middle_confidence * f64::midpoint(1.0, agreement),
            reasons,
            geometry,
            place: surest.place,
            ..empty
        }
    }

    /// How many looks say what by themselves.
    fn counts(&self) -> String {
        let mut votes: Vec<&Votes> = self.votes.iter().collect();
        votes.sort_by_key(|votes| std::cmp::Reverse(votes.looks));
        let named: Vec<String> =
            votes.iter().map(|votes| format!("{} say {}", votes.looks, votes.name.words())).collect();
        let open = self.count.saturating_sub(self.telling());
        let open = if open == 0 { String::new() } else { format!(", {open} cannot tell") };
        format!("of {} looks at this light {}{open}", self.count, named.join(", "))
    }
}

fn is_most(part: u32, of: u32) -> bool {
    f64::from(part) >= LEAST_AGREEING * f64::from(of)
}

/// Arc, band or one of both, by the median shape.
fn long_name(geometry: &FormGeometry) -> FormName {
    let stray = geometry.stray_km / geometry.width_km.max(f64::MIN_POSITIVE);
    if stray >= FOLDED_STRAY {
        FormName::Band
    } else if stray <= SMOOTH_STRAY && geometry.tilt_deg <= MOST_ARC_TILT_DEG {
        FormName::Arc
    } else {
        FormName::ArcOrBand
    }
}

/// Median of each number; none of none.
fn medians(shapes: &[FormGeometry]) -> Option<FormGeometry> {
    let of = |number: &dyn Fn(&FormGeometry) -> f64| median(&mut shapes.iter().map(number).collect::<Vec<_>>());
    Some(FormGeometry {
        length_km: of(&|form| form.length_km)?,
        width_km: of(&|form| form.width_km)?,
        tilt_deg: of(&|form| form.tilt_deg)?,
        stray_km: of(&|form| form.stray_km)?,
        poleward_km: of(&|form| form.poleward_km)?,
        altitude_deg: [of(&|form| form.altitude_deg[0])?, of(&|form| form.altitude_deg[1])?],
        span_deg: of(&|form| form.span_deg)?,
    })
}

fn spread_words(geometry: &FormGeometry, shapes: &[FormGeometry]) -> String {
    let mut poleward: Vec<f64> = shapes.iter().map(|form| form.poleward_km).collect();
    let [low, high] = [0.25, 0.75].map(|place| quantile(&mut poleward, place).unwrap_or(geometry.poleward_km));
    format!(
        "medians over them: {:.0} km long, {:.0} km wide, {:.0} degrees from magnetic east-west, {:.0} km poleward of the camera \
         ({low:.0} to {high:.0} in the middle half)",
        geometry.length_km, geometry.width_km, geometry.tilt_deg, geometry.poleward_km
    )
}
