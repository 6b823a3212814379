//! The outlook on nights of the past: real Kp, places where aurora was, and was not, widely reported.
//!
//! Kp: GFZ, definitive (CC BY 4.0; Matzka et al. 2021, doi 10.1029/2020SW002641). The reports are named beside each night; "from memory"
//! where they could not be read again. Skies are taken as clear, since the reports come from where they were.

use job::{OutlookReport, outlook};

use crate::sample::{request, site};

/// Chance the outlook must give an eye where people saw it without looking for it.
const REPORTED: f64 = 0.5;
/// Chance it may give at most where nobody did.
const NOT_REPORTED: f64 = 0.1;
/// The same on quiet nights.
const QUIET: f64 = 0.1;

/// Place, its latitude and longitude, night, start of the first interval, Kp every three hours.
type Storm = (&'static str, (f64, f64), &'static str, &'static str, &'static [f64]);

fn eye(report: &OutlookReport) -> f64 {
    report.chances.as_ref().map_or(0.0, |chances| chances.eye_sees.value())
}

fn ask(name: &str, place: (f64, f64), night: &str, first: &str, kp: &[f64]) -> OutlookReport {
    outlook(request(site(name, place.0, place.1), night, first, kp)).unwrap()
}

#[test]
fn storms_were_seen_where_they_were_seen() {
    let cases: [Storm; 7] = [
        // 17 March 2015: photographed "from Scotland to Somerset" (J. Wild, Lancaster University, 20 March 2015); southern New
        // Zealand from memory, Wellington and Melbourne from observers' own pages of those days.
        (
            "Moray",
            (57.6, -3.3),
            "2015-03-17",
            "2015-03-17T12:00:00Z",
            &[7.667, 7.667, 7.333, 7.667, 6.0, 4.667, 4.333, 4.333],
        ),
        (
            "Otago",
            (-45.9, 170.6),
            "2015-03-17",
            "2015-03-17T00:00:00Z",
            &[2.0, 4.667, 5.667, 5.333, 7.667, 7.667, 7.333, 7.667],
        ),
        // 23 April 2023: seen up to the zenith in Saxony and from the middle of Berlin (press, 24 and 25 April 2023); Ruegen lies
        // poleward of both.
        (
            "Ruegen",
            (54.5, 13.5),
            "2023-04-23",
            "2023-04-23T12:00:00Z",
            &[4.667, 5.333, 8.333, 7.333, 6.667, 8.0, 7.0, 5.667],
        ),
        // 10 May 2024: 696 reports from more than 30 countries, most of them from middle latitudes (Grandin et al., Geosci. Commun. 7,
        // 297, 2024).
        (
            "Norfolk",
            (52.9, 1.0),
            "2024-05-10",
            "2024-05-10T12:00:00Z",
            &[3.667, 7.667, 8.667, 8.667, 9.0, 8.333, 8.333, 9.0],
        ),
        (
            "Southland",
            (-46.4, 168.4),
            "2024-05-11",
            "2024-05-11T00:00:00Z",
            &[9.0, 8.333, 8.333, 9.0, 8.667, 8.333, 7.667, 7.667],
        ),
        // 10 October 2024: seen over the northern United States and central Europe (NOAA SWPC, 11 October 2024, from
        // memory).
        (
            "Saxony",
            (51.3, 13.0),
            "2024-10-10",
            "2024-10-10T12:00:00Z",
            &[3.667, 7.667, 8.333, 8.667, 8.333, 7.667, 7.667, 7.667],
        ),
        (
            "Minnesota",
            (47.0, -93.0),
            "2024-10-10",
            "2024-10-10T18:00:00Z",
            &[8.333, 8.667, 8.333, 7.667, 7.667, 7.667, 6.333, 4.0],
        ),
    ];
    for (name, place, night, first, kp) in cases {
        let report = ask(name, place, night, first, kp);
        assert!(eye(&report) >= REPORTED, "{name} {night}: eye {:.2}; {}", eye(&report), report.verdict.text);
        assert!(!report.windows.is_empty(), "{name} {night}");
    }
}

#[test]
fn the_same_storms_were_not_seen_far_from_them() {
    // No report is known from these places on these nights.
    let march_2015 = [7.667, 7.667, 7.333, 7.667, 6.0, 4.667, 4.333, 4.333];
    for (name, place) in [("Sicily", (37.5, 14.0)), ("Andalusia", (37.2, -4.5))] {
        let report = ask(name, place, "2015-03-17", "2015-03-17T12:00:00Z", &march_2015);
        assert!(eye(&report) <= NOT_REPORTED, "{name}: eye {:.2}; {}", eye(&report), report.verdict.text);
    }
    // Daylight hides any storm: 17 March 2015 at Tromso is dark, 11 June is not.
    let day = ask("Tromso", (69.65, 18.96), "2024-06-11", "2024-06-11T06:00:00Z", &[9.0; 10]);
    assert!(eye(&day) < 1e-9 && day.verdict.recommendation == job::Recommendation::Stay, "{}", day.verdict.text);
}

/// A quiet night of the table: Kp every three hours from 00 UT of its date.
struct QuietNight {
    night: String,
    place: String,
    position: (f64, f64),
    kp: Vec<f64>,
}

fn quiet_nights() -> Vec<QuietNight> {
    let table = include_str!("../data/quiet_nights_2009_gfz.csv");
    let mut rows = csv::ReaderBuilder::new().comment(Some(b'#')).from_reader(table.as_bytes());
    let night = |row: csv::StringRecord| QuietNight {
        night: row[0].to_owned(),
        place: row[1].to_owned(),
        position: (row[2].parse().unwrap(), row[3].parse().unwrap()),
        kp: row.iter().skip(4).map(|kp| kp.parse().unwrap()).collect(),
    };
    rows.records().map(|row| night(row.unwrap())).collect()
}

#[test]
fn quiet_nights_promise_nothing_at_middle_latitudes() {
    let nights = quiet_nights();
    assert_eq!(nights.len(), 10);
    for QuietNight { night, place, position, kp } in nights {
        let report = ask(&place, position, &night, &format!("{night}T00:00:00Z"), &kp);
        assert!(eye(&report) < QUIET, "{place} {night}: eye {:.2}; {}", eye(&report), report.verdict.text);
        assert_eq!(report.verdict.recommendation, job::Recommendation::Stay, "{place} {night}");
    }
}

/// Magnetic latitude of the equatorward border near midnight for Kp 0 to 9, degrees: the table that NOAA's Space Weather
/// Prediction Center published with its tips on viewing (from memory; the same table stands in many places).
const BORDER_BY_KP_DEG: [f64; 10] = [66.5, 64.5, 62.4, 60.4, 58.3, 56.3, 54.2, 52.2, 50.1, 48.1];
/// From how far equatorward of the border a watcher with an open horizon has an even chance, degrees: light at 110 km
/// stands 7 degrees up 5.4 degrees away; 2 degrees either way for the border's own error.
const SEEN_FROM_DEG: (f64, f64) = (3.4, 7.4);

#[test]
fn the_kp_an_eye_needs_is_that_of_the_published_table() {
    for latitude_deg in [50.0, 52.0, 54.0, 56.0, 58.0, 60.0] {
        let report = ask("Open coast", (latitude_deg, 10.0), "2026-11-10", "2026-11-10T12:00:00Z", &[3.0; 8]);
        let needed = report.kp_needed_eye.unwrap();
        let below = needed.floor().min(8.0);
        #[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "0 to 8")]
        let pair = &BORDER_BY_KP_DEG[below as usize..][..2];
        let (low, high) = (pair[0], pair[1]);
        let border_deg = low + (high - low) * (needed - below);
        let away_deg = border_deg - report.model_lat_deg;
        assert!(
            (SEEN_FROM_DEG.0..=SEEN_FROM_DEG.1).contains(&away_deg),
            "{latitude_deg}: Kp {needed:.2}, border {border_deg:.1}, seen from {away_deg:.1} degrees away"
        );
    }
}
