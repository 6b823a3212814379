//! Brightness along real sightlines through field-aligned emission.

use geomag::{FieldModel, MagneticClock};
use quantity::{GeoPosition, Horizontal, LineBrightness};
use sky::Air;
use sky::Extinction;

use crate::emission::{SLAB_EDGES_KM, SLABS};
use crate::local_field::{EARTH_RADIUS_KM, LocalField};
use crate::{AuroraError, EmissionTable, Oval};

/// Where one slab of one sightline lies magnetically.
#[derive(Debug, Clone, Copy)]
struct Node {
    lat_deg: f32,
    /// Apex longitude over 15: hours to add to the clock.
    lon_h: f32,
}

/// What all directions of one altitude share.
#[derive(Debug, Clone, Copy)]
struct Crossing {
    /// Ground distance of the middle of the slab, km.
    distance_km: f32,
    /// Path through the slab over its height.
    slant: f32,
}

/// The lines of sight of one site, with the field line each of their parts belongs to.
///
/// Geometry and field do not change through a night: build it once, then ask for any instant, activity or shift of the
/// border. Directions are *apparent* (as seen, refraction included); those below the horizon are dark.
///
/// The path is cut into slabs between 82 and 497 km, finest where green and blue light peak; within a slab the emission by
/// height is integrated exactly and only flux, energy and slant are taken at its middle. `docs/aurora.md` shows the
/// convergence.
#[derive(Debug, Clone)]
pub struct SkySampler {
    directions: Vec<Horizontal>,
    nodes: Vec<[Node; SLABS]>,
    slant: Vec<[f32; SLABS]>,
    /// Share of each line's light that comes through the air, by direction.
    transmission: Vec<[f32; 3]>,
}

/// What the sky is lit by at one instant.
#[derive(Debug, Clone, Copy)]
pub struct SkyMoment<'a> {
    /// The mean oval at an activity.
    pub oval: &'a Oval,
    /// Light by height and energy.
    pub emission: &'a EmissionTable,
    /// Magnetic local time at magnetic longitude 0, hours: see [`SkyMoment::new`].
    zero_longitude_mlt_h: f32,
    /// Degrees by which the whole oval is moved equatorward (negative: poleward).
    equatorward_shift_deg: f32,
}

impl<'a> SkyMoment<'a> {
    /// The sky at an instant's magnetic clock, with the oval where the model puts it.
    pub fn new(oval: &'a Oval, emission: &'a EmissionTable, clock: &MagneticClock) -> Self {
        #[expect(clippy::cast_possible_truncation, reason = "hours of the day")]
        let zero_longitude_mlt_h = clock.mlt_h(0.0) as f32;
        Self { oval, emission, zero_longitude_mlt_h, equatorward_shift_deg: 0.0 }
    }

    /// The same with the oval moved equatorward, degrees of magnetic latitude.
    #[must_use]
    pub fn shifted_equatorward(mut self, shift_deg: f64) -> Self {
        #[expect(clippy::cast_possible_truncation, reason = "a few degrees")]
        let shift = shift_deg as f32;
        self.equatorward_shift_deg = shift;
        self
    }
}

impl SkySampler {
    /// Traces the field around a site and lays the sightlines through it.
    ///
    /// # Errors
    ///
    /// Where a field line nearby never rises (within about 25 degrees of the magnetic equator).
    pub fn new(
        site: GeoPosition,
        field: &FieldModel,
        extinction: &Extinction,
        directions: Vec<Horizontal>,
    ) -> Result<Self, AuroraError> {
        let local = LocalField::new(site, field)?;
        let site_radius_km = EARTH_RADIUS_KM + site.height_m().max(0.0) / 1000.0;
        let mut sampler = Self {
            nodes: Vec::with_capacity(directions.len()),
            slant: Vec::with_capacity(directions.len()),
            transmission: Vec::with_capacity(directions.len()),
            directions,
        };
        let mut row: Option<(f64, [Crossing; SLABS])> = None;
        for direction in &sampler.directions {
            let altitude_deg = direction.altitude_deg;
            // Directions come row by row: the geometry of an altitude is worked out once.
            let crossings = match row {
                Some((done_deg, crossings)) if (done_deg - altitude_deg).abs() < f64::EPSILON => crossings,
                _ => crossings(altitude_deg, site_radius_km),
            };
            row = Some((altitude_deg, crossings));
            sampler.nodes.push(nodes_along(&local, direction.azimuth_deg, &crossings));
            sampler.slant.push(crossings.map(|c| c.slant));
            sampler.transmission.push(transmission(extinction, altitude_deg));
        }
        Ok(sampler)
    }

    /// The directions, in the order of every result.
    pub fn directions(&self) -> &[Horizontal] {
        &self.directions
    }

    /// Brightness in every direction as it reaches the observer, kR: mean oval, after extinction.
    pub fn brightness(&self, moment: &SkyMoment<'_>) -> Vec<LineBrightness> {
        (0..self.directions.len()).map(|index| self.brightness_of(index, moment)).collect()
    }

    /// Brightness in one direction.
    fn brightness_of(&self, index: usize, moment: &SkyMoment<'_>) -> LineBrightness {
        if self.directions[index].altitude_deg < 0.0 {
            return LineBrightness::default();
        }
        let mut sum = [0.0f32; 3];
        for (slab, (node, slant)) in self.nodes[index].iter().zip(&self.slant[index]).enumerate() {
            let lat_deg = node.lat_deg.abs() + moment.equatorward_shift_deg;
            let (flux, log_e0) = moment.oval.at(lat_deg, node.lon_h + moment.zero_longitude_mlt_h);
            if flux <= 0.0 {
                continue;
            }
            let (low, high, share) = moment.emission.rows(log_e0);
            for (line, total) in sum.iter_mut().enumerate() {
                *total += flux * slant * (low[slab][line] * (1.0 - share) + high[slab][line] * share);
            }
        }
        let through = self.transmission[index];
        LineBrightness {
            blue_4278_kr: f64::from(sum[0] * through[0]),
            green_5577_kr: f64::from(sum[1] * through[1]),
            red_6300_kr: f64::from(sum[2] * through[2]),
        }
    }
}

/// Share of each line's light that arrives from an apparent altitude.
fn transmission(extinction: &Extinction, altitude_deg: f64) -> [f32; 3] {
    quantity::EmissionLine::ALL.map(|line| {
        #[expect(clippy::cast_possible_truncation, reason = "a share of 0..=1")]
        let share = extinction.glow_transmission(line.wavelength_nm(), altitude_deg) as f32;
        share
    })
}

/// Ground distance and slant of every slab for an apparent altitude.
fn crossings(apparent_altitude_deg: f64, site_radius_km: f64) -> [Crossing; SLABS] {
    let altitude = Air::default().airless_altitude_deg(apparent_altitude_deg).to_radians();
    let closest_km = site_radius_km * altitude.cos();
    std::array::from_fn(|slab| {
        let (bottom_km, top_km) = (SLAB_EDGES_KM[slab], SLAB_EDGES_KM[slab + 1]);
        let radius_km = EARTH_RADIUS_KM + 0.5 * (bottom_km + top_km);
        let arc = std::f64::consts::FRAC_PI_2 - altitude - (closest_km / radius_km).min(1.0).asin();
        let path = |height_km: f64| ((EARTH_RADIUS_KM + height_km).powi(2) - closest_km * closest_km).max(0.0).sqrt();
        #[expect(clippy::cast_possible_truncation, reason = "kilometres in seven digits")]
        let crossing = Crossing {
            distance_km: (EARTH_RADIUS_KM * arc) as f32,
            slant: ((path(top_km) - path(bottom_km)) / (top_km - bottom_km)) as f32,
        };
        crossing
    })
}

fn nodes_along(local: &LocalField, azimuth_deg: f64, crossings: &[Crossing; SLABS]) -> [Node; SLABS] {
    let (sin, cos) = azimuth_deg.to_radians().sin_cos();
    #[expect(clippy::cast_possible_truncation, reason = "sine and cosine in seven digits")]
    let (sin, cos) = (sin as f32, cos as f32);
    std::array::from_fn(|slab| {
        let distance_km = crossings[slab].distance_km;
        #[expect(clippy::cast_possible_truncation, reason = "kilometres in seven digits")]
        let middle_km = (0.5 * (SLAB_EDGES_KM[slab] + SLAB_EDGES_KM[slab + 1])) as f32;
        let (lat_deg, lon_deg) = local.at(distance_km * sin, distance_km * cos, middle_km);
        Node { lat_deg, lon_h: lon_deg / 15.0 }
    })
}
