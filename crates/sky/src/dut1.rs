//! UT1 - UTC: how far the turning Earth is behind the atomic clock.

use crate::time::{DAY_S, tai_minus_utc_s};

/// 1972-01-01 in Unix seconds: first entry of the table.
const TABLE_START_UNIX_S: f64 = 63_072_000.0;
/// Days between entries.
const TABLE_STEP_DAYS: f64 = 90.0;

/// UT1 - TAI in seconds, every 90 days from 1972-01-01. It has no leap seconds in it, so it can be interpolated.
///
/// Source: IERS Earth orientation series 20 C04 to 2026-10 and the IERS Rapid Service predictions (finals2000A) after
/// that. Straight lines between the entries stay within 0.03 s of the daily values.
const UT1_MINUS_TAI_S: [f64; 227] = [
    -10.045, -10.344, -10.632, -10.876, -11.170, -11.468, -11.755, -11.986, -12.273, -12.520, -12.787, -12.986,
    -13.250, -13.503, -13.760, -13.951, -14.216, -14.471, -14.761, -14.974, -15.260, -15.509, -15.789, -15.976,
    -16.249, -16.543, -16.838, -17.033, -17.291, -17.557, -17.832, -18.023, -18.247, -18.471, -18.705, -18.868,
    -19.079, -19.294, -19.528, -19.686, -19.866, -20.060, -20.282, -20.438, -20.629, -20.864, -21.122, -21.294,
    -21.463, -21.649, -21.812, -21.918, -22.047, -22.192, -22.347, -22.461, -22.565, -22.710, -22.840, -22.939,
    -23.028, -23.154, -23.295, -23.404, -23.497, -23.643, -23.793, -23.913, -23.979, -24.116, -24.244, -24.385,
    -24.484, -24.664, -24.850, -25.028, -25.166, -25.359, -25.562, -25.761, -25.893, -26.092, -26.310, -26.531,
    -26.675, -26.885, -27.118, -27.357, -27.521, -27.737, -27.953, -28.175, -28.308, -28.522, -28.755, -28.999,
    -29.145, -29.355, -29.548, -29.751, -29.873, -30.035, -30.195, -30.401, -30.531, -30.705, -30.864, -31.044,
    -31.118, -31.219, -31.323, -31.434, -31.494, -31.574, -31.673, -31.758, -31.799, -31.854, -31.921, -31.997,
    -32.025, -32.059, -32.129, -32.202, -32.232, -32.243, -32.299, -32.357, -32.358, -32.363, -32.394, -32.445,
    -32.465, -32.457, -32.508, -32.577, -32.611, -32.610, -32.661, -32.735, -32.805, -32.852, -32.957, -33.060,
    -33.157, -33.178, -33.265, -33.351, -33.438, -33.479, -33.581, -33.658, -33.758, -33.786, -33.869, -33.960,
    -34.057, -34.053, -34.126, -34.185, -34.280, -34.300, -34.388, -34.473, -34.571, -34.598, -34.689, -34.784,
    -34.919, -34.958, -35.050, -35.148, -35.271, -35.322, -35.405, -35.508, -35.636, -35.709, -35.837, -35.985,
    -36.151, -36.229, -36.329, -36.449, -36.582, -36.654, -36.715, -36.800, -36.896, -36.930, -36.975, -37.052,
    -37.144, -37.164, -37.153, -37.184, -37.239, -37.222, -37.170, -37.173, -37.177, -37.155, -37.106, -37.111,
    -37.099, -37.063, -37.003, -37.020, -37.025, -37.035, -36.988, -36.991, -37.014, -37.006, -36.943, -36.953,
    -36.958, -36.965, -36.909, -36.925, -36.940, -36.988, -37.006, -37.102, -37.187, -37.250, -37.194,
];

/// UT1 - UTC in seconds.
///
/// Zero before 1972, when civil time followed UT itself. After the last prediction (late 2027) UT1 - UTC keeps its last value:
/// the Earth has lately turned close to 86 400 s a day, and no leap second is announced. The error then grows to
/// 0.3 s or so in a few years, and is at most 0.9 s as long as UTC keeps its rule.
pub(crate) fn dut1_s(unix_s: f64) -> f64 {
    let position = (unix_s - TABLE_START_UNIX_S) / (TABLE_STEP_DAYS * DAY_S);
    if position < 0.0 {
        return 0.0;
    }
    #[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "not negative, and clamped below")]
    let index = (position as usize).min(UT1_MINUS_TAI_S.len() - 2);
    let share = (position - index as f64).min(1.0);
    let before = UT1_MINUS_TAI_S[index];
    before + share * (UT1_MINUS_TAI_S[index + 1] - before) + tai_minus_utc_s(unix_s)
}

#[cfg(test)]
mod tests {
    use super::*;
    use jiff::Timestamp;

    /// 0.03 s for straight lines between entries, rounded up.
    const TABLE_TOLERANCE_S: f64 = 0.05;

    fn dut1_at(text: &str) -> f64 {
        let at: Timestamp = text.parse().unwrap();
        dut1_s(at.as_second() as f64)
    }

    #[test]
    fn dut1_follows_the_published_values_across_a_leap_second() {
        // IERS Bulletin B final values
        assert!((dut1_at("2016-12-31T00:00:00Z") + 0.4078).abs() < TABLE_TOLERANCE_S);
        assert!((dut1_at("2017-01-01T00:00:00Z") - 0.5913).abs() < TABLE_TOLERANCE_S);
    }

    #[test]
    fn dut1_stays_below_nine_tenths_while_utc_follows_the_earth() {
        for week in 0..2_800 {
            assert!(dut1_s(TABLE_START_UNIX_S + f64::from(week) * 7.0 * DAY_S).abs() < 0.95);
        }
    }

    #[test]
    fn dut1_keeps_its_last_value_beyond_the_table() {
        assert!((dut1_at("2029-01-01T00:00:00Z") - dut1_at("2095-01-01T00:00:00Z")).abs() < 1e-9);
    }
}
