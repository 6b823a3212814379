//! Names that somebody typed.

use draw::documents::{DocumentKind, file_name};
use proptest::prelude::*;

use crate::sample;

/// What a name looks like in a document, told apart character by character and without the library's own rules: words between
/// white space and control characters, less marks of direction and noncharacters.
pub(super) fn as_shown(name: &str) -> String {
    let kept = |c: &char| {
        let code = *c as u32;
        let turning = [0x061c, 0x200e, 0x200f].contains(&code)
            || (0x202a..=0x202e).contains(&code)
            || (0x2066..=0x2069).contains(&code);
        let no_character = (0xfdd0..=0xfdef).contains(&code) || code % 0x1_0000 >= 0xfffe;
        !turning && !no_character
    };
    let words = name.split(|c: char| c.is_control() || c.is_whitespace());
    let words = words.map(|word| word.chars().filter(kept).collect::<String>()).filter(|word| !word.is_empty());
    words.collect::<Vec<_>>().join(" ")
}

fn named(name: &str) -> String {
    let mut report = sample::normal().outlook();
    name.clone_into(&mut report.request.site.name);
    file_name(&report, DocumentKind::Calendar)
}

#[test]
fn files_are_named_by_site_and_night() {
    assert_eq!(named("Skerrow Bay (invented)"), "quietarc-skerrow-bay-invented-2026-03-14.ics");
    assert_eq!(named("Øyvågen"), "quietarc-oyvagen-2026-03-14.ics");
    assert_eq!(named("../../etc/passwd\r\nX: y"), "quietarc-etc-passwd-x-y-2026-03-14.ics");
    assert_eq!(named("東京"), "quietarc-site-2026-03-14.ics");
}

proptest! {
    #[test]
    fn any_name_makes_a_plain_file_name(name in ".{0,200}") {
        let file = named(&name);
        prop_assert!(file.len() < 80 && file.bytes().all(|b| matches!(b, b'a'..=b'z' | b'0'..=b'9' | b'-' | b'.')), "{file}");
        prop_assert_eq!(file.matches('.').count(), 1);
    }
}
