//! Names people really give, and the rules names keep to.

use journal::{Journal, JournalError};

use crate::samples::{furnished, kit, new_outing, site};

const NAMES: [&str; 12] = [
    "O'Hara's \"barn\"",
    "'; DROP TABLE site; --",
    "<script>alert(1)</script>",
    "Ånstadblåheia",
    "北の湖",
    "مرصد الشمال",
    "🌌🦌 bay",
    "e\u{301}tang",
    "étang",
    "%s %_ \\",
    "tab\tand\nline",
    " spaced ",
];

#[test]
fn every_name_comes_back_as_it_was_given() {
    let journal = Journal::in_memory().unwrap();
    for name in NAMES {
        let id = journal.add_site(&site(name)).unwrap();
        assert_eq!(journal.site_named(name).unwrap().id, id, "{name}");
        assert_eq!(journal.site(id).unwrap().site.name, name);
        journal.add_kit(&kit(name)).unwrap();
        assert_eq!(journal.kit_named(name).unwrap().kit.name, name);
    }
    assert_eq!(journal.sites().unwrap().len(), NAMES.len());
}

#[test]
fn a_title_may_hold_anything_and_may_be_empty() {
    let (journal, first) = furnished();
    let stored = journal.outing(first).unwrap();
    for title in NAMES.into_iter().chain([""]) {
        let mut outing = new_outing(stored.site_id, stored.kit_id);
        outing.title = title.to_owned();
        let id = journal.add_outing(&outing).unwrap();
        assert_eq!(journal.outing(id).unwrap().title, title);
    }
}

#[test]
fn a_very_long_name_is_stored_whole() {
    let journal = Journal::in_memory().unwrap();
    let name = "fjord ".repeat(20_000);
    journal.add_site(&site(&name)).unwrap();
    assert_eq!(journal.sites().unwrap()[0].site.name, name);
}

#[test]
fn a_name_is_given_once() {
    let journal = Journal::in_memory().unwrap();
    journal.add_site(&site("Bay")).unwrap();
    journal.add_kit(&kit("Bay")).unwrap();
    let error = journal.add_site(&site("Bay")).unwrap_err();
    assert_eq!(error.to_string(), "there is already a site named \"Bay\"");
    assert!(matches!(error, JournalError::DuplicateName { what: "site", .. }));
    assert!(matches!(journal.add_kit(&kit("Bay")), Err(JournalError::DuplicateName { what: "kit", .. })));
    let other = journal.add_site(&site("Cape")).unwrap();
    assert!(matches!(journal.replace_site(other, &site("Bay")), Err(JournalError::DuplicateName { .. })));
    assert_eq!(journal.site(other).unwrap().site.name, "Cape");
}

#[test]
fn an_empty_name_is_refused() {
    let journal = Journal::in_memory().unwrap();
    for name in ["", "   "] {
        assert!(matches!(journal.add_site(&site(name)), Err(JournalError::EmptyName { what: "site" })));
        assert!(matches!(journal.add_kit(&kit(name)), Err(JournalError::EmptyName { what: "kit" })));
    }
}
