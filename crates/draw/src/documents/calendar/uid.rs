//! Names of events that stay the same from export to export.

use jiff::civil::Date;
use job::Site;

/// Start and factor of the 128-bit FNV-1a hash (Fowler, Noll, Vo; RFC 9923).
const FNV_OFFSET_BASIS: u128 = 0x6c62_272e_07bb_0142_62b8_2175_6295_c58d;
const FNV_PRIME: u128 = 0x0000_0000_0100_0000_0000_0000_0000_013b;

/// A UUID of version 8 (RFC 9562: made by a rule of one's own) from site, night and the window's place in the list.
///
/// RFC 7986 asks for UUIDs as UIDs. The rule holds nothing of the machine, the time of asking or the numbers of the outlook.
pub(super) fn uid(site: &Site, night: Date, window: usize) -> String {
    let position = site.position;
    let key = format!(
        "{}\u{0}{:.4}\u{0}{:.4}\u{0}{night}\u{0}{window}",
        site.name,
        position.latitude_deg(),
        position.longitude_deg()
    );
    let hash = key.bytes().fold(FNV_OFFSET_BASIS, |hash, byte| (hash ^ u128::from(byte)).wrapping_mul(FNV_PRIME));
    let versioned = hash & !(0xf << 76) | (8 << 76);
    let uuid = versioned & !(0b11 << 62) | (0b10 << 62);
    let digits = format!("{uuid:032x}");
    format!("{}-{}-{}-{}-{}", &digits[..8], &digits[8..12], &digits[12..16], &digits[16..20], &digits[20..])
}

#[cfg(test)]
mod tests {
    use super::*;
    use quantity::GeoPosition;

    #[test]
    fn an_event_keeps_its_name_and_shares_it_with_no_other() {
        let bay = Site::bare("Skerrow Bay", GeoPosition::new(69.15, 15.65, 3.0).unwrap());
        let night = jiff::civil::date(2026, 3, 14);
        let first = uid(&bay, night, 0);
        assert_eq!(first, uid(&Site { notes: "a new remark".to_owned(), ..bay.clone() }, night, 0));
        let head = Site { name: "Marrow Head".to_owned(), ..bay.clone() };
        let others = [uid(&bay, night, 1), uid(&bay, jiff::civil::date(2026, 3, 15), 0), uid(&head, night, 0)];
        assert!(!others.contains(&first));
        // version 8, variant of RFC 9562
        assert_eq!((first.len(), &first[14..15]), (36, "8"));
        assert!(matches!(&first[19..20], "8" | "9" | "a" | "b"), "{first}");
    }
}
