//! A ridge of light along magnetic east-west: what an arc low in the sky leaves in a picture without colour.

use quantity::Horizontal;

use crate::keogram::EARTH_RADIUS_KM;
use crate::robust::median;
use crate::view::{LightGrid, SkyView};

/// Lowest altitude that is laid out, degrees: below lie trees, and a pixel is hundreds of km.
const LEAST_ALTITUDE_DEG: f64 = 5.0;
/// Altitude under which a camera that sees the whole sky shows ground or nothing, degrees.
const GROUND_ALTITUDE_DEG: f64 = -4.0;
/// Width of a ring of altitude in which the sky's own light is taken, degrees.
const RING_DEG: f64 = 3.0;
/// Place in order of the light around a ring that stands for the sky's own: an arc covers less than half of a ring.
const OWN_PLACE: f64 = 0.25;
/// Reach and step of the columns along magnetic east-west, and of the steps across them, km.
const ALONG_KM: [f64; 2] = [560.0, 40.0];
const ACROSS_KM: [f64; 2] = [700.0, 20.0];
/// How far beyond a ridge its light is looked for on both sides, km: arcs are up to 150 km wide.
const SIDE_KM: f64 = 240.0;
/// Least rise of a ridge above the higher of its two sides, as a share of the sky's own light (judgement: the grain of medians of
/// nine pixels is some per cent).
const LEAST_RISE: f64 = 0.08;
/// Distance from the common line up to which a column's ridge belongs to it, km.
const LINE_KM: f64 = 60.0;
/// Fewest columns on the line, and the share of those with a ridge.
const LEAST_COLUMNS: usize = 8;
const LEAST_SHARE: f64 = 0.6;

/// A straight ridge of light in the layer.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct LightRidge {
    /// Angle from magnetic east-west, degrees, 0 to 90.
    pub tilt_deg: f64,
    /// Distance poleward of the camera, km; negative: equatorward.
    pub poleward_km: f64,
    /// How far it was followed, km.
    pub length_km: f64,
    /// Rise above the higher of its two sides, as a share of the sky's own light, median along it.
    pub rise: f64,
    /// Lowest and highest altitude, degrees.
    pub altitude_deg: [f64; 2],
}

/// Looks for the straight ridge that most columns of sky share.
///
/// The sky's own light is what a quarter of each ring of altitude stays below: airglow, vignetting and haze are alike around a
/// ring and drop out. A ridge falls off to *both* sides; light of towns grows down to the horizon and has no lower side.
///
/// * `grid`: light of a picture that shows the sky down to 5 degrees.
/// * `hidden`: directions that are left out, such as the Milky Way.
/// * `height_km`: of the light.
///
/// None where no straight ridge of 8 columns (320 km) stands out.
pub fn light_ridge<V: SkyView>(
    grid: &LightGrid<'_>,
    view: &V,
    poleward_azimuth_deg: f64,
    height_km: f64,
    hidden: &dyn Fn(Horizontal) -> bool,
) -> Option<LightRidge> {
    let own = OwnLight::of(grid, view);
    let mut tops: Vec<Top> = Vec::new();
    let mut along_km = -ALONG_KM[0];
    while along_km <= ALONG_KM[0] {
        let column = Column { along_km, poleward_azimuth_deg, height_km };
        tops.extend(column.top(grid, view, &own, hidden));
        along_km += ALONG_KM[1];
    }
    of_tops(&tops)
}

/// The ridge of one column.
#[derive(Debug, Clone, Copy)]
struct Top {
    along_km: f64,
    across_km: f64,
    rise: f64,
    altitude_deg: f64,
}

/// The line that most tops share: Theil and Sen's slope, and the median of what is left.
fn of_tops(tops: &[Top]) -> Option<LightRidge> {
    let mut slopes: Vec<f64> = Vec::new();
    for (index, a) in tops.iter().enumerate() {
        slopes.extend(tops[index + 1..].iter().map(|b| (b.across_km - a.across_km) / (b.along_km - a.along_km)));
    }
    let slope = median(&mut slopes)?;
    let mut rests: Vec<f64> = tops.iter().map(|top| top.across_km - slope * top.along_km).collect();
    let rest = median(&mut rests)?;
    let on_line: Vec<&Top> =
        tops.iter().filter(|top| (top.across_km - slope * top.along_km - rest).abs() <= LINE_KM).collect();
    if on_line.len() < LEAST_COLUMNS || (on_line.len() as f64) < LEAST_SHARE * tops.len() as f64 {
        return None;
    }
    let mut rises: Vec<f64> = on_line.iter().map(|top| top.rise).collect();
    let [first, last] = [on_line.first()?, on_line.last()?].map(|top| top.along_km);
    let altitudes = on_line.iter().map(|top| top.altitude_deg);
    Some(LightRidge {
        tilt_deg: slope.atan().to_degrees().abs(),
        poleward_km: rest,
        length_km: (last - first).hypot(slope * (last - first)),
        rise: median(&mut rises)?,
        altitude_deg: altitudes.fold([90.0_f64, -90.0_f64], |[low, high], alt| [low.min(alt), high.max(alt)]),
    })
}

/// A line of places in the layer across magnetic east-west.
struct Column {
    along_km: f64,
    poleward_azimuth_deg: f64,
    height_km: f64,
}

impl Column {
    fn top<V: SkyView>(
        &self,
        grid: &LightGrid<'_>,
        view: &V,
        own: &OwnLight,
        hidden: &dyn Fn(Horizontal) -> bool,
    ) -> Option<Top> {
        let mut places: Vec<(f64, f64, Option<f64>)> = Vec::new();
        let mut across_km = -ACROSS_KM[0];
        while across_km <= ACROSS_KM[0] {
            let direction = self.direction(across_km);
            if direction.altitude_deg >= LEAST_ALTITUDE_DEG {
                let light = Some(direction).filter(|direction| !hidden(*direction));
                let light =
                    light.and_then(|direction| own.excess(around(grid, view, direction)?, direction.altitude_deg));
                places.push((across_km, direction.altitude_deg, light));
            }
            across_km += ACROSS_KM[1];
        }
        let lowest = |side: &[(f64, f64, Option<f64>)], from_km: f64| {
            let near = side.iter().filter(|place| (place.0 - from_km).abs() <= SIDE_KM).filter_map(|place| place.2);
            near.min_by(f64::total_cmp)
        };
        let rise = |index: usize| {
            let (across_km, altitude_deg, light) = *places.get(index)?;
            let sides = [lowest(&places[..index], across_km)?, lowest(&places[index + 1..], across_km)?];
            let rise = light? - sides[0].max(sides[1]);
            (rise >= LEAST_RISE).then_some(Top { along_km: self.along_km, across_km, rise, altitude_deg })
        };
        (0..places.len()).filter_map(rise).max_by(|a, b| a.rise.total_cmp(&b.rise))
    }

    /// The direction of a place of this column: the triangle of the centre of the Earth, the camera and the place.
    fn direction(&self, across_km: f64) -> Horizontal {
        let radius_km = EARTH_RADIUS_KM + self.height_km;
        let arc = self.along_km.hypot(across_km) / radius_km;
        let altitude = (radius_km * arc.cos() - EARTH_RADIUS_KM).atan2(radius_km * arc.sin());
        let azimuth_deg = self.poleward_azimuth_deg + self.along_km.atan2(across_km).to_degrees();
        Horizontal::new(altitude.to_degrees(), azimuth_deg)
    }
}

/// Median of the nine cells about a direction: stars are narrower.
fn around<V: SkyView>(grid: &LightGrid<'_>, view: &V, direction: Horizontal) -> Option<f64> {
    let shape = grid.shape();
    let [x, y] = view.pixel_of(direction)?;
    let mut lights = Vec::with_capacity(9);
    for down in [-1.0, 0.0, 1.0] {
        for right in [-1.0, 0.0, 1.0] {
            let cell = shape.cell_of([x + right * shape.cell_px, y + down * shape.cell_px]);
            lights.extend(cell.and_then(|cell| grid.value(cell)).map(f64::from));
        }
    }
    if lights.len() < 6 { None } else { median(&mut lights) }
}

/// The sky's own light by altitude, and what the camera writes where no light is.
struct OwnLight {
    rings: Vec<Option<f64>>,
    offset: f64,
}

impl OwnLight {
    fn of<V: SkyView>(grid: &LightGrid<'_>, view: &V) -> Self {
        let shape = grid.shape();
        let mut lights: Vec<Vec<f64>> = Vec::new();
        let mut ground = Vec::new();
        for row in 0..grid.rows() {
            for column in 0..grid.columns() {
                let Some(light) = grid.value(row * grid.columns() + column) else { continue };
                let altitude_deg = view
                    .direction_of(shape.middle_px(column as f64, row as f64))
                    .map_or(f64::NEG_INFINITY, |direction| direction.altitude_deg);
                if altitude_deg < GROUND_ALTITUDE_DEG {
                    ground.push(f64::from(light));
                } else if altitude_deg >= LEAST_ALTITUDE_DEG - RING_DEG {
                    #[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "0 to 30")]
                    let ring = (altitude_deg.max(0.0) / RING_DEG) as usize;
                    if lights.len() <= ring {
                        lights.resize(ring + 1, Vec::new());
                    }
                    lights[ring].push(f64::from(light));
                }
            }
        }
        let quartile = |lights: &mut Vec<f64>| {
            lights.sort_by(f64::total_cmp);
            #[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "a place in the list")]
            let place = (lights.len() as f64 * OWN_PLACE) as usize;
            lights.get(place).copied()
        };
        let rings = lights.iter_mut().map(quartile).collect();
        // a lamp or the moon's glare on the ground must not stand for black
        let offset = quartile(&mut ground).unwrap_or(0.0);
        Self { rings, offset }
    }

    /// Light above the sky's own, as a share of it.
    fn excess(&self, light: f64, altitude_deg: f64) -> Option<f64> {
        let place = (altitude_deg / RING_DEG - 0.5).max(0.0);
        #[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "0 to 30")]
        let below = place as usize;
        let at = |ring: usize| self.rings.get(ring).copied().flatten();
        let (low, high) = (at(below).or_else(|| at(below + 1))?, at(below + 1).or_else(|| at(below))?);
        let own = low + (high - low) * place.fract();
        let depth = own - self.offset;
        (depth > 0.0).then(|| (light - own) / depth)
    }
}
