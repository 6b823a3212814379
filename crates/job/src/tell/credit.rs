//! Whom to name, as every caption says it.

/// What a credit begins with that needs no "Photo:" before it, in small letters.
const LABELS: [&str; 14] = [
    "photo:",
    "photos:",
    "photo by",
    "photos by",
    "foto:",
    "image:",
    "images:",
    "picture:",
    "pictures:",
    "video:",
    "credit:",
    "courtesy",
    "©",
    "(c)",
];

/// "Photo: Ida Berg" of "Ida Berg"; what already says so stays as it was typed. `None` of nothing.
pub(super) fn credited(credit: Option<&str>) -> Option<String> {
    let credit = credit.map(str::trim).filter(|credit| !credit.is_empty())?;
    let small = credit.to_lowercase();
    if LABELS.iter().any(|label| small.starts_with(label)) {
        Some(credit.to_owned())
    } else {
        Some(format!("Photo: {credit}"))
    }
}

/// The name in a credit, without what it begins with: "Ida Berg" of "Photo: Ida Berg". `None` of nothing.
pub fn credited_name(credit: &str) -> Option<String> {
    let credit = credit.trim();
    let label =
        LABELS.iter().find(|label| credit.get(..label.len()).is_some_and(|start| start.eq_ignore_ascii_case(label)));
    let name = label.map_or(credit, |label| credit.get(label.len()..).unwrap_or_default());
    let name = name.trim_start_matches([':', ' ']).trim();
    (!name.is_empty()).then(|| name.to_owned())
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn photo_stands_once_however_it_was_typed() {
        for (typed, said) in [
            ("Ida Berg", Some("Photo: Ida Berg")),
            (" Photo: Ida Berg ", Some("Photo: Ida Berg")),
            ("photo by Ida Berg", Some("photo by Ida Berg")),
            ("© Ída Berg / Skerrow Weather", Some("© Ída Berg / Skerrow Weather")),
            ("Photon Watch", Some("Photo: Photon Watch")),
            ("  ", None),
        ] {
            assert_eq!(credited(Some(typed)).as_deref(), said);
        }
        for (typed, name) in [
            ("Ida Berg", Some("Ida Berg")),
            (" Photo: Ida Berg ", Some("Ida Berg")),
            ("photo by Ida Berg", Some("Ida Berg")),
            ("© Ída Berg / Skerrow Weather", Some("Ída Berg / Skerrow Weather")),
            ("Photo: ", None),
        ] {
            assert_eq!(credited_name(typed).as_deref(), name);
        }
        assert_eq!(credited(None), None);
    }
}
