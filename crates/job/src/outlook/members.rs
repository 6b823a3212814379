//! The spread of the outlook: activity and border, each by a few well-chosen values.

use aurora::{BORDER_SIGMA_DEG, Oval};

/// Nodes and weights of Gauss-Hermite quadrature of order 5 for a standard normal variable.
///
/// Abramowitz & Stegun 1964, table 25.10, abscissas times the square root of 2.
const NORMAL_5: [(f64, f64); 5] = [
    (-2.856_970_013_872_806, 0.011_257_411_327_720_7),
    (-1.355_626_179_974_266, 0.222_075_922_005_613),
    (0.0, 0.533_333_333_333_333),
    (1.355_626_179_974_266, 0.222_075_922_005_613),
    (2.856_970_013_872_806, 0.011_257_411_327_720_7),
];

/// The same of order 3.
const NORMAL_3: [(f64, f64); 3] =
    [(-1.732_050_807_568_877, 1.0 / 6.0), (0.0, 2.0 / 3.0), (1.732_050_807_568_877, 1.0 / 6.0)];

/// One possible sky: an oval, moved equatorward, with its weight.
pub(super) struct Member {
    pub(super) oval: usize,
    pub(super) equatorward_shift_deg: f64,
    pub(super) weight: f64,
}

/// Ovals and members for one Kp with its error.
pub(super) struct Ensemble {
    pub(super) ovals: Vec<Oval>,
    pub(super) members: Vec<Member>,
    /// Index of the member in the middle.
    pub(super) central: usize,
}

impl Ensemble {
    /// Five values of Kp by three positions of the border.
    pub(super) fn around(kp: f64, kp_sigma: f64) -> Self {
        Self::from_nodes(&NORMAL_5.map(|(z, weight)| ((kp + z * kp_sigma).clamp(0.0, 9.0), weight)))
    }

    /// Three values of Kp by three positions of the border: nine members, for comparing sites.
    pub(super) fn coarse(kp: f64, kp_sigma: f64) -> Self {
        Self::from_nodes(&NORMAL_3.map(|(z, weight)| ((kp + z * kp_sigma).clamp(0.0, 9.0), weight)))
    }

    /// One value of Kp, three positions of the border.
    pub(super) fn exactly(kp: f64) -> Self {
        Self::from_nodes(&[(kp, 1.0)])
    }

    fn from_nodes(nodes: &[(f64, f64)]) -> Self {
        let ovals = nodes.iter().map(|&(kp, _)| Oval::new(kp)).collect();
        let members: Vec<Member> = nodes
            .iter()
            .enumerate()
            .flat_map(|(oval, &(_, kp_weight))| {
                NORMAL_3.map(|(z, weight)| Member {
                    oval,
                    equatorward_shift_deg: z * BORDER_SIGMA_DEG,
                    weight: kp_weight * weight,
                })
            })
            .collect();
        let central = members.len() / 2;
        Self { ovals, members, central }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn weights_are_one_and_spread_is_what_it_says() {
        for nodes in [&NORMAL_5[..], &NORMAL_3[..]] {
            let sum = |power: i32| nodes.iter().map(|(z, w)| w * z.powi(power)).sum::<f64>();
            assert!((sum(0) - 1.0).abs() < 1e-12);
            assert!((sum(2) - 1.0).abs() < 1e-12, "variance");
            assert!((sum(4) - 3.0).abs() < 1e-9, "kurtosis of a normal");
        }
    }

    #[test]
    fn the_central_member_is_the_model_itself() {
        let ensemble = Ensemble::around(4.0, 1.0);
        let central = &ensemble.members[ensemble.central];
        assert!(central.equatorward_shift_deg.abs() < f64::EPSILON);
        assert!((ensemble.ovals[central.oval].kp() - 4.0).abs() < f64::EPSILON);
    }
}
