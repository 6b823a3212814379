//! Star lists as a camera would have them: the catalogue through a lens of `optics`, with faults of the finding.

use frame::{Moments, Plane, Star, StarField, StarSearch, find_stars};
use optics::{Camera, Pointing, Projection};
use quantity::Horizontal;

/// Even numbers from 0 to 1 (xorshift64*).
pub(crate) struct Dice(u64);

impl Dice {
    pub(crate) fn new(seed: u64) -> Self {
        Self(seed.wrapping_mul(0x9e37_79b9_7f4a_7c15) | 1)
    }

    pub(crate) fn next(&mut self) -> f64 {
        self.0 ^= self.0 >> 12;
        self.0 ^= self.0 << 25;
        self.0 ^= self.0 >> 27;
        (self.0.wrapping_mul(0x2545_f491_4f6c_dd1d) >> 11) as f64 / (1u64 << 53) as f64
    }

    pub(crate) fn even(&mut self, low: f64, high: f64) -> f64 {
        low + (high - low) * self.next()
    }

    /// Deviation 1: twelve even numbers less six.
    pub(crate) fn gauss(&mut self) -> f64 {
        (0..12).map(|_| self.next()).sum::<f64>() - 6.0
    }
}

/// A lens of the tests.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Lens {
    pub(crate) name: &'static str,
    pub(crate) projection: Projection,
    pub(crate) size: [u32; 2],
    pub(crate) focal_px: f64,
    /// Optical axis from the middle, px.
    pub(crate) shift: [f64; 2],
    pub(crate) k: [f64; 2],
    pub(crate) mirrored: bool,
    /// Angle off axis at which the picture goes dark, degrees.
    pub(crate) edge_deg: f64,
}

/// Faults of the finding.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Faults {
    pub(crate) missing: f64,
    pub(crate) false_share: f64,
    pub(crate) noise_px: f64,
    /// Stars of the sky that the picture shows, about.
    pub(crate) stars: usize,
}

/// What the picture shows in its middle.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Truth {
    pub(crate) ra_deg: f64,
    pub(crate) dec_deg: f64,
    pub(crate) roll_deg: f64,
    pub(crate) camera: Camera,
}

/// Declination as altitude and right ascension as azimuth the other way round: a turn of the sky's axes.
fn as_horizontal(ra_deg: f64, dec_deg: f64) -> Horizontal {
    Horizontal::new(dec_deg, -ra_deg)
}

fn star(x_px: f64, y_px: f64, flux: f64) -> Star {
    let moments = Moments::round(1.1);
    Star {
        x_px,
        y_px,
        flux,
        peak: flux / 8.0,
        background: 0.0,
        moments,
        fwhm_px: moments.fwhm_px(),
        hfd_px: moments.fwhm_px(),
        elongation: 0.0,
        angle_deg: 0.0,
        snr: flux,
        saturated: false,
        shape_measured: true,
    }
}

/// A field of these places and fluxes.
pub(crate) fn field_of(size: [u32; 2], places: &[[f64; 3]]) -> StarField {
    let blank = Plane::new(64, 64, vec![0.0; 64 * 64]).unwrap();
    let mut field = find_stars(&blank, &StarSearch::default());
    field.size_px = size.map(|side| side as usize);
    field.stars = places.iter().map(|[x, y, flux]| star(*x, *y, *flux)).collect();
    field
}

/// A picture of a random part of the sky.
pub(crate) fn draw(lens: &Lens, faults: &Faults, dice: &mut Dice) -> (StarField, Truth) {
    let dec_deg = (2.0 * dice.next() - 1.0).asin().to_degrees();
    let pointing =
        Pointing { azimuth_deg: 360.0 * dice.next(), altitude_deg: dec_deg, roll_deg: 360.0 * dice.next() - 180.0 };
    let [width, height] = lens.size.map(f64::from);
    let middle = [0.5 * (width - 1.0), 0.5 * (height - 1.0)];
    let mut camera = Camera::centred(lens.projection, lens.focal_px, 1000.0, lens.size, pointing);
    camera.centre_px = [middle[0] + lens.shift[0], middle[1] + lens.shift[1]];
    [camera.k1, camera.k2] = lens.k;
    let view = camera.view();
    let axis = view.direction_of(camera.centre_px).unwrap().east_north_up();
    let mut shown: Vec<(f64, [f64; 2])> = sky::catalogue()
        .brighter_than(7.0)
        .filter_map(|s| {
            let direction = as_horizontal(s.right_ascension_deg, s.declination_deg);
            let off_deg = quantity::angular_separation_deg(axis, direction.east_north_up());
            let place = view.pixel_of(direction).filter(|p| off_deg < lens.edge_deg && camera.contains(*p))?;
            // half a magnitude per 45 degrees off the axis, and 0.2 of colour and seeing
            Some((s.v_mag + 0.5 * (off_deg / 45.0).powi(2) + 0.2 * dice.gauss(), place))
        })
        .collect();
    shown.sort_by(|a, b| a.0.total_cmp(&b.0));
    shown.truncate(faults.stars);
    let faintest = shown.last().map_or(7.0, |s| s.0);
    let mirror = |x: f64| if lens.mirrored { width - 1.0 - x } else { x };
    let mut places = Vec::new();
    for (mag, [x, y]) in &shown {
        if dice.next() >= faults.missing {
            let [dx, dy] = [dice.gauss() * faults.noise_px, dice.gauss() * faults.noise_px];
            places.push([mirror(*x) + dx, y + dy, 10f64.powf(-0.4 * mag)]);
        }
    }
    let false_count = faults.false_share * places.len() as f64;
    for _ in 0..places.len() {
        if dice.next() < false_count / shown.len().max(1) as f64 {
            let mag = faintest - 4.0 * dice.next();
            places.push([width * dice.next(), height * dice.next(), 10f64.powf(-0.4 * mag)]);
        }
    }
    let [ra_deg, dec_deg, roll_deg] = middle_of(&camera, middle, lens.mirrored);
    (field_of(lens.size, &places), Truth { ra_deg, dec_deg, roll_deg, camera })
}

/// Right ascension, declination and position angle of up in the middle, by the cosine rule on the pole's triangle.
fn middle_of(camera: &Camera, [x, y]: [f64; 2], mirrored: bool) -> [f64; 3] {
    let x = if mirrored { f64::from(camera.width_px) - 1.0 - x } else { x };
    let at = camera.direction_of([x, y]).unwrap();
    let above = camera.direction_of([x, y - 1.0]).unwrap();
    let (d0, d1) = (at.altitude_deg.to_radians(), above.altitude_deg.to_radians());
    let da = (at.azimuth_deg - above.azimuth_deg).to_radians();
    let roll = (d1.cos() * da.sin()).atan2(d0.cos() * d1.sin() - d0.sin() * d1.cos() * da.cos());
    [(-at.azimuth_deg).rem_euclid(360.0), at.altitude_deg, roll.to_degrees()]
}
