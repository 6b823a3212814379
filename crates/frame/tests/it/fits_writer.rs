//! FITS files of the tests.

use frame::{Frame, Limits, open};

/// A file of whole numbers from 0 to 65 535 (FITS Standard 4.0); `cards` are lines of the header, `pictures` the length of a third
/// axis.
pub(crate) fn file(values: &[f64], [width, height]: [usize; 2], pictures: Option<usize>, cards: &[String]) -> Vec<u8> {
    let mut lines = vec![
        "SIMPLE  =                    T".to_owned(),
        "BITPIX  =                   16".to_owned(),
        format!("NAXIS   = {:>20}", if pictures.is_some() { 3 } else { 2 }),
        format!("NAXIS1  = {width:>20}"),
        format!("NAXIS2  = {height:>20}"),
    ];
    lines.extend(pictures.map(|pictures| format!("NAXIS3  = {pictures:>20}")));
    lines.push("BZERO   =                32768".to_owned());

    lines.extend_from_slice(cards);
    lines.push("END".to_owned());
    let mut bytes: Vec<u8> = lines.iter().flat_map(|line| format!("{line:<80}").into_bytes()).collect();
    bytes.resize(bytes.len().div_ceil(2880) * 2880, b' ');
    for value in values {
        #[expect(clippy::cast_possible_truncation, reason = "whole numbers of 16 bits less 32 768")]
        let stored = (value - 32_768.0) as i16;
        bytes.extend(stored.to_be_bytes());
    }
    bytes.resize(bytes.len().div_ceil(2880) * 2880, 0);
    bytes
}

/// The same with one picture, opened.
pub(crate) fn fits(values: &[f64], size: [usize; 2], cards: &[String]) -> Frame {
    open(&file(values, size, None, cards), &Limits::default()).unwrap()
}
