//! Against tables made with other programs.

use std::collections::BTreeMap;

use sequence::{LombScargle, false_alarm, peaks};

/// Sums of sines and noise at uneven times (astropy 8.0.2 and scipy 1.17.1; the headers have the recipe).
const SERIES: &str = include_str!("../data/10a_series.csv");
/// Their spectra, by astropy's `LombScargle(fit_mean=True, center_data=True, normalization='standard')`.
const SPECTRA: &str = include_str!("../data/10b_lombscargle.csv");
/// The table's own tolerance; it writes powers to six digits.
const POWER_TOLERANCE: f64 = 1e-4;
/// Relative error allowed to a false alarm for each unit of its logarithm: the table's inputs are written to five digits, and
/// a chance of 1e-46 hangs on the fiftieth power of what the fit leaves.
const FALSE_ALARM_TOLERANCE: f64 = 1e-4;

fn rows(text: &str) -> Vec<BTreeMap<String, String>> {
    let mut reader = csv::ReaderBuilder::new().comment(Some(b'#')).from_reader(text.as_bytes());
    reader.deserialize().map(Result::unwrap).collect()
}

fn number(row: &BTreeMap<String, String>, key: &str) -> f64 {
    row[key].parse().unwrap_or_else(|_| panic!("{key} of {row:?}"))
}

#[test]
fn spectra_are_those_of_astropy() {
    let mut series: BTreeMap<String, [Vec<f64>; 3]> = BTreeMap::new();
    for row in rows(SERIES) {
        let lists = series.entry(row["series"].clone()).or_default();
        for (list, key) in lists.iter_mut().zip(["t_s", "y", "err"]) {
            list.push(number(&row, key));
        }
    }
    let spectra = rows(SPECTRA);
    let (mut compared, mut worst) = (0, (0.0_f64, String::new()));
    for row in spectra.iter().filter(|row| row["method"] != "scipy_classic") {
        let [times, values, errors] = &series[&row["series"]];
        let sigma = (row["method"] == "weighted").then_some(errors.as_slice());
        let ours = LombScargle::new(times, values, sigma).unwrap();
        let (low, high, count) = (number(row, "f_min"), number(row, "f_max"), number(row, "n_freq"));
        let step = (high - low) / (count - 1.0);
        #[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "a small whole number")]
        let grid: Vec<f64> = (0..count as u32).map(|index| low + f64::from(index) * step).collect();
        let powers = ours.powers(&grid);
        let rank: usize = row["rank"].parse().unwrap();
        let peak = peaks(&grid, &powers, 3)[rank - 1];
        let name = format!("series {} {} rank {rank}", row["series"], row["method"]);
        let off = (peak.power - number(row, "power")).abs();
        assert!(off < POWER_TOLERANCE, "{name}: {} against {}", peak.power, row["power"]);
        assert!((peak.frequency_hz - number(row, "freq_hz")).abs() <= step, "{name}: {}", peak.frequency_hz);
        let chance = false_alarm(&ours, peak.power, high);
        let expected = number(row, "fap_baluev");
        let allowed = FALSE_ALARM_TOLERANCE * (20.0 - expected.ln());
        assert!((chance / expected - 1.0).abs() < allowed, "{name}: {chance:e}");
        if !row["amplitude"].is_empty() {
            assert!((ours.amplitude(peak.frequency_hz) - number(row, "amplitude")).abs() < 1e-4, "{name}");
        }
        if off > worst.0 {
            worst = (off, name);
        }
        compared += 1;
    }
    assert!(compared >= 30, "{compared} rows compared; worst {worst:?}");
}

/// The classic form without a floating mean differs by little; the table's third column is scipy's.
#[test]
fn the_classic_periodogram_finds_the_same_period() {
    for row in rows(SPECTRA).iter().filter(|row| row["method"] == "scipy_classic") {
        let of_series: Vec<_> = rows(SERIES).into_iter().filter(|sample| sample["series"] == row["series"]).collect();
        let [times, values] = ["t_s", "y"].map(|key| of_series.iter().map(|row| number(row, key)).collect::<Vec<_>>());
        let ours = LombScargle::new(&times, &values, None).unwrap();
        let off = (ours.power(number(row, "freq_hz")) - number(row, "power")).abs();
        // a fixed mean costs a short series up to a hundredth
        assert!(off < 0.01, "series {}: {off}", row["series"]);
    }
}
