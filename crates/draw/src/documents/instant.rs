use quantity::Timestamp;

/// An instant in whole seconds, UTC: `2026-03-14T21:30:00Z` (RFC 3339; `xsd:dateTime`).
pub(super) fn utc_text(at: Timestamp) -> String {
    at.strftime("%Y-%m-%dT%H:%M:%SZ").to_string()
}
