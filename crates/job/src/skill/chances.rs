//! Scores of chances against yes and no.

use serde::{Deserialize, Serialize};

/// Groups of chances, each a fifth of the scale: an outing record is tens of nights, not thousands.
const GROUPS: usize = 5;
/// Quantile of the normal distribution for a two-sided interval of 95 %.
const NORMAL_95: f64 = 1.959_963_984_540_054;

/// One group of chances and how often they came true.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "typescript", derive(ts_rs::TS))]
pub struct ReliabilityRow {
    /// Lower end of the group, 0..1, included.
    pub from: f64,
    /// Upper end, 0..1, included in the last group only.
    pub to: f64,
    /// Outings in it.
    pub count: usize,
    /// Of them, those that came true.
    pub came_true: usize,
    /// Mean chance given, 0..1.
    pub mean_chance: f64,
    /// Share that came true, 0..1.
    pub share: f64,
    /// Lower end of the 95 % interval of that share (Wilson 1927, doi 10.1080/01621459.1927.10502953).
    pub share_low: f64,
    /// Upper end of that interval.
    pub share_high: f64,
}

/// How good a kind of chance was.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "typescript", derive(ts_rs::TS))]
pub struct ChanceScores {
    /// Outings with a chance and an outcome.
    pub count: usize,
    /// Of them, those that came true.
    pub came_true: usize,
    /// Outings of which the outlook said that it is more likely than not.
    pub said_likely: usize,
    /// Of those, the ones that came true.
    pub likely_came_true: usize,
    /// Whether there are enough outings to judge by.
    pub enough: bool,
    /// Mean square of chance minus outcome, 0 best, 1 worst (Brier 1950); none without outings.
    pub brier: Option<f64>,
    /// Murphy's (1973) reliability over the groups of the table: 0 best.
    pub reliability: Option<f64>,
    /// His resolution: the more the better.
    pub resolution: Option<f64>,
    /// His uncertainty: the Brier score of always saying the share that came true.
    pub uncertainty: Option<f64>,
    /// What chances that differ within a group add: brier - (reliability - resolution + uncertainty)
    /// (Stephenson, Coelho and Jolliffe 2008, doi 10.1175/2007WAF2006116.1).
    pub within_groups: Option<f64>,
    /// 1 - brier / uncertainty: 1 perfect, 0 no better than always saying the record's own share, below 0 worse; none
    /// where all outings ended alike.
    pub skill: Option<f64>,
    /// Groups that hold outings, lowest chances first.
    pub table: Vec<ReliabilityRow>,
}

/// Scores pairs of chance and whether it came true.
pub(super) fn score(pairs: impl Iterator<Item = (f64, bool)>) -> ChanceScores {
    let pairs: Vec<(f64, bool)> = pairs.collect();
    let (count, came_true) = counted(&pairs);
    let likely: Vec<_> = pairs.iter().copied().filter(|(chance, _)| *chance >= super::SAID_LIKELY).collect();
    let (said_likely, likely_came_true) = counted(&likely);
    let table: Vec<ReliabilityRow> = (0..GROUPS).filter_map(|group| row(&pairs, group)).collect();
    let mut scores = ChanceScores {
        count,
        came_true,
        said_likely,
        likely_came_true,
        enough: count >= super::FEWEST_TO_JUDGE,
        brier: None,
        reliability: None,
        resolution: None,
        uncertainty: None,
        within_groups: None,
        skill: None,
        table,
    };
    if count > 0 {
        fill(&mut scores, &pairs);
    }
    scores
}

fn fill(scores: &mut ChanceScores, pairs: &[(f64, bool)]) {
    let count = scores.count as f64;
    let share = scores.came_true as f64 / count;
    let brier = pairs.iter().map(|(chance, came)| (chance - f64::from(*came)).powi(2)).sum::<f64>() / count;
    let over_groups = |square: fn(&ReliabilityRow, f64) -> f64| {
        scores.table.iter().map(|row| row.count as f64 * square(row, share)).sum::<f64>() / count
    };
    let reliability = over_groups(|row, _| (row.mean_chance - row.share).powi(2));
    let resolution = over_groups(|row, share| (row.share - share).powi(2));
    let uncertainty = share * (1.0 - share);
    scores.brier = Some(brier);
    scores.reliability = Some(reliability);
    scores.resolution = Some(resolution);
    scores.uncertainty = Some(uncertainty);
    scores.within_groups = Some(brier - (reliability - resolution + uncertainty));
    scores.skill = (uncertainty > 0.0).then(|| 1.0 - brier / uncertainty);
}

fn counted(pairs: &[(f64, bool)]) -> (usize, usize) {
    (pairs.len(), pairs.iter().filter(|(_, came)| *came).count())
}

fn row(pairs: &[(f64, bool)], group: usize) -> Option<ReliabilityRow> {
    #[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "chances lie between 0 and 1")]
    let group_of = |chance: f64| ((chance * GROUPS as f64) as usize).min(GROUPS - 1);
    let inside: Vec<_> = pairs.iter().copied().filter(|(chance, _)| group_of(*chance) == group).collect();
    let (count, came_true) = counted(&inside);
    if count == 0 {
        return None;
    }
    let (share_low, share_high) = wilson(count, came_true);
    Some(ReliabilityRow {
        from: group as f64 / GROUPS as f64,
        to: (group + 1) as f64 / GROUPS as f64,
        mean_chance: inside.iter().map(|(chance, _)| chance).sum::<f64>() / count as f64,
        share: came_true as f64 / count as f64,
        count,
        came_true,
        share_low,
        share_high,
    })
}

/// Wilson's interval of a share, 95 %.
fn wilson(count: usize, came_true: usize) -> (f64, f64) {
    let count = count as f64;
    let share = came_true as f64 / count;
    let z2 = NORMAL_95 * NORMAL_95;
    let middle = (share + z2 / (2.0 * count)) / (1.0 + z2 / count);
    let half = NORMAL_95 / (1.0 + z2 / count) * (share * (1.0 - share) / count + z2 / (4.0 * count * count)).sqrt();
    ((middle - half).max(0.0), (middle + half).min(1.0))
}
