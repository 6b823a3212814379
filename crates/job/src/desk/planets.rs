//! Are the planets where they must be? They fix the date: against the stars Venus takes minutes, Saturn half a day for an
//! arcminute.

use frame::{LensSolution, Star};
use quantity::{GeoPosition, Timestamp, angular_separation_deg};
use sky::{ObserverSky, Planet};

use super::claim::{Claim, ClaimSky, shifted};
use super::moon::Shown;
use super::report::{DeskCheck, DeskCheckKind, DeskEvidence, DeskVerdict};
use super::vector::{Vector, of_ra_dec, ra_dec};

/// Planets fainter than this are not asked for, V magnitudes.
const FAINTEST_MAG: f64 = 1.5;
/// Stars that a picture must have matched for a missing planet to mean something.
const ENOUGH_STARS: usize = 20;
/// How near a found star must be to a planet's place: pixels of the fit, and degrees of the series and the air.
const NEAR_PX: f64 = 4.0;
const NEAR_DEG: f64 = 0.25;
/// Stars of the catalogue this near to where a planet should be, degrees and number, without which cloud or ground may hide it.
const CLEAR_WITHIN_DEG: f64 = 6.0;
const CLEAR_STARS: usize = 3;
/// A planet of magnitude 1.5 outshines this share of the matched stars of a wide picture; the star at its place must too.
const BRIGHTER_THAN: f64 = 0.5;
/// Lowest altitude at which a planet is asked for, degrees.
const LOWEST_DEG: f64 = 5.0;
/// Latitude about the ecliptic in which planets stray, degrees.
const ZODIAC_DEG: f64 = 8.0;
/// Share of the matched stars that a stranger must outshine to be taken for a planet.
const STRANGER_BRIGHTER_THAN: f64 = 0.9;
/// Days searched about the claim for a stranger's date, each way, and their steps.
const SEARCH_DAYS: i32 = 730;
/// Obliquity of the ecliptic at J2000, degrees (IAU 2006: 84381.406").
const OBLIQUITY_DEG: f64 = 84381.406 / 3600.0;

pub(super) fn planets(shown: &Shown<'_>, stars: &[Star], claim: &Claim, sky: Option<&ClaimSky>) -> DeskCheck {
    let basis = format!("Stars found beside those of the catalogue; places by Simon et al. 1994; {}.", claim.basis());
    let done = |verdict, sentence: String, evidence| DeskCheck {
        kind: DeskCheckKind::Planets,
        verdict,
        sentence,
        evidence,
        basis,
    };
    let Some(solution) = shown.solution else {
        let sentence = "The stars do not say which way the camera looked, so that no planet can be looked for.";
        return done(DeskVerdict::CannotTell, sentence.to_owned(), Vec::new());
    };
    let field = Field { solution, stars, size: shown.frame.stored_size.map(|side| side as f64) };
    let Some((sky, at, position)) = sky.zip(claim.at).zip(claim.position).map(|((sky, at), place)| (sky, at, place))
    else {
        let sentence = "Planets cannot be placed: no time or no place is known.";
        return done(DeskVerdict::CannotTell, sentence.to_owned(), Vec::new());
    };
    let (mut seen, mut missing, mut evidence) = (Vec::new(), Vec::new(), Vec::new());
    for planet in Planet::ALL {
        let place = sky.sky.planet(planet);
        let direction = sky.icrs(place.horizontal);
        if place.v_mag > FAINTEST_MAG || place.horizontal.altitude_deg < LOWEST_DEG || !field.holds(direction) {
            continue;
        }
        let found = field.bright_star_at(direction);
        let is_clear = field.stars_near(direction) >= CLEAR_STARS;
        let words = match (found, is_clear) {
            (Some(_), _) => "a bright star stands there",
            (None, true) => "nothing bright stands there",
            (None, false) => "nothing bright stands there, nor stars around: cloud or ground",
        };
        evidence.push(DeskEvidence::word(&format!("{} (magnitude {:.1})", planet.name(), place.v_mag), words));
        match (found, is_clear) {
            (Some(_), _) => seen.push(planet.name()),
            (None, true) => missing.push(planet.name()),
            (None, false) => {}
        }
    }
    let enough = solution.matched >= ENOUGH_STARS;
    match (seen.is_empty(), missing.is_empty()) {
        (false, true) => done(
            DeskVerdict::Consistent,
            format!("A bright star stands where {} must be at the claimed date.", seen.join(" and ")),
            evidence,
        ),
        (_, false) if enough => {
            let strangers = dates_of_stranger(&field, at, position);
            evidence.extend(strangers);
            // a cloud or a branch may hide one of them
            let verdict = if seen.is_empty() { DeskVerdict::Inconsistent } else { DeskVerdict::CannotTell };
            done(
                verdict,
                format!("{} should be among the stars of the picture and cannot be found.", missing.join(" and ")),
                evidence,
            )
        }
        (_, false) => done(
            DeskVerdict::CannotTell,
            format!("{} should be in the picture, but too few stars are to miss it.", missing.join(" and ")),
            evidence,
        ),
        (true, true) => match dates_of_stranger(&field, at, position) {
            Some(word) => {
                evidence.push(word);
                let sentence = "A bright star that no catalogue has stands near the ecliptic, and no planet is there at the claimed date: a planet of another date, an aircraft or a lamp.";
                done(DeskVerdict::CannotTell, sentence.to_owned(), evidence)
            }
            None => done(
                DeskVerdict::CannotTell,
                "No bright planet should be in a clear part of the picture, and none is.".to_owned(),
                evidence,
            ),
        },
    }
}

/// Stars of a picture and the lens that tells where they are.
struct Field<'a> {
    solution: &'a LensSolution,
    stars: &'a [Star],
    size: [f64; 2],
}

impl Field<'_> {
    fn pixel(&self, direction: Vector) -> Option<[f64; 2]> {
        let [ra, dec] = ra_dec(direction);
        self.solution.pixel_of_sky(ra, dec)
    }

    fn holds(&self, direction: Vector) -> bool {
        self.pixel(direction).is_some_and(|pixel| {
            pixel.iter().zip(self.size).all(|(place, side)| (0.02 * side..=0.98 * side).contains(place))
        })
    }

    fn is_matched(&self, star: &Star) -> bool {
        self.solution.pairs.iter().any(|pair| (pair.found_px[0] - star.x_px).hypot(pair.found_px[1] - star.y_px) < 1.5)
    }

    /// Stars of the catalogue around a direction.
    fn stars_near(&self, direction: Vector) -> usize {
        let stars = self.solution.pairs.iter().filter_map(|pair| self.solution.sky_of(pair.found_px));
        stars.filter(|star| angular_separation_deg(of_ra_dec(*star), direction) < CLEAR_WITHIN_DEG).count()
    }

    /// Light below which a share of the matched stars lies.
    fn flux_above(&self, share: f64) -> f64 {
        let mut fluxes: Vec<f64> =
            self.stars.iter().filter(|star| self.is_matched(star)).map(|star| star.flux).collect();
        fluxes.sort_by(f64::total_cmp);
        fluxes.get(super::grey::whole(share * fluxes.len() as f64)).or(fluxes.last()).copied().unwrap_or(f64::INFINITY)
    }

    fn bright_star_at(&self, direction: Vector) -> Option<&Star> {
        let [x, y] = self.pixel(direction)?;
        let least = self.flux_above(BRIGHTER_THAN);
        let reach = |star: &Star| {
            let px = (star.x_px - x).hypot(star.y_px - y);
            let there = self.solution.sky_of([star.x_px, star.y_px]).map(of_ra_dec);
            px <= NEAR_PX.max(star.hfd_px)
                || there.is_some_and(|there| angular_separation_deg(there, direction) <= NEAR_DEG)
        };
        self.stars.iter().find(|star| (star.flux >= least || star.saturated) && reach(star))
    }

    /// The brightest star near the ecliptic that the catalogue does not know.
    fn stranger(&self) -> Option<Vector> {
        let least = self.flux_above(STRANGER_BRIGHTER_THAN);
        let strangers = self.stars.iter().filter(|star| star.flux > least && !self.is_matched(star));
        strangers
            .filter_map(|star| Some((star.flux, of_ra_dec(self.solution.sky_of([star.x_px, star.y_px])?))))
            .filter(|(_, direction)| ecliptic_latitude_deg(*direction).abs() < ZODIAC_DEG)
            .max_by(|a, b| a.0.total_cmp(&b.0))
            .map(|(_, direction)| direction)
    }
}

fn ecliptic_latitude_deg([_, y, z]: Vector) -> f64 {
    let (sin, cos) = OBLIQUITY_DEG.to_radians().sin_cos();
    (z * cos - y * sin).clamp(-1.0, 1.0).asin().to_degrees()
}

/// When a planet stood where a stranger is, within two years of the claim.
fn dates_of_stranger(field: &Field<'_>, at: Timestamp, position: GeoPosition) -> Option<DeskEvidence> {
    let stranger = field.stranger()?;
    let mut spans: Vec<(Planet, i32, i32)> = Vec::new();
    for day in -SEARCH_DAYS..=SEARCH_DAYS {
        let Some(then) = shifted(at, 1440.0 * f64::from(day)) else { continue };
        let Ok(sky) = ObserverSky::new(then, position) else { continue };
        let here = sky.icrs(ra_dec(stranger)[0], ra_dec(stranger)[1]);
        for planet in Planet::ALL {
            let place = sky.planet(planet);
            // a day's motion of the fastest lies within the reach
            let reach = if matches!(planet, Planet::Mercury | Planet::Venus) { 0.8 } else { NEAR_DEG + 0.1 };
            if place.v_mag > FAINTEST_MAG || place.horizontal.separation_deg(here) > reach {
                continue;
            }
            match spans.iter_mut().find(|(known, _, last)| *known == planet && day - *last <= 1) {
                Some(span) => span.2 = day,
                None => spans.push((planet, day, day)),
            }
        }
    }
    let [ra, dec] = ra_dec(stranger);
    let date = |day: i32| {
        shifted(at, 1440.0 * f64::from(day)).map_or_else(String::new, |then| then.strftime("%Y-%m-%d").to_string())
    };
    // of each planet the dates nearest to the claim
    let nearest = |planet: Planet| {
        let of_planet = spans.iter().filter(move |(of, ..)| *of == planet);
        of_planet.min_by_key(|(_, from, to)| from.abs().min(to.abs()))
    };
    let words: Vec<String> = Planet::ALL
        .into_iter()
        .filter_map(|planet| {
            let (_, from, to) = nearest(planet)?;
            Some(format!("{} {} to {}", planet.name(), date(*from), date(*to)))
        })
        .collect();
    let text = if words.is_empty() { "no bright planet within two years".to_owned() } else { words.join("; ") };
    Some(DeskEvidence::word(
        &format!("a star that is in no catalogue, at right ascension {ra:.1}, declination {dec:.1}"),
        text,
    ))
}
