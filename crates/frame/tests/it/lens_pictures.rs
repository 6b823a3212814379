//! Real pictures against lens solutions made with other programs.

use frame::{Frame, LensHints, Limits, Plane, StarSearch, find_stars, open, solve_lens};
use quantity::{Horizontal, angular_separation_deg};

use crate::pictures::picture;
use crate::spread::rows;

/// Tolerances of the table.
const CENTRE_DEG: f64 = 1.0;
const ROLL_DEG: f64 = 1.0;
const WIDTH_SHARE: f64 = 0.03;
/// Share of the solved pictures of the table that must be solved: stacks of many frames are read as their first alone.
const LEAST_SOLVED: f64 = 0.7;

/// Stitched from several pictures: must be refused.
const PANORAMA: &str = "aurora_photo/Fig7b_SAR-LesLadbrook.jpg";

fn plane(name: &str) -> Option<Plane> {
    let frame: Frame = open(&picture(name)?, &Limits::default()).ok()?;
    frame.plane(optics::Channel::Green).ok()
}

#[test]
fn real_pictures_are_solved_as_other_programs_did() {
    let (mut of, mut right) = (0, 0);
    for row in rows(include_str!("../data/lens_solutions.csv")) {
        let name = row.text("file");
        let Some(plane) = plane(name) else { continue };
        let known = row.text("solved") == "yes";
        of += u32::from(known);
        let field = find_stars(&plane, &StarSearch::default());
        let found = match solve_lens(&field, &LensHints::default()) {
            Ok(found) => found,
            Err(failure) => {
                println!("{name}: {} stars: {failure}", field.stars.len());
                continue;
            }
        };
        println!(
            "{name}: {:?} f {:.1} px, {} stars, rms {:.2} px, chance 1e{:.0}, field {:.1?}",
            found.model.projection,
            found.model.focal_px,
            found.matched,
            found.residual_px,
            found.log10_chance,
            found.field_deg
        );
        assert!(name != PANORAMA, "{name} is no picture of one lens: {found:?}");
        assert!(row.text("solved") != "no_stars", "{name} shows no stars: {found:?}");
        let Some(ra_deg) = row.maybe("ra_deg") else { continue };
        let [dec_deg, roll_deg, width_deg] = ["dec_deg", "roll_deg", "width_deg"].map(|column| row.number(column));
        let off_deg = angular_separation_deg(
            Horizontal::new(dec_deg, ra_deg).east_north_up(),
            Horizontal::new(found.dec_deg, found.ra_deg).east_north_up(),
        );
        let turned = (found.ra_deg - ra_deg) * dec_deg.to_radians().sin();
        let roll_off = (found.roll_deg - roll_deg + turned + 540.0).rem_euclid(360.0) - 180.0;
        let width_off = found.field_deg[0] / width_deg - 1.0;
        println!("   centre off by {off_deg:.3} deg, roll {roll_off:.2} deg, width {:.1} %", 100.0 * width_off);
        assert!(
            off_deg < CENTRE_DEG && roll_off.abs() < ROLL_DEG && width_off.abs() < WIDTH_SHARE,
            "{name}: {found:?}"
        );
        assert_eq!(found.mirrored, row.text("mirrored") == "yes", "{name}");
        right += u32::from(known);
    }
    println!("{right} of {of} right, none wrong");
    assert!(f64::from(right) >= LEAST_SOLVED * f64::from(of), "{right} of {of}");
}
