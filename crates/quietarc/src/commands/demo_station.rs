//! The demo's magnetogram: an invented station under the invented night, in the form IAGA-2002.

use std::fmt::Write;

use quantity::Timestamp;

/// The station's file in the folder of the frames.
pub(super) const FILE: &str = "invented-station.min";
/// Quiet northward field, nT: about what the main field is at the demo's site (from memory).
const QUIET_NT: f64 = 11_000.0;
/// Depth of the invented bay, nT: a plain substorm.
const DEPTH_NT: f64 = 420.0;
/// Minutes after the first frame at which it begins, and how long it falls and recovers.
const BAY_MIN: [f64; 3] = [4.0, 8.0, 45.0];
/// Ripple of a quiet field, nT, so that the curve is none of a ruler.
const RIPPLE_NT: f64 = 3.0;
/// Minutes before the first frame, and in all.
const MINUTES: [i64; 2] = [180, 480];

/// One minute a line; the bay begins some minutes after the first frame.
pub(super) fn iaga_2002(first: Timestamp) -> String {
    let mut out = String::new();
    for (name, value) in [
        ("Format", "IAGA-2002"),
        ("Source of Data", "invented for the demo, no measurement"),
        ("Station Name", "Skerrow Bay (invented)"),
        ("IAGA CODE", "SKB"),
        ("Geodetic Latitude", "69.200"),
        ("Geodetic Longitude", "15.400"),
        ("Elevation", "12"),
        ("Reported", "XYZF"),
        ("Sensor Orientation", "XYZF"),
        ("Digital Sampling", "1 second"),
        ("Data Interval Type", "filtered 1-minute (00:15-01:45)"),
        ("Data Type", "variation"),
    ] {
        // writing to a String cannot fail
        let _written = writeln!(out, " {name:<23}{value:<45}|");
    }
    out.push_str("DATE       TIME         DOY     SKBX      SKBY      SKBZ      SKBF   |\n");
    let begin = first.as_second().div_euclid(60) * 60;
    for minute in 0..MINUTES[1] {
        let Ok(at) = Timestamp::from_second(begin + 60 * (minute - MINUTES[0])) else { continue };
        let since_min = at.duration_since(first).as_secs_f64() / 60.0;
        let north_nt = QUIET_NT - bay_nt(since_min) + RIPPLE_NT * (since_min / 7.0).sin();
        let (east_nt, down_nt) = (500.0 + RIPPLE_NT * (since_min / 11.0).cos(), 52_000.0);
        let total_nt = north_nt.hypot(east_nt).hypot(down_nt);
        let stamp = at.strftime("%Y-%m-%d %H:%M:%S.000 %j");
        let _written = writeln!(out, "{stamp}   {north_nt:>10.2}{east_nt:>10.2}{down_nt:>10.2}{total_nt:>10.2}");
    }
    out
}

fn bay_nt(since_min: f64) -> f64 {
    let [from, falls, recovers] = BAY_MIN;
    let fallen = ((since_min - from) / falls).clamp(0.0, 1.0);
    let back = ((since_min - from - falls) / recovers).clamp(0.0, 1.0);
    DEPTH_NT * fallen * (1.0 - back)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_invented_bay_is_read_as_one() {
        let first: Timestamp = "2026-11-18T17:30:00Z".parse().unwrap();
        let found = feeds::magnetometer::parse_magnetogram(iaga_2002(first).as_bytes(), FILE).unwrap();
        let (_, north) = found.record.northward().unwrap();
        assert_eq!(north.len(), 480);
        // minute 4 plus a fall of eight, counted from three hours before
        let deepest = north.iter().flatten().copied().fold(f64::INFINITY, f64::min);
        assert!((deepest - (QUIET_NT - DEPTH_NT)).abs() < 2.0 * RIPPLE_NT, "{deepest}");
        assert!((north[180].unwrap() - QUIET_NT).abs() < 2.0 * RIPPLE_NT);
    }
}
