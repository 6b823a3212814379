//! Copies of a drawn night's frames: made smaller, packed, brightened, cut, mirrored; the next frames and other nights are none.

use job::{
    DeskCheckKind, DeskRequest, DeskVerdict, Fingerprint, KnownPicture, Likeness, LikenessKind, OpenedPicture, compare,
    desk,
};

use crate::desk_real::bytes;
use crate::drawn_night::night;

/// A picture in 8 bits of sRGB.
struct Picture {
    width: usize,
    height: usize,
    rgb: Vec<u8>,
}

impl Picture {
    fn of(bytes: &[u8]) -> Self {
        let opened = OpenedPicture::open(bytes, false).unwrap();
        let [width, height] = opened.size_px();
        let crop = opened.crop([0.5 * width as f64, 0.5 * height as f64], [width, height]).unwrap();
        Self { width, height, rgb: crop.rgb }
    }

    fn made(width: usize, height: usize, from: impl Fn(usize, usize) -> [u8; 3]) -> Self {
        let rgb = (0..width * height).flat_map(|index| from(index % width, index / width)).collect();
        Self { width, height, rgb }
    }

    fn at(&self, x: usize, y: usize) -> [u8; 3] {
        let place = 3 * (y * self.width + x);
        [self.rgb[place], self.rgb[place + 1], self.rgb[place + 2]]
    }

    /// Made smaller to two thirds, by the mean of what each new pixel covers.
    fn smaller(&self) -> Self {
        let mean = |x: usize, y: usize| {
            let corners = [(x * 3 / 2, y * 3 / 2), (x * 3 / 2 + 1, y * 3 / 2 + 1)];
            let pixels = [self.at(corners[0].0, corners[0].1), self.at(corners[1].0, corners[1].1)];
            [0, 1, 2].map(|channel| pixels[0][channel] / 2 + pixels[1][channel] / 2)
        };
        Self::made(self.width * 2 / 3, self.height * 2 / 3, mean)
    }

    fn cut(&self, [left, top]: [usize; 2], [width, height]: [usize; 2]) -> Self {
        Self::made(width, height, |x, y| self.at(left + x, top + y))
    }

    fn mirrored(&self) -> Self {
        Self::made(self.width, self.height, |x, y| self.at(self.width - 1 - x, y))
    }

    /// As a slider of brightness does it: by a third in the file's own numbers.
    fn brighter(&self) -> Self {
        let brighter = |value: u8| u8::try_from((u32::from(value) * 4 / 3).min(255)).unwrap();
        Self::made(self.width, self.height, |x, y| self.at(x, y).map(brighter))
    }

    fn jpeg(&self, quality: u8) -> Vec<u8> {
        let mut file = Vec::new();
        let [width, height] = [self.width, self.height].map(|side| u16::try_from(side).unwrap());
        let encoder = jpeg_encoder::Encoder::new(&mut file, quality);
        encoder.encode(&self.rgb, width, height, jpeg_encoder::ColorType::Rgb).unwrap();
        file
    }
}

fn fingerprint(bytes: &[u8]) -> Fingerprint {
    desk(&DeskRequest::default(), bytes).fingerprint.unwrap()
}

fn both_ways(a: &Fingerprint, b: &Fingerprint) -> [Likeness; 2] {
    [compare(a, b), compare(b, a)]
}

#[test]
fn copies_are_found_and_the_next_frame_is_none() {
    let frames = night(12, 7);
    let first = Picture::of(&frames[0].bytes);
    let original = fingerprint(&frames[0].bytes);
    let cut = [[90, 60], [300, 200]];
    let copies = [
        (first.jpeg(90), LikenessKind::Same),
        (first.jpeg(50), LikenessKind::Same),
        (first.smaller().jpeg(75), LikenessKind::Same),
        (first.brighter().jpeg(85), LikenessKind::Same),
        (first.cut(cut[0], cut[1]).jpeg(85), LikenessKind::Crop),
        (first.cut([40, 30], [400, 280]).smaller().jpeg(80), LikenessKind::Crop),
        (first.mirrored().jpeg(85), LikenessKind::Mirrored),
    ];
    for (number, (bytes, kind)) in copies.into_iter().enumerate() {
        for likeness in both_ways(&original, &fingerprint(&bytes)) {
            assert_eq!(likeness.kind, kind, "copy {number}: {likeness:?}");
        }
    }
    // where a cut lies, to a fiftieth of a side
    let found = compare(&original, &fingerprint(&first.cut(cut[0], cut[1]).jpeg(85)));
    let truth = [90.0 / 480.0, 60.0 / 320.0, 300.0 / 480.0, 200.0 / 320.0];
    let region = found.region.unwrap();
    assert!(found.second_in_first && region.iter().zip(truth).all(|(a, b)| (a - b).abs() < 0.02), "{region:?}");
    // the same burst: 0.6 px of the stars in 20 s, 2.4 px in 80 s
    for later in [2, 8] {
        for likeness in both_ways(&original, &fingerprint(&frames[later].bytes)) {
            assert_eq!(likeness.kind, LikenessKind::OtherFrame, "frame {later}: {likeness:?}");
        }
    }
}

#[test]
fn other_nights_are_different() {
    let one = fingerprint(&night(12, 7)[0].bytes);
    // another arc over other stars: frame 40 of a night with another beginning
    for (seed, frame) in [(99, 11), (1234, 6)] {
        let other = fingerprint(&Picture::of(&night(12, seed)[frame].bytes).mirrored().jpeg(85));
        for likeness in both_ways(&one, &other) {
            let is_copy = matches!(likeness.kind, LikenessKind::Same | LikenessKind::Crop | LikenessKind::Mirrored);
            assert!(!is_copy, "{seed}: {likeness:?}");
        }
    }
}

#[test]
fn the_same_sky_over_other_stars_is_another_frame() {
    // the arc stands where it stood, the stars do not
    let [one, other] = [7, 99].map(|seed| fingerprint(&night(1, seed)[0].bytes));
    for likeness in both_ways(&one, &other) {
        assert_eq!(likeness.kind, LikenessKind::OtherFrame, "{likeness:?}");
    }
}

/// An even slope of light, as of a misted lens at dusk.
fn slope() -> Vec<u8> {
    Picture::made(480, 320, |x, y| [20 + x / 12, 30 + y / 8, 40 + y / 6].map(|value| u8::try_from(value).unwrap()))
        .jpeg(90)
}

#[test]
fn a_plain_picture_is_like_nothing_and_nothing_is_like_it() {
    let frame = &night(1, 7)[0].bytes;
    let [plain, full] = [fingerprint(&slope()), fingerprint(frame)];
    for likeness in both_ways(&plain, &full) {
        assert_eq!(likeness.kind, LikenessKind::CannotTell, "{likeness:?}");
    }
    let told = |bytes: &[u8], other: &Fingerprint| {
        let others = vec![KnownPicture { id: "Number 1".to_owned(), fingerprint: other.clone() }];
        let report = desk(&DeskRequest { others, ..DeskRequest::default() }, bytes);
        report.checks.into_iter().find(|check| check.kind == DeskCheckKind::Copies).unwrap()
    };
    let of_plain = told(&slope(), &full);
    assert!(of_plain.verdict == DeskVerdict::CannotTell && of_plain.sentence.contains("too plain"), "{of_plain:?}");
    // one picture with the lens cap on does not make every other one doubtful
    let of_full = told(frame, &plain);
    assert_eq!(of_full.verdict, DeskVerdict::Consistent, "{of_full:?}");
}

/// Pictures of people and of stations; copies are made of the first ones.
const REAL: [&str; 8] = [
    "reject/Storm.jpg",
    "raw_exif/landscape_6.jpg",
    "raw_exif/DSCN0010.jpg",
    "raw_exif/portrait_8.jpg",
    "aurora_photo/Fig7b_SAR-LesLadbrook.jpg",
    "aurora_photo/Fig13b_AuroraNLC_Eero_Karvinen.jpg",
    "allsky_colour/LYR-Sony-20241113_230000.jpg",
    "raw_exif/tif.tif",
];
const COPIED: usize = 3;

#[test]
fn copies_of_real_pictures_are_found_and_others_are_not_called_copies() {
    let known: Vec<(Picture, Fingerprint)> = REAL
        .iter()
        .filter_map(|file| bytes(file))
        .map(|bytes| (Picture::of(&bytes), job::fingerprint(&bytes).unwrap()))
        .collect();
    if known.len() < REAL.len() {
        return;
    }
    for (number, (picture, _)) in known.iter().take(COPIED).enumerate() {
        let [width, height] = [picture.width, picture.height];
        let part = |percent: usize| [width * percent / 100, height * percent / 100];
        let copies = [
            (picture.smaller().brighter().jpeg(70), [LikenessKind::Same; 2]),
            (picture.cut(part(25), part(50)).jpeg(70), [LikenessKind::Crop, LikenessKind::CannotTell]),
            (picture.cut(part(35), part(42)).mirrored().jpeg(70), [LikenessKind::Mirrored, LikenessKind::CannotTell]),
        ];
        for (which, (bytes, kinds)) in copies.into_iter().enumerate() {
            let copy = job::fingerprint(&bytes).unwrap();
            for (other, (_, print)) in known.iter().enumerate() {
                let likeness = compare(&copy, print);
                let is_right = if other == number { kinds.contains(&likeness.kind) } else { !likeness.kind.is_copy() };
                assert!(is_right, "copy {which} of {} and {}: {likeness:?}", REAL[number], REAL[other]);
            }
        }
    }
}
