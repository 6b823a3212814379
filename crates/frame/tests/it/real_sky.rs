//! Real pictures against the Hipparcos catalogue: are the stars found that must be there, and where they must be?

use frame::{
    FocusReference, FocusState, MotionContext, MotionKind, Star, StarSearch, find_stars, judge_focus, judge_motion,
};

use crate::picture::real;
use crate::spread::{Row, quantile, rows};

type Vector = [f64; 3];

fn cross(a: Vector, b: Vector) -> Vector {
    [a[1] * b[2] - a[2] * b[1], a[2] * b[0] - a[0] * b[2], a[0] * b[1] - a[1] * b[0]]
}

fn dot(a: Vector, b: Vector) -> f64 {
    a.iter().zip(b).map(|(a, b)| a * b).sum()
}

fn sum(a: Vector, fa: f64, b: Vector, fb: f64) -> Vector {
    [0, 1, 2].map(|i| fa * a[i] + fb * b[i])
}

fn unit(a: Vector) -> Vector {
    a.map(|x| x / dot(a, a).sqrt())
}

/// A solved picture: from directions on the sky to pixels, and how far from the axis it goes.
struct Solution {
    projection: String,
    f_px: f64,
    k: [f64; 2],
    centre: [f64; 2],
    /// Camera's right, down and forward on the sky.
    axes: [Vector; 3],
}

impl Solution {
    fn new(row: &Row, size: [usize; 2]) -> Self {
        let middle = size.map(|n| 0.5 * (n as f64 - 1.0));
        let centre = [row.maybe("cx_px").unwrap_or(middle[0]), row.maybe("cy_px").unwrap_or(middle[1])];
        let mut solution = Self {
            projection: row.text("projection").to_owned(),
            f_px: row.number("f_px"),
            k: [row.number("k1"), row.number("k2")],
            centre,
            axes: [[1.0, 0.0, 0.0], [0.0, 1.0, 0.0], [0.0, 0.0, 1.0]],
        };
        // what the camera sees in the middle of the picture is turned onto what the table says is there
        let seen = solution.direction(middle);
        let above = solution.direction([middle[0], middle[1] - 1.0]);
        let seen_up = unit(sum(above, 1.0, seen, -dot(above, seen)));
        let [ra, dec, roll] = ["ra_deg", "dec_deg", "roll_deg"].map(|name| row.number(name).to_radians());
        let there = sky([ra, dec]);
        let north = [-dec.sin() * ra.cos(), -dec.sin() * ra.sin(), dec.cos()];
        let east = [-ra.sin(), ra.cos(), 0.0];
        let up = sum(north, roll.cos(), east, roll.sin());
        let from = [seen, seen_up, cross(seen, seen_up)];
        let to = [there, up, cross(there, up)];
        solution.axes = [0, 1, 2].map(|axis| [0, 1, 2].map(|i| (0..3).map(|k| from[k][axis] * to[k][i]).sum()));
        solution
    }

    fn radius(&self, theta: f64) -> f64 {
        let t = match self.projection.as_str() {
            "rectilinear" => theta.tan(),
            "equidistant" => theta,
            _ => 2.0 * (0.5 * theta).sin(),
        };
        self.f_px * t * (1.0 + self.k[0] * t * t + self.k[1] * t.powi(4))
    }

    /// Direction of a pixel in the camera's own axes, by halving.
    fn direction(&self, [x, y]: [f64; 2]) -> Vector {
        let (dx, dy) = (x - self.centre[0], y - self.centre[1]);
        let r = dx.hypot(dy);
        let (mut low, mut high) = (0.0, 1.4);
        for _ in 0..60 {
            let middle = 0.5 * (low + high);
            if self.radius(middle) < r { low = middle } else { high = middle }
        }
        let (sin, cos) = f64::sin_cos(low);
        if r > 0.0 { [sin * dx / r, sin * dy / r, cos] } else { [0.0, 0.0, 1.0] }
    }

    /// Pixel of a direction within `within_deg` of the axis.
    fn pixel(&self, v: Vector, within_deg: f64) -> Option<[f64; 2]> {
        let [right, down, forward] = self.axes.map(|axis| dot(axis, v));
        let theta = right.hypot(down).atan2(forward);
        let share = self.radius(theta) / right.hypot(down).max(1e-12);
        (theta.to_degrees() < within_deg).then(|| [self.centre[0] + share * right, self.centre[1] + share * down])
    }
}

fn sky([ra, dec]: [f64; 2]) -> Vector {
    [dec.cos() * ra.cos(), dec.cos() * ra.sin(), dec.sin()]
}

/// Distance at which a star found is the catalogue's, px: the solutions' own rms is up to 1.4.
const MATCH_PX: f64 = 3.0;
/// Angle off the axis up to which an all-sky picture is compared: beyond, there is air and horizon.
const WITHIN_DEG: f64 = 60.0;
/// Share of the brightest catalogue stars that must be found. The rest are double, behind a branch, or under a brighter one.
const LEAST_FOUND: f64 = 0.85;
/// The faintest stars of the catalogue that are complete; what is found beyond them cannot be checked.
const CATALOGUE_V_MAG: f64 = 9.0;

/// Catalogue stars of a picture, brightest first: place and V magnitude.
fn catalogued(solution: &Solution, [width, height]: [usize; 2]) -> Vec<([f64; 2], f64)> {
    let inside = |[x, y]: [f64; 2]| x > 8.0 && y > 8.0 && x < width as f64 - 9.0 && y < height as f64 - 9.0;
    sky::catalogue()
        .brighter_than(CATALOGUE_V_MAG)
        .filter_map(|star| {
            let place = solution
                .pixel(sky([star.right_ascension_deg, star.declination_deg].map(f64::to_radians)), WITHIN_DEG)?;
            inside(place).then_some((place, star.v_mag))
        })
        .collect()
}

fn nearest(stars: &[Star], [x, y]: [f64; 2]) -> Option<(f64, &Star)> {
    stars.iter().map(|s| ((s.x_px - x).hypot(s.y_px - y), s)).min_by(|a, b| a.0.total_cmp(&b.0))
}

#[test]
fn bright_stars_are_found_where_the_catalogue_has_them() {
    for row in rows(include_str!("../data/lens_truth.csv")) {
        let name = row.text("file");
        let Some(plane) = real(name) else { continue };
        let field = find_stars(&plane, &StarSearch::default());
        let solution = Solution::new(&row, field.size_px);
        let stars = catalogued(&solution, field.size_px);
        let must: Vec<_> = stars.iter().take(40).collect();
        let distances: Vec<f64> = must.iter().filter_map(|(place, _)| Some(nearest(&field.stars, *place)?.0)).collect();
        let found = distances.iter().filter(|d| **d < MATCH_PX).count();
        let close: Vec<f64> = distances.iter().copied().filter(|d| *d < MATCH_PX).collect();
        println!(
            "{name}: {} stars, {found} of the brightest {} of the catalogue (to V {:.1}), rms {:.2} px (solution {}); {:?}",
            field.stars.len(),
            must.len(),
            must.last().map_or(0.0, |m| m.1),
            (close.iter().map(|d| d * d).sum::<f64>() / close.len() as f64).sqrt(),
            row.text("rms_px"),
            field.typical.map(|t| (t.fwhm_px, t.elongation)),
        );
        assert!(found as f64 >= LEAST_FOUND * must.len() as f64, "{name}: {found} of {}", must.len());
        assert!(quantile(&close, 0.5) < row.number("rms_px").max(0.3), "{name}: {}", quantile(&close, 0.5));
    }
}

/// A minute of an all-sky camera that stands still: the sky turns by 60 s times 15.041" at 606" a pixel.
#[test]
fn a_minute_of_sky_over_a_fixed_fisheye_trails_as_it_must() {
    let Some(plane) = real("starfield/20180817_0055.fits") else { return };
    let field = find_stars(&plane, &StarSearch::default());
    let context = MotionContext { exposure_s: Some(60.0), pixel_arcsec: Some(606.3), ..MotionContext::default() };
    let motion = judge_motion(&plane, &field, &context);
    println!("{:?} {:?} {:?} {:?}", motion.kind, motion.length_px, motion.sky_px, motion.words);
    let length = motion.length_px.unwrap();
    // the lens draws these stars out as well, and by more far from the middle
    assert!((length.value - motion.sky_px.unwrap()).abs() < 0.4, "{length:?} {:?}", motion.sky_px);
}

#[test]
fn sharp_frames_of_a_fixed_camera_are_called_so() {
    for name in [
        "2019-07-29T204726_Alt40_Azi-135_Try1",
        "2019-07-29T204726_Alt40_Azi45_Try1",
        "2019-07-29T204726_Alt60_Azi-45_Try1",
    ] {
        let Some(plane) = real(&format!("starfield/{name}.tiff")) else { continue };
        let field = find_stars(&plane, &StarSearch::default());
        let focus = judge_focus(&plane, &field, &FocusReference::default());
        let motion = judge_motion(&plane, &field, &MotionContext::default());
        println!("{name}: {:?} {:?}", focus.words, motion.words);
        assert_eq!((focus.state, motion.kind), (FocusState::Sharp, MotionKind::Held));
    }
}

#[test]
fn pictures_without_stars_claim_no_typical_star() {
    let names = ["Storm", "Kite_2560x1600", "EveningGlow_2560x1600", "sunset_by_Aitzol_Berasategi"];
    for name in names.map(|name| format!("reject/{name}.jpg")) {
        let Some(plane) = real(&name) else { continue };
        let field = find_stars(&plane, &StarSearch::default());
        println!("{name}: {} {:?} {:?}", field.stars.len(), field.typical, field.notes);
        assert!(field.typical.is_none(), "{name}");
        assert_eq!(judge_focus(&plane, &field, &FocusReference::default()).state, FocusState::CannotTell);
    }
}
