//! Model fields as weather at a site and around it.

use std::collections::BTreeMap;

use jiff::SignedDuration;
use job::{Weather, WeatherAround};
use quantity::{GeoPosition, Timestamp};

use super::file::{GribField, GribFile, GribGrid};
use super::product::GribMember;
use super::select::{Choice, Content, span};
use crate::FeedError;
use crate::weather::timeline::{Timeline, impossible_words};

/// How long a field of an instant holds at most: the longest step of the forecasts read here.
const LONGEST_STEP: SignedDuration = SignedDuration::from_hours(6);
/// How long a single field holds, with no other to tell the step.
const SINGLE_STEP: SignedDuration = SignedDuration::from_hours(1);
/// Most places sampled besides the site.
const MOST_PLACES: usize = 200;
/// Distances around the site, km: where lines of sight at 10 degrees cross low (7), middle (20) and high cloud (45).
const AROUND_KM: [f64; 3] = [7.0, 20.0, 45.0];
const AROUND_AZIMUTHS: u32 = 8;
/// Mean Earth radius, km (IUGG).
const EARTH_RADIUS_KM: f64 = 6371.0;

/// A field chosen for its content, with its file.
#[derive(Clone, Copy)]
struct Chosen<'a, 'b> {
    file: &'b GribFile<'a>,
    field: &'b GribField<'a>,
    choice: Choice,
    from: Timestamp,
    to: Timestamp,
}

/// What is chosen of one content: by start of time, in order.
type Series<'a, 'b> = BTreeMap<Timestamp, Chosen<'a, 'b>>;

/// Places to judge cloud at, where lines of sight cross it: eight bearings at 7, 20 and 45 km.
pub fn places_around(site: GeoPosition) -> Vec<GeoPosition> {
    let bearings = (0..AROUND_AZIMUTHS).map(|index| f64::from(index) * 360.0 / f64::from(AROUND_AZIMUTHS));
    let place = |bearing: f64, distance_km: f64| away(site, bearing, distance_km);
    bearings.flat_map(|bearing| AROUND_KM.map(|distance_km| place(bearing, distance_km))).flatten().collect()
}

/// On a sphere: good to the width of a cloud.
fn away(site: GeoPosition, bearing_deg: f64, distance_km: f64) -> Option<GeoPosition> {
    let (sine_d, cosine_d) = (distance_km / EARTH_RADIUS_KM).sin_cos();
    let (sine_b, cosine_b) = bearing_deg.to_radians().sin_cos();
    let (sine, cosine) = site.latitude_deg().to_radians().sin_cos();
    let up = sine * cosine_d + cosine * sine_d * cosine_b;
    let east = (sine_b * sine_d * cosine).atan2(cosine_d - sine * up).to_degrees();
    let longitude_deg = quantity::wrap_degrees_180(site.longitude_deg() + east);
    GeoPosition::new(up.clamp(-1.0, 1.0).asin().to_degrees(), longitude_deg, site.height_m()).ok()
}

/// Makes the weather of a site out of the fields of one or several files, one file a forecast step or all in one.
///
/// * `around`: other places, see [`places_around`]; those outside the grid are left out.
///
/// Cloud, fog, temperature and dew point at 2 m, wind at 10 m and gusts are looked for; a dew point is worked out from
/// relative humidity where none is given. A field of an instant holds until the next, six hours at most, so that a
/// missing step is a gap. A mean over hours is used only where no instant is given, and [`Weather::source`] says so,
/// as it says that the files have no cloud. Of several forecasts for one time the latest counts, of an ensemble its
/// first member. At most two fields are unpacked at a time. A field that cannot be unpacked is left out and said.
///
/// # Errors
///
/// No field of these, the site outside every grid, or no value there.
pub fn grib_weather(files: &[&GribFile<'_>], site: GeoPosition, around: &[GeoPosition]) -> Result<Weather, FeedError> {
    let source_name = || files.first().map_or_else(|| "no file".to_owned(), |file| file.source_name().to_owned());
    let nothing = |what: String| FeedError::NoWeather { source_name: source_name(), what };
    let series = choose(files);
    let Some(first) = series.values().flat_map(BTreeMap::values).next().copied() else {
        return Err(nothing("field of cloud, temperature at 2 m or wind at 10 m".to_owned()));
    };
    let place = || format!("{:.4} N {:.4} E", site.latitude_deg(), site.longitude_deg());
    if !series.values().flat_map(BTreeMap::values).any(|chosen| chosen.field.contains(site)) {
        return Err(nothing(format!("value at {}: the place lies outside its grid", place())));
    }
    let mut sampler = Sampler::new(site, around);
    for (content, series) in &series {
        sampler.add(*content, series);
    }
    sampler.add_wind(&series);
    sampler.add_dew_point(&series);
    let Sampler { places, mut timelines, problems, .. } = sampler;
    let own = timelines.remove(0);
    let impossible = own.impossible;
    let hours = own.hours();
    if hours.is_empty() {
        let problem = problems.first().map_or_else(String::new, |problem| format!("; {problem}"));
        return Err(nothing(format!("value at {}{problem}", place())));
    }
    let around = places.into_iter().skip(1).zip(timelines).filter_map(|(position, timeline)| {
        let hours = timeline.hours();
        (!hours.is_empty()).then_some(WeatherAround { position, hours })
    });
    let issued_at = series.values().flat_map(BTreeMap::values).map(|chosen| chosen.field.product.reference_time).max();
    let notes = notes(&series, problems.first(), impossible);
    Ok(Weather { source: format!("{}{notes}", credit(first)), issued_at, hours, around: around.collect() })
}

/// The best field of each content and time.
fn choose<'a, 'b>(files: &[&'b GribFile<'a>]) -> BTreeMap<Content, Series<'a, 'b>> {
    let mut instants: BTreeMap<Content, Series> = BTreeMap::new();
    let mut intervals: BTreeMap<Content, Series> = BTreeMap::new();
    for (file, field) in files.iter().flat_map(|file| file.fields().iter().map(move |field| (*file, field))) {
        let Some(choice) = Choice::of(&field.product) else { continue };
        let (from, end) = span(field.product.time);
        let group = if end.is_some() { &mut intervals } else { &mut instants };
        let chosen = Chosen { file, field, choice, from, to: end.unwrap_or(from) };
        let series = group.entry(choice.content).or_default();
        let better = series.get(&from).is_none_or(|other| chosen.is_better_than(other));
        if better {
            series.insert(from, chosen);
        }
    }
    instants.values_mut().for_each(hold_until_the_next);
    for (content, mut series) in intervals {
        instants.entry(content).or_insert_with(|| {
            end_before_the_next(&mut series);
            series
        });
    }
    instants
}

impl Chosen<'_, '_> {
    fn is_better_than(&self, other: &Self) -> bool {
        let age = |chosen: &Self| std::cmp::Reverse(chosen.field.product.reference_time);
        (self.choice.rank, age(self), self.to) < (other.choice.rank, age(other), other.to)
    }
}

fn hold_until_the_next(series: &mut Series<'_, '_>) {
    let times: Vec<Timestamp> = series.keys().copied().collect();
    let mut step = SINGLE_STEP;
    for (index, chosen) in series.values_mut().enumerate() {
        if let Some(next) = times.get(index + 1) {
            step = next.duration_since(chosen.from).min(LONGEST_STEP);
        }
        chosen.to = chosen.from.checked_add(step).unwrap_or(chosen.from);
    }
}

fn end_before_the_next(series: &mut Series<'_, '_>) {
    let times: Vec<Timestamp> = series.keys().copied().collect();
    for (index, chosen) in series.values_mut().enumerate() {
        if let Some(next) = times.get(index + 1) {
            chosen.to = chosen.to.min(*next);
        }
    }
}

/// Reads fields at the site and the places around it.
struct Sampler {
    /// The site first.
    places: Vec<GeoPosition>,
    timelines: Vec<Timeline>,
    problems: Vec<FeedError>,
}

impl Sampler {
    fn new(site: GeoPosition, around: &[GeoPosition]) -> Self {
        let places: Vec<_> = std::iter::once(site).chain(around.iter().take(MOST_PLACES).copied()).collect();
        let timelines = vec![Timeline::default(); places.len()];
        Self { places, timelines, problems: Vec::new() }
    }

    /// Unpacks a field; what cannot be unpacked is noted.
    fn values(&mut self, chosen: &Chosen<'_, '_>) -> Option<GribGrid> {
        chosen.file.values(chosen.field).map_err(|problem| self.problems.push(problem)).ok()
    }

    /// Adds a quantity that is a field of its own.
    fn add(&mut self, content: Content, series: &Series<'_, '_>) {
        let Some(item) = content.item() else { return };
        for chosen in series.values() {
            let Some(grid) = self.values(chosen) else { continue };
            for (place, timeline) in self.places.iter().zip(&mut self.timelines) {
                if let Some(value) = grid.at(*place) {
                    timeline.add(item, chosen.from, chosen.to, chosen.choice.convert(value));
                }
            }
        }
    }

    /// Adds wind from its components, where speed and bearing are not given themselves.
    fn add_wind(&mut self, series: &BTreeMap<Content, Series<'_, '_>>) {
        use crate::weather::timeline::Item::{WindFromDeg, WindMS};
        let (Some(east), Some(north)) = (series.get(&Content::EastWind), series.get(&Content::NorthWind)) else {
            return;
        };
        let given = |content, from: &Timestamp| series.get(&content).is_some_and(|series| series.contains_key(from));
        for (from, east) in east {
            let north = north.get(from).filter(|north| north.field.same_grid(east.field));
            let (speed, bearing) = (given(Content::WindSpeed, from), given(Content::WindFrom, from));
            let Some(north) = north.filter(|_| !(speed && bearing)) else { continue };
            let (Some(u), Some(v)) = (self.values(east), self.values(north)) else { continue };
            for (place, timeline) in self.places.iter().zip(&mut self.timelines) {
                let Some([u, v]) = GribGrid::wind_at(&u, &v, *place) else { continue };
                if !speed {
                    timeline.add(WindMS, *from, east.to, u.hypot(v));
                }
                if !bearing {
                    timeline.add(WindFromDeg, *from, east.to, (-u).atan2(-v).to_degrees().rem_euclid(360.0));
                }
            }
        }
    }

    /// Adds a dew point from temperature and relative humidity, where none is given.
    fn add_dew_point(&mut self, series: &BTreeMap<Content, Series<'_, '_>>) {
        let (Some(temperature), Some(humidity)) = (series.get(&Content::Temperature), series.get(&Content::Humidity))
        else {
            return;
        };
        let given = series.get(&Content::DewPoint);
        for (from, warm) in temperature {
            let Some(moist) = humidity.get(from).filter(|_| !given.is_some_and(|given| given.contains_key(from)))
            else {
                continue;
            };
            let (Some(warm_grid), Some(moist_grid)) = (self.values(warm), self.values(moist)) else { continue };
            for (place, timeline) in self.places.iter().zip(&mut self.timelines) {
                let (temperature, humidity) = (warm_grid.at(*place), moist_grid.at(*place));
                let dew_point = temperature.zip(humidity).and_then(|(temperature, humidity)| {
                    job::dew_point_c(warm.choice.convert(temperature), moist.choice.convert(humidity))
                });
                if let Some(value) = dew_point {
                    timeline.add(crate::weather::timeline::Item::DewPointC, *from, warm.to, value);
                }
            }
        }
    }
}

/// Who made the fields, by common code table C-11, with the licence as far as it is known.
fn credit(first: Chosen<'_, '_>) -> String {
    let centre = first.field.product.centre;
    match centre {
        7 => "model of NCEP (public domain)".to_owned(),
        54 => "model of the Canadian Meteorological Centre".to_owned(),
        74 => "model of the Met Office".to_owned(),
        78 => "model of DWD (open data, credit DWD)".to_owned(),
        82 => "model of SMHI (CC BY 4.0)".to_owned(),
        86 => "model of FMI (CC BY 4.0)".to_owned(),
        88 => "model of MET Norway (CC BY 4.0)".to_owned(),
        98 => "model of ECMWF".to_owned(),
        other => format!("model of centre {other}"),
    }
}

/// What a reader must know about the fields, behind the credit.
fn notes(series: &BTreeMap<Content, Series<'_, '_>>, problem: Option<&FeedError>, impossible: usize) -> String {
    let chosen = || series.values().flat_map(BTreeMap::values);
    let clouds = || chosen().filter(|chosen| chosen.choice.content.is_cloud());
    let mut notes = Vec::new();
    if clouds().next().is_none() {
        notes.push("; no cloud field".to_owned());
    }
    if let Some(mean) = clouds().find(|chosen| span(chosen.field.product.time).1.is_some()) {
        let hours = mean.to.duration_since(mean.from).as_hours();
        notes.push(format!("; cloud is a mean over {hours} h"));
    }
    let member = chosen().find_map(|chosen| match chosen.choice.rank.1 {
        GribMember::Ensemble(number) => Some(number),
        GribMember::Deterministic | GribMember::Derived => None,
    });
    notes.extend(member.map(|number| format!("; member {number} of an ensemble")));
    notes.extend(problem.map(|problem| format!("; left out: {problem}")));
    notes.push(impossible_words(impossible));
    notes.concat()
}
