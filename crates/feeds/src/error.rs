use thiserror::Error;

use crate::RowError;

/// A table that cannot be used at all.
///
/// Single bad rows do not lead here; they are in [`KpSeries::rejected`](crate::KpSeries::rejected).
#[derive(Debug, Clone, PartialEq, Eq, Error)]
#[non_exhaustive]
pub enum FeedError {
    /// Nothing in it.
    #[error("{source_name} is empty")]
    Empty {
        /// The file or address.
        source_name: String,
    },
    /// More bytes than any Kp table has.
    #[error("{source_name} has {bytes} bytes, more than the {limit} read at most")]
    TooLarge {
        /// The file or address.
        source_name: String,
        /// Its size.
        bytes: usize,
        /// The largest size read.
        limit: usize,
    },
    /// A web page came in place of the data.
    #[error("{source_name} is a web page (HTML), not a Kp table")]
    Html {
        /// The file or address.
        source_name: String,
    },
    /// Packed data.
    #[error("{source_name} is compressed (gzip), not a Kp table as text")]
    Compressed {
        /// The file or address.
        source_name: String,
    },
    /// None of the shapes known here.
    #[error("{source_name} is not a Kp table known here; it begins with {begins:?}")]
    Unrecognised {
        /// The file or address.
        source_name: String,
        /// Its first characters.
        begins: String,
    },
    /// JSON that breaks off or breaks the rules.
    #[error("{source_name}, line {line}, column {column}: the JSON {problem}")]
    BadJson {
        /// The file or address.
        source_name: String,
        /// Line, from 1.
        line: usize,
        /// Column, from 1.
        column: usize,
        /// What is wrong, as the end of a sentence.
        problem: String,
    },
    /// Arrays that should run side by side have different lengths.
    #[error("{source_name}: `{key}` has {length} values, `{other}` has {other_length}")]
    UnequalLengths {
        /// The file or address.
        source_name: String,
        /// One array.
        key: String,
        /// Its length.
        length: usize,
        /// The other.
        other: String,
        /// Its length.
        other_length: usize,
    },
    /// A field every such table has is absent, or is not what it should be.
    #[error("{source_name}: `{key}` is {problem}")]
    BadField {
        /// The file or address.
        source_name: String,
        /// The field.
        key: String,
        /// What is wrong, as the end of a sentence.
        problem: &'static str,
    },
    /// A good table of something else.
    #[error("{source_name} holds {found}, not 3-hour Kp")]
    WrongIndex {
        /// The file or address.
        source_name: String,
        /// What it holds.
        found: String,
    },
    /// The right table without one value in it.
    #[error("{source_name} is a Kp table without values")]
    NoValues {
        /// The file or address.
        source_name: String,
    },
    /// Not one row of the table is good.
    #[error("{source_name}: none of its {rows} rows can be read; {first}")]
    NoGoodRow {
        /// The file or address.
        source_name: String,
        /// Rows tried.
        rows: usize,
        /// The first of them.
        first: RowError,
    },
    /// Something else than a file of places.
    #[error("{source_name} is no file of places known here: {found}")]
    NotPlaces {
        /// The file.
        source_name: String,
        /// What it is instead.
        found: String,
    },
    /// A file of places that is larger, deeper or fuller than any that a person keeps.
    #[error("{source_name} is beyond what is read: {found}")]
    PlacesBeyondLimit {
        /// The file.
        source_name: String,
        /// What is too much, and the limit.
        found: String,
    },
    /// A file of places without one.
    #[error("{source_name} holds no place: {found}")]
    NoPlaces {
        /// The file.
        source_name: String,
        /// What it holds instead.
        found: String,
    },
    /// XML that breaks off or breaks the rules.
    #[error("{source_name}, line {line}, column {column}: the XML {problem}")]
    BadXml {
        /// The file.
        source_name: String,
        /// Line, from 1.
        line: u32,
        /// Column, from 1.
        column: u32,
        /// What is wrong, as the end of a sentence.
        problem: String,
    },
    /// A tile of heights that is none.
    #[error("{source_name}: {problem}")]
    BadTile {
        /// The file.
        source_name: String,
        /// What is wrong.
        problem: String,
    },
    /// A table of space weather without one usable value.
    #[error("{source_name} holds no usable value: {what}")]
    NoSamples {
        /// The file or address.
        source_name: String,
        /// What it holds instead.
        what: String,
    },
    /// Something else than the data asked for.
    #[error("{source_name} is not {expected}: {found}")]
    NotWeather {
        /// The file or address.
        source_name: String,
        /// What was asked for, with its article.
        expected: &'static str,
        /// What it is instead.
        found: String,
    },
    /// A weather service answered with a problem of its own in place of data.
    #[error("{source_name}: the service answers \"{title}\"{}", status_words(*.status))]
    ServiceProblem {
        /// The file or address.
        source_name: String,
        /// The service's name for it.
        title: String,
        /// HTTP status it names, where it does.
        status: Option<u16>,
    },
    /// The right kind of weather data without one usable value.
    #[error("{source_name} holds no {what}")]
    NoWeather {
        /// The file or address.
        source_name: String,
        /// What is not there.
        what: String,
    },
    /// A coded weather report that does not follow its code form.
    #[error("{source_name}: {problem}")]
    BadReport {
        /// The file, address or station.
        source_name: String,
        /// What is wrong, with the group at fault.
        problem: String,
    },
    /// A GRIB file that breaks off, contradicts itself, or uses what is not read here.
    #[error("{source_name}{}: {problem}", message_words(*.message))]
    BadGrib {
        /// The file or address.
        source_name: String,
        /// The message in it, from 1, where one is at fault.
        message: Option<usize>,
        /// What is wrong.
        problem: String,
    },
}

fn status_words(status: Option<u16>) -> String {
    status.map_or_else(String::new, |status| format!(" ({status})"))
}

fn message_words(message: Option<usize>) -> String {
    message.map_or_else(String::new, |number| format!(", message {number}"))
}

impl FeedError {
    /// What to do about it, for the terminal and the page alike.
    pub fn hint(&self) -> &'static str {
        match self {
            Self::Empty { .. } => "fetch it again, or give another file",
            Self::TooLarge { .. } => "give the Kp table alone; the one since 1932 has 6 MB",
            Self::Html { .. } => {
                "open the address in a browser to see what the server says; GFZ answers with a page when start or end \
                 is not written like 2024-05-10T00:00:00Z"
            }
            Self::Compressed { .. } => "unpack it and give the text",
            Self::Unrecognised { .. } => {
                "give a Kp table of GFZ (JSON, text since 1932, .wdc or .tab) or a planetary K index JSON of NOAA"
            }
            Self::BadJson { .. } => "fetch it again; it may have been cut off on the way",
            Self::UnequalLengths { .. } => "fetch it again; values and times cannot be matched",
            Self::BadField { .. } => {
                "fetch it again; if it stays so, the publisher has changed the format: please report it"
            }
            Self::WrongIndex { .. } => "ask the publisher for the 3-hour index Kp (at GFZ: index=Kp)",
            Self::NoValues { .. } => {
                "ask for other days, or without status=def: definitive values appear only after the end of a month"
            }
            Self::NoGoodRow { .. } => "fetch the table again, or correct the line named",
            Self::NotPlaces { .. } => {
                "give GPX, KML (of a KMZ the doc.kml in it, unpacked) or GeoJSON, with WGS 84 coordinates, as UTF-8 text"
            }
            Self::PlacesBeyondLimit { .. } => "split the file, or keep in it only the places wanted",
            Self::NoPlaces { .. } => {
                "save the places as waypoints (GPX), placemarks that are points (KML) or Point features (GeoJSON)"
            }
            Self::BadXml { .. } => "save or export the file again; it may have been cut off, or edited by hand",
            Self::BadTile { .. } => {
                "give tiles as N69E015.hgt, unpacked: 1201 or 3601 rows of big-endian heights, south-west corner in the name"
            }
            Self::NoSamples { .. } => {
                "ask again in a few minutes: outages of spacecraft and services pass; until then go by another source"
            }
            Self::NotWeather { .. } => {
                "fetch it again, unpacked, or give the file of the kind named; a web page says what the service objects to"
            }
            Self::ServiceProblem { .. } => {
                "ask again in a few minutes; if it stays so, look the grid point up again from its coordinates"
            }
            Self::NoWeather { .. } => "ask for another place, time or field, or take another source",
            Self::BadReport { .. } => "check the report against the station's page; the others are used",
            Self::BadGrib { .. } => {
                "fetch the file again; of GRIB, edition 2 on a regular, Lambert or polar stereographic grid is read"
            }
        }
    }
}
