//! Kp and solar wind beside the frames, in words.

use quantity::Timestamp;

use super::report::{ReadReport, ReadSpace};
use crate::{ActivityKind, KpInterval};

impl ReadSpace {
    /// Whether the store held anything of that time.
    pub fn is_empty(&self) -> bool {
        self.kp.is_empty() && self.wind.is_empty()
    }

    /// The interval whose Kp stands for a time where nobody gives one: measured or estimated, never foretold.
    pub fn kp_for(&self, at: Timestamp) -> Option<KpInterval> {
        let is_met = |kind| !matches!(kind, ActivityKind::Forecast | ActivityKind::LongRange);
        self.kp.iter().copied().find(|one| is_met(one.kind) && one.from <= at && at < one.to)
    }
}

/// The lines of the account that stored feeds give, each with source and age.
pub(super) fn lines(report: &ReadReport, tell: &mut impl FnMut(String, &str)) {
    let Some(space) = &report.space else { return };
    let asked = space.asked_at.map_or(String::new(), |at| format!("; the store was asked at {at:.0}"));
    if space.is_empty() {
        tell(
            "neither Kp nor solar wind of the frames' time is stored".to_owned(),
            &format!("stored feeds{asked}; pull them within days of a night: publishers keep no more"),
        );
        return;
    }
    if let Some([low, high]) = ends(space.kp.iter().map(|one| one.kp)) {
        let mut kinds: Vec<&str> = space.kp.iter().map(|one| one.kind.words()).collect();
        kinds.dedup();
        let issued = space.kp_issued_at.map_or(String::new(), |at| format!(", issued at {at:.0}"));
        tell(
            format!("Kp {} over the frames, by {}", range(low, high, 1), kinds.join(", ")),
            &format!("{}{issued}{asked}; steps of a third", space.kp_source),
        );
    }
    if let Some(taken) = space.kp_taken {
        tell(
            format!("forms are set against the oval of Kp {:.1}, as nobody gave another", taken.kp),
            &format!("{}, from {:.0} to {:.0}", taken.kind.words(), taken.from, taken.to),
        );
    }
    let bz = ends(space.wind.iter().map(|one| one.bz_nt));
    if let Some(([bz_low, bz_high], [slow, fast])) = bz.zip(ends(space.wind.iter().map(|one| one.speed_km_s))) {
        tell(
            format!(
                "solar wind at Earth: Bz {} nT (negative is southward), {} km/s",
                range(bz_low, bz_high, 1),
                range(slow, fast, 0)
            ),
            &format!("{}{asked}; its time of arrival is good to some minutes", space.wind_source),
        );
    }
}

/// Lowest and highest of some numbers.
fn ends(numbers: impl Iterator<Item = f64>) -> Option<[f64; 2]> {
    numbers.filter(|number| number.is_finite()).fold(None, |ends, number| {
        let [low, high] = ends.unwrap_or([number; 2]);
        Some([low.min(number), high.max(number)])
    })
}

fn range(low: f64, high: f64, digits: usize) -> String {
    let [low, high] = [low, high].map(|end| format!("{end:.digits$}"));
    if low == high { low } else { format!("{low} to {high}") }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_oval_is_never_drawn_for_a_kp_that_was_only_foretold() {
        let at = |text: &str| text.parse::<Timestamp>().unwrap();
        let one = |from, to, kp, kind| KpInterval { from: at(from), to: at(to), kp, kind };
        let space = ReadSpace {
            kp: vec![
                one("2026-03-14T18:00:00Z", "2026-03-14T21:00:00Z", 4.333, ActivityKind::Preliminary),
                one("2026-03-14T21:00:00Z", "2026-03-15T00:00:00Z", 6.0, ActivityKind::Forecast),
            ],
            ..ReadSpace::default()
        };
        assert_eq!(space.kp_for(at("2026-03-14T20:59:00Z")).map(|one| one.kp), Some(4.333));
        assert_eq!(space.kp_for(at("2026-03-14T21:00:00Z")), None, "foretold");
        assert_eq!(space.kp_for(at("2026-03-14T17:59:00Z")), None, "before all");
    }

    #[test]
    fn equal_ends_are_one_number() {
        assert_eq!(range(4.32, 4.34, 1), "4.3");
        assert_eq!(ends([2.0, f64::NAN, -8.0].into_iter()), Some([-8.0, 2.0]));
        assert_eq!(ends(std::iter::empty()), None);
    }
}
