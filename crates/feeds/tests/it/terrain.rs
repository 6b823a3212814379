//! Tiles of known shape: heights, skylines in closed form, what is missing, and files that are no tiles.

use feeds::FeedError;
use feeds::terrain::{
    EARTH_RADIUS_M, HgtTile, HorizonSettings, HorizonSurvey, MissingTiles, REFRACTION_COEFFICIENT, TerrainHorizon,
    TileName, UnknownCause, apparent_altitude_deg, horizon, sea_horizon_deg,
};
use job::Site;
use proptest::prelude::*;
use quantity::GeoPosition;

const SIDE: usize = 1201;
const EYE_M: f64 = 1.5;
/// Posts 90 m apart cut a summit or crest off by up to half a post of its slope, and rays run a quarter of a degree apart.
const SHAPE_TOLERANCE_DEG: f64 = 0.06;

/// A tile of 3 seconds of arc with the height, m, that a function of latitude and longitude gives.
fn tile(name: &str, height_m: impl Fn(f64, f64) -> f64) -> HgtTile {
    let corner: TileName = name.parse().unwrap();
    let mut bytes = Vec::with_capacity(SIDE * SIDE * 2);
    for row in 0..SIDE {
        for column in 0..SIDE {
            let last = (SIDE - 1) as f64;
            let lat = corner.south_deg() + 1.0 - row as f64 / last;
            let lon = corner.west_deg() + column as f64 / last;
            #[expect(clippy::cast_possible_truncation, reason = "heights of the tests")]
            let post = height_m(lat, lon).round() as i16;
            bytes.extend_from_slice(&post.to_be_bytes());
        }
    }
    HgtTile::parse(&bytes, &format!("{name}.hgt")).unwrap()
}

/// The nine tiles around N69E015, all of one shape.
fn country(height_m: impl Fn(f64, f64) -> f64 + Copy) -> Vec<HgtTile> {
    let mut tiles = Vec::new();
    for south in [68, 69, 70] {
        for west in 12..=18 {
            tiles.push(tile(&format!("N{south}E0{west}"), height_m));
        }
    }
    tiles
}

fn at(lat: f64, lon: f64) -> GeoPosition {
    GeoPosition::new(lat, lon, 0.0).unwrap()
}

fn site(horizon: &TerrainHorizon) -> Site {
    Site { horizon: horizon.points.clone(), ..Site::bare("x", at(69.5, 15.5)) }
}

/// Metres to the north and east of a place, good for some kilometres.
fn metres_from(place: GeoPosition) -> impl Fn(f64, f64) -> (f64, f64) + Copy {
    move |lat, lon| {
        let north = (lat - place.latitude_deg()).to_radians() * EARTH_RADIUS_M;
        let east = (lon - place.longitude_deg()).to_radians() * EARTH_RADIUS_M * lat.to_radians().cos();
        (north, east)
    }
}

#[test]
fn heights_between_posts_are_bilinear_in_both_sizes() {
    // a plane is its own bilinear interpolation
    let plane = |lat: f64, lon: f64| 1200.0 * (lat - 69.0) + 2400.0 * (lon - 15.0);
    let coarse = tile("N69E015", plane);
    assert!((coarse.spacing_arcsec() - 3.0).abs() < 1e-12);
    for (lat, lon) in [(69.0, 15.0), (70.0, 16.0), (69.123_456, 15.654_321), (69.999_99, 15.000_01)] {
        assert!((coarse.height_m(lat, lon).unwrap() - plane(lat, lon)).abs() < 1.0, "{lat} {lon}");
    }
    assert_eq!(coarse.height_m(68.9, 15.5), None);
    assert_eq!(coarse.height_m(69.5, 16.1), None);
    let mut bytes = vec![0u8; 3601 * 3601 * 2];
    // second row from the north, third column: 300 m
    let post = (3601 + 2) * 2;
    bytes[post..post + 2].copy_from_slice(&300i16.to_be_bytes());
    let fine = HgtTile::parse(&bytes, "s47w001.SRTMGL1.hgt").unwrap();
    assert!((fine.spacing_arcsec() - 1.0).abs() < 1e-12);
    let (lat, lon) = (-46.0 - 1.0 / 3600.0, -1.0 + 2.0 / 3600.0);
    assert!((fine.height_m(lat, lon).unwrap() - 300.0).abs() < 1e-3);
    assert!((fine.height_m(lat, lon + 0.5 / 3600.0).unwrap() - 150.0).abs() < 1e-3);
    assert!((fine.height_m(lat + 0.25 / 3600.0, lon + 0.5 / 3600.0).unwrap() - 112.5).abs() < 1e-3);
}

#[test]
fn a_void_gives_no_height_and_its_neighbours_do() {
    let hole = tile("N69E015", |lat, lon| if lat < 69.2 && lon < 15.2 { -32768.0 } else { 50.0 });
    assert_eq!(hole.height_m(69.1, 15.1), None);
    assert_eq!(hole.height_m(69.5, 15.5), Some(50.0));
}

#[test]
fn a_cone_stands_as_high_as_its_apex_and_as_wide_as_its_foot() {
    const APEX_M: f64 = 800.0;
    const NORTH_M: f64 = 10_000.0;
    const FOOT_M: f64 = 3000.0;
    let here = at(69.5, 15.5);
    let from_here = metres_from(here);
    let cone = move |lat: f64, lon: f64| {
        let (north, east) = from_here(lat, lon);
        APEX_M * (1.0 - (north - NORTH_M).hypot(east) / FOOT_M).max(0.0)
    };
    let skyline = horizon(here, &country(cone), HorizonSettings { tolerance_deg: 0.02, ..HorizonSettings::default() });
    let site = site(&skyline.unwrap());
    let apex_deg = apparent_altitude_deg(EYE_M, APEX_M, NORTH_M);
    // by hand: atan((800 - 1.5 - 6.8) / 10 000), 6.8 m being the curve of 10 km
    assert!((apex_deg - 4.527).abs() < 0.005, "{apex_deg}");
    let found = site.skyline_deg(0.0);
    assert!((found - apex_deg).abs() < SHAPE_TOLERANCE_DEG, "{found} for {apex_deg}");
    // outside the tangents to its foot there is the sea's horizon
    let half_width_deg = (FOOT_M / NORTH_M).asin().to_degrees();
    for azimuth in [half_width_deg + 1.5, 180.0, 358.5 - half_width_deg] {
        assert!(site.skyline_deg(azimuth).abs() < 0.1, "{azimuth}: {}", site.skyline_deg(azimuth));
    }
    assert!(site.skyline_deg(half_width_deg / 2.0) > 1.0);
}

#[test]
fn a_wall_falls_off_with_the_cosine_of_its_bearing() {
    const CREST_M: f64 = 500.0;
    const NORTH_M: f64 = 8000.0;
    let here = at(69.5, 15.5);
    let from_here = metres_from(here);
    // a plateau from 8 km northward
    let wall = move |lat: f64, lon: f64| if from_here(lat, lon).0 > NORTH_M { CREST_M } else { 0.0 };
    let skyline = horizon(here, &country(wall), HorizonSettings { tolerance_deg: 0.02, ..HorizonSettings::default() });
    let site = site(&skyline.unwrap());
    for azimuth in [0.0f64, 20.0, 40.0, 60.0, 300.0, 340.0] {
        // parallels bend: at 60 degrees of bearing the wall is 16 km away and 70 m nearer
        let distance_m = NORTH_M / azimuth.to_radians().cos();
        let wanted = apparent_altitude_deg(EYE_M, CREST_M, distance_m);
        let found = site.skyline_deg(azimuth);
        assert!((found - wanted).abs() < SHAPE_TOLERANCE_DEG, "{azimuth}: {found} for {wanted}");
    }
    for azimuth in [110.0, 180.0, 250.0] {
        assert!(site.skyline_deg(azimuth).abs() < 0.05);
    }
}

#[test]
fn far_mountains_sink_below_the_curve() {
    // 240 m at 60 km and eyes on the shore: curvature less refraction takes 246 m
    let drop_m = 60_000f64.powi(2) / (2.0 * EARTH_RADIUS_M) * (1.0 - REFRACTION_COEFFICIENT);
    assert!((drop_m - 245.8).abs() < 0.1, "{drop_m}");
    assert!(apparent_altitude_deg(0.0, 240.0, 60_000.0) < 0.0);
    assert!(apparent_altitude_deg(0.0, 252.0, 60_000.0) > 0.0);
}

#[test]
fn from_a_mountain_the_sea_lies_below_the_level() {
    let here = at(69.5, 15.5);
    let from_here = metres_from(here);
    let island = move |lat: f64, lon: f64| {
        let (north, east) = from_here(lat, lon);
        if north.hypot(east) < 90.0 { 600.0 } else { 0.0 }
    };
    let skyline = horizon(here, &country(island), HorizonSettings::default()).unwrap();
    assert!((skyline.ground_m - 600.0).abs() < 1.0);
    let site = site(&skyline);
    // 600 m up the sea's horizon is 94 km away, beyond the reach: it must not come out lower for that
    assert!((site.skyline_deg(123.0) - sea_horizon_deg(601.5)).abs() < 0.02, "{}", site.skyline_deg(123.0));
}

#[test]
fn missing_tiles_are_unknown_azimuths_or_sea_when_the_caller_says_so() {
    let here = at(69.99, 15.5);
    let low = tile("N69E015", |_, _| 10.0);
    let tiles = std::slice::from_ref(&low);
    let skyline = horizon(here, tiles, HorizonSettings::default()).unwrap();
    // 19.5 km to the edges in the east and west, 110 to the southern one: known is asin(19.5 / 60) about the south
    assert_eq!(skyline.unknown.len(), 1);
    let stretch = skyline.unknown[0];
    assert!((stretch.from_deg - 199.0).abs() < 2.0 && (stretch.to_deg - 161.0).abs() < 2.0, "{stretch:?}");
    assert_eq!(skyline.tiles_used, ["N69E015".parse().unwrap()]);
    assert!(skyline.tiles_missing.contains(&"N70E015".parse().unwrap()));
    let sea = HorizonSettings { missing: MissingTiles::Sea, ..HorizonSettings::default() };
    let skyline = horizon(here, tiles, sea).unwrap();
    assert!(skyline.unknown.is_empty() && !skyline.tiles_missing.is_empty());
    assert!(site(&skyline).skyline_deg(0.0).abs() < 0.2);

    // all tiles but those of the north
    let tiles: Vec<HgtTile> = country(|_, _| 10.0).into_iter().filter(|tile| tile.name().south_deg() < 69.5).collect();
    let skyline = horizon(at(69.75, 15.5), &tiles, HorizonSettings::default()).unwrap();
    assert_eq!(skyline.unknown.len(), 1, "{:?}", skyline.unknown);
    let stretch = skyline.unknown[0];
    assert_eq!(stretch.cause, UnknownCause::MissingTile);
    // 27.8 km to the edge of the tile, 60 km of reach: acos(27.8 / 60) = 62 degrees to each side of north
    assert!((stretch.from_deg - 298.0).abs() < 2.0 && (stretch.to_deg - 62.0).abs() < 2.0, "{stretch:?}");
}

#[test]
fn voids_hide_what_is_behind_them_only_when_they_are_wide() {
    let here = at(69.5, 15.5);
    let from_here = metres_from(here);
    let holed = |width_m: f64| {
        move |lat: f64, lon: f64| {
            let (north, east) = from_here(lat, lon);
            let is_hole = (north - 5000.0).abs() < width_m / 2.0 && east.abs() < 2000.0;
            if is_hole { -32768.0 } else { 10.0 }
        }
    };
    let wide = horizon(here, &country(holed(2000.0)), HorizonSettings::default()).unwrap();
    assert_eq!(wide.unknown.len(), 1);
    assert_eq!(wide.unknown[0].cause, UnknownCause::Void);
    assert!(wide.unknown[0].from_deg > 300.0 && wide.unknown[0].to_deg < 60.0);
    let narrow = horizon(here, &country(holed(150.0)), HorizonSettings::default()).unwrap();
    assert!(narrow.unknown.is_empty());
}

#[test]
fn the_order_of_tiles_does_not_matter_and_strangers_change_nothing() {
    let here = at(69.9, 15.9);
    let rough = |lat: f64, lon: f64| 300.0 + 300.0 * (lat * 40.0).sin() * (lon * 25.0).cos();
    let tiles = country(rough);
    let skyline = horizon(here, &tiles, HorizonSettings::default()).unwrap();
    let mut survey = HorizonSurvey::new(here, skyline.ground_m, HorizonSettings::default());
    survey.add(&tile("S47E169", |_, _| 3000.0));
    for tile in tiles.iter().rev() {
        survey.add(tile);
        survey.add(tile);
    }
    assert_eq!(survey.finish(), skyline);
    assert!(skyline.points.len() <= 72 && skyline.points.len() > 3);
    assert!(skyline.largest_departure_deg <= 0.5);
    site(&skyline).check().unwrap();
}

#[test]
fn a_place_without_a_height_of_its_own_has_no_skyline() {
    assert_eq!(horizon(at(10.0, 10.0), &[tile("N69E015", |_, _| 0.0)], HorizonSettings::default()), None);
}

#[test]
fn files_that_are_no_tiles_are_refused_with_their_sizes() {
    let refused = |bytes: &[u8], name: &str| {
        let error = HgtTile::parse(bytes, name).unwrap_err();
        assert!(matches!(error, FeedError::BadTile { .. }) && error.hint().contains("N69E015"));
        error.to_string()
    };
    assert!(refused(b"", "N69E015.hgt").contains("2884802 or 25934402"));
    assert!(refused(&vec![0; 2_884_800], "N69E015.hgt").contains("2884800 bytes"));
    assert!(refused(&vec![0; 2_884_802], "bay.hgt").contains("south-west corner"));
    assert!(refused(b"PK\x03\x04", "N69E015.hgt").contains("ZIP"));
    // 100 m in the other order of bytes is 25 600 m
    let swapped: Vec<u8> = std::iter::repeat_n(100i16.to_le_bytes(), SIDE * SIDE).flatten().collect();
    assert!(refused(&swapped, "N69E015.hgt").contains("swapped"));
}

#[test]
fn at_the_pole_and_the_date_line_every_ray_has_its_tiles() {
    for (lat, lon) in [(89.9, 0.0), (-90.0, 0.0), (65.0, 180.0), (65.0, -180.0), (0.0, 0.0)] {
        let survey = HorizonSurvey::new(at(lat, lon), 0.0, HorizonSettings::default());
        let own = TileName::containing(at(lat, lon));
        assert!(survey.tiles().contains(&own), "{lat} {lon}");
        let skyline = survey.finish();
        assert_eq!(skyline.unknown.len(), 1);
        site(&skyline).check().unwrap();
    }
}

proptest! {
    #[test]
    fn nearer_and_higher_stands_higher(eye in 0.0..500.0f64, height in 0.0..3000.0f64, km in 0.2..60.0f64) {
        let here = apparent_altitude_deg(eye, height, km * 1000.0);
        prop_assert!(apparent_altitude_deg(eye, height + 10.0, km * 1000.0) > here);
        prop_assert!(apparent_altitude_deg(eye + 10.0, height, km * 1000.0) < here);
        // nothing of the sea stands above the sea's horizon
        prop_assert!(apparent_altitude_deg(eye, 0.0, km * 1000.0) <= sea_horizon_deg(eye) + 1e-9);
    }
}

#[test]
fn a_composed_tile_is_read_post_by_post() {
    let name = "terrain/N69E018.composed.hgt.gz";
    let Some(packed) = crate::samples::sample(name) else { return };
    let mut bytes = Vec::new();
    std::io::Read::read_to_end(&mut flate2::read::GzDecoder::new(packed.as_slice()), &mut bytes).unwrap();
    assert_eq!(bytes.len(), SIDE * SIDE * 2);
    let tile = HgtTile::parse(&bytes, "N69E018.hgt").unwrap();
    let (mut voids, mut posts) = (0, 0);
    for (row, column) in (0..SIDE).step_by(5).flat_map(|row| (0..SIDE).step_by(5).map(move |column| (row, column))) {
        let index = 2 * (row * SIDE + column);
        let plain = i16::from_be_bytes([bytes[index], bytes[index + 1]]);
        match tile.height_m(70.0 - row as f64 / 1200.0, 18.0 + column as f64 / 1200.0) {
            // a post beside a void takes nothing from it where the place is the post itself
            Some(height_m) => assert!((height_m - f64::from(plain)).abs() < 0.5, "{row} {column}: {height_m} {plain}"),
            None => voids += 1,
        }
        posts += 1;
    }
    assert!(voids > 0 && voids < posts / 4, "{voids} of {posts} lie in the void block");
    let horizon = horizon(at(69.5, 18.5), &[tile], HorizonSettings::default()).unwrap();
    assert!(!horizon.points.is_empty() && !horizon.tiles_missing.is_empty(), "{horizon:?}");
}
