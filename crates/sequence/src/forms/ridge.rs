//! A ridge of light along magnetic east-west: what an arc low in the sky leaves in a picture without colour.

use quantity::Horizontal;
use serde::{Deserialize, Serialize};

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
    /// Distance poleward of the camera, km, on its own meridian; negative: equatorward.
    pub poleward_km: f64,
    /// How far it was followed, km.
    pub length_km: f64,
    /// Rise above the higher of its two sides, as a share of the sky's own light, median along it.
    pub rise: f64,
    /// Lowest and highest altitude, degrees.
    pub altitude_deg: [f64; 2],
    /// How much its distance poleward grows with each km of magnetic east.
    slope: f64,
}

/// Looks for the straight ridge that most columns of sky share: [`RidgeProfile::of`] one picture, and its [`RidgeProfile::ridge`].
pub fn light_ridge<V: SkyView>(
    grid: &LightGrid<'_>,
    view: &V,
    poleward_azimuth_deg: f64,
    height_km: f64,
    hidden: &dyn Fn(Horizontal) -> bool,
) -> Option<LightRidge> {
    RidgeProfile::of(grid, view, poleward_azimuth_deg, height_km, hidden).ridge()
}

/// Light above the sky's own, as a share of it, at places in the layer: columns along magnetic east-west, steps across them.
///
/// Profiles of several pictures of one camera can be put together, so that grain and stars of single ones drop out.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct RidgeProfile {
    height_km: f64,
    /// Column by column, from the western end and the equatorward one; none where no sky is seen.
    lights: Vec<Option<f32>>,
}

impl RidgeProfile {
    /// Lays the light of a picture out.
    ///
    /// The sky's own light is what a quarter of each ring of altitude stays below: airglow, vignetting and haze are alike around a
    /// ring and drop out. A ridge falls off to *both* sides; light of towns grows down to the horizon and has no lower side.
    ///
    /// * `grid`: light of a picture that shows the sky down to 5 degrees.
    /// * `hidden`: directions that are left out, such as the Milky Way.
    /// * `height_km`: of the light.
    pub fn of<V: SkyView>(
        grid: &LightGrid<'_>,
        view: &V,
        poleward_azimuth_deg: f64,
        height_km: f64,
        hidden: &dyn Fn(Horizontal) -> bool,
    ) -> Self {
        let own = OwnLight::of(grid, view);
        let light = |along_km: f64, across_km: f64| {
            let direction = direction(along_km, across_km, poleward_azimuth_deg, height_km);
            if direction.altitude_deg < LEAST_ALTITUDE_DEG || hidden(direction) {
                return None;
            }
            own.excess(around(grid, view, direction)?, direction.altitude_deg)
        };
        let columns = steps(ALONG_KM).map(|along_km| steps(ACROSS_KM).map(move |across_km| (along_km, across_km)));
        #[expect(clippy::cast_possible_truncation, reason = "a share of light")]
        let lights = columns.flatten().map(|(along, across)| light(along, across).map(|light| light as f32)).collect();
        Self { height_km, lights }
    }

    /// The median of several profiles, place by place, where half of them at least hold light; none of none, or of different layers.
    pub fn median(profiles: &[&Self]) -> Option<Self> {
        let first = profiles.first()?;
        let is_like = |other: &&Self| {
            other.lights.len() == first.lights.len() && other.height_km.to_bits() == first.height_km.to_bits()
        };
        if !profiles.iter().all(is_like) {
            return None;
        }
        let at = |place: usize| {
            let mut held: Vec<f64> = profiles
                .iter()
                .filter_map(|profile| profile.lights.get(place).copied().flatten())
                .map(f64::from)
                .collect();
            if 2 * held.len() < profiles.len() {
                return None;
            }
            #[expect(clippy::cast_possible_truncation, reason = "a share of light")]
            median(&mut held).map(|light| light as f32)
        };
        Some(Self { height_km: first.height_km, lights: (0..first.lights.len()).map(at).collect() })
    }

    /// The straight ridge that most columns share.
    ///
    /// None where no straight ridge of 8 columns (320 km) stands out.
    pub fn ridge(&self) -> Option<LightRidge> {
        let columns: Vec<Column> = self.columns().collect();
        let tops: Vec<Top> = columns.iter().filter_map(|column| column.top(&|_across_km| true, LEAST_RISE)).collect();
        of_tops(&tops, &columns)
    }

    /// Rise along a ridge that other pictures showed, as a share of the sky's own light: median over the columns of the highest rise
    /// within 60 km of it, 0 where there is none. None where less than half of its columns are seen.
    pub fn rise_along(&self, ridge: &LightRidge) -> Option<f64> {
        let near = |column: &Column| {
            let middle_km = ridge.poleward_km + ridge.slope * column.along_km;
            let is_seen = column
                .places
                .iter()
                .any(|place| (place.across_km - middle_km).abs() <= LINE_KM && place.light.is_some());
            is_seen.then(|| {
                let top = column.top(&|across_km| (across_km - middle_km).abs() <= LINE_KM, 0.0);
                top.map_or(0.0, |top| top.rise)
            })
        };
        let mut rises: Vec<f64> = self.columns().filter_map(|column| near(&column)).collect();
        if rises.len() < LEAST_COLUMNS { None } else { median(&mut rises) }
    }

    fn columns(&self) -> impl Iterator<Item = Column> {
        let across: Vec<f64> = steps(ACROSS_KM).collect();
        let height_km = self.height_km;
        let place = move |along_km: f64, (across_km, light): (&f64, &Option<f32>)| Place {
            across_km: *across_km,
            altitude_deg: direction(along_km, *across_km, 0.0, height_km).altitude_deg,
            light: light.map(f64::from),
        };
        let lights: Vec<(f64, &[Option<f32>])> = steps(ALONG_KM).zip(self.lights.chunks(across.len())).collect();
        lights.into_iter().map(move |(along_km, lights)| {
            let places = across.iter().zip(lights).map(|pair| place(along_km, pair));
            let places = places.filter(|place| place.altitude_deg >= LEAST_ALTITUDE_DEG).collect();
            Column { along_km, places }
        })
    }
}

/// From one end to the other in steps.
fn steps([reach, step]: [f64; 2]) -> impl Iterator<Item = f64> + Clone {
    #[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "some tens")]
    let count = (2.0 * reach / step).round() as u32;
    (0..=count).map(move |index| f64::from(index) * step - reach)
}

/// The ridge of one column.
#[derive(Debug, Clone, Copy)]
struct Top {
    along_km: f64,
    across_km: f64,
    rise: f64,
    altitude_deg: f64,
}

/// A line in the layer: km poleward above the camera's meridian, and how much that grows with each km of magnetic east.
#[derive(Debug, Clone, Copy)]
struct Line {
    middle_km: f64,
    slope: f64,
}

impl Line {
    fn off_km(self, top: &Top) -> f64 {
        (top.across_km - self.slope * top.along_km - self.middle_km).abs()
    }

    /// Theil and Sen's slope through tops, and the median of what is left.
    fn through(tops: &[&Top]) -> Option<Self> {
        let mut slopes: Vec<f64> = Vec::new();
        for (index, a) in tops.iter().enumerate() {
            let later = tops.get(index + 1..).unwrap_or_default();
            slopes.extend(later.iter().map(|b| (b.across_km - a.across_km) / (b.along_km - a.along_km)));
        }
        let slope = median(&mut slopes)?;
        let mut rests: Vec<f64> = tops.iter().map(|top| top.across_km - slope * top.along_km).collect();
        Some(Self { middle_km: median(&mut rests)?, slope })
    }
}

/// The line that most tops share: of the lines through two of them, the one with the most tops beside it. Other lights in columns
/// that do not show the line, such as a town on the other side, do not bend it.
fn of_tops(tops: &[Top], columns: &[Column]) -> Option<LightRidge> {
    let pairs = tops.iter().enumerate().flat_map(|(index, a)| {
        tops.get(index + 1..).unwrap_or_default().iter().map(move |b| {
            let slope = (b.across_km - a.across_km) / (b.along_km - a.along_km);
            Line { middle_km: a.across_km - slope * a.along_km, slope }
        })
    });
    let beside = |line: Line| tops.iter().filter(move |top| line.off_km(top) <= LINE_KM);
    let first = pairs.max_by_key(|line| beside(*line).count())?;
    let line = Line::through(&beside(first).collect::<Vec<_>>())?;
    let on_line: Vec<&Top> = beside(line).collect();
    let seeing = columns.iter().filter(|column| column.sees(line)).count();
    if on_line.len() < LEAST_COLUMNS || (on_line.len() as f64) < LEAST_SHARE * seeing as f64 {
        return None;
    }
    let mut rises: Vec<f64> = on_line.iter().map(|top| top.rise).collect();
    let [first, last] = [on_line.first()?, on_line.last()?].map(|top| top.along_km);
    let altitudes = on_line.iter().map(|top| top.altitude_deg);
    Some(LightRidge {
        tilt_deg: line.slope.atan().to_degrees().abs(),
        poleward_km: line.middle_km,
        length_km: (last - first).hypot(line.slope * (last - first)),
        rise: median(&mut rises)?,
        altitude_deg: altitudes.fold([90.0_f64, -90.0_f64], |[low, high], alt| [low.min(alt), high.max(alt)]),
        slope: line.slope,
    })
}

/// A place of a column.
struct Place {
    across_km: f64,
    altitude_deg: f64,
    light: Option<f64>,
}

/// A line of places in the layer across magnetic east-west.
struct Column {
    along_km: f64,
    places: Vec<Place>,
}

impl Column {
    /// Whether it shows the sky at a line and to both sides of it.
    fn sees(&self, line: Line) -> bool {
        let middle_km = line.middle_km + line.slope * self.along_km;
        let sees = |from_km: f64, to_km: f64| {
            self.places
                .iter()
                .any(|place| place.light.is_some() && (from_km..=to_km).contains(&(place.across_km - middle_km)))
        };
        sees(-LINE_KM, LINE_KM) && sees(-SIDE_KM, -LINE_KM) && sees(LINE_KM, SIDE_KM)
    }

    /// Its highest rise of at least so much above the higher of both sides, among the places asked for.
    fn top(&self, is_asked: &dyn Fn(f64) -> bool, least_rise: f64) -> Option<Top> {
        let lowest = |side: &[Place], from_km: f64| {
            let near = side.iter().filter(|place| (place.across_km - from_km).abs() <= SIDE_KM);
            near.filter_map(|place| place.light).min_by(f64::total_cmp)
        };
        let rise = |index: usize| {
            let place = self.places.get(index).filter(|place| is_asked(place.across_km))?;
            let sides = [
                lowest(self.places.get(..index)?, place.across_km)?,
                lowest(self.places.get(index + 1..)?, place.across_km)?,
            ];
            let rise = place.light? - sides[0].max(sides[1]);
            let (along_km, across_km, altitude_deg) = (self.along_km, place.across_km, place.altitude_deg);
            (rise >= least_rise).then_some(Top { along_km, across_km, rise, altitude_deg })
        };
        (0..self.places.len()).filter_map(rise).max_by(|a, b| a.rise.total_cmp(&b.rise))
    }
}

/// The direction of a place: the triangle of the centre of the Earth, the camera and the place.
fn direction(along_km: f64, across_km: f64, poleward_azimuth_deg: f64, height_km: f64) -> Horizontal {
    let radius_km = EARTH_RADIUS_KM + height_km;
    let arc = along_km.hypot(across_km) / radius_km;
    let altitude = (radius_km * arc.cos() - EARTH_RADIUS_KM).atan2(radius_km * arc.sin());
    let azimuth_deg = poleward_azimuth_deg + along_km.atan2(across_km).to_degrees();
    Horizontal::new(altitude.to_degrees(), azimuth_deg)
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
