//! IAGA-2002 exchange format (IAGA Division V-1, ngdc.noaa.gov/IAGA/vdat/IAGA2002).

use jiff::civil::DateTime;
use job::{MagneticElement, MagneticQuality};

use super::grid::{Gathered, Sample, present};
use super::header::{Header, place, quality, word};
use super::{EXPECTED, Magnetogram};
use crate::body::not_weather;
use crate::collect::utc;
use crate::row::{Fault, quote};
use crate::{FeedError, Place};

/// Where the value of a header line begins, characters.
const VALUE_COLUMN: usize = 24;
/// Words of a row before its values: date, time, day of the year.
const WORDS_BEFORE_VALUES: usize = 3;

pub(super) fn parse(text: &str, source_name: &str) -> Result<Magnetogram, FeedError> {
    let mut lines = text.lines().enumerate();
    let mut facts = Facts::default();
    let columns = loop {
        let Some((_, line)) = lines.next() else {
            let begins = quote(text.trim_start());
            let found = format!("it begins with \"{begins}\" and has no line of column names (DATE TIME DOY ...)");
            return Err(not_weather(source_name, EXPECTED, found));
        };
        if line.trim_start().get(..4).is_some_and(|word| word.eq_ignore_ascii_case("DATE")) {
            break line;
        }
        facts.line(line);
    };
    let names: Vec<&str> =
        columns.trim_end().trim_end_matches('|').split_whitespace().skip(WORDS_BEFORE_VALUES).collect();
    let elements: Vec<Option<MagneticElement>> = names.iter().map(|name| element(name, &facts.code)).collect();
    if elements.iter().all(Option::is_none) {
        let found = format!("its columns are {}, none of them a component of the field", quote(&names.join(" ")));
        return Err(not_weather(source_name, EXPECTED, found));
    }
    let mut gathered = Gathered::new(source_name, elements);
    for (index, line) in lines {
        let line = line.trim();
        if line.is_empty() || line.starts_with('#') || is_column_line(line) {
            continue;
        }
        gathered.row(Place::Line(index + 1), row(line, names.len()));
    }
    gathered.finish(facts.header(&names), None)
}

/// Files of several days put together repeat their headers.
fn is_column_line(line: &str) -> bool {
    line.ends_with('|')
}

/// What a column holds: its name is the station's code and a letter.
fn element(name: &str, code: &str) -> Option<MagneticElement> {
    let upper = name.to_ascii_uppercase();
    let rest = match upper.strip_prefix(&code.to_ascii_uppercase()) {
        Some(rest) if !code.is_empty() => rest.to_owned(),
        _ => upper.chars().skip(3).collect(),
    };
    let mut letters = rest.chars();
    match (letters.next(), letters.next()) {
        (Some(letter), None) => MagneticElement::from_letter(letter),
        // NUL and whatever else is no component
        _ => None,
    }
}

fn row(line: &str, columns: usize) -> Result<Sample, Fault> {
    let mut words = line.split_whitespace();
    let (Some(date), Some(time)) = (words.next(), words.next()) else {
        return Err(Fault::new("row", "it is not a date, a time, a day and values"));
    };
    let at: DateTime = format!("{date}T{time}")
        .parse()
        .map_err(|_bad| Fault::new("time", format!("\"{}\" is no date and time", quote(&format!("{date} {time}")))))?;
    let values: Vec<Option<f64>> =
        words.skip(WORDS_BEFORE_VALUES - 2).take(columns).map(value).collect::<Result<_, _>>()?;
    if values.len() < columns {
        return Err(Fault::new("row", format!("it has {} of {columns} values", values.len())));
    }
    Ok(Sample { at: utc(at)?, values })
}

fn value(word: &str) -> Result<Option<f64>, Fault> {
    let number: f64 =
        word.parse().map_err(|_bad| Fault::new("value", format!("\"{}\" is not a number", quote(word))))?;
    Ok(present(number))
}

#[derive(Default)]
struct Facts {
    code: String,
    name: Option<String>,
    source: Option<String>,
    latitude_deg: Option<f64>,
    longitude_deg: Option<f64>,
    elevation_m: Option<f64>,
    quality: Option<MagneticQuality>,
}

impl Facts {
    fn line(&mut self, line: &str) {
        let line = line.trim_end().trim_end_matches('|');
        let label: String = line.chars().take(VALUE_COLUMN).collect();
        let value: String = line.chars().skip(VALUE_COLUMN).collect();
        let number = || value.trim().parse::<f64>().ok().filter(|number| number.is_finite());
        match label.trim().to_ascii_lowercase().as_str() {
            "iaga code" => self.code = word(&value).unwrap_or_default(),
            "station name" => self.name = word(&value),
            "source of data" => self.source = word(&value),
            "geodetic latitude" => self.latitude_deg = number(),
            "geodetic longitude" => self.longitude_deg = number(),
            "elevation" => self.elevation_m = number(),
            "data type" => self.quality = Some(quality(&value)),
            _ => {}
        }
    }

    /// The header; a code that is not given is taken from the names of the columns.
    fn header(self, names: &[&str]) -> Header {
        let from_columns = || names.first().map(|name| name.chars().take(3).collect::<String>());
        let station_code = Some(self.code).filter(|code| !code.is_empty()).or_else(from_columns).unwrap_or_default();
        Header {
            station_code,
            station_name: self.name,
            place: place(self.latitude_deg, self.longitude_deg, self.elevation_m),
            source: self.source,
            quality: self.quality.unwrap_or(MagneticQuality::Unknown),
        }
    }
}
