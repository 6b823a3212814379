//! What holds for any table: what is written in one shape is read in all.

use feeds::{KpSeries, KpThird, parse_kp};
use jiff::civil::Date;
use proptest::prelude::*;

/// Any day from the first of Kp to 2031, the last that two digits of a year can say.
fn any_day() -> impl Strategy<Value = Date> {
    (0_i64..36_500).prop_map(|days| {
        jiff::civil::date(1932, 1, 1).checked_add(jiff::SignedDuration::from_hours(24 * days)).expect("in range")
    })
}

fn any_kp() -> impl Strategy<Value = [KpThird; 8]> {
    proptest::array::uniform8((0_u8..=27).prop_map(|thirds| KpThird::from_thirds(thirds).expect("up to 27")))
}

fn days_since(date: Date, start: Date) -> i64 {
    date.duration_since(start).as_hours() / 24
}

fn join(kp: [KpThird; 8], print: impl Fn(&KpThird) -> String) -> String {
    kp.iter().map(print).collect()
}

fn daily(date: Date, kp: [KpThird; 8]) -> String {
    let days = days_since(date, jiff::civil::date(1932, 1, 1));
    let (year, month, day) = (date.year(), date.month(), date.day());
    let values = join(kp, |kp| format!(" {:6.3}", kp.kp()));
    let ap = join(kp, |kp| format!(" {:4}", kp.ap()));
    format!("{year} {month:02} {day:02} {days:5} {days:5}.5 2477 25{values}{ap}    12  -1    117.2    116.0 2\n")
}

fn wdc(date: Date, kp: [KpThird; 8]) -> String {
    let days = days_since(date, jiff::civil::date(1832, 2, 8));
    let tenths = |thirds: u16| thirds / 3 * 10 + [0, 3, 7][usize::from(thirds % 3)];
    let sum: u16 = kp.iter().map(|kp| u16::from(kp.thirds())).sum();
    format!(
        "{:2}{:2}{:2}{:4}{:2}{}{:3}{} 120.63\n",
        date.year() % 100,
        date.month(),
        date.day(),
        days / 27 + 1,
        days % 27 + 1,
        join(kp, |kp| format!("{:2}", tenths(u16::from(kp.thirds())))),
        tenths(sum),
        join(kp, |kp| format!("{:3}", kp.ap())),
    )
}

fn tab(date: Date, kp: [KpThird; 8]) -> String {
    let sum: u16 = kp.iter().map(|kp| u16::from(kp.thirds())).sum();
    let sum = match sum % 3 {
        0 => format!("{}o", sum / 3),
        1 => format!("{}+", sum / 3),
        _two => format!("{}-", sum / 3 + 1),
    };
    let short = i32::from(date.year() % 100) * 10_000 + i32::from(date.month()) * 100 + i32::from(date.day());
    format!("{short:06} {} {sum:>5} D3* 15 0.9\n", join(kp, |kp| format!(" {kp}")))
}

fn json(date: Date, kp: [KpThird; 8]) -> String {
    let list = |print: &dyn Fn(usize, &KpThird) -> String| {
        kp.iter().enumerate().map(|(index, kp)| print(index, kp)).collect::<Vec<_>>().join(",")
    };
    format!(
        r#"{{"Kp":[{}],"datetime":[{}],"status":[{}]}}"#,
        list(&|_, kp| format!("{:.3}", kp.kp())),
        list(&|index, _| format!("\"{date}T{:02}:00:00Z\"", 3 * index)),
        list(&|_, _| "\"def\"".to_owned()),
    )
}

fn read(text: &str) -> KpSeries {
    let series = parse_kp(text.as_bytes(), "composed").unwrap_or_else(|error| panic!("{error}: {text}"));
    assert_eq!(series.rejected_summary(), None, "{text}");
    series
}

#[test]
fn a_table_as_long_as_the_one_since_1932_is_read_whole() {
    const DAYS: i64 = 34_340;
    let mut text = String::new();
    for day in 0..DAYS {
        let kp = std::array::from_fn(|index| {
            let thirds = (7 * day + 5 * i64::try_from(index).expect("0 to 7")).rem_euclid(28);
            KpThird::from_thirds(u8::try_from(thirds).expect("0 to 27")).expect("0 to 27")
        });
        let first = jiff::civil::date(1932, 1, 1);
        text.push_str(&daily(first.checked_add(jiff::SignedDuration::from_hours(24 * day)).expect("in range"), kp));
    }
    let series = read(&text);
    assert_eq!(series.intervals.len(), 34_340 * 8);
    assert!(series.intervals.windows(2).all(|pair| pair[0].to == pair[1].from), "no gap, no overlap");
}

proptest! {
    #[test]
    fn one_day_reads_the_same_in_every_shape(date in any_day(), kp in any_kp()) {
        let expected = read(&json(date, kp)).intervals;
        prop_assert_eq!(expected.len(), 8);
        for (interval, kp) in expected.iter().zip(kp) {
            prop_assert_eq!(KpThird::from_decimal(interval.kp), Some(kp));
        }
        prop_assert_eq!(&read(&daily(date, kp)).intervals, &expected);
        prop_assert_eq!(&read(&wdc(date, kp)).intervals, &expected);
        prop_assert_eq!(&read(&tab(date, kp)).intervals, &expected);
    }

    #[test]
    fn any_bytes_are_survived(bytes in proptest::collection::vec(any::<u8>(), 0..400)) {
        if let Err(error) = parse_kp(&bytes, "any") {
            prop_assert!(!error.to_string().is_empty());
        }
    }

    #[test]
    fn any_text_of_the_right_letters_is_survived(text in "[\\[{]?[0-9 .+o\"Kp:,\\[\\]{}#T\n-]{0,300}") {
        if let Err(error) = parse_kp(text.as_bytes(), "any") {
            prop_assert!(!error.to_string().contains('\n'));
        }
    }
}
