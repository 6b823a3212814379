//! A night drawn for the tests: stars that turn over a dark land, an arc that moves, and planted duds of known truth.

use job::DudKind;

/// Columns and rows.
const SIZE: [usize; 2] = [480, 320];
/// Stars, and the first row of the land.
const STARS: usize = 80;
const LAND: usize = 270;
/// Seconds between frames.
const EVERY_S: u32 = 10;

/// One file of the night with what is wrong with it.
pub(crate) struct Planted {
    pub(crate) name: String,
    pub(crate) bytes: Vec<u8>,
    pub(crate) truth: Option<DudKind>,
}

/// Faults that are planted in single frames, in turn.
pub(crate) const PLANTED: [DudKind; 8] = [
    DudKind::Soft,
    DudKind::Shaken,
    DudKind::StarsLost,
    DudKind::LampSwept,
    DudKind::Dark,
    DudKind::BurntOut,
    DudKind::Copy,
    DudKind::Unreadable,
];

/// Frames at the end into which the moon shines.
const MOONLIT: usize = 6;

/// A night of so many frames; every fourth but the first dozen has a fault, each kind in turn. The moon comes out of a cloud
/// for the last six.
///
/// The time is 3 March 2026, 22:00 UTC on: the moon is full and up over 69 N 15 E.
pub(crate) fn night(count: usize, seed: u64) -> Vec<Planted> {
    let mut chance = Chance(seed);
    let stars: Vec<[f64; 3]> = (0..STARS)
        .map(|_| [520.0 * chance.even() - 40.0, 262.0 * chance.even() + 4.0, 1.2 + 7.0 * chance.even().powi(3)])
        .collect();
    let mut planted: Vec<Planted> = Vec::with_capacity(count);
    let mut faults = 0;
    for number in 0..count {
        let is_spoilt = number >= 12 && number % 4 == 2 && number + 2 * MOONLIT < count;
        let moon = (number + MOONLIT >= count).then_some(DudKind::MoonFlare);
        let truth = moon.or(is_spoilt.then(|| PLANTED[faults % PLANTED.len()]));
        faults += usize::from(is_spoilt);
        let mut bytes = match truth {
            Some(DudKind::Copy) => planted[number - 1].bytes.clone(),
            fault => drawn(number, &stars, fault, &mut chance),
        };
        if truth == Some(DudKind::Unreadable) {
            bytes.truncate(3000);
        }
        planted.push(Planted { name: format!("night/IMG_{:04}.TIF", 100 + number), bytes, truth });
    }
    planted
}

fn drawn(number: usize, stars: &[[f64; 3]], fault: Option<DudKind>, chance: &mut Chance) -> Vec<u8> {
    let after = number as f64;
    let mut light = vec![[0.0f64; 3]; SIZE[0] * SIZE[1]];
    // brightness and place of the arc wander over some minutes
    let arc = [0.05 * (1.0 + 0.7 * (after / 9.0).sin()), 110.0 + 50.0 * (after / 23.0).sin()];
    for (index, pixel) in light.iter_mut().enumerate() {
        let (x, y) = ((index % SIZE[0]) as f64, (index / SIZE[0]) as f64);
        *pixel = match index / SIZE[0] {
            row if row >= LAND => [0.006, 0.006, 0.005],
            _ => {
                let bent = y - arc[1] - 30.0 * ((x - 240.0) / 240.0).powi(2);
                let green = arc[0] * (-0.5 * (bent / 22.0).powi(2)).exp();
                [0.030 + 0.15 * green, 0.034 + green, 0.032 + 0.3 * green]
            }
        };
    }
    let sigma = if fault == Some(DudKind::Soft) { 2.4 } else { 1.05 };
    let trail = if fault == Some(DudKind::Shaken) { 9.0 } else { 0.0 };
    for (place, [x, y, flux]) in stars.iter().enumerate() {
        if fault == Some(DudKind::StarsLost) && place % 16 != 0 {
            continue;
        }
        // 0.3 px a frame: half a minute of arc of a degree a second at this scale
        star(&mut light, [x + 0.3 * after, *y], *flux, sigma, trail);
    }
    spoil(&mut light, fault);
    file(&light, number, chance)
}

fn spoil(light: &mut [[f64; 3]], fault: Option<DudKind>) {
    for (index, pixel) in light.iter_mut().enumerate() {
        let (x, y) = ((index % SIZE[0]) as f64, (index / SIZE[0]) as f64);
        match fault {
            // a grey veil that dims the arc too
            Some(DudKind::StarsLost) if index / SIZE[0] < LAND => *pixel = pixel.map(|value| 0.25 * value + 0.032),
            // warm light over the land and up the left side
            Some(DudKind::LampSwept) => {
                let near = (-0.5 * (((x - 60.0) / 90.0).powi(2) + ((y - 290.0) / 70.0).powi(2))).exp();
                for (value, share) in pixel.iter_mut().zip([0.5, 0.4, 0.22]) {
                    *value += share * near;
                }
            }
            Some(DudKind::Dark) => *pixel = [0.0002; 3],
            Some(DudKind::BurntOut) => *pixel = pixel.map(|value| value * 40.0),
            Some(DudKind::MoonFlare) => {
                let away = (x - 330.0).hypot(y - 70.0);
                let glare = 0.9 * (-away / 45.0).exp();
                let disc = if away < 7.0 { 2.0 } else { 0.0 };
                *pixel = pixel.map(|value| value + glare + disc);
            }
            _ => {}
        }
    }
}

fn star(light: &mut [[f64; 3]], [x, y]: [f64; 2], flux: f64, sigma: f64, trail: f64) {
    let steps = (3.0 * trail).floor() + 1.0;
    let reach = 4.0 * sigma;
    let mut step = 0.0;
    while step < steps {
        let along = if steps > 1.0 { (step / (steps - 1.0) - 0.5) * trail } else { 0.0 };
        step += 1.0;
        let (cx, cy) = (x + 0.8 * along, y + 0.6 * along);
        for row in span(cy, reach, LAND) {
            for column in span(cx, reach, SIZE[0]) {
                let r2 = (column as f64 - cx).powi(2) + (row as f64 - cy).powi(2);
                let share = (-0.5 * r2 / (sigma * sigma)).exp() / (std::f64::consts::TAU * sigma * sigma);
                for value in &mut light[row * SIZE[0] + column] {
                    *value += flux / steps * share;
                }
            }
        }
    }
}

#[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "saturates within the frame")]
fn span(middle: f64, reach: f64, most: usize) -> std::ops::Range<usize> {
    (middle - reach).ceil().max(0.0) as usize..((middle + reach + 1.0).floor().max(0.0) as usize).min(most)
}

/// A TIFF of 8-bit sRGB with settings and time (TIFF 6.0, Exif 2.32).
fn file(light: &[[f64; 3]], number: usize, chance: &mut Chance) -> Vec<u8> {
    let mut samples = Vec::with_capacity(light.len() * 3);
    for pixel in light {
        for value in pixel {
            let noise = (0.0008 + 0.0006 * value).sqrt() * 0.08 * chance.bell();
            samples.push(encoded(value + noise));
        }
    }
    let seconds = u32::try_from(number).unwrap() * EVERY_S;
    let (minutes, hours) = (seconds / 60, 22 + seconds / 3600);
    let taken = format!("2026:03:03 {hours:02}:{:02}:{:02}\0", minutes % 60, seconds % 60);
    let entries = [
        Entry::text(0x0110, "Drawn camera D1\0"),
        Entry::text(0x9003, &taken),
        Entry::text(0x9011, "+00:00\0"),
        Entry::ratio(0x829a, 4000, 1000),
        Entry::ratio(0x829d, 18, 10),
        Entry::short(0x8827, 1600),
        Entry::ratio(0x920a, 24, 1),
        Entry::short(0xa405, 24),
    ];
    tiff(&samples, &entries)
}

struct Entry {
    tag: u16,
    kind: u16,
    count: u32,
    data: Vec<u8>,
}

impl Entry {
    fn text(tag: u16, text: &str) -> Self {
        Self { tag, kind: 2, count: u32::try_from(text.len()).unwrap(), data: text.as_bytes().to_vec() }
    }

    fn ratio(tag: u16, above: u32, below: u32) -> Self {
        Self { tag, kind: 5, count: 1, data: [above.to_le_bytes(), below.to_le_bytes()].concat() }
    }

    fn short(tag: u16, value: u16) -> Self {
        Self { tag, kind: 3, count: 1, data: value.to_le_bytes().to_vec() }
    }

    fn long(tag: u16, value: u32) -> Self {
        Self { tag, kind: 4, count: 1, data: value.to_le_bytes().to_vec() }
    }

    fn shorts(tag: u16, values: [u16; 3]) -> Self {
        Self { tag, kind: 3, count: 3, data: values.iter().flat_map(|value| value.to_le_bytes()).collect() }
    }
}

fn directory(entries: &[Entry], at: usize) -> Vec<u8> {
    let mut head = u16::try_from(entries.len()).unwrap().to_le_bytes().to_vec();
    let mut data = Vec::new();
    let data_at = at + 2 + 12 * entries.len() + 4;
    for entry in entries {
        head.extend(entry.tag.to_le_bytes());
        head.extend(entry.kind.to_le_bytes());
        head.extend(entry.count.to_le_bytes());
        let mut value = entry.data.clone();
        if value.len() <= 4 {
            value.resize(4, 0);
            head.extend(value);
        } else {
            head.extend(u32::try_from(data_at + data.len()).unwrap().to_le_bytes());
            value.resize(value.len().next_multiple_of(2), 0);
            data.extend(value);
        }
    }
    head.extend([0; 4]);
    head.extend(data);
    head
}

fn tiff(samples: &[u8], settings: &[Entry]) -> Vec<u8> {
    let (model, settings): (Vec<&Entry>, Vec<&Entry>) = settings.iter().partition(|entry| entry.tag < 0x8000);
    let copied = |entries: Vec<&Entry>| -> Vec<Entry> {
        let mut entries: Vec<Entry> = entries
            .into_iter()
            .map(|entry| Entry { tag: entry.tag, kind: entry.kind, count: entry.count, data: entry.data.clone() })
            .collect();
        entries.sort_by_key(|entry| entry.tag);
        entries
    };
    let [width, height] = SIZE.map(|side| u32::try_from(side).unwrap());
    let length = u32::try_from(samples.len()).unwrap();
    let settings_at = 8 + samples.len() + samples.len() % 2;
    let settings = directory(&copied(settings), settings_at);
    let first_at = settings_at + settings.len();
    let mut first = vec![
        Entry::long(256, width),
        Entry::long(257, height),
        Entry::shorts(258, [8; 3]),
        Entry::short(259, 1),
        Entry::short(262, 2),
        Entry::long(273, 8),
        Entry::short(277, 3),
        Entry::long(278, height),
        Entry::long(279, length),
        Entry::long(34_665, u32::try_from(settings_at).unwrap()),
    ];
    first.extend(copied(model));
    first.sort_by_key(|entry| entry.tag);
    let mut out = b"II\x2a\0".to_vec();
    out.extend(u32::try_from(first_at).unwrap().to_le_bytes());
    out.extend(samples);
    out.resize(settings_at, 0);
    out.extend(settings);
    out.extend(directory(&first, first_at));
    out
}

/// The sRGB curve (IEC 61966-2-1), 8 bits.
fn encoded(light: f64) -> u8 {
    let light = light.clamp(0.0, 1.0);
    let value = if light <= 0.003_130_8 { 12.92 * light } else { 1.055 * light.powf(1.0 / 2.4) - 0.055 };
    #[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "0 to 255")]
    let number = (value * 255.0).round() as u8;
    number
}

/// xorshift (Marsaglia 2003, J. Stat. Softw. 8, 14): the same night every time.
pub(crate) struct Chance(pub(crate) u64);

impl Chance {
    pub(crate) fn even(&mut self) -> f64 {
        self.0 ^= self.0 << 13;
        self.0 ^= self.0 >> 7;
        self.0 ^= self.0 << 17;
        (self.0 >> 11) as f64 / (1u64 << 53) as f64
    }

    /// About normal: four even numbers, spread to one.
    fn bell(&mut self) -> f64 {
        ((0..4).map(|_| self.even()).sum::<f64>() - 2.0) * 1.732
    }
}
