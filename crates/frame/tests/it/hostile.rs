//! Files that are cut, flipped, invented or out to harm.

use frame::fuzz::{PATHS, fuzz_metadata, fuzz_open, fuzz_path};
use frame::{FrameError, Limits, open};
use proptest::collection::vec;
use proptest::prelude::*;

use crate::exif_writer::{Field, block, jpeg};
use crate::pictures::{all_composed, composed, pictures};

const FOLDERS: [&str; 8] =
    ["allsky_colour", "allsky_mono", "aurora_photo", "corrupt", "raw_exif", "reject", "starfield", "video"];
/// Rounds for each real file and kind of harm: all files together take some seconds.
const ROUNDS: u32 = 8;
/// Where heads and directories lie; harm there leads furthest.
const HEAD_BYTES: usize = 2_048;

/// Numbers that look random and are the same in every run (Numerical Recipes' linear congruence).
struct Dice(u32);

impl Dice {
    fn below(&mut self, end: usize) -> usize {
        self.0 = self.0.wrapping_mul(1_664_525).wrapping_add(1_013_904_223);
        usize::try_from(self.0 >> 8).unwrap() % end.max(1)
    }
}

fn harm(bytes: &[u8], dice: &mut Dice) -> [Vec<u8>; 3] {
    let cut = bytes[..dice.below(bytes.len())].to_vec();
    let flipped = |end: usize, dice: &mut Dice| {
        let mut copy = bytes.to_vec();
        for _ in 0..=dice.below(4) {
            let at = dice.below(end.min(copy.len()));
            if let Some(byte) = copy.get_mut(at) {
                *byte ^= 1 << dice.below(8);
            }
        }
        copy
    };
    [cut, flipped(HEAD_BYTES, dice), flipped(usize::MAX, dice)]
}

#[test]
fn real_files_cut_and_flipped_end_in_a_picture_or_in_words() {
    let mut dice = Dice(1);
    let mut files = 0;
    for folder in FOLDERS {
        for (_, bytes) in pictures(folder) {
            files += 1;
            for _ in 0..ROUNDS {
                for harmed in harm(&bytes, &mut dice) {
                    fuzz_open(&harmed);
                    fuzz_metadata(&harmed);
                }
            }
        }
    }
    println!("{files} files harmed {} times each", 3 * ROUNDS);
}

#[test]
fn small_files_are_cut_at_every_length_and_flipped_at_every_byte() {
    let mut dice = Dice(2);
    for (_, bytes) in all_composed() {
        for place in 0..bytes.len().min(HEAD_BYTES) {
            fuzz_open(&bytes[..place]);
            let mut copy = bytes.clone();
            copy[place] ^= 1 << dice.below(8);
            fuzz_open(&copy);
            copy[place] = 0xff;
            fuzz_metadata(&copy);
        }
    }
}

/// Beginnings that send bytes to each decoder.
const BEGINNINGS: [&[u8]; 16] = [
    b"",
    b"\xff\xd8\xff\xe0\0\x04\0\0\xff",
    b"\xff\xd8\xff\xe1\xff\xf0Exif\0\0II\x2a\0\x08\0\0\0\xff\xff",
    b"\x89PNG\r\n\x1a\n\0\0\0\x0dIHDR",
    b"II\x2a\0\x08\0\0\0",
    b"MM\0\x2a\0\0\0\x08\0\x08",
    b"II\x2b\0\x08\0\0\0\x10\0\0\0\0\0\0\0",
    b"GIF89a",
    b"RIFF\0\x10\0\0WEBPVP8L",
    b"RIFF\0\x10\0\0WEBPVP8 ",
    b"BM\0\0\0\0\0\0\0\0\x36\0\0\0\x28\0\0\0",
    b"\0\0\0\x18ftypheic\0\0\0\0mif1heic\0\0\x01\0meta\0\0\0\0",
    b"SIMPLE  =                    T",
    b"P6 9 9 255 ",
    b"FUJIFILMCCD-RAW ",
    b"\0\0\0\x18ftypcrx \0\0\0\x01",
];

proptest! {
    #![proptest_config(ProptestConfig::with_cases(400))]

    #[test]
    fn random_bytes_never_panic(beginning in 0..BEGINNINGS.len(), tail in vec(any::<u8>(), 0..600)) {
        let bytes = [BEGINNINGS[beginning], &tail].concat();
        fuzz_open(&bytes);
        fuzz_metadata(&bytes);
    }

    #[test]
    fn random_bytes_on_every_path_never_panic(tail in vec(any::<u8>(), 0..300)) {
        for (name, _) in PATHS {
            fuzz_path(name, &tail);
        }
    }

    #[test]
    fn random_exif_fields_never_panic(
        fields in vec((any::<u16>(), any::<u32>(), any::<u32>()), 0..20),
        codes in vec(0..40usize, 0..20),
    ) {
        const WANTED: [u16; 16] = [
            0x829a, 0x829d, 0x8827, 0x8832, 0x920a, 0x9201, 0x9202, 0xa002, 0xa003, 0xa20e, 0xa20f, 0xa210, 0xa404,
            0xa405, 0xa001, 0x9003,
        ];
        let entries: Vec<(u16, Field)> = fields
            .iter()
            .zip(codes.iter().chain(std::iter::repeat(&39)))
            .map(|((code, numerator, denominator), wanted)| {
                (*WANTED.get(*wanted).unwrap_or(code), Field::Rationals(vec![[*numerator, *denominator]]))
            })
            .collect();
        fuzz_metadata(&jpeg(&block(vec![], &entries, &entries)));
    }

    #[test]
    fn random_netpbm_heads_never_panic(width in any::<u32>(), height in any::<u32>(), greatest in any::<u32>()) {
        fuzz_open(format!("P5 {width} {height} {greatest}\n____").as_bytes());
        fuzz_open(format!("P6\n#{width}\n{}\n{}\n{greatest}\n", width % 9, height % 9).as_bytes());
    }

    #[test]
    fn random_fits_heads_never_panic(bitpix in -65i32..65, axes in any::<u64>(), scale in any::<f64>()) {
        for bitpix in [bitpix, 8, 16, 32, -32, -64] {
            let cards = [
                "SIMPLE  =                    T".to_owned(),
                format!("BITPIX  = {bitpix}"),
                format!("NAXIS   = {}", axes % 5),
                format!("NAXIS1  = {}", axes >> 40),
                format!("NAXIS2  = {}", axes % 70_000),
                format!("NAXIS3  = {axes}"),
                format!("BSCALE  = {scale:e}"),
                format!("EXPTIME = {scale}"),
                "END".to_owned(),
            ];
            let mut bytes: Vec<u8> = cards.iter().flat_map(|card| format!("{card:<80}").into_bytes()).collect();
            bytes.resize(2_880 * 3, b' ');
            fuzz_open(&bytes);
        }
    }
}

fn patched(name: &str, at: usize, with: &[u8]) -> Vec<u8> {
    let mut bytes = composed(name);
    bytes[at..at + with.len()].copy_from_slice(with);
    bytes
}

/// A PNG whose head says 60 000 by 60 000, its check number right.
fn png_bomb() -> Vec<u8> {
    let mut head = b"IHDR\0\0\xea\x60\0\0\xea\x60\x08\x02\0\0\0".to_vec();
    let mut check = flate2::Crc::new();
    check.update(&head);
    head.extend(check.sum().to_be_bytes());
    [b"\x89PNG\r\n\x1a\n\0\0\0\x0d".as_slice(), &head, b"\0\0\0\0IDAT"].concat()
}

#[test]
fn bombs_are_refused_by_their_heads() {
    let side = 60_000u16;
    let jpeg = composed("baseline444.composed.jpg");
    let frame_at = jpeg.windows(2).position(|pair| pair == [0xff, 0xc0]).unwrap() + 5;
    let big = [side.to_be_bytes(), side.to_be_bytes()].concat();
    let little = [side.to_le_bytes(), side.to_le_bytes()].concat();
    let files = [
        ("png", png_bomb()),
        ("jpeg", patched("baseline444.composed.jpg", frame_at, &big)),
        ("gif", patched("rgb8.composed.gif", 6, &little)),
        ("bmp", patched("rgb8.composed.bmp", 18, &[0x60, 0xea, 0, 0, 0x60, 0xea, 0, 0])),
        ("ppm", b"P6\n60000 60000\n255\n".to_vec()),
        ("fits", {
            let card = |text: &str| format!("{text:<80}");
            let head = ["SIMPLE  = T", "BITPIX  = 16", "NAXIS   = 2", "NAXIS1  = 60000", "NAXIS2  = 60000", "END"];
            let mut bytes = head.map(card).concat().into_bytes();
            bytes.resize(2_880, b' ');
            bytes
        }),
    ];
    for (name, bytes) in files {
        let error = open(&bytes, &Limits::default()).unwrap_err();
        let expected = FrameError::TooLarge { quantity: "pixels", value: 3_600_000_000, limit: 155_000_000 };
        assert_eq!(error, expected, "{name}");
    }
    assert_eq!(
        open(&png_bomb(), &Limits::default()).unwrap_err().to_string(),
        "the picture is too large: 3600000000 pixels, and the limit is 155000000"
    );
}

#[test]
fn a_tiff_of_60000_by_60000_is_refused() {
    let mut bytes = composed("rgb16.composed.tif");
    // entries are of 12 bytes: code, type, count, value; width and height are one long each here
    for code in [256u16, 257] {
        let mark = [code.to_le_bytes(), 4u16.to_le_bytes()].concat();
        let at = bytes.windows(4).position(|four| four == mark).unwrap();
        bytes[at + 8..at + 10].copy_from_slice(&60_000u16.to_le_bytes());
    }
    assert!(matches!(open(&bytes, &Limits::default()), Err(FrameError::TooLarge { quantity: "pixels", .. })));
}

#[test]
fn a_packed_file_that_swells_is_refused() {
    let packed = |bytes: &[u8]| {
        let mut encoder = flate2::write::GzEncoder::new(Vec::new(), flate2::Compression::fast());
        std::io::Write::write_all(&mut encoder, bytes).unwrap();
        encoder.finish().unwrap()
    };
    let limits = Limits { most_bytes: 1_000_000, ..Limits::default() };
    let error = open(&packed(&vec![0; 5_000_000]), &limits).unwrap_err();
    assert!(matches!(error, FrameError::TooLarge { quantity: "bytes of the file", value: 1_000_001, .. }), "{error}");
    let inside = packed(b"P5\n1 1\n255\n\x80");
    assert_eq!(open(&inside, &limits).unwrap().stored_size, [1, 1]);
    // a packed file inside a packed file is somebody's joke
    assert!(open(&packed(&inside), &limits).is_err());
    assert!(open(&inside[..inside.len() - 9], &limits).is_err());
}

/// Heads that claim too much, in the kinds whose heads are longer: none may take the memory it claims.
#[test]
fn bombs_of_other_kinds_are_refused_too() {
    // a lossless picture of 16383 by 16383: 14 bits each, less one
    let webp = b"RIFF\x1a\0\0\0WEBPVP8L\x0d\0\0\0\x2f\xfe\xbf\xff\x0f\0\0\0\0\0\0\0\0\0".to_vec();
    let mut dng = composed("rggb16.composed.dng");
    let side = 60_000u32.to_le_bytes();
    for code in [256u16, 257] {
        for kind in [3u16, 4] {
            let mark = [code.to_le_bytes(), kind.to_le_bytes()].concat();
            let places: Vec<usize> = (0..dng.len() - 12).filter(|at| dng[*at..*at + 4] == mark[..]).collect();
            for at in places {
                dng[at + 2..at + 4].copy_from_slice(&4u16.to_le_bytes());
                dng[at + 8..at + 12].copy_from_slice(&side);
            }
        }
    }
    for (name, bytes) in [("webp", webp), ("dng", dng)] {
        let error = open(&bytes, &Limits::default()).unwrap_err();
        assert!(matches!(error, FrameError::TooLarge { .. }), "{name}: {error}");
    }
}

#[test]
fn a_file_longer_than_the_limit_is_not_looked_at() {
    let limits = Limits { most_bytes: 10, ..Limits::default() };
    let error = open(&composed("rgb8.composed.png"), &limits).unwrap_err();
    assert!(matches!(error, FrameError::TooLarge { quantity: "bytes of the file", .. }));
}

#[test]
fn directories_that_point_at_themselves_end() {
    let mut loops = b"II\x2a\0\x08\0\0\0\x02\0".to_vec();
    loops.extend(b"\x69\x87\x04\0\x01\0\0\0\x08\0\0\0"); // settings: the first directory again
    loops.extend(b"\x25\x88\x04\0\x01\0\0\0\x08\0\0\0"); // place: likewise
    loops.extend(b"\x08\0\0\0"); // and the next one: likewise
    for bytes in [jpeg(&loops), loops] {
        fuzz_metadata(&bytes);
        fuzz_open(&bytes);
    }
    // a count of four thousand million
    let huge = b"II\x2a\0\x08\0\0\0\x01\0\x0f\x01\x02\0\xff\xff\xff\xff\x08\0\0\0\0\0\0\0";
    fuzz_metadata(&jpeg(huge));
    fuzz_metadata(huge);
}
