//! Is it a copy of a known picture, or cut from one?

use super::fingerprint::Fingerprint;
use super::likeness::{LikenessKind, compare};
use super::report::{DeskCheck, DeskCheckKind, DeskEvidence, DeskVerdict, KnownLikeness};
use crate::KnownPicture;

/// Likenesses that are told, at most.
const TOLD: usize = 20;

/// Known pictures that a submission looks like, the likest first.
pub(super) fn likenesses(fingerprint: &Fingerprint, others: &[KnownPicture]) -> Vec<KnownLikeness> {
    let found = others
        .iter()
        .map(|other| KnownLikeness { id: other.id.clone(), likeness: compare(fingerprint, &other.fingerprint) })
        .filter(|known| known.likeness.kind != LikenessKind::Different);
    likest_first(found.collect())
}

/// Copies first, then by how well the detail fits; what is beyond the first score is left out.
fn likest_first(mut found: Vec<KnownLikeness>) -> Vec<KnownLikeness> {
    found.sort_by(|a, b| {
        let rank = |known: &KnownLikeness| known.likeness.kind.is_copy();
        rank(b).cmp(&rank(a)).then(b.likeness.detail_correlation.total_cmp(&a.likeness.detail_correlation))
    });
    found.truncate(TOLD);
    found
}

/// The check for copies of a picture whose likenesses were found elsewhere: on a board they change as pictures come.
///
/// * `known`: pictures that it was compared with.
/// * `found`: those that it looks like, in any order.
pub fn copies_check(known: usize, found: Vec<KnownLikeness>) -> DeskCheck {
    check(true, known, &likest_first(found))
}

pub(super) fn check(has_fingerprint: bool, known: usize, found: &[KnownLikeness]) -> DeskCheck {
    let copies = found.iter().filter(|known| known.likeness.kind.is_copy()).count();
    let unsure = found.iter().filter(|known| known.likeness.kind == LikenessKind::CannotTell).count();
    let (verdict, sentence) = match (has_fingerprint, known, copies, found.first()) {
        (false, ..) => (DeskVerdict::CannotTell, "The picture cannot be compared with others.".to_owned()),
        (_, 0, ..) => (DeskVerdict::CannotTell, "There is no other picture to compare it with.".to_owned()),
        (.., 1.., Some(first)) => {
            let more = if copies > 1 { format!("; {} more like it", copies - 1) } else { String::new() };
            (DeskVerdict::Inconsistent, format!("{}: {}{more}.", first.id, first.likeness.sentence))
        }
        _ if unsure > 0 => (
            DeskVerdict::CannotTell,
            format!("{unsure} of {known} known pictures are alike, but too plain to say more."),
        ),
        (.., Some(first)) => (
            DeskVerdict::Consistent,
            format!("No copy of {known} known pictures. {}: {}.", first.id, first.likeness.sentence),
        ),
        _ => (DeskVerdict::Consistent, format!("No copy of {known} known pictures.")),
    };
    let evidence = found
        .iter()
        .take(5)
        .map(|known| {
            let likeness = &known.likeness;
            let text = format!("{} (detail alike to {:.3})", likeness.sentence, likeness.detail_correlation);
            DeskEvidence::word(&known.id, text)
        })
        .collect();
    DeskCheck {
        kind: DeskCheckKind::Copies,
        verdict,
        sentence,
        evidence,
        basis: "Small grey copies and the places of the brightest stars; pictures turned by an angle or set in a frame are not found.".to_owned(),
    }
}
