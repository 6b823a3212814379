//! What stands where in the frame, against published places of stars, plain geometry and symmetry.

use job::{
    Activity, ForegroundObject, FramePointing, HorizonPoint, JobError, Kit, LensProjection, MirrorSurface, Orientation,
    Sharpness, StandReport, StandRequest, WaterBearing, Weather, WeatherHour, stand,
};
use quantity::Timestamp;

use crate::sample::site;

fn at() -> Timestamp {
    "2026-03-14T22:30:00Z".parse().unwrap()
}

fn request(latitude_deg: f64, longitude_deg: f64, at: Timestamp, kp: f64) -> StandRequest {
    let hour = jiff::SignedDuration::from_hours(1);
    StandRequest {
        site: site("Test bay", latitude_deg, longitude_deg),
        at,
        kit: Kit::plain(),
        pointing: None,
        activity: Activity::given(kp, at - hour, at + hour),
        weather: Weather::unknown(),
        f107: 120.0,
        focus_m: None,
    }
}

fn pointed(azimuth_deg: f64, altitude_deg: f64) -> FramePointing {
    FramePointing { azimuth_deg, altitude_deg, roll_deg: 0.0, orientation: Orientation::Landscape }
}

fn ask(request: StandRequest, pointing: FramePointing) -> StandReport {
    stand(StandRequest { pointing: Some(pointing), ..request }).unwrap()
}

fn windy(request: &mut StandRequest, wind_m_s: f64) {
    let hour = WeatherHour {
        wind_m_s: Some(wind_m_s),
        ..WeatherHour::unknown(request.activity.intervals[0].from, request.activity.intervals[0].to)
    };
    request.weather = Weather { source: "test".into(), issued_at: None, hours: vec![hour], around: Vec::new() };
}

/// Sæmundsson's refraction at 1010 hPa and 10 °C, degrees: written out again here.
fn lifted_deg(airless_deg: f64) -> f64 {
    airless_deg + 1.02 / 60.0 / (airless_deg + 10.3 / (airless_deg + 5.11)).to_radians().tan()
}

#[test]
fn stars_land_on_the_pixels_of_their_published_places() {
    /// 0.006 degrees of the star table at 20 mm and 5.95 µm is 0.35 px on the axis, up to twice that off it; the report rounds
    /// to a tenth.
    const TOLERANCE_PX: f64 = 0.8;
    // Airless places by astropy 8.0.2 (crates/sky/tests/data/stars.csv): Vega, Capella, Polaris, Vega.
    let rows = [
        ("Vega", "2021-12-10T01:35:57Z", 77.58514, 18.42424, 27.17409, 19.16293),
        ("Capella", "2017-01-07T06:51:46Z", 55.03084, 30.02450, 12.37803, 346.27537),
        ("Polaris", "2019-02-10T21:26:04Z", 51.52963, -76.39798, 52.14893, 0.33024),
        ("Vega", "2015-11-21T20:55:20Z", 58.69884, -129.42658, 60.39425, 116.92580),
    ];
    for (name, utc, lat, lon, airless_deg, azimuth_deg) in rows {
        let asked = request(lat, lon, utc.parse().unwrap(), 3.0);
        let focal_px = 20.0 / 5.95e-3;
        for below_deg in [0.0, 9.0, -14.0_f64] {
            let report = ask(asked.clone(), pointed(azimuth_deg, lifted_deg(airless_deg) - below_deg));
            let star = report.stars.iter().find(|star| star.name == name).unwrap();
            let [x, y] = star.place.pixel.unwrap();
            let expected = [3023.5, 2011.5 - focal_px * below_deg.to_radians().tan()];
            let miss = (x - expected[0]).hypot(y - expected[1]);
            assert!(miss < TOLERANCE_PX, "{name} {utc} {below_deg}: {miss} px off");
        }
    }
}

#[test]
fn a_portrait_picture_is_the_landscape_one_turned() {
    let asked = request(69.2, 15.1, at(), 3.0);
    let wide = ask(asked.clone(), pointed(0.0, 20.0));
    let tall = ask(asked, FramePointing { orientation: Orientation::Portrait, ..pointed(0.0, 20.0) });
    assert_eq!((wide.field.width_px, wide.field.height_px), (tall.field.height_px, tall.field.width_px));
    assert!((wide.field.horizontal_deg - tall.field.vertical_deg).abs() < 1e-9);
    // 36 x 24 mm at 20 mm: 2 atan(18/20) = 84.0 and 2 atan(12/20) = 61.9 degrees
    assert!((wide.field.horizontal_deg - 84.0).abs() < 0.1 && (wide.field.vertical_deg - 61.9).abs() < 0.2);
    // the same star stands as far from the middle in both, upright in both
    let (mut compared, star_of) = (0, |report: &StandReport, name: &str| {
        report.stars.iter().find(|star| star.name == name).and_then(|star| star.place.pixel)
    });
    for star in &wide.stars {
        let Some(tall_px) = star_of(&tall, &star.name) else { continue };
        let wide_px = star.place.pixel.unwrap();
        assert!((wide_px[0] - 3023.5 - (tall_px[0] - 2011.5)).abs() < 0.2, "{}", star.name);
        assert!((wide_px[1] - 2011.5 - (tall_px[1] - 3023.5)).abs() < 0.2, "{}", star.name);
        compared += 1;
    }
    assert!(compared > 3);
}

#[test]
fn an_arc_stands_as_high_as_the_layer_at_its_distance() {
    /// The brightest direction of a broad oval is not the line above its peak: a long path through the layer pulls it down,
    /// the air near the horizon lifts it. Half of a 7 degree wide oval seen at a slant is 6 degrees.
    const TOLERANCE_DEG: f64 = 6.0;
    // Peak of the mean oval at magnetic midnight and Kp 5: magnetic latitude 63.9 (Zhang & Paxton 2008, evaluated).
    // Spherical Earth, light at 110 km, 15 E near local magnetic midnight.
    let geometry = |distance_km: f64| {
        let g: f64 = distance_km / 6371.0;
        (6481.0 * g.cos() - 6371.0).atan2(6481.0 * g.sin()).to_degrees()
    };
    assert!((geometry(500.0) - 10.05).abs() < 0.01 && (geometry(200.0) - 27.70).abs() < 0.01);
    let mut before = 0.0;
    for latitude_deg in [60.0, 62.0, 64.0] {
        let report = ask(request(latitude_deg, 25.0, at(), 5.0), pointed(0.0, 20.0));
        let light = report.light.unwrap();
        let magnetic = job::magnetic(job::MagneticRequest {
            at: at(),
            position: report.request.site.position,
            height_km: 110.0,
            method: job::CoordinateMethod::default(),
        });
        let expected = geometry((63.9 - magnetic.unwrap().qd_lat_deg) * 111.2);
        let found = light.brightest.direction.altitude_deg;
        assert!((found - expected).abs() < TOLERANCE_DEG, "{latitude_deg}: {found} against {expected}");
        assert!(found >= before, "nearer is higher");
        before = found;
        // at the top of its bow an arc lies magnetic poleward: declination 10 degrees east, arcs tilted by 0 to 10 more;
        // from within reach of the oval the bow is so wide that its brighter end may lie anywhere along it
        let off = quantity::wrap_degrees_180(light.brightest.direction.azimuth_deg - 10.0);
        assert!(off.abs() < 25.0 || latitude_deg > 63.0, "{latitude_deg}: azimuth off by {off}");
    }
}

#[test]
fn the_south_is_the_mirror_image() {
    // Invercargill at its magnetic midnight, about 12:30 UT.
    let report = stand(request(-46.4, 168.4, "2026-03-14T12:30:00Z".parse().unwrap(), 7.0)).unwrap();
    let south = quantity::wrap_degrees_180(report.pointing.azimuth_deg - 180.0);
    assert!(south.abs() < 45.0, "looks south: {}", report.pointing.azimuth_deg);
    let light = report.light.unwrap();
    assert!(light.brightest.inside && (light.brightest.direction.azimuth_deg - 180.0).abs() < 40.0);
    // the field points up there: rays converge in the north, at the inclination of about 69 degrees
    let zenith = report.magnetic_zenith.place.direction;
    assert!(zenith.azimuth_deg < 60.0 || zenith.azimuth_deg > 300.0, "{}", zenith.azimuth_deg);
    assert!((60.0..80.0).contains(&zenith.altitude_deg));
    assert!(report.turns.iter().all(|turn| !turn.text.is_empty()));
}

#[test]
fn a_fisheye_at_the_zenith_holds_the_whole_sky() {
    let mut asked = request(69.2, 15.1, at(), 3.0);
    asked.kit.lens.focal_mm = 8.0;
    asked.kit.lens.projection = LensProjection::Equisolid;
    let report = ask(asked, pointed(0.0, 90.0));
    assert!(report.magnetic_zenith.place.inside);
    // equisolid: r = 2 f sin(t/2)
    let zenith = report.magnetic_zenith.place;
    let [x, y] = zenith.pixel.unwrap();
    let radius = (x - 3023.5).hypot(y - 2011.5);
    let expected = 2.0 * 8.0 / 5.95e-3 * ((90.0 - zenith.direction.altitude_deg).to_radians() / 2.0).sin();
    assert!((radius - expected).abs() < 0.5, "{radius} against {expected}");
    // 24 mm short side: 12 mm from the middle is 2 asin(12 / 16) = 97 degrees: the horizon all around
    assert!(report.light.unwrap().share_inside.value() > 0.999);
    let turned_around: f64 = report
        .outline
        .windows(2)
        .map(|pair| quantity::wrap_degrees_180(pair[1].azimuth_deg - pair[0].azimuth_deg))
        .sum();
    assert!(turned_around.abs() > 300.0, "the outline runs around the zenith: {turned_around}");
}

#[test]
fn north_is_no_seam() {
    let mut asked = request(69.2, 15.1, at(), 4.0);
    let hut = |name: &str, bearing_deg| ForegroundObject {
        name: name.into(),
        bearing_deg,
        distance_m: 60.0,
        height_m: 3.0,
        width_m: 5.0,
    };
    asked.site.foreground = vec![hut("left hut", 350.0), hut("right hut", 10.0), hut("hut ahead", 0.0)];
    let report = ask(asked, pointed(360.0, 12.0));
    assert!(report.pointing.azimuth_deg.abs() < f64::EPSILON);
    let top = |index: usize| report.foreground[index].top.pixel.unwrap();
    assert!((top(0)[0] + top(1)[0] - 2.0 * 3023.5).abs() < 0.3, "bearings 350 and 10 are symmetric");
    assert!((top(2)[0] - 3023.5).abs() < 0.2);
    let silhouette = &report.foreground[2].silhouette_px;
    assert!(silhouette.iter().all(|[x, _]| (x - 3023.5).abs() < 400.0), "a hut across north is not torn apart");
    let grid = report.grid.unwrap();
    for row in grid.green_5577_kr.chunks(grid.columns as usize) {
        for pair in row.windows(2) {
            let (Some(a), Some(b)) = (pair[0], pair[1]) else { continue };
            assert!((a / b).ln().abs() < 0.2, "{a} beside {b}");
        }
    }
}

#[test]
fn foreground_has_its_size_and_sharpness() {
    let mut asked = request(69.2, 15.1, at(), 3.0);
    let object = |distance_m: f64, height_m: f64| ForegroundObject {
        name: format!("post at {distance_m}"),
        bearing_deg: 0.0,
        distance_m,
        height_m,
        width_m: 0.5,
    };
    asked.site.foreground = vec![object(30.0, 4.0), object(50.0, 4.0), object(2.0, 1.0)];
    let report = ask(asked, pointed(0.0, 0.0));
    let focal_px = 20.0 / 5.95e-3;
    let hut = &report.foreground[0];
    assert!((hut.top_deg - 7.595).abs() < 0.01, "atan(4/30) is 7.595 degrees: {}", hut.top_deg);
    // level camera: y = f tan(altitude), and the foot stands 1.5 m below the camera
    assert!((hut.height_px.unwrap() - focal_px * 5.5 / 30.0).abs() < 0.3);
    assert!((hut.width_px.unwrap() - focal_px * 0.5 / 30.0).abs() < 0.5);
    // focused at infinity: one pixel of blur at 37.4 m, a print forgives 30 µm, reached at 7.4 m
    let classes: Vec<Sharpness> = report.foreground.iter().map(|object| object.sharpness).collect();
    assert_eq!(classes, [Sharpness::SharpInPrint, Sharpness::Sharp, Sharpness::Soft]);
    assert!((report.focus.near_sharp_m - 37.4).abs() < 0.1 && (report.focus.near_print_m - 7.4).abs() < 0.1);
    assert_eq!(report.focus.far_sharp_m, None);
}

#[test]
fn water_gives_back_the_sky_upside_down_as_far_as_the_shore_allows() {
    let mut asked = request(69.2, 15.1, at(), 5.0);
    asked.site.water = vec![WaterBearing { from_deg: 320.0, to_deg: 40.0, sheltered: false }];
    asked.site.horizon = vec![HorizonPoint { azimuth_deg: 0.0, altitude_deg: 4.0 }];
    let unknown = ask(asked.clone(), pointed(0.0, 0.0));
    assert_eq!(unknown.mirror[0].surface, MirrorSurface::CannotTell);
    windy(&mut asked, 0.3);
    let report = ask(asked.clone(), pointed(0.0, 0.0));
    let stretch = report.mirror[0];
    assert_eq!((stretch.surface, stretch.inside), (MirrorSurface::Mirror, true));
    assert!((stretch.sky_from_deg.unwrap() - 4.0).abs() < 1e-9, "the shore hides what is below 4 degrees");
    assert!(stretch.sky_to_deg.unwrap() <= 32.0, "half of 61.9 degrees and the corners");
    let mirrored = stretch.brightest.unwrap();
    assert!((mirrored.place.direction.altitude_deg + mirrored.sky.altitude_deg).abs() < 1e-3);
    // level camera: the image is as far below the middle as the sky is above
    let sky_px = job::Framing::new(&report.request.kit, &report.pointing).pixel_of(mirrored.sky).unwrap();
    let image_px = mirrored.place.pixel.unwrap();
    assert!((sky_px[0] - image_px[0]).abs() < 0.2 && (sky_px[1] + image_px[1] - 2.0 * 2011.5).abs() < 0.2);
    assert!((mirrored.loss_stops + mirrored.reflectance.log2()).abs() < 0.02);
    windy(&mut asked, 9.0);
    assert_eq!(ask(asked, pointed(0.0, 0.0)).mirror[0].surface, MirrorSurface::None);
}

#[test]
fn the_suggestion_holds_the_light_and_leaves_the_moon_out() {
    for (kp, when) in [(3.0, "2026-03-14T22:30:00Z"), (2.0, "2026-03-03T21:00:00Z"), (5.0, "2026-10-26T20:00:00Z")] {
        let mut asked = request(66.0, 20.0, when.parse().unwrap(), kp);
        asked.site.horizon = vec![HorizonPoint { azimuth_deg: 0.0, altitude_deg: 2.0 }];
        let report = stand(asked).unwrap();
        assert_eq!(report.pointing, report.suggestion.pointing);
        let light = report.light.as_ref().unwrap();
        assert!(light.brightest.inside, "{when}: {}", report.verdict);
        assert!(!(report.moon.up && report.moon.place.inside), "{when}: {}", report.verdict);
        let behind = FramePointing { azimuth_deg: report.pointing.azimuth_deg + 180.0, ..report.pointing };
        let opposite = ask(report.request.clone(), behind).light.unwrap();
        assert!(light.share_inside > opposite.share_inside, "{when}: {}", report.verdict);
        assert!(!report.suggestion.why.is_empty());
    }
}

#[test]
fn without_activity_the_light_is_not_made_up() {
    let mut asked = request(69.2, 15.1, at(), 3.0);
    asked.activity.intervals.clear();
    let report = stand(asked).unwrap();
    assert!(report.light.is_none() && report.grid.is_none());
    assert!(report.verdict.contains("no Kp is given"), "{}", report.verdict);
    assert!(report.turns.iter().all(|turn| turn.light_share.is_none()));
    // it looks to the magnetic pole, which lies in the north there
    assert!(quantity::wrap_degrees_180(report.pointing.azimuth_deg).abs() < 30.0);
}

#[test]
fn impossible_requests_are_refused_by_field() {
    let base = request(69.2, 15.1, at(), 3.0);
    let field = |asked: StandRequest| stand(asked).unwrap_err().field().map(str::to_owned);
    let tilted = StandRequest { pointing: Some(pointed(0.0, 95.0)), ..base.clone() };
    assert_eq!(field(tilted).as_deref(), Some("pointing.altitude_deg"));
    let nan = StandRequest { pointing: Some(pointed(f64::NAN, 5.0)), ..base.clone() };
    assert_eq!(field(nan).as_deref(), Some("pointing.azimuth_deg"));
    assert_eq!(field(StandRequest { focus_m: Some(0.01), ..base.clone() }).as_deref(), Some("focus_m"));
    let mut no_pitch = base;
    no_pitch.kit.camera.pixel_um = 0.0;
    let error: JobError = stand(no_pitch).unwrap_err();
    assert_eq!(error.field(), Some("kit.camera.pixel_um"));
    assert!(!error.hint().is_empty());
}

#[test]
fn odd_pointings_and_lenses_are_answered() {
    for projection in [LensProjection::Rectilinear, LensProjection::Orthographic, LensProjection::Equidistant] {
        for focal_mm in [4.0, 600.0] {
            for (azimuth_deg, altitude_deg, roll_deg) in [(0.0, 90.0, 0.0), (123.0, -90.0, 45.0), (-350.0, 0.0, 180.0)]
            {
                let mut asked = request(-89.9, 0.0, at(), 2.0);
                asked.kit.lens.focal_mm = focal_mm;
                asked.kit.lens.projection = projection;
                let report = ask(
                    asked,
                    FramePointing { azimuth_deg, altitude_deg, roll_deg, orientation: Orientation::Portrait },
                );
                let text = serde_json::to_string(&report).unwrap();
                assert!(!text.contains("NaN") && report.outline.len() > 3);
            }
        }
    }
}
