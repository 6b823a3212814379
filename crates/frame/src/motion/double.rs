//! Stars that all appear twice: the camera stood in two places during the exposure.

use crate::Star;

/// Stars compared, the most significant ones.
const MOST_STARS: usize = 300;
/// Farthest second image looked for, in FWHM; a knock further than that ruins the frame in plainer ways.
const FARTHEST_FWHM: f64 = 25.0;
/// How alike the steps from first to second image are, px: both centres' errors.
const ALIKE_PX: f64 = 0.7;
/// Share of the stars that must have a second image at the same step: fainter ones lose it in the noise.
const LEAST_SHARE: f64 = 0.25;
/// Pairs at the same step that are needed, and how many times what chance gives.
const LEAST_PAIRS: usize = 8;
const OVER_CHANCE: f64 = 5.0;

/// The step from each star's first image to its second, px, if most stars have one; towards +x.
pub(crate) fn repeated_step(stars: &[Star], fwhm_px: f64) -> Option<[f64; 2]> {
    let stars = &stars[..stars.len().min(MOST_STARS)];
    let reach = FARTHEST_FWHM * fwhm_px;
    let mut steps: Vec<[f64; 2]> = Vec::new();
    for (i, a) in stars.iter().enumerate() {
        for b in &stars[i + 1..] {
            let [dx, dy] = [b.x_px - a.x_px, b.y_px - a.y_px];
            if dx * dx + dy * dy < reach * reach {
                steps.push(if dx < 0.0 { [-dx, -dy] } else { [dx, dy] });
            }
        }
    }
    steps.sort_by(|a, b| a[0].total_cmp(&b[0]));
    let alike = |middle: &[f64; 2]| {
        let from = steps.partition_point(|s| s[0] < middle[0] - ALIKE_PX);
        let near = steps[from..].iter().take_while(|s| s[0] <= middle[0] + ALIKE_PX);
        near.filter(|s| (s[0] - middle[0]).hypot(s[1] - middle[1]) <= ALIKE_PX).count()
    };
    let best = steps.iter().max_by_key(|step| alike(step))?;
    let pairs = alike(best);
    // steps by chance fill the half circle evenly
    let chance = steps.len() as f64 * 2.0 * (ALIKE_PX / reach).powi(2);
    let enough = pairs >= LEAST_PAIRS && pairs as f64 > OVER_CHANCE * chance;
    // each star with its second image is two of those found
    (enough && 2.0 * pairs as f64 > LEAST_SHARE * stars.len() as f64).then_some(*best)
}
