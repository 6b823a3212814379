//! From a scene to the sensor's numbers.

use quantity::{GeoPosition, Horizontal, Timestamp};
use sky::{Extinction, SunMoon};

use crate::cells::cells;
use crate::curtain::Easel;
use crate::emission::Columns;
use crate::error::SceneError;
use crate::field_lines::FieldLines;
use crate::grid::{Grid, RadiusTable};
use crate::land::{Land, Skyline};
use crate::moon::{Disc, Ghost, Glare};
use crate::picture::Picture;
use crate::readout::read_out;
use crate::star_light::StarLight;
use crate::stars::StarField;
use crate::texture::smooth_step;
use crate::truth::{Truth, bodies};
use crate::{Rendered, SceneSpec};

/// Solar flux at 10.7 cm for the light by height, sfu: the middle of a solar cycle.
const F107: f64 = 120.0;
/// Half of the angle over which a fisheye's image ends, degrees (our choice).
const IMAGE_EDGE_DEG: f64 = 0.7;
/// Colour of the Moon in the camera's channels.
const MOON_COLOUR: [f64; 3] = [1.12, 1.0, 0.78];
/// Colour of lamps.
const LAMP_COLOUR: [f64; 3] = [1.7, 1.0, 0.45];

/// A place with its field lines, for many pictures from it.
#[derive(Debug)]
pub struct Stage {
    place: GeoPosition,
    lines: FieldLines,
    columns: Columns,
}

/// Renders one scene; for many from one place make a [`Stage`] once.
///
/// The same scene and seed give the same numbers; the seed decides photons and read noise alone.
///
/// # Errors
///
/// [`SceneError`] for a scene that cannot be.
pub fn render(spec: &SceneSpec, seed: u64) -> Result<Rendered, SceneError> {
    Stage::new(spec.place, spec.forms_epoch)?.render(spec, seed)
}

impl Stage {
    /// Traces the field around a place.
    ///
    /// # Errors
    ///
    /// An instant the field is not known for; a place at the magnetic equator.
    pub fn new(place: GeoPosition, at: Timestamp) -> Result<Self, SceneError> {
        Ok(Self { place, lines: FieldLines::new(place, at)?, columns: Columns::new(F107) })
    }

    /// Magnetic latitude of the field line over the place, degrees.
    pub fn magnetic_latitude_deg(&self) -> f64 {
        self.lines.site_latitude_deg()
    }

    /// Renders a scene of this place.
    ///
    /// # Errors
    ///
    /// [`SceneError`] for a scene that cannot be.
    pub fn render(&self, spec: &SceneSpec, seed: u64) -> Result<Rendered, SceneError> {
        spec.check()?;
        if spec.place != self.place {
            return Err(SceneError::OtherPlace);
        }
        let camera = spec.camera();
        let grid = Grid::new(&camera);
        let bodies = bodies(spec)?;
        let falloff = falloff(spec, &grid);
        let pixel_deg = grid.pixel_sr(0.0).sqrt().to_degrees();
        let open_sea = Land::none();
        let land = spec.land.as_ref().or(spec.water.as_ref().map(|_| &open_sea));
        let skyline = land.map(|land| Skyline::new(land, 0.5 * pixel_deg));
        let easel = Easel { grid: &grid, lines: &self.lines, columns: &self.columns, air: &spec.air };
        let disc = Disc::new(spec, &bodies);
        let glares = glares(spec, &bodies, disc.as_ref());
        let ghosts = ghosts(spec, &grid, &bodies, disc.as_ref());
        let cells = cells(spec, &easel, &bodies, &falloff, &glares, &ghosts);
        let mut field = StarField::new(spec, &grid, skyline.as_ref());
        let star_falloff = star_falloff(spec, &grid, &falloff);
        let stars = field.sky(&|radius| star_falloff.at(radius))?;
        lamps(spec, &mut field, &star_falloff);
        let points = field.electrons;
        let picture = Picture {
            spec,
            grid: &grid,
            cells: &cells,
            points: &points,
            skyline: skyline.as_ref(),
            disc,
            falloff: &falloff,
        };
        let mosaic = read_out(&picture, seed);
        let magnetic = (self.lines.site_latitude_deg(), self.magnetic_zenith(spec)?);
        let truth = Truth::new(spec, seed, &picture, &bodies, stars, magnetic);
        Ok(Rendered { spec: spec.clone(), mosaic, truth })
    }

    fn magnetic_zenith(&self, spec: &SceneSpec) -> Result<Horizontal, SceneError> {
        let field = geomag::FieldModel::at(spec.opens_at)?;
        let (latitude, longitude) = (self.place.latitude_deg(), self.place.longitude_deg());
        Ok(spec.air.apparent(geomag::magnetic_zenith(&field.field(latitude, longitude, crate::field_lines::FOOT_KM))))
    }
}

/// Light of an even sky in a pixel relative to the axis, by distance from it.
fn falloff(spec: &SceneSpec, grid: &Grid) -> RadiusTable {
    let camera = spec.camera();
    let law = optics::RadialLaw::new(camera.projection, camera.focal_mm / camera.pixel_mm, camera.k1, camera.k2);
    let half_diagonal = 0.5 * f64::from(camera.width_px).hypot(f64::from(camera.height_px));
    let longest = 1.5 * (grid.columns.max(grid.rows) * grid.cell_px) as f64;
    let lost = 2f64.powf(-spec.faults.dark_stops) * (1.0 - 0.4 * spec.faults.dew);
    RadiusTable::new(longest, |radius| {
        let Some(angle) = law.angle_rad(radius) else { return 0.0 };
        let open = spec.kit.image_edge_deg.map_or(1.0, |edge_deg| {
            1.0 - smooth_step(edge_deg - IMAGE_EDGE_DEG, edge_deg + IMAGE_EDGE_DEG, angle.to_degrees())
        });
        open * lost * spec.kit.lens.vignetting(angle.to_degrees(), radius / half_diagonal, spec.exposure.f_number)
    })
}

/// The same for a point: without the pixel's solid angle, which a point's light does not know.
fn star_falloff(spec: &SceneSpec, grid: &Grid, falloff: &RadiusTable) -> RadiusTable {
    let camera = spec.camera();
    let plain = optics::RadialLaw::new(camera.projection, camera.focal_mm / camera.pixel_mm, camera.k1, camera.k2);
    let longest = 1.5 * (grid.columns.max(grid.rows) * grid.cell_px) as f64;
    let middle_sr = grid.pixel_sr(0.0);
    RadiusTable::new(longest, |radius| {
        if plain.angle_rad(radius).is_none() {
            return 0.0;
        }
        falloff.at(radius) * middle_sr / grid.pixel_sr(radius)
    })
}

fn glares(spec: &SceneSpec, bodies: &SunMoon, disc: Option<&Disc>) -> Vec<Glare> {
    let mut glares = Vec::new();
    let dew = spec.faults.dew;
    if let Some(disc) = disc {
        let arriving = lost_in_air(&spec.extinction, disc.direction[2].asin().to_degrees());
        glares.push(Glare::new(disc.direction, crate::moon::v_mag(&bodies.moon) + arriving, MOON_COLOUR, dew));
    }
    for lamp in spec.land.iter().flat_map(|land| &land.lamps) {
        let direction = Horizontal::new(lamp.altitude_deg, lamp.azimuth_deg).east_north_up();
        glares.push(Glare::new(direction, lamp.v_mag, LAMP_COLOUR, dew));
    }
    glares
}

/// Where the Moon stands in the picture, its images in the lens.
fn ghosts(spec: &SceneSpec, grid: &Grid, bodies: &SunMoon, disc: Option<&Disc>) -> Vec<Ghost> {
    let camera = spec.camera();
    let moon_px = disc.and_then(|disc| grid.view.pixel_of_vector(disc.direction)).filter(|px| camera.contains(*px));
    let Some((disc, moon_px)) = disc.zip(moon_px) else { return Vec::new() };
    let half_diagonal_px = 0.5 * f64::from(camera.width_px).hypot(f64::from(camera.height_px));
    let v_mag = crate::moon::v_mag(&bodies.moon) + lost_in_air(&spec.extinction, disc.direction[2].asin().to_degrees());
    Ghost::all(moon_px, camera.centre_px, half_diagonal_px, grid.pixel_sr(0.0), v_mag)
}

fn lost_in_air(extinction: &Extinction, altitude_deg: f64) -> f64 {
    -2.5 * extinction.transmission(sky::photometry::V_WAVELENGTH_NM, altitude_deg).max(1e-12).log10()
}

/// Lamps, and the one swept through; no air between.
fn lamps(spec: &SceneSpec, field: &mut StarField<'_>, falloff: &RadiusTable) {
    let light = StarLight::new(&spec.kit.sensor, &spec.kit.lens, &spec.exposure);
    let seconds = spec.exposure.seconds;
    let place = |altitude: f64, azimuth: f64| {
        field.grid.view.pixel_of_vector(Horizontal::new(altitude, azimuth).east_north_up())
    };
    let mut trails = Vec::new();
    for lamp in spec.land.iter().flat_map(|land| &land.lamps) {
        let rate = light.rate(lamp.v_mag, Some(lamp.colour_bv_mag));
        if let Some(px) = place(lamp.altitude_deg, lamp.azimuth_deg) {
            trails.push(([px, px, px], rate));
        }
        // its mirror in the water, where that is on the near side of the far shore
        if let Some(water) = spec.water.filter(|water| lamp.altitude_deg > water.far_deg)
            && let Some(px) = place(-lamp.altitude_deg, lamp.azimuth_deg)
        {
            let reach = 2.0 * water.slope_deg;
            let ends = [-1.0, 1.0].map(|side| place(-lamp.altitude_deg + side * reach, lamp.azimuth_deg).unwrap_or(px));
            let share = crate::land::Water::reflectance(lamp.altitude_deg);
            trails.push(([ends[0], px, ends[1]], rate.map(|rate| rate * share)));
        }
    }
    if let Some(sweep) = &spec.faults.lamp_sweep {
        let [from, to] = sweep.azimuths_deg;
        let places = [0.0, 0.5, 1.0].map(|share| place(sweep.altitude_deg, from + (to - from) * share));
        if let [Some(a), Some(b), Some(c)] = places {
            trails.push(([a, b, c], light.rate(sweep.v_mag, Some(0.9))));
        }
    }
    for (path, rate) in trails {
        let radius = field.grid.radius_px(path[1]);
        let factor = seconds * falloff.at(radius);
        field.trail(path, rate.map(|rate| rate * factor), radius);
    }
}
