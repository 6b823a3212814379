//! A night frame as a camera writes it: catalogue stars through a 20 mm lens, fainter ones between them, noise, JPEG.

use jpeg_encoder::{ColorType, Encoder, SamplingFactor};
use optics::{Camera, Pointing, Projection};
use quantity::Horizontal;

/// Quality at which cameras write their fine JPEGs, about (from memory).
const QUALITY: u8 = 92;
/// Focal length over the long side of the picture: 20 mm on 36 mm.
const FOCAL_MM: f64 = 20.0;
const SENSOR_MM: f64 = 36.0;
/// Sky, as shares of full scale in red, green, blue: two stops under mid-grey, brighter towards the lower edge.
const SKY: [f32; 3] = [0.040, 0.045, 0.042];
/// Noise of a pixel in light, the same in all channels and of each channel.
const NOISE: [f32; 2] = [0.012, 0.008];
/// Stars fainter than the catalogue's for each of it in the picture.
const FAINT_PER_STAR: usize = 2;
/// Sigma of a star's light, px: sharp, 2.6 px FWHM.
const SIGMA_PX: f32 = 1.1;
/// Height of a star of magnitude 0 over full scale.
const HEIGHT_OF_MAG_0: f64 = 60.0;
/// Rows noised together.
const LEAST_LEVEL: f32 = 0.0;

/// Even numbers from 0 to 1 (xorshift64*).
struct Dice(u64);

impl Dice {
    fn bits(&mut self) -> u64 {
        self.0 ^= self.0 >> 12;
        self.0 ^= self.0 << 25;
        self.0 ^= self.0 >> 27;
        self.0.wrapping_mul(0x2545_f491_4f6c_dd1d)
    }

    fn even(&mut self) -> f64 {
        (self.bits() >> 11) as f64 / (1u64 << 53) as f64
    }

    /// Deviation 1, from four even numbers of 16 bits: quick, and near enough to a bell.
    fn bell(&mut self) -> f32 {
        let bits = self.bits();
        let sum: u64 = (0..4).map(|i| bits >> (16 * i) & 0xffff).sum();
        // four even numbers have a variance of 4/12
        (sum as f32 / 65_536.0 - 2.0) * 1.732_050_8
    }
}

/// The picture as the bytes of a file, with the focal length and nothing else about the camera in it.
pub(crate) fn jpeg(size: [u16; 2]) -> Vec<u8> {
    let [width, height] = size.map(usize::from);
    let mut dice = Dice(0x5eed);
    let stars = star_light(size, &mut dice);
    let table: Vec<u8> = (0..=4096u16).map(|step| encoded(f32::from(step) / 4096.0)).collect();
    let mut rgb = Vec::with_capacity(width * height * 3);
    for y in 0..height {
        let slope = 0.8 + 0.4 * y as f32 / height as f32;
        for light in &stars[y * width..(y + 1) * width] {
            let shared = NOISE[0] * dice.bell();
            for sky in SKY {
                let value = sky * slope + light + shared + NOISE[1] * dice.bell();
                rgb.push(table[step(value.clamp(LEAST_LEVEL, 1.0))]);
            }
        }
    }
    let mut file = Vec::new();
    let mut encoder = Encoder::new(&mut file, QUALITY);
    encoder.set_sampling_factor(SamplingFactor::F_2_1);
    encoder.add_app_segment(1, [b"Exif\0\0".as_slice(), &settings()].concat()).unwrap();
    encoder.encode(&rgb, size[0], size[1], ColorType::Rgb).unwrap();
    file
}

/// Light of the stars alone.
fn star_light(size: [u16; 2], dice: &mut Dice) -> Vec<f32> {
    let [width, height] = size.map(usize::from);
    let mut light = vec![0.0f32; width * height];
    let pointing = Pointing { azimuth_deg: 83.0, altitude_deg: 30.0, roll_deg: 12.0 };
    let pixel_um = 1000.0 * SENSOR_MM / f64::from(size[0]);
    let camera = Camera::centred(Projection::Rectilinear, FOCAL_MM, pixel_um, size.map(u32::from), pointing);
    let view = camera.view();
    // declination as altitude and right ascension as azimuth the other way round: a turn of the sky's axes
    let shown = sky::catalogue().stars().iter().filter_map(|star| {
        let direction = Horizontal::new(star.declination_deg, -star.right_ascension_deg);
        view.pixel_of(direction).filter(|place| camera.contains(*place)).map(|place| (place, star.v_mag))
    });
    let shown: Vec<([f64; 2], f64)> = shown.collect();
    for (place, mag) in &shown {
        add(&mut light, [width, height], *place, HEIGHT_OF_MAG_0 * 10f64.powf(-0.4 * mag));
    }
    for _ in 0..FAINT_PER_STAR * shown.len() {
        let place = [width as f64 * dice.even(), height as f64 * dice.even()];
        // numbers of stars grow by 10^0.4 a magnitude or a little more (from memory)
        let mag = 9.5 - dice.even().max(1e-3).log10().abs() * 2.0 + 1.0;
        add(&mut light, [width, height], place, HEIGHT_OF_MAG_0 * 10f64.powf(-0.4 * mag.max(8.5)));
    }
    light
}

fn add(light: &mut [f32], [width, height]: [usize; 2], [x, y]: [f64; 2], peak: f64) {
    let reach = 6.0;
    let range = |c: f64, n: usize| whole(c - reach)..whole(c + reach + 1.0).min(n);
    for row in range(y, height) {
        for column in range(x, width) {
            let r2 = (column as f64 - x).powi(2) + (row as f64 - y).powi(2);
            light[row * width + column] += single(peak * (-0.5 * r2 / f64::from(SIGMA_PX * SIGMA_PX)).exp());
        }
    }
}

/// The focal length, also for 35 mm film (Exif 2.32), in a block of the greater byte first.
fn settings() -> Vec<u8> {
    let entry = |tag: u16, kind: u16, value: [u8; 4]| {
        [&tag.to_be_bytes()[..], &kind.to_be_bytes(), &1u32.to_be_bytes(), &value].concat()
    };
    let mut block = b"MM\0\x2a\0\0\0\x08".to_vec();
    block.extend([&[0, 1][..], &entry(0x8769, 4, 26u32.to_be_bytes()), &[0; 4]].concat());
    block.extend(
        [&[0, 2][..], &entry(0x920a, 5, 56u32.to_be_bytes()), &entry(0xa405, 3, [0, 20, 0, 0]), &[0; 4]].concat(),
    );
    block.extend([20u32.to_be_bytes(), 1u32.to_be_bytes()].concat());
    block
}

/// The sRGB curve (IEC 61966-2-1), 8 bits.
fn encoded(light: f32) -> u8 {
    let value = if light <= 0.003_130_8 { 12.92 * light } else { 1.055 * light.powf(1.0 / 2.4) - 0.055 };
    #[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "0 to 255")]
    let number = (value * 255.0).round() as u8;
    number
}

#[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "0 to 4096")]
fn step(light: f32) -> usize {
    (light * 4096.0) as usize
}

#[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "places in a picture; below 0 is 0")]
fn whole(place: f64) -> usize {
    place as usize
}

#[expect(clippy::cast_possible_truncation, reason = "light in single precision")]
fn single(light: f64) -> f32 {
    light as f32
}
