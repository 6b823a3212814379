//! Star fields of known truth against two libraries of astronomy.

use frame::{Plane, Star, StarSearch, find_stars};

use crate::picture::grey16_png;
use crate::spread::{Row, quantile, rows};

/// A star is found when its centre lies this close to a true one, px: the rule by which the table counts its libraries.
const MATCH_PX: f64 = 3.0;
/// Centroid errors relative to the better library's.
const CENTROID_FACTOR: f64 = 1.3;

struct Field {
    name: &'static str,
    plane: Plane,
    truth: Vec<Row>,
    /// False stars of the better library, from the table's header.
    false_stars: usize,
}

fn fields() -> Vec<Field> {
    let field =
        |name, png: &[u8], table, false_stars| Field { name, plane: grey16_png(png), truth: rows(table), false_stars };
    vec![
        field(
            "sharp",
            include_bytes!("../data/stars_sharp_gradient.png"),
            include_str!("../data/stars_sharp_gradient.csv"),
            0,
        ),
        field("trailed", include_bytes!("../data/stars_trailed.png"), include_str!("../data/stars_trailed.csv"), 1),
        field(
            "soft",
            include_bytes!("../data/stars_soft_aurora.png"),
            include_str!("../data/stars_soft_aurora.csv"),
            0,
        ),
    ]
}

/// Nearest star to each true one, if close enough.
fn matched<'a>(truth: &'a [Row], stars: &'a [Star]) -> Vec<(&'a Row, &'a Star, f64)> {
    truth
        .iter()
        .filter_map(|row| {
            let distance = |s: &Star| (s.x_px - row.number("x")).hypot(s.y_px - row.number("y"));
            let star = stars.iter().min_by(|a, b| distance(a).total_cmp(&distance(b)))?;
            (distance(star) < MATCH_PX).then_some((row, star, distance(star)))
        })
        .collect()
}

fn library_errors(truth: &[Row], prefix: &str) -> Vec<f64> {
    truth
        .iter()
        .filter_map(|row| {
            let (x, y) = (row.maybe(&format!("{prefix}_x"))?, row.maybe(&format!("{prefix}_y"))?);
            Some((x - row.number("x")).hypot(y - row.number("y")))
        })
        .collect()
}

#[test]
fn as_many_stars_as_the_libraries_and_as_few_false_ones() {
    for field in fields() {
        let found = find_stars(&field.plane, &StarSearch::default());
        let pairs = matched(&field.truth, &found.stars);
        let errors: Vec<f64> = pairs.iter().map(|(_, _, d)| *d).collect();
        let libraries: Vec<Vec<f64>> = ["sep", "dao", "seg"].iter().map(|p| library_errors(&field.truth, p)).collect();
        let most = libraries.iter().map(Vec::len).max().unwrap();
        let best = |share| libraries.iter().map(|e| quantile(e, share)).fold(f64::INFINITY, f64::min);
        println!(
            "{}: {} of {} found (libraries {most}), {} false (libraries {}), centroid median {:.4} (best {:.4}), 95 % {:.4} (best {:.4}); typical {:?}; {:?}",
            field.name,
            pairs.len(),
            field.truth.len(),
            found.stars.len() - pairs.len(),
            field.false_stars,
            quantile(&errors, 0.5),
            best(0.5),
            quantile(&errors, 0.95),
            best(0.95),
            found.typical,
            found.notes,
        );
        for star in &found.stars {
            if !pairs.iter().any(|(_, s, _)| s.x_px == star.x_px && s.y_px == star.y_px) {
                println!(
                    "  false: {:.1} {:.1} snr {:.1} fwhm {:.2} e {:.2}",
                    star.x_px, star.y_px, star.snr, star.fwhm_px, star.elongation
                );
            }
        }
        for row in &field.truth {
            if !pairs.iter().any(|(r, _, _)| r.text("id") == row.text("id")) {
                println!("  missed: {} {} flux {}", row.text("x"), row.text("y"), row.text("flux"));
            }
        }
        let mut worst: Vec<_> = pairs.iter().collect();
        worst.sort_by(|a, b| b.2.total_cmp(&a.2));
        for (row, star, d) in worst.iter().take(4) {
            println!(
                "  worst: {} {} flux {} err {:.3} snr {:.1} fwhm {:.2}",
                row.text("x"),
                row.text("y"),
                row.text("flux"),
                d,
                star.snr,
                star.fwhm_px
            );
        }
    }
}
