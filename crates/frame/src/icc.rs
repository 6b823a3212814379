//! The one thing wanted from a colour profile: its transfer curve.
//!
//! Primaries are left alone: measurements are made channel by channel, and a channel is what the file calls it.
//!
//! # Source
//!
//! ICC.1:2022, 7.2 (header), 7.3 (tag table), 10.6 (`curv`), 10.18 (`para`).

use crate::big_endian::{be_u16, be_u32};
use crate::transfer::TransferCurve;

const HEADER_BYTES: usize = 128;
const TAG_BYTES: usize = 12;
/// More tags than any real profile has; the rest is not looked at.
const MOST_TAGS: u32 = 200;
/// Points of the longest curve read: one for each value of 16 bits.
const MOST_POINTS: u32 = 65_536;
/// Two curves closer than this in light are one: 8-bit profiles round their parameters.
const SAME_CURVE: f64 = 0.002;

/// A profile's transfer curve: that of green or of grey; `None` where it has none in either plain form.
pub(crate) fn transfer_curve(profile: &[u8]) -> Option<TransferCurve> {
    let data = [b"gTRC", b"kTRC"].into_iter().find_map(|tag| tag_data(profile, *tag))?;
    let curve = read_curve(data)?;
    // named where it is sRGB in another dress, so that the account of it is short
    let is_srgb = (0..=16).all(|step| {
        let value = f64::from(step) / 16.0;
        (curve.light(value) - TransferCurve::Srgb.light(value)).abs() < SAME_CURVE
    });
    Some(if is_srgb { TransferCurve::Srgb } else { curve })
}

fn tag_data(profile: &[u8], wanted: [u8; 4]) -> Option<&[u8]> {
    let count = be_u32(profile, HEADER_BYTES)?.min(MOST_TAGS);
    for index in 0..usize::try_from(count).ok()? {
        let entry = profile.get(HEADER_BYTES + 4 + index * TAG_BYTES..)?;
        if entry.get(..4)? == wanted {
            let offset = usize::try_from(be_u32(entry, 4)?).ok()?;
            let size = usize::try_from(be_u32(entry, 8)?).ok()?;
            return profile.get(offset..offset.checked_add(size)?);
        }
    }
    None
}

fn read_curve(data: &[u8]) -> Option<TransferCurve> {
    let curve = match data.get(..4)? {
        b"curv" => sampled(data)?,
        b"para" => parametric(data)?,
        _ => return None,
    };
    // a curve that does not rise from dark to light would turn the picture into nonsense
    let (dark, light) = (curve.light(0.0), curve.light(1.0));
    (dark.is_finite() && light.is_finite() && dark.abs() < 0.1 && (light - 1.0).abs() < 0.1).then_some(curve)
}

fn sampled(data: &[u8]) -> Option<TransferCurve> {
    match be_u32(data, 8)? {
        0 => Some(TransferCurve::Linear),
        // an unsigned fixed-point number with 8 bits behind the point
        1 => Some(TransferCurve::power(f64::from(be_u16(data, 12)?) / 256.0)),
        count if count <= MOST_POINTS => {
            let bytes = data.get(12..12 + 2 * usize::try_from(count).ok()?)?;
            Some(TransferCurve::Table(
                bytes.chunks_exact(2).map(|pair| u16::from_be_bytes([pair[0], pair[1]])).collect(),
            ))
        }
        _ => None,
    }
}

fn parametric(data: &[u8]) -> Option<TransferCurve> {
    let given = |place: usize| fixed(data, 12 + 4 * place);
    let g = given(0)?;
    Some(match be_u16(data, 8)? {
        0 => TransferCurve::power(g),
        1 => {
            let (a, b) = (given(1)?, given(2)?);
            TransferCurve::Parametric([g, a, b, 0.0, knee(a, b)?, 0.0, 0.0])
        }
        2 => {
            let (a, b, c) = (given(1)?, given(2)?, given(3)?);
            TransferCurve::Parametric([g, a, b, 0.0, knee(a, b)?, c, c])
        }
        3 => TransferCurve::Parametric([g, given(1)?, given(2)?, given(3)?, given(4)?, 0.0, 0.0]),
        4 => TransferCurve::Parametric([g, given(1)?, given(2)?, given(3)?, given(4)?, given(5)?, given(6)?]),
        _ => return None,
    })
}

fn knee(a: f64, b: f64) -> Option<f64> {
    let knee = -b / a;
    knee.is_finite().then_some(knee)
}

/// A signed fixed-point number with 16 bits behind the point.
fn fixed(data: &[u8], at: usize) -> Option<f64> {
    Some(f64::from(be_u32(data, at)?.cast_signed()) / 65_536.0)
}

#[cfg(test)]
mod tests {
    use super::*;

    fn profile(curve: &[u8]) -> Vec<u8> {
        let mut bytes = vec![0; HEADER_BYTES];
        bytes.extend(1u32.to_be_bytes());
        bytes.extend(b"gTRC");
        bytes.extend(144u32.to_be_bytes());
        bytes.extend(u32::try_from(curve.len()).unwrap().to_be_bytes());
        bytes.extend(curve);
        bytes
    }

    #[test]
    fn a_gamma_and_a_table_are_read() {
        let gamma = profile(b"curv\0\0\0\0\0\0\0\x01\x02\x33");
        assert_eq!(transfer_curve(&gamma), Some(TransferCurve::Power(563.0 / 256.0)));
        let table = profile(b"curv\0\0\0\0\0\0\0\x03\0\0\x10\0\xff\xff");
        assert_eq!(transfer_curve(&table), Some(TransferCurve::Table(vec![0, 0x1000, 0xffff])));
    }

    #[test]
    fn the_usual_parametric_curve_is_known_as_srgb() {
        let mut curve = b"para\0\0\0\0\0\x03\0\0".to_vec();
        // as common phone profiles hold it
        for number in [157_286i32, 62_119, 3_417, 5_072, 2_651] {
            curve.extend(number.to_be_bytes());
        }
        assert_eq!(transfer_curve(&profile(&curve)), Some(TransferCurve::Srgb));
    }

    #[test]
    fn nonsense_gives_no_curve() {
        for bad in [
            &b"curv\0\0\0\0\xff\xff\xff\xff"[..],
            b"para\0\0\0\0\0\x09",
            b"mft2",
            b"",
            b"curv\0\0\0\0\0\0\0\x02\xff\xff\0\0",
        ] {
            assert_eq!(transfer_curve(&profile(bad)), None);
        }
        assert_eq!(transfer_curve(&[0; 40]), None);
    }
}
