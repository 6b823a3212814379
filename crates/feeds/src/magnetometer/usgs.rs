//! The JSON of the US Geological Survey's geomagnetism service: times, and one list of values an element.

use job::MagneticElement;
use serde::Deserialize;

use super::grid::{Gathered, Sample, present};
use super::header::{Header, place, quality, word};
use super::{EXPECTED, Magnetogram};
use crate::body::{bad_key, not_weather};
use crate::row::{Fault, quote};
use crate::{FeedError, Place, json};

#[derive(Deserialize)]
struct Answer {
    times: Option<Vec<String>>,
    values: Option<Vec<Column>>,
    #[serde(default)]
    metadata: Metadata,
}

#[derive(Deserialize)]
struct Column {
    id: Option<String>,
    values: Option<Vec<Option<f64>>>,
    #[serde(default)]
    metadata: ColumnMetadata,
}

#[derive(Deserialize, Default)]
struct ColumnMetadata {
    element: Option<String>,
}

#[derive(Deserialize, Default)]
struct Metadata {
    #[serde(default)]
    intermagnet: Intermagnet,
    error: Option<String>,
    status: Option<u16>,
}

#[derive(Deserialize, Default)]
struct Intermagnet {
    #[serde(default)]
    imo: Observatory,
    data_type: Option<String>,
    sampling_period: Option<f64>,
}

#[derive(Deserialize, Default)]
struct Observatory {
    iaga_code: Option<String>,
    name: Option<String>,
    coordinates: Option<Vec<Option<f64>>>,
}

pub(super) fn parse(text: &str, source_name: &str) -> Result<Magnetogram, FeedError> {
    let answer: Answer = json::parse_as(text, source_name)?;
    let Answer { times, values, metadata } = answer;
    let (Some(times), Some(columns)) = (times, values) else {
        return Err(match metadata.error.as_deref().and_then(word) {
            Some(title) => {
                FeedError::ServiceProblem { source_name: source_name.to_owned(), title, status: metadata.status }
            }
            None => not_weather(source_name, EXPECTED, "it has no `times` or no `values`"),
        });
    };
    let named: Vec<(Option<MagneticElement>, Vec<Option<f64>>)> = columns.into_iter().map(Column::named).collect();
    if let Some((_, short)) = named.iter().find(|(element, values)| element.is_some() && values.len() != times.len()) {
        return Err(FeedError::UnequalLengths {
            source_name: source_name.to_owned(),
            key: "values".to_owned(),
            length: short.len(),
            other: "times".to_owned(),
            other_length: times.len(),
        });
    }
    let columns: Vec<(MagneticElement, Vec<Option<f64>>)> =
        named.into_iter().filter_map(|(element, values)| Some((element?, values))).collect();
    if columns.is_empty() {
        return Err(bad_key(source_name, "values", "without one component of the field"));
    }
    let mut gathered = Gathered::new(source_name, columns.iter().map(|(element, _)| Some(*element)).collect());
    for (index, time) in times.iter().enumerate() {
        let values = columns.iter().map(|(_, values)| values.get(index).copied().flatten().and_then(present)).collect();
        let sample = time
            .parse()
            .map(|at| Sample { at, values })
            .map_err(|_bad| Fault::new("times", format!("\"{}\" is no time in UTC", quote(time))));
        gathered.row(Place::Entry(index + 1), sample);
    }
    let cadence_s = metadata.intermagnet.sampling_period;
    // a period that is none is passed over there: the times tell it as well
    gathered.finish(header(metadata.intermagnet), cadence_s)
}

impl Column {
    fn named(self) -> (Option<MagneticElement>, Vec<Option<f64>>) {
        let name = self.metadata.element.or(self.id).unwrap_or_default();
        let mut letters = name.trim().chars();
        let element = match (letters.next(), letters.next()) {
            (Some(letter), None) => MagneticElement::from_letter(letter),
            _ => None,
        };
        (element, self.values.unwrap_or_default())
    }
}

fn header(intermagnet: Intermagnet) -> Header {
    let Intermagnet { imo, data_type, .. } = intermagnet;
    let coordinate = |index: usize| imo.coordinates.as_ref().and_then(|list| list.get(index).copied().flatten());
    Header {
        place: place(coordinate(1), coordinate(0), coordinate(2)),
        station_code: imo.iaga_code.as_deref().and_then(word).unwrap_or_default(),
        station_name: imo.name.as_deref().and_then(word),
        source: None,
        quality: quality(data_type.as_deref().unwrap_or_default()),
    }
}
