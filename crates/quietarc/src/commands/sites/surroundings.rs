//! Water and objects in front, as they are written on the command line.

use job::{ForegroundObject, WaterBearing};

use crate::Failure;

/// "300-30:sheltered" as a stretch of water.
pub(super) fn water(text: &str) -> Result<WaterBearing, Failure> {
    let bad = || {
        Failure::new(
            format!("--water {text:?} is no stretch of bearings"),
            "give it clockwise as FROM-TO, with :sheltered for a lee, for example 300-30:sheltered",
        )
    };
    let (bearings, sheltered) = match text.split_once(':') {
        None => (text, false),
        Some((bearings, word)) if word.trim() == "sheltered" => (bearings, true),
        Some(_) => return Err(bad()),
    };
    let (from, to) = bearings.split_once('-').ok_or_else(bad)?;
    let bearing = |text: &str| text.trim().parse::<f64>().ok().filter(|bearing| bearing.is_finite()).ok_or_else(bad);
    Ok(WaterBearing { from_deg: bearing(from)?, to_deg: bearing(to)?, sheltered })
}

/// "boathouse:345:60:5.5:9" as an object; the name may hold colons.
pub(super) fn foreground(text: &str) -> Result<ForegroundObject, Failure> {
    let bad = || {
        Failure::new(
            format!("--foreground {text:?} is no object"),
            "give NAME:BEARING:DISTANCE:HEIGHT:WIDTH in degrees and metres, for example boathouse:345:60:5.5:9",
        )
    };
    let parts: Vec<&str> = text.rsplitn(5, ':').collect();
    let [width, height, distance, bearing, name] = parts.as_slice() else { return Err(bad()) };
    let number = |text: &str| text.trim().parse::<f64>().map_err(|_cause| bad());
    let name = feeds::places::clean_name(name);
    if name.is_empty() {
        return Err(bad());
    }
    Ok(ForegroundObject {
        name,
        bearing_deg: number(bearing)?,
        distance_m: number(distance)?,
        height_m: number(height)?,
        width_m: number(width)?,
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn water_is_read_with_and_without_a_lee() {
        assert_eq!(water("300-30:sheltered").unwrap(), WaterBearing { from_deg: 300.0, to_deg: 30.0, sheltered: true });
        assert!(!water("10.5 - 20").unwrap().sheltered);
        for bad in ["", "300", "300-", "a-b", "300-30:rough", "1-nan"] {
            assert!(water(bad).unwrap_err().hint.contains("300-30"), "{bad}");
        }
    }

    #[test]
    fn an_object_may_have_colons_in_its_name() {
        let object = foreground("hut: old one:345:60:-0.5:9").unwrap();
        assert_eq!((object.name.as_str(), object.height_m), ("hut: old one", -0.5));
        for bad in ["", "hut:1:2:3", ":1:2:3:4", "hut:a:2:3:4"] {
            assert!(foreground(bad).is_err(), "{bad}");
        }
    }
}
