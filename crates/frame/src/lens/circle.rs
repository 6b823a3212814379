//! Where the picture of a fisheye ends on the sensor.

use crate::Plane;
use crate::focus::median;
use crate::least_squares::solve;

/// Edge of the picture that a fisheye draws: a circle, or an ellipse where pixels are not square.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct ImageCircle {
    /// Its middle, px; pixel centres at whole numbers.
    pub centre_px: [f64; 2],
    /// Half its width and half its height, px.
    pub radii_px: [f64; 2],
}

impl ImageCircle {
    /// Whether a pixel lies inside.
    pub fn holds(&self, [x, y]: [f64; 2]) -> bool {
        let [u, v] = [(x - self.centre_px[0]) / self.radii_px[0], (y - self.centre_px[1]) / self.radii_px[1]];
        u * u + v * v < 1.0
    }
}

/// Cells along the longer side of the picture in which it is looked at: a cell is 1 % of the circle.
const CELLS: usize = 128;
/// Rows of a cell that its level rests on, about.
const ROWS_OF_CELL: usize = 8;
/// Share of each side that makes a corner.
const CORNER: f64 = 0.07;
/// Corners that must be dark: a lamp or a line of text may light one.
const DARK_CORNERS: usize = 3;
/// Share of the way from the dark to the light in the middle at which the picture begins. Fisheyes lose half at the edge.
const EDGE_LEVEL: f64 = 0.25;
/// Light in the middle over that of the corners, in scatters of the corners' cells.
const LEAST_CONTRAST: f64 = 8.0;
/// Rays from the middle on which the edge is looked for, and how many must find it: a circle cut by two sides shows half.
const RAYS: u32 = 180;
const LEAST_RAYS: usize = 60;
/// Rounds of the fit; points further off than this share of the radius count no more in the last.
const ROUNDS: u32 = 8;
const OFF: f64 = 0.06;
/// Median distance of the points from the ellipse, as a share of its radius, up to which it is one.
const MOST_OFF: f64 = 0.035;
/// Radii in longer sides of the picture.
const RADII: [f64; 2] = [0.2, 0.8];

/// The edge of a fisheye's picture on a plane, where corners are dark and the edge is an ellipse with level axes.
pub fn image_circle(plane: &Plane) -> Option<ImageCircle> {
    let cells = Cells::of(plane)?;
    let points = cells.edge()?;
    let [cx, cy, rx, ry] = ellipse(&points)?;
    let cell = cells.cell as f64;
    let pixel = |place: f64| (place + 0.5) * cell - 0.5;
    let circle = ImageCircle { centre_px: [pixel(cx), pixel(cy)], radii_px: [rx * cell, ry * cell] };
    let longer = plane.width().max(plane.height()) as f64;
    let sane = circle.radii_px.iter().all(|radius| (RADII[0]..RADII[1]).contains(&(radius / longer)));
    sane.then_some(circle)
}

/// Sum of some samples, in lanes that do not wait for each other.
fn sum_of(samples: &[f32]) -> f64 {
    let (lanes, rest) = samples.as_chunks::<8>();
    let mut sums = [0.0f64; 8];
    for lane in lanes {
        for (sum, sample) in sums.iter_mut().zip(lane) {
            *sum += f64::from(*sample);
        }
    }
    sums.iter().sum::<f64>() + rest.iter().map(|sample| f64::from(*sample)).sum::<f64>()
}

/// The picture in cells.
struct Cells {
    cell: usize,
    columns: usize,
    rows: usize,
    level: Vec<f64>,
}

impl Cells {
    fn of(plane: &Plane) -> Option<Self> {
        let cell = plane.width().max(plane.height()).div_ceil(CELLS).max(1);
        let (columns, rows) = (plane.width() / cell, plane.height() / cell);
        let mut level = Vec::with_capacity(columns * rows);
        // rows far enough apart to be quick, and enough of them for a mean
        let step = (cell / ROWS_OF_CELL).max(1);
        let looked = (cell.div_ceil(step) * cell) as f64;
        let mut room = Vec::new();
        for row in 0..rows {
            let mut sums = vec![0.0; columns];
            for y in (row * cell..(row + 1) * cell).step_by(step) {
                let samples = plane.row(y).samples(&mut room);
                for (sum, part) in sums.iter_mut().zip(samples.chunks_exact(cell)) {
                    *sum += sum_of(part);
                }
            }
            level.extend(sums.iter().map(|sum| sum / looked));
        }
        (columns >= 16 && rows >= 16 && level.iter().all(|v| v.is_finite())).then_some(Self {
            cell,
            columns,
            rows,
            level,
        })
    }

    /// Levels of a part of the picture, columns and rows as shares of it.
    fn part(&self, columns: [f64; 2], rows: [f64; 2]) -> Vec<f64> {
        let range = |share: [f64; 2], count: usize| {
            let end = |share: f64| crate::whole::index((share * count as f64).round()).min(count);
            end(share[0])..end(share[1])
        };
        let columns = range(columns, self.columns);
        range(rows, self.rows).flat_map(|y| columns.clone().map(move |x| self.level[y * self.columns + x])).collect()
    }

    /// Points of the edge, in cells.
    fn edge(&self) -> Option<Vec<[f64; 2]>> {
        let ends = [[0.0, CORNER], [1.0 - CORNER, 1.0]];
        let mut corners: Vec<(f64, f64)> = Vec::new();
        for columns in ends {
            for rows in ends {
                let mut values = self.part(columns, rows);
                let middle = median(&mut values);
                let mut off: Vec<f64> = values.iter().map(|v| (v - middle).abs()).collect();
                corners.push((middle, 1.5 * median(&mut off)));
            }
        }
        corners.sort_by(|a, b| a.0.total_cmp(&b.0));
        // the darkest but one says what dark is: the darkest may lie under a mask
        let (dark, _) = *corners.get(1)?;
        let scatter = corners.iter().take(DARK_CORNERS).map(|(_, scatter)| *scatter).fold(0.0, f64::max);
        let light = median(&mut self.part([0.35, 0.65], [0.35, 0.65]));
        let threshold = dark + EDGE_LEVEL * (light - dark);
        let dark_corners = corners.iter().filter(|(level, _)| *level < threshold).count();
        if light - dark < LEAST_CONTRAST * scatter || light <= dark || dark_corners < DARK_CORNERS {
            return None;
        }
        // from outside in, so that dark sky and trees inside do not matter; two cells in a row, so that lamps do not
        let middle = [0.5 * (self.columns as f64 - 1.0), 0.5 * (self.rows as f64 - 1.0)];
        let lit = |x: f64, y: f64| {
            let inside = x > -0.5 && y > -0.5 && x < self.columns as f64 - 0.5 && y < self.rows as f64 - 0.5;
            inside.then(|| {
                let [i, j] = [x, y].map(|v| crate::whole::index(v.round().max(0.0)));
                self.level[j.min(self.rows - 1) * self.columns + i.min(self.columns - 1)] > threshold
            })
        };
        let reach = self.columns.max(self.rows);
        let mut points = Vec::new();
        for ray in 0..RAYS {
            let (sin, cos) = (std::f64::consts::TAU * f64::from(ray) / f64::from(RAYS)).sin_cos();
            let at = |r: f64| lit(middle[0] + r * cos, middle[1] + r * sin);
            let mut outside = false;
            for step in (0..2 * reach).rev() {
                let r = 0.5 * step as f64;
                match at(r) {
                    Some(false) => outside = true,
                    Some(true) if (1..4).all(|inward| at(r - f64::from(inward)).unwrap_or(true)) => {
                        if outside {
                            points.push([middle[0] + (r + 0.25) * cos, middle[1] + (r + 0.25) * sin]);
                        }
                        break;
                    }
                    None | Some(true) => {}
                }
            }
        }
        (points.len() >= LEAST_RAYS).then_some(points)
    }
}

/// Middle and radii of the ellipse with level axes through most of the points.
fn ellipse(points: &[[f64; 2]]) -> Option<[f64; 4]> {
    let scale = points.iter().flatten().fold(0.0f64, |a, b| a.max(b.abs())).max(1.0);
    let mut weights = vec![1.0; points.len()];
    let mut found = None;
    for round in 0..ROUNDS {
        let (mut normal, mut right) = ([[0.0; 4]; 4], [0.0; 4]);
        for ([x, y], weight) in points.iter().zip(&weights) {
            let (x, y) = (x / scale - 0.5, y / scale - 0.5);
            let row = [x * x, y * y, x, y];
            for i in 0..4 {
                for j in 0..4 {
                    normal[i][j] += weight * row[i] * row[j];
                }
                right[i] += weight * row[i];
            }
        }
        let [a, b, c, d] = solve(normal, right)?;
        let [cx, cy] = [-0.5 * c / a, -0.5 * d / b];
        let size = 1.0 + a * cx * cx + b * cy * cy;
        let [rx, ry] = [size / a, size / b];
        if !(rx > 0.0 && ry > 0.0) {
            return None;
        }
        let fitted = [(cx + 0.5) * scale, (cy + 0.5) * scale, rx.sqrt() * scale, ry.sqrt() * scale];
        let off = |[x, y]: &[f64; 2]| (((x - fitted[0]) / fitted[2]).hypot((y - fitted[1]) / fitted[3]) - 1.0).abs();
        // narrower from round to round (Tukey's biweight; common practice, no source)
        let reach = OFF * (1.0 + f64::from(ROUNDS - 1 - round));
        for (weight, point) in weights.iter_mut().zip(points) {
            let share = (off(point) / reach).min(1.0);
            *weight = (1.0 - share * share).powi(2).max(1e-6);
        }
        let mut all: Vec<f64> = points.iter().map(off).collect();
        found = (median(&mut all) < MOST_OFF).then_some(fitted);
    }
    found
}
