//! The whole in a sentence or two: what speaks for the claim, what against it, what could not be told.

use super::report::{DeskCheck, DeskCheckKind, DeskVerdict};

/// Whether a check is about the claim, and not about copies or editing.
fn is_of_claim(kind: DeskCheckKind) -> bool {
    match kind {
        DeskCheckKind::Copies | DeskCheckKind::Editing => false,
        DeskCheckKind::FileTime
        | DeskCheckKind::FilePlace
        | DeskCheckKind::Sun
        | DeskCheckKind::Moon
        | DeskCheckKind::Stars
        | DeskCheckKind::Planets
        | DeskCheckKind::Aurora => true,
    }
}

/// The worst of the checks of the claim; where none speaks against it, consistent if any speaks for it.
pub(super) fn verdict(checks: &[DeskCheck]) -> DeskVerdict {
    let any = |verdict| checks.iter().any(|check| is_of_claim(check.kind) && check.verdict == verdict);
    if any(DeskVerdict::Inconsistent) {
        DeskVerdict::Inconsistent
    } else if any(DeskVerdict::Consistent) {
        DeskVerdict::Consistent
    } else {
        DeskVerdict::CannotTell
    }
}

pub(super) fn summary(checks: &[DeskCheck]) -> String {
    let named = |verdict| -> Vec<&DeskCheck> {
        checks.iter().filter(|check| is_of_claim(check.kind) && check.verdict == verdict).collect()
    };
    let list = |checks: &[&DeskCheck]| checks.iter().map(|check| check.kind.words()).collect::<Vec<_>>().join(", ");
    let (against, with, untold) =
        (named(DeskVerdict::Inconsistent), named(DeskVerdict::Consistent), named(DeskVerdict::CannotTell));
    let mut parts = Vec::new();
    match against.first() {
        Some(first) => parts.push(format!("Against the claim: {}. {}", list(&against), first.sentence)),
        None => parts.push("Nothing speaks against the claim.".to_owned()),
    }
    if with.is_empty() {
        parts.push("Nothing speaks for it.".to_owned());
    } else {
        parts.push(format!("Consistent with it: {}.", list(&with)));
    }
    if !untold.is_empty() {
        parts.push(format!("Cannot tell: {}.", list(&untold)));
    }
    let copy =
        checks.iter().find(|check| check.kind == DeskCheckKind::Copies && check.verdict == DeskVerdict::Inconsistent);
    if let Some(copy) = copy {
        parts.push(format!("A copy: {}", copy.sentence));
    }
    parts.join(" ")
}
