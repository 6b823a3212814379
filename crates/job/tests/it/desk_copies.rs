//! Copies of a drawn night's frames: made smaller, packed, brightened, cut, mirrored; the next frames and other nights are none.

use job::{DeskRequest, Fingerprint, Likeness, LikenessKind, OpenedPicture, compare, desk};

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
