use job::OutlookReport;

/// The documents there are.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum DocumentKind {
    /// One printed page.
    Card,
    /// iCalendar.
    Calendar,
    /// GPX.
    Gpx,
    /// GeoJSON.
    GeoJson,
}

impl DocumentKind {
    /// All of them.
    pub const ALL: [Self; 4] = [Self::Card, Self::Calendar, Self::Gpx, Self::GeoJson];

    /// What commands and addresses call it: "card", "calendar", "gpx", "geojson".
    pub fn name(self) -> &'static str {
        match self {
            Self::Card => "card",
            Self::Calendar => "calendar",
            Self::Gpx => "gpx",
            Self::GeoJson => "geojson",
        }
    }

    /// The one of that name.
    pub fn named(name: &str) -> Option<Self> {
        Self::ALL.into_iter().find(|kind| kind.name() == name)
    }

    /// Its media type: RFC 2046 and the registrations of RFC 5545 and RFC 7946; GPX has none registered and goes by its usual one.
    pub fn media_type(self) -> &'static str {
        match self {
            Self::Card => "text/html; charset=utf-8",
            Self::Calendar => "text/calendar; charset=utf-8",
            Self::Gpx => "application/gpx+xml",
            Self::GeoJson => "application/geo+json",
        }
    }

    /// Ending of its files, without the dot.
    pub fn ending(self) -> &'static str {
        match self {
            Self::Card => "html",
            Self::Calendar => "ics",
            Self::Gpx => "gpx",
            Self::GeoJson => "geojson",
        }
    }
}

/// Letters of a site's name that go into a file name.
const LONGEST_NAME: usize = 40;

/// A name for the file of a report's document: `quietarc-skerrow-bay-2026-03-14.ics`.
///
/// Lower-case letters a to z, digits, hyphens and one dot only, so that it is a plain file name on every system and in an HTTP header
/// whatever the site is called.
pub fn file_name(report: &OutlookReport, kind: DocumentKind) -> String {
    let mut name = String::new();
    for character in report.request.site.name.chars().flat_map(char::to_lowercase) {
        if name.len() >= LONGEST_NAME {
            break;
        }
        match latin(character) {
            "" if character.is_ascii_alphanumeric() => name.push(character),
            "" if name.is_empty() || name.ends_with('-') => {}
            "" => name.push('-'),
            letters => name.push_str(letters),
        }
    }
    let name = name.trim_end_matches('-');
    let name = if name.is_empty() { "site" } else { name };
    format!("quietarc-{name}-{}.{}", report.request.night, kind.ending())
}

/// Letters of the languages around the oval, written with a to z.
fn latin(letter: char) -> &'static str {
    match letter {
        'à' | 'á' | 'â' | 'ã' | 'å' | 'ä' => "a",
        'æ' => "ae",
        'ç' | 'č' => "c",
        'đ' | 'ð' => "d",
        'è' | 'é' | 'ê' | 'ë' => "e",
        'í' | 'î' | 'ï' => "i",
        'ŋ' | 'ñ' => "n",
        'ó' | 'ô' | 'õ' | 'ö' | 'ø' => "o",
        'š' => "s",
        'ŧ' => "t",
        'þ' => "th",
        'ú' | 'ü' | 'û' => "u",
        'ý' => "y",
        'ž' => "z",
        _ => "",
    }
}
