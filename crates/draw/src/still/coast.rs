//! The coasts of the world.

/// Natural Earth, land at 1:50 million, public domain: arcs of the topology, rounded to a hundredth of a degree.
///
/// A count of lines, then each: a count of points, then their longitudes and latitudes in hundredths of a degree as differences from
/// the point before (the first from zero). All numbers are of variable length, seven bits a byte, the lowest first; differences are
/// folded (0, -1, 1, -2 as 0, 1, 2, 3).
const BYTES: &[u8] = include_bytes!("../../data/coast_50m.bin");
/// Degrees of a step.
const STEP_DEG: f64 = 0.01;

/// Every line of coast as longitudes and latitudes, degrees.
pub(super) fn coasts() -> Vec<Vec<[f64; 2]>> {
    let mut bytes = BYTES.iter().copied();
    let lines = number(&mut bytes).unwrap_or(0);
    // a file that broke off would end the lines there
    (0..lines).map_while(|_| line(&mut bytes)).collect()
}

fn line(bytes: &mut impl Iterator<Item = u8>) -> Option<Vec<[f64; 2]>> {
    let (mut longitude, mut latitude) = (0_i64, 0_i64);
    (0..number(bytes)?)
        .map(|_| {
            longitude += folded(number(bytes)?);
            latitude += folded(number(bytes)?);
            #[expect(clippy::cast_precision_loss, reason = "at most 18 000")]
            let degrees = [longitude as f64, latitude as f64].map(|steps| STEP_DEG * steps);
            Some(degrees)
        })
        .collect()
}

fn number(bytes: &mut impl Iterator<Item = u8>) -> Option<u64> {
    let mut value = 0;
    for shift in (0..=56).step_by(7) {
        let byte = bytes.next()?;
        value |= u64::from(byte & 0x7f) << shift;
        if byte & 0x80 == 0 {
            return Some(value);
        }
    }
    None
}

#[expect(clippy::cast_possible_wrap, reason = "half of a number of 63 bits")]
fn folded(value: u64) -> i64 {
    (value >> 1) as i64 ^ -((value & 1) as i64)
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Capes as the world's gazetteers have them (from memory, a tenth of a degree): the coast passes by each.
    #[test]
    fn the_coast_passes_by_known_capes() {
        /// A tenth of the capes and the 0.1 degrees that a map at 1:50 million leaves out.
        const NEAR_DEG: f64 = 0.25;
        let coasts = coasts();
        assert!(coasts.len() > 1000, "{}", coasts.len());
        for (name, longitude, latitude) in [
            ("North Cape", 25.8, 71.2),
            ("Cape Horn", -67.3, -56.0),
            ("Land's End", -5.7, 50.1),
            ("Cape Reinga", 172.7, -34.4),
        ] {
            let near = coasts.iter().flatten().any(|[x, y]| {
                (x - longitude).hypot(y - latitude) < NEAR_DEG && (-180.0..=180.0).contains(x) && y.abs() <= 90.0
            });
            assert!(near, "{name}");
        }
    }
}
