//! Raw files: numbers value for value, levels, patterns, and the JPEG beside what is not read.

use frame::{FileKind, Frame, FrameError, Layout, Limits, Linearity, MosaicPattern, open};
use optics::Channel;
use serde::Deserialize;

use crate::exif_writer::{Field, block};
use crate::pictures::{composed, picture};

const TABLE: &str = include_str!("../data/raw.csv");
/// Half a unit of the last of 24 bits of single precision at 16 383, with the division by the scale before it.
const ROUNDING: f64 = 0.003;

fn opened(bytes: &[u8]) -> Frame {
    open(bytes, &Limits::default()).unwrap()
}

#[derive(Deserialize)]
struct Row {
    file: String,
    x: usize,
    y: usize,
    number: f64,
    colour: char,
}

/// Black of the four sites, as written, and white.
fn levels(file: &str) -> ([f64; 4], f64) {
    match file {
        "rggb16.composed.dng" => ([512.0, 514.0, 510.0, 512.0], 16_383.0),
        "grbg16_tiled_area.composed.dng" | "gbrg16_area.composed.dng" => ([512.0; 4], 15_000.0),
        "rggb8.composed.dng" => ([16.0; 4], 255.0),
        _ => ([512.0; 4], 16_383.0),
    }
}

#[test]
fn every_number_of_a_dng_is_what_another_program_reads() {
    let mut reader = csv::ReaderBuilder::new().comment(Some(b'#')).from_reader(TABLE.as_bytes());
    let rows: Vec<Row> = reader.deserialize().map(Result::unwrap).collect();
    for row in &rows {
        let frame = opened(&composed(&row.file));
        let (plane, pattern) = frame.mosaic().unwrap();
        let (black, white) = levels(&row.file);
        let black = black[2 * (row.y % 2) + row.x % 2];
        let number = f64::from(plane.row(row.y).at(row.x)) * (white - black) + black;
        assert!(
            (number - row.number).abs() < ROUNDING,
            "{} {} {}: {number}, not {}",
            row.file,
            row.x,
            row.y,
            row.number
        );
        let colour = match pattern.at(row.x, row.y) {
            Channel::Red => 'R',
            Channel::Green => 'G',
            Channel::Blue => 'B',
        };
        assert_eq!(colour, row.colour, "{} {} {}", row.file, row.x, row.y);
    }
    println!("{} numbers", rows.len());
}

#[test]
fn a_dng_tells_its_kind_size_and_white() {
    let frame = opened(&composed("grbg16_tiled_area.composed.dng"));
    assert_eq!((frame.kind, frame.stored_size, frame.bits), (FileKind::Dng, [33, 26], 16));
    assert_eq!(frame.linearity, Linearity::LinearRelative);
    assert_eq!(frame.neutral, Some([0.5, 1.0, 0.625]));
    assert_eq!((frame.ceiling, frame.cut_short), (Some(1.0), false));
    // darker than black is kept: noise has two sides
    let dark = opened(&composed("rggb16.composed.dng"));
    assert!(dark.mosaic().unwrap().0.samples().iter().any(|value| *value < 0.0));
}

/// Twelve bits packed highest first (DNG, chapter 3): three bytes for two numbers; 0xabc and 0x123, then 0x800 and 0x001.
#[test]
fn twelve_bits_are_unpacked() {
    let numbers = [0xab, 0xc1, 0x23, 0x80, 0x00, 0x01];
    let frame = opened(&raw_file(12, 1, &numbers));
    let (plane, _) = frame.mosaic().unwrap();
    let read: Vec<f32> = plane.samples().iter().map(|value| (value * 4_095.0).round()).collect();
    assert_eq!(read, [2_748.0, 291.0, 2_048.0, 1.0]);
    assert!(frame.notes.iter().any(|note| note.contains("no black level")), "{:?}", frame.notes);
}

/// Makers that name 14 bits and store words of 16 are told by the length of the strip.
#[test]
fn words_of_16_bits_with_14_named_are_read_as_words() {
    let frame = opened(&raw_file(14, 1, &[0x20, 0, 0x01, 0x02, 0x3f, 0xff, 0, 0]));
    let (plane, _) = frame.mosaic().unwrap();
    let read: Vec<f32> = plane.samples().iter().map(|value| (value * 16_383.0).round()).collect();
    assert_eq!(read, [8_192.0, 258.0, 16_383.0, 0.0]);
    assert_eq!((frame.kind, frame.bits), (FileKind::CameraRaw, 14));
}

/// Two by two pixels, RGGB, with `compression`, and a JPEG behind it that an entry points at.
fn raw_file(bits: u16, compression: u16, numbers: &[u8]) -> Vec<u8> {
    let jpeg = composed("baseline444.composed.jpg");
    let entries = |data_at: u32, jpeg_at: u32| {
        vec![
            (256, Field::Long(2)),
            (257, Field::Long(2)),
            (258, Field::Short(bits)),
            (259, Field::Short(compression)),
            (262, Field::Short(32_803)),
            (273, Field::Long(data_at)),
            (277, Field::Short(1)),
            (278, Field::Long(2)),
            (279, Field::Long(u32::try_from(numbers.len()).unwrap())),
            (513, Field::Long(jpeg_at)),
            (514, Field::Long(u32::try_from(jpeg.len()).unwrap())),
            (33_422, Field::Long(u32::from_be_bytes([0, 1, 1, 2]))),
            (0x0110, Field::Text("Invented")),
        ]
    };
    let length = u32::try_from(block(entries(0, 0), &[], &[]).len()).unwrap();
    let data_end = length + u32::try_from(numbers.len()).unwrap();
    let mut bytes = block(entries(length, data_end), &[], &[]);
    // the pattern is four bytes, not a long
    let at = bytes.windows(4).position(|four| four == [0x82, 0x8e, 0, 4]).unwrap();
    bytes[at + 3] = 1;
    bytes[at + 7] = 4;
    bytes.extend(numbers);
    bytes.extend(&jpeg);
    bytes
}

#[test]
fn a_packed_raw_file_gives_the_jpeg_beside_it_and_says_so() {
    // 34713 is Nikon's own way
    let frame = opened(&raw_file(14, 34_713, &[0; 8]));
    assert_eq!((frame.kind, frame.layout, frame.stored_size), (FileKind::CameraRaw, Layout::Rgb, [48, 40]));
    assert_eq!(
        frame.notes[0],
        "a raw picture packed in way 34713 is not unpacked here: the JPEG beside it is read in its place"
    );
    assert!(!frame.linearity.is_linear());
    assert_eq!(frame.metadata.model.as_deref(), Some("Invented"));
}

#[test]
fn a_raw_file_without_a_jpeg_is_refused_with_a_remedy() {
    let mut bytes = raw_file(14, 34_713, &[0; 8]);
    bytes.truncate(bytes.len() - composed("baseline444.composed.jpg").len() + 2);
    let error = open(&bytes, &Limits::default()).unwrap_err();
    assert_eq!(error.to_string(), "a raw picture packed in way 34713 cannot be read here");
    assert!(error.hint().contains("DNG"), "{}", error.hint());
}

#[test]
fn a_broken_tile_is_damage_and_not_a_reason_for_the_jpeg_beside_it() {
    let mut bytes = composed("rggb14_ljpeg2_p1.composed.dng");
    let scan = bytes.windows(2).position(|pair| pair == [0xff, 0xda]).unwrap();
    // an end mark in the middle of the coded numbers
    bytes[scan + 40..scan + 42].copy_from_slice(&[0xff, 0xd9]);
    let error = open(&bytes, &Limits::default()).unwrap_err();
    assert_eq!(error, FrameError::Damaged { kind: FileKind::Dng, cause: "a tile of its numbers is broken".to_owned() });
}

#[test]
fn a_dng_that_breaks_off_is_damaged() {
    let whole = composed("rggb16.composed.dng");
    let error = open(&whole[..whole.len() - 1], &Limits::default()).unwrap_err();
    assert_eq!(
        error,
        FrameError::Damaged { kind: FileKind::Dng, cause: "a part of its numbers is missing".to_owned() }
    );
}

#[test]
fn other_patterns_are_refused() {
    let mut bytes = composed("rggb16.composed.dng");
    let entry = [33_422u16.to_le_bytes(), 1u16.to_le_bytes()].concat();
    let at = bytes.windows(4).position(|four| four == entry).unwrap();
    bytes[at + 8..at + 12].copy_from_slice(&[0, 1, 2, 0]);
    assert!(matches!(open(&bytes, &Limits::default()), Err(FrameError::PackedRaw { .. })));
    bytes[at + 8..at + 12].copy_from_slice(&[1, 0, 2, 1]);
    let expected = Layout::Mosaic(MosaicPattern::from_name("GRBG").unwrap());
    assert_eq!(opened(&bytes).layout, expected);
}

#[test]
fn real_raw_heads_end_in_their_jpeg_or_in_words() {
    for name in ["CanonRaw.cr2", "DNG.dng", "Nikon.nef", "Panasonic.rw2", "FujiFilm.raf", "canon-r6.cr3"] {
        let Some(bytes) = picture(&format!("raw_exif/{name}")) else { continue };
        match open(&bytes, &Limits::default()) {
            Ok(frame) => println!("{name}: {} {:?} {:?}", frame.kind, frame.stored_size, frame.notes),
            Err(FrameError::DecoderFailed { kind }) => panic!("{name}: the {kind} decoder panicked"),
            Err(error) => println!("{name}: {error}"),
        }
    }
}
