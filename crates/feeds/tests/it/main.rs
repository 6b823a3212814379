//! One binary for all tests of the parsers through their public face.

#![expect(
    clippy::unwrap_used,
    clippy::expect_used,
    clippy::panic,
    reason = "the helpers of these tests may fail like the tests themselves"
)]

mod client;
mod hostile;
mod hostile_space;
mod laws;
mod magnetometer;
mod noaa;
mod noaa_products;
mod noaa_texts;
mod places;
mod published;
mod samples;
mod server;
mod solar_wind;
mod space_weather;
mod terrain;
mod weather;
mod wind_hindcast;

/// Excerpts kept beside the tests; each has its source and licence in its header or in `data/README.md`.
pub(crate) const DAILY: &str = include_str!("../data/kp_since_1932.txt");
pub(crate) const WDC: &str = include_str!("../data/kp_2009.wdc");
pub(crate) const TAB: &str = include_str!("../data/kp_2019-02.tab");
pub(crate) const JSON: &str = include_str!("../data/kp_2024-05-10_12.json");
/// Composed to the shape of the table with one interval a line; values of 10 May 2024.
pub(crate) const THREE_HOURLY: &str = "\
#YYY MM DD hh.h hh._m        days      days_m     Kp   ap D
2024 05 10 12.0 13.50 33733.50000 33733.56250  3.667   22 1
2024 05 10 15.0 16.50 33733.62500 33733.68750  7.667  179 1
2024 05 10 18.0 19.50 33733.75000 33733.81250  8.667  300 0
2024 05 10 21.0 22.50 33733.87500 33733.93750 -1.000   -1 0
";
/// Composed to the two shapes of NOAA's files.
pub(crate) const NOAA_ROWS: &str = r#"[["time_tag","kp","observed","noaa_scale"],
["2026-02-02 00:00:00","2.33","observed",null],["2026-02-02 03:00:00","4.67","estimated","G1"],
["2026-02-02 06:00:00","1.33","predicted",null]]"#;
pub(crate) const NOAA_OBJECTS: &str = r#"[{"time_tag":"2026-07-31T00:00:00","Kp":1.33,"a_running":5,"station_count":8},
{"time_tag":"2026-07-31T03:00:00","Kp":2.67,"a_running":12,"station_count":8}]"#;

/// Every good table above, with a name.
pub(crate) const GOOD: [(&str, &str); 7] = [
    ("daily.txt", DAILY),
    ("kp2009.wdc", WDC),
    ("kp1902.tab", TAB),
    ("kp.json", JSON),
    ("kp_ap.txt", THREE_HOURLY),
    ("forecast.json", NOAA_ROWS),
    ("observed.json", NOAA_OBJECTS),
];
