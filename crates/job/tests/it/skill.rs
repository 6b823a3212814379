//! Scores against other people's programs.

use jiff::civil::date;
use job::{FEWEST_TO_JUDGE, ScoredOuting, ScoresReport, ScoresRequest, SeenOutcome, scores};
use quantity::{Basis, Estimate, Fraction};

/// Sums of some tens of doubles: what is left is rounding.
const ROUNDING: f64 = 1e-12;
/// Chances and outcomes drawn once at random (Python's generator, seed 7; an outcome comes with its own chance).
const PAIRS: [(f64, bool); 24] = [
    (0.32, true),
    (0.15, true),
    (0.65, true),
    (0.07, false),
    (0.54, true),
    (0.37, false),
    (0.06, false),
    (0.51, true),
    (0.04, false),
    (0.43, true),
    (0.07, true),
    (0.09, false),
    (0.42, false),
    (0.83, true),
    (0.12, false),
    (0.22, false),
    (0.63, true),
    (0.95, true),
    (0.58, false),
    (0.4, false),
    (0.98, true),
    (0.05, false),
    (0.86, true),
    (0.29, false),
];
/// `sklearn.metrics.brier_score_loss` of those pairs, scikit-learn 1.9.1.
const BRIER_SCIKIT_LEARN: f64 = 0.171_437_5;
/// `proportion_confint(came_true, count, method="wilson")`, statsmodels 0.15.0: came true, count, low, high.
const WILSON_STATSMODELS: [(usize, usize, f64, f64); 5] = [
    (0, 5, 0.0, 0.434_482_464_783_174_87),
    (5, 10, 0.236_593_090_512_563_94, 0.763_406_909_487_436_1),
    (4, 5, 0.375_534_629_762_525_2, 0.963_775_891_367_569_8),
    (1, 1, 0.206_549_314_377_123_8, 1.0),
    (17, 40, 0.285_093_925_599_503_75, 0.578_049_314_580_089_3),
];

fn outing(index: usize, chance: f64, outcome: SeenOutcome) -> ScoredOuting {
    let night = date(2025, 1, 1).checked_add(jiff::Span::new().days(i64::try_from(index).unwrap())).unwrap();
    ScoredOuting {
        site_name: "Test bay".to_owned(),
        night,
        asked_at: format!("{night}T12:00:00Z").parse().unwrap(),
        best_at: Some(format!("{night}T22:00:00Z").parse().unwrap()),
        eye_chance: Some(Fraction::new(chance).unwrap()),
        camera_chance: None,
        cloud_counted: true,
        predicted_kr: None,
        eye: Some(outcome),
        camera: None,
        met_kr: None,
        invented: false,
    }
}

fn seen(came: bool) -> SeenOutcome {
    if came { SeenOutcome::Yes } else { SeenOutcome::No }
}

fn scored(outings: Vec<ScoredOuting>) -> ScoresReport {
    scores(&ScoresRequest { outings }).unwrap()
}

fn record(pairs: &[(f64, bool)]) -> Vec<ScoredOuting> {
    pairs.iter().enumerate().map(|(index, (chance, came))| outing(index, *chance, seen(*came))).collect()
}

#[test]
fn the_brier_score_is_that_of_scikit_learn() {
    let report = scored(record(&PAIRS));
    assert!((report.eye.brier.unwrap() - BRIER_SCIKIT_LEARN).abs() < ROUNDING);
    assert_eq!((report.eye.count, report.eye.came_true, report.kept), (24, 12, 24));
    assert_eq!(report.camera.brier, None);
}

/// Murphy (1973): with one chance a group the three parts add up; published identity, numbers of our own.
#[test]
fn the_parts_add_up_to_the_whole_where_groups_hold_one_chance() {
    let chances = [0.1, 0.3, 0.5, 0.7, 0.9];
    let pairs: Vec<_> = PAIRS.iter().enumerate().map(|(index, (_, came))| (chances[index % 5], *came)).collect();
    let eye = scored(record(&pairs)).eye;
    assert!(eye.within_groups.unwrap().abs() < ROUNDING, "{eye:?}");
    assert!(eye.resolution.unwrap() > 0.0 && eye.reliability.unwrap() > 0.0);
    // by hand: the skill is what the resolution gains over the reliability's loss
    let by_parts = (eye.resolution.unwrap() - eye.reliability.unwrap()) / eye.uncertainty.unwrap();
    assert!((eye.skill.unwrap() - by_parts).abs() < ROUNDING);
}

#[test]
fn intervals_of_shares_are_those_of_statsmodels() {
    for (came_true, count, low, high) in WILSON_STATSMODELS {
        let pairs: Vec<_> = (0..count).map(|index| (0.7, index < came_true)).collect();
        let eye = scored(record(&pairs)).eye;
        let row = eye.table[0];
        assert_eq!((eye.table.len(), row.count, row.came_true), (1, count, came_true));
        assert!((row.share_low - low).abs() < ROUNDING && (row.share_high - high).abs() < ROUNDING, "{row:?}");
    }
}

#[test]
fn the_line_counts_first_and_judges_only_from_enough() {
    assert!(scored(Vec::new()).past_skill.contains("no record"));
    let few = scored(record(&[(0.8, true), (0.1, false)]));
    assert!(few.past_skill.contains("said \"eye likely\" once, seen 1") && !few.eye.enough);
    assert!(few.past_skill.contains("Too few to judge (n=2"), "{}", few.past_skill);
    let enough: Vec<_> = (0..FEWEST_TO_JUDGE).map(|index| (if index < 5 { 0.9 } else { 0.1 }, index < 4)).collect();
    let enough = scored(record(&enough));
    assert!(
        enough.past_skill.starts_with("10 outings kept: said \"eye likely\" 5 times, seen 4"),
        "{}",
        enough.past_skill
    );
    assert!(enough.past_skill.contains("Brier score"));
    let alike = scored(record(&[(0.9, true); FEWEST_TO_JUDGE]));
    assert!(alike.eye.skill.is_none() && alike.past_skill.contains("cannot be told"));
}

#[test]
fn cloud_counts_as_not_seen_only_where_the_chance_knew_of_it() {
    let mut clouded = outing(0, 0.6, SeenOutcome::Cloud);
    let known = scored(vec![clouded.clone()]);
    assert_eq!((known.eye.count, known.eye.came_true, known.lost_to_cloud), (1, 0, 1));
    clouded.cloud_counted = false;
    let unknown = scored(vec![clouded]);
    assert_eq!((unknown.eye.count, unknown.lost_to_cloud), (0, 1));
    assert!(unknown.past_skill.contains("1 under cloud"), "{}", unknown.past_skill);
}

#[test]
fn hindsight_second_words_and_inventions_do_not_count() {
    let mut late = outing(0, 0.99, SeenOutcome::Yes);
    late.asked_at = "2025-01-02T03:00:00Z".parse().unwrap();
    let first = outing(1, 0.2, SeenOutcome::Yes);
    let mut second = outing(1, 0.9, SeenOutcome::Yes);
    second.asked_at = "2025-01-02T20:00:00Z".parse().unwrap();
    let invented = ScoredOuting { invented: true, ..outing(2, 0.5, SeenOutcome::No) };
    let report = scored(vec![late, second, first, invented.clone()]);
    assert_eq!((report.kept, report.left_out_hindsight, report.eye.said_likely), (1, 1, 1));
    let demo = scored(vec![invented]);
    assert!(demo.invented && demo.past_skill.contains("invented"), "{}", demo.past_skill);
}

/// By hand: met at ten times the prediction, then just as predicted: mean and error of 1 and 0 dex are 0.5 and 0.5.
#[test]
fn the_bias_of_brightness_is_in_dex_with_its_error() {
    let with = |index, met: f64| ScoredOuting {
        predicted_kr: Some(2.0),
        met_kr: Some(Estimate::logarithmic(met, 0.3, Basis::Assumed)),
        ..outing(index, 0.5, SeenOutcome::Yes)
    };
    let bias = scored(vec![with(0, 20.0), with(1, 2.0)]).brightness.unwrap();
    assert_eq!(bias.count, 2);
    assert!((bias.mean_dex - 0.5).abs() < ROUNDING && (bias.standard_error_dex.unwrap() - 0.5).abs() < ROUNDING);
    assert!(scored(vec![with(0, 20.0)]).brightness.unwrap().standard_error_dex.is_none());
    let broken = scores(&ScoresRequest { outings: vec![with(0, f64::NAN)] });
    assert!(broken.unwrap_err().to_string().contains("outings[0]"));
}
