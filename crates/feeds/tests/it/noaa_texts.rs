//! The forecasts of NOAA in words and numbers.

use feeds::FeedError;
use feeds::noaa::{parse_long_range, parse_three_day};
use job::ActivityKind;
use quantity::Timestamp;

use crate::samples::sample;

/// Values printed with two decimals of a third.
const PRINTED: f64 = 0.006;

/// Composed to the layout of 2026.
pub(crate) const THREE_DAY: &str = "\
:Product: 3-Day Forecast
:Issued: 2026 Dec 31 1230 UTC
# Prepared by the U.S. Dept. of Commerce, NOAA, Space Weather Prediction Center
#
A. NOAA Geomagnetic Activity Observation and Forecast

The greatest observed 3 hr Kp over the past 24 hours was 4 (below NOAA
Scale levels).

NOAA Kp index breakdown Dec 31-Jan 02 2027

             Dec 31       Jan 01       Jan 02
00-03UT       2.67         1.33         1.67     
03-06UT       0.67         4.67 (G1)    1.67     
06-09UT       1.00         5.67(G2)     1.67     
09-12UT       1.67         1.33         1.33     
12-15UT       2            1            1        
15-18UT       2.67         1.33         8.00 (G4)
18-21UT       2.67         1.67         1.33     
21-00UT       2.67         1.67         1.33     

B. NOAA Solar Radiation Activity Observation and Forecast

              Dec 31  Jan 01  Jan 02
S1 or greater    5%      5%     10%
";

/// The first days of an outlook as issued in January 2025.
pub(crate) const LONG_RANGE: &str = "\
:Product: 27-day Space Weather Outlook Table 27DO.txt
:Issued: 2025 Jan 06 0242 UTC
# Prepared by the US Dept. of Commerce, NOAA, Space Weather Prediction Center
#
#   UTC      Radio Flux   Planetary   Largest
#  Date       10.7 cm      A Index    Kp Index
2025 Jan 06     172          22          5
2025 Jan 07     165          12          4
2025 Jan 08     165           8          3
";

fn at(text: &str) -> Timestamp {
    text.parse().unwrap()
}

#[test]
fn a_three_day_table_keeps_its_days_at_new_year_and_drops_storm_levels() {
    let read = parse_three_day(THREE_DAY.as_bytes(), "3-day").unwrap();
    assert_eq!(read.issued_at, Some(at("2026-12-31T12:30:00Z")));
    assert_eq!((read.intervals.len(), read.rejected.len()), (24, 0), "{:?}", read.rejected);
    assert!(read.intervals.windows(2).all(|pair| pair[0].to == pair[1].from), "no gap, no overlap");
    assert_eq!(read.intervals[0].from, at("2026-12-31T00:00:00Z"));
    assert_eq!(read.intervals[23].to, at("2027-01-03T00:00:00Z"));
    let kp = |from: &str| read.intervals.iter().find(|interval| interval.from == at(from)).unwrap().kp;
    assert!((kp("2027-01-01T03:00:00Z") - 4.667).abs() < PRINTED);
    assert!((kp("2027-01-01T06:00:00Z") - 5.667).abs() < PRINTED);
    assert!((kp("2027-01-02T15:00:00Z") - 8.0).abs() < PRINTED);
    assert!((kp("2026-12-31T12:00:00Z") - 2.0).abs() < PRINTED);
    assert!(read.intervals.iter().all(|interval| interval.kind == ActivityKind::Forecast));
}

#[test]
fn without_an_issue_line_the_title_names_the_year_of_the_last_day() {
    let lines: Vec<&str> = THREE_DAY.lines().filter(|line| !line.starts_with(':')).collect();
    let text = lines.join("\r\n");
    let read = parse_three_day(text.as_bytes(), "3-day").unwrap();
    assert_eq!(read.issued_at, None);
    assert_eq!((read.intervals[0].from, read.intervals.len()), (at("2026-12-31T00:00:00Z"), 24));
    let text = text.replace(" 2027", "");
    let error = parse_three_day(text.as_bytes(), "3-day").unwrap_err();
    assert!(error.to_string().contains(":Issued:"), "{error}");
}

#[test]
fn a_bad_line_of_the_three_day_table_costs_itself() {
    for (from, to) in [
        ("0.67         4.67 (G1)    1.67", "0.67         4.67 (G1)"),
        ("0.67         4.67 (G1)    1.67", "0.67  oops  1.67"),
        ("0.67         4.67 (G1)    1.67", "0.67  9.33  1.67"),
        ("0.67         4.67 (G1)    1.67", "0.67  4.67 (G1)  1."),
        ("0.67         4.67 (G1)    1.67", "0.67  4.67 (G1)  1"),
        ("0.67         4.67 (G1)    1.67", "0.67  4.67 (G1)  1.6"),
        ("0.67         4.67 (G1)    1.67", "0.67  4.50 (G1)  1.67"),
    ] {
        let read = parse_three_day(THREE_DAY.replace(from, to).as_bytes(), "3-day").unwrap();
        assert_eq!((read.intervals.len(), read.rejected.len()), (21, 1), "{to}");
    }
    let far = THREE_DAY.replace("Dec 31       Jan 01       Jan 02", "Jun 01       Jun 02       Jun 03");
    assert!(matches!(parse_three_day(far.as_bytes(), "3-day"), Err(FeedError::NoGoodRow { rows: 8, .. })));
}

#[test]
fn captured_three_day_texts_are_read_whole() {
    for (name, first) in [
        ("swpc/3-day-forecast.2026-02-01.txt", "2026-02-01T00:00:00Z"),
        ("swpc/3-day-forecast.2025-01-11.section-A.txt", "2025-01-11T00:00:00Z"),
        ("swpc/3-day-geomag-forecast.2023-10-31.txt", "2023-11-01T00:00:00Z"),
    ] {
        let Some(bytes) = sample(name) else { return };
        let read = parse_three_day(&bytes, name).unwrap();
        assert_eq!((read.intervals.len(), read.rejected.len()), (24, 0), "{name}");
        assert_eq!(read.intervals[0].from, at(first), "{name}");
    }
    let Some(bytes) = sample("swpc/3-day-forecast.2026-02-01.txt") else { return };
    let read = parse_three_day(&bytes, "3-day").unwrap();
    assert!((read.intervals[0].kp - 0.333).abs() < PRINTED && (read.intervals[8].kp - 1.667).abs() < PRINTED);
}

#[test]
fn the_long_range_outlook_goes_by_the_a_index() {
    let read = parse_long_range(LONG_RANGE.as_bytes(), "27-day").unwrap();
    assert_eq!(read.issued_at, Some(at("2025-01-06T02:42:00Z")));
    assert_eq!((read.days.len(), read.rejected.len()), (3, 0));
    assert!((read.days[0].f107_sfu - 172.0).abs() < 1e-9 && (read.days[0].largest_kp - 5.0).abs() < 1e-9);
    let intervals = read.intervals();
    // ap 22 is Kp 4-
    assert!((intervals[0].kp - 3.667).abs() < PRINTED, "{}", intervals[0].kp);
    assert_eq!((intervals[0].from, intervals[0].to), (at("2025-01-06T00:00:00Z"), at("2025-01-07T00:00:00Z")));
    assert!(intervals.iter().all(|interval| interval.kind == ActivityKind::LongRange));
    for bad in [
        "2025 Jan 09 165 8",
        "2025 Jan 32 165 8 3",
        "2025 Foo 09 165 8 3",
        "2025 Jan 09 165 8 10",
        "2025 Jan 09 165 -1 3",
    ] {
        let read = parse_long_range(format!("{LONG_RANGE}{bad}\n").as_bytes(), "27-day").unwrap();
        assert_eq!((read.days.len(), read.rejected.len()), (3, 1), "{bad}");
    }
    let Some(bytes) = sample("swpc/27-day-outlook.2025-01-06.first3.txt") else { return };
    assert_eq!(parse_long_range(&bytes, "27-day").unwrap().days, read.days);
}
