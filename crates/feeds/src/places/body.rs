use super::found::FoundPlaces;
use super::{geojson, gpx, kml, xml};
use crate::FeedError;
use crate::row::quote;

/// Largest file of places read, bytes: ten thousand places with 800 bytes each.
pub const LARGEST_PLACES_BYTES: usize = 8 * 1024 * 1024;
/// Most places read from one file: more is a gazetteer, not what one person keeps.
pub const MOST_PLACES: usize = 10_000;

/// Reads a file of places in any shape known here, told by its content, not by its name.
///
/// * `bytes`: the file as it is; UTF-8, with or without byte order mark.
/// * `source_name`: its name, for messages.
///
/// # Errors
///
/// Empty, too large, an archive (KMZ), a web page, another encoding, broken XML or JSON, XML with a document type, none
/// of the shapes, coordinates not in WGS 84, or not one place in it. Single bad places are no error: see
/// [`FoundPlaces::rejected`].
pub fn parse_places(bytes: &[u8], source_name: &str) -> Result<FoundPlaces, FeedError> {
    let text = text(bytes, source_name)?;
    match text.trim_start().chars().next() {
        None => Err(FeedError::Empty { source_name: source_name.to_owned() }),
        Some('<') => of_xml(text, source_name),
        Some('{') => geojson::parse(text, source_name),
        Some(_) => Err(not_places(source_name, format!("it begins with \"{}\"", quote(text.trim_start())))),
    }
}

fn of_xml(text: &str, source_name: &str) -> Result<FoundPlaces, FeedError> {
    let begins: String = text.trim_start().chars().take(200).collect::<String>().to_ascii_lowercase();
    if begins.contains("<!doctype html") || begins.starts_with("<html") {
        return Err(not_places(source_name, "it is a web page (HTML)"));
    }
    let document = xml::open(text, source_name)?;
    let root = document.root();
    match root.tag_name().name() {
        "gpx" => gpx::parse(&document, source_name),
        "kml" => kml::parse(&document, source_name),
        other => Err(not_places(source_name, format!("it is XML of another kind, <{}>", quote(other)))),
    }
}

fn text<'a>(bytes: &'a [u8], source_name: &str) -> Result<&'a str, FeedError> {
    const UTF_16: [[u8; 2]; 2] = [[0xff, 0xfe], [0xfe, 0xff]];
    if bytes.len() > LARGEST_PLACES_BYTES {
        let found = format!("it has {} bytes, more than the {LARGEST_PLACES_BYTES} read at most", bytes.len());
        return Err(FeedError::PlacesBeyondLimit { source_name: source_name.to_owned(), found });
    }
    if bytes.starts_with(b"PK\x03\x04") {
        return Err(not_places(source_name, "it is a packed archive (ZIP, as KMZ is)"));
    }
    if bytes.starts_with(&[0x1f, 0x8b]) {
        return Err(not_places(source_name, "it is compressed (gzip)"));
    }
    if UTF_16.iter().any(|mark| bytes.starts_with(mark)) {
        return Err(not_places(source_name, "it is text in UTF-16"));
    }
    let bytes = bytes.strip_prefix(b"\xef\xbb\xbf").unwrap_or(bytes);
    std::str::from_utf8(bytes)
        .map_err(|error| not_places(source_name, format!("byte {} is not UTF-8 text", error.valid_up_to() + 1)))
}

pub(super) fn not_places(source_name: &str, found: impl Into<String>) -> FeedError {
    FeedError::NotPlaces { source_name: source_name.to_owned(), found: found.into() }
}
