use super::local_sky::LocalSky;
use super::moments::Moments;
use crate::Plane;
use crate::whole::clipped;

/// The window ends where it has fallen to `exp(-3.5²/2)` = 0.2 %.
const WINDOW_SIGMA: f64 = 3.5;
/// Steps in which the window is made to fit; it gains a digit about every third.
const MOST_STEPS: usize = 30;
/// Change of centre (px) and of relative width at which the window fits: far below what noise moves them.
const LAST_STEP: f64 = 2e-3;
/// How far the centre may wander from the peak, in standard deviations of the first window.
const LEASH_SIGMA: f64 = 4.0;
/// Narrowest window, px² (2.6 px FWHM): in narrower ones the place between pixels moves the centre by 0.02 px. A sharper
/// star is measured in this one.
const LEAST_VARIANCE_PX2: f64 = 1.2;
/// How the window of a measurement behaves.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum Window {
    /// It stays as given; only its centre moves. For faint stars.
    Fixed,
    /// It is made to fit the star.
    Fitted,
}

/// Centre and shape of a star.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Fit {
    pub(crate) x: f64,
    pub(crate) y: f64,
    /// Moments of the star itself, the window taken out.
    pub(crate) moments: Moments,
    /// Whether the window came to rest.
    pub(crate) settled: bool,
}

/// Sums over a window.
#[derive(Default)]
struct Sums {
    light: f64,
    x: f64,
    y: f64,
    xx: f64,
    yy: f64,
    xy: f64,
}

/// Centre and second moments in a Gaussian window that follows the star.
///
/// A window `W` over a Gaussian star `C` leaves `M = (C⁻¹ + W⁻¹)⁻¹`, and moves the barycentre by half the distance
/// when `W = C`: so the centre steps twice the offset, and `C = (M⁻¹ - W⁻¹)⁻¹` becomes the next window.
/// Bernstein & Jarvis 2002, Astron. J. 123, 583, section 3 (adaptive moments), from memory.
pub(crate) fn fit(
    plane: &Plane,
    sky: &LocalSky,
    start: [f64; 2],
    first: Moments,
    window: Window,
    most_variance_px2: f64,
) -> Option<Fit> {
    let [mut x, mut y] = start;
    let mut w = bounded(&first, &first, LEAST_VARIANCE_PX2);
    let mut moments = first;
    let leash = LEASH_SIGMA * first.axes_px2()[0].sqrt() + 1.0;
    for _ in 0..MOST_STEPS {
        let sums = windowed(plane, sky, [x, y], &w)?;
        if sums.light <= 0.0 {
            return None;
        }
        let (dx, dy) = (sums.x / sums.light, sums.y / sums.light);
        let inside = Moments {
            xx: sums.xx / sums.light - dx * dx,
            yy: sums.yy / sums.light - dy * dy,
            xy: sums.xy / sums.light - dx * dy,
        };
        let by_window = w.inverse()?;
        let narrow = inside.inverse()?.minus(&by_window).inverse();
        // a patch wider than the window shows no edge in it yet
        moments = narrow.unwrap_or_else(|| w.scaled(2.0));
        let star = if window == Window::Fixed { first } else { bounded(&moments, &w, 0.0) };
        let (u, v) = (by_window.xx * dx + by_window.xy * dy, by_window.xy * dx + by_window.yy * dy);
        x += dx + star.xx * u + star.xy * v;
        y += dy + star.xy * u + star.yy * v;
        let strayed = (x - start[0]).hypot(y - start[1]);
        if strayed.is_nan() || strayed >= leash {
            return None;
        }
        let next = if window == Window::Fixed { w } else { bounded(&moments, &w, LEAST_VARIANCE_PX2) };
        let [longer, shorter] = next.minus(&w).axes_px2();
        let change = dx.hypot(dy).max(longer.abs().max(shorter.abs()) / w.axes_px2()[0]);
        w = next;
        if change < LAST_STEP {
            return Some(Fit { x, y, moments, settled: narrow.is_some() });
        }
        if w.axes_px2()[0] > most_variance_px2 {
            return None;
        }
    }
    Some(Fit { x, y, moments, settled: false })
}

/// Centre of the light within a circle that moves with it; the circle's edge is a pixel soft.
pub(crate) fn barycentre(plane: &Plane, sky: &LocalSky, start: [f64; 2], radius_px: f64) -> Option<[f64; 2]> {
    let [mut x, mut y] = start;
    for _ in 0..MOST_STEPS {
        let (mut light, mut sum_x, mut sum_y) = (0.0, 0.0, 0.0);
        for row in clipped(y, radius_px + 0.5, plane.height())? {
            for column in clipped(x, radius_px + 0.5, plane.width())? {
                let (dx, dy) = (column as f64 - x, row as f64 - y);
                let inside = (radius_px + 0.5 - (dx * dx + dy * dy).sqrt()).clamp(0.0, 1.0);
                let value = f64::from(plane.row(row).at(column)) - sky.at(column as f64, row as f64);
                if value.is_finite() {
                    light += inside * value;
                    sum_x += inside * value * dx;
                    sum_y += inside * value * dy;
                }
            }
        }
        if light <= 0.0 {
            return None;
        }
        let (dx, dy) = (sum_x / light, sum_y / light);
        x += dx;
        y += dy;
        if dx.hypot(dy) < LAST_STEP {
            break;
        }
    }
    Some([x, y])
}

/// Moments kept above a floor, and no more than four times as wide as the last window.
fn bounded(next: &Moments, last: &Moments, floor_px2: f64) -> Moments {
    let [long, short] = next.axes_px2();
    let most = (4.0 * last.axes_px2()[0]).max(floor_px2);
    Moments::ellipse(long.clamp(floor_px2, most), short.clamp(floor_px2, most), next.angle_deg())
}

fn windowed(plane: &Plane, sky: &LocalSky, [x, y]: [f64; 2], w: &Moments) -> Option<Sums> {
    let inverse = w.inverse()?;
    let reach_y = WINDOW_SIGMA * w.yy.sqrt();
    let mut sums = Sums::default();
    let per_column2 = (-inverse.xx).exp();
    for row in clipped(y, reach_y, plane.height())? {
        let dy = row as f64 - y;
        let samples = plane.row(row);
        // the row crosses the window about its own middle
        let middle = -inverse.xy * dy / inverse.xx;
        let at_middle = inverse.form(middle, dy);
        let reach_x = ((WINDOW_SIGMA * WINDOW_SIGMA - at_middle).max(0.0) / inverse.xx).sqrt();
        let Some(columns) = clipped(x + middle, reach_x, plane.width()) else { continue };
        // along a row each step's factor is a constant times the last: two powers a row in place of one a pixel
        let first = columns.start as f64 - x;
        let mut window = (-0.5 * inverse.form(first, dy)).exp();
        let mut per_column = (-inverse.xx * (first + 0.5) - inverse.xy * dy).exp();
        for column in columns {
            let dx = column as f64 - x;
            let value = f64::from(samples.at(column));
            let light = window * (value - sky.at(column as f64, row as f64));
            window *= per_column;
            per_column *= per_column2;
            if !value.is_finite() {
                continue;
            }
            sums.light += light;
            sums.x += light * dx;
            sums.y += light * dy;
            sums.xx += light * dx * dx;
            sums.yy += light * dy * dy;
            sums.xy += light * dx * dy;
        }
    }
    Some(sums)
}
