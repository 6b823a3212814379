//! Is it a copy of a known picture, or cut from one?

use super::fingerprint::Fingerprint;
use super::likeness::{LikenessKind, compare};
use super::report::{DeskCheck, DeskCheckKind, DeskEvidence, DeskVerdict, KnownLikeness};
use crate::KnownPicture;

/// Likenesses that are told, at most.
const TOLD: usize = 20;

/// Known pictures that a submission looks like, the likest first; those too plain to be told from others are left out.
pub(super) fn likenesses(fingerprint: &Fingerprint, others: &[KnownPicture]) -> Vec<KnownLikeness> {
    if fingerprint.is_plain() {
        return Vec::new();
    }
    let found = others
        .iter()
        .filter(|other| !other.fingerprint.is_plain())
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
/// * `fingerprint`: what it looks like; `None` where that is not known (yet).
/// * `known`: pictures that it was compared with.
/// * `found`: those that it looks like, in any order.
pub fn copies_check(fingerprint: Option<&Fingerprint>, known: usize, found: Vec<KnownLikeness>) -> DeskCheck {
    check(fingerprint, known, &likest_first(found))
}

pub(super) fn check(fingerprint: Option<&Fingerprint>, known: usize, found: &[KnownLikeness]) -> DeskCheck {
    let copies = found.iter().filter(|known| known.likeness.kind.is_copy()).count();
    let unsure = found.iter().filter(|known| known.likeness.kind == LikenessKind::CannotTell).count();
    let (verdict, sentence) = match (fingerprint.map(Fingerprint::is_plain), known, copies, found.first()) {
        (None, ..) => (DeskVerdict::CannotTell, "The picture cannot be compared with others.".to_owned()),
        (Some(true), ..) => (
            DeskVerdict::CannotTell,
            "The picture is too plain to be told from others: an even light without stars.".to_owned(),
        ),
        (_, 0, ..) => (DeskVerdict::CannotTell, "There is no other picture to compare it with.".to_owned()),
        (.., 1.., Some(first)) => {
            let more = if copies > 1 { format!("; {} more like it", copies - 1) } else { String::new() };
            (DeskVerdict::Inconsistent, format!("{}: {}{more}.", first.id, first.likeness.sentence))
        }
        (.., Some(first)) if unsure > 0 => {
            let more = if unsure > 1 { format!("; {} more to look at", unsure - 1) } else { String::new() };
            let first = found.iter().find(|known| known.likeness.kind == LikenessKind::CannotTell).unwrap_or(first);
            (DeskVerdict::CannotTell, format!("{}: {}{more}.", first.id, first.likeness.sentence))
        }
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
