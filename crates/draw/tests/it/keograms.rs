//! A keogram of known light: a kept drawing, and marks where they belong.

use draw::{KeogramStyle, Palette, keogram};
use job::{ReadBin, ReadBorder, ReadColumn, ReadKeogram};
use quantity::Timestamp;

const BINS: u32 = 41;
const COLUMNS: u32 = 60;
const COLUMN_S: i64 = 120;

fn at(column: u32) -> Timestamp {
    let begin: Timestamp = "2026-11-14T20:00:00Z".parse().unwrap();
    begin.checked_add(jiff::SignedDuration::from_secs(COLUMN_S * i64::from(column))).unwrap()
}

/// An arc of 20 kR that moves equatorward, brightens and fades (invented); bins of 4 degrees from 80 degrees south to 80 north.
pub(crate) fn drifting_arc(is_kilorayleighs: bool) -> ReadKeogram {
    let bins = (0..BINS).map(|bin| {
        let zenith_angle_deg = 4.0 * f64::from(bin) - 80.0;
        // light at 110 km: a degree of latitude is 111 km
        let poleward_deg = zenith_angle_deg.to_radians().tan().clamp(-5.0, 5.0) * 110.0 / 111.0;
        ReadBin {
            zenith_angle_deg,
            alt_deg: 90.0 - zenith_angle_deg.abs(),
            latitude_deg: Some(69.2 + poleward_deg),
            longitude_deg: Some(15.1),
            magnetic_latitude_deg: Some(66.3 + poleward_deg),
        }
    });
    let light = |column: u32, bin: u32| {
        let middle = 30.0 - 0.3 * f64::from(column);
        let height = 20.0 * (-((f64::from(column) - 30.0) / 14.0).powi(2)).exp();
        let kr = 0.2 + height * (-((f64::from(bin) - middle) / 3.0).powi(2)).exp();
        (column != 45).then_some(kr as f32)
    };
    let columns = (0..COLUMNS).map(|column| ReadColumn {
        at: at(column),
        frames: u32::from(column != 45),
        values: (0..BINS).map(|bin| light(column, bin)).collect(),
    });
    let border = ReadBorder {
        at: at(30),
        zenith_angle_deg: [-8.0, 28.0],
        magnetic_latitude_deg: [Some(66.2), Some(66.8)],
        open: [false, false],
    };
    ReadKeogram {
        azimuth_deg: 8.0,
        column_s: COLUMN_S as f64,
        is_kilorayleighs,
        bins: bins.collect(),
        columns: columns.collect(),
        borders: vec![border],
    }
}

#[test]
fn lines_of_equal_brightness_are_drawn_where_light_is_calibrated() {
    let style = KeogramStyle { palette: Palette::Day };
    let calibrated = keogram(&drifting_arc(true), "kR of 557.7 nm above the sky's own light", &style);
    for said in [
        ">1<",
        ">3<",
        ">10<",
        "thin lines: kR",
        ">20:30<",
        ">66\u{b0}<",
        ">68\u{b0}<",
        "magnetic latitude",
        "2026-11-14, UTC",
    ] {
        assert!(calibrated.contains(said), "{said}: {calibrated}");
    }
    // the brightest is 20 kR
    assert!(!calibrated.contains(">30<") && !calibrated.contains(">100<"));
    let relative = keogram(&drifting_arc(false), "share of full scale, not calibrated", &style);
    assert!(!relative.contains("kR"), "{relative}");
}
