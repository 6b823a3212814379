use job::ActivityKind;
use quantity::Timestamp;
use serde_json::{Map, Value};

use crate::collect::{Collector, Reading, cell};
use crate::row::{Fault, quote};
use crate::{FeedError, KpFormat, KpSeries, KpThird, Place, json};

/// Indices of the same service that are not 3-hour Kp.
const OTHER_INDICES: [&str; 11] = ["Hp30", "Hp60", "ap30", "ap60", "ap", "Ap", "Cp", "C9", "SN", "Fobs", "Fadj"];

/// Reads the answer of GFZ's service: `Kp`, `datetime` and `status` side by side.
pub(crate) fn parse_json(text: &str, source_name: &str) -> Result<KpSeries, FeedError> {
    let value = json::parse(text, source_name)?;
    let Some(answer) = value.as_object() else {
        return Err(FeedError::Unrecognised { source_name: source_name.to_owned(), begins: quote(text) });
    };
    let columns = Columns::of(answer, source_name)?;
    let mut collector = Collector::new(source_name, KpFormat::GfzJson);
    for index in 0..columns.kp.len() {
        collector.row(Place::Entry(index + 1), columns.reading(index).map(|reading| vec![reading]));
    }
    collector.finish()
}

struct Columns<'a> {
    kp: &'a [Value],
    datetime: &'a [Value],
    status: Option<&'a [Value]>,
}

impl<'a> Columns<'a> {
    fn of(answer: &'a Map<String, Value>, source_name: &str) -> Result<Self, FeedError> {
        let Some(kp) = answer.get("Kp") else {
            return Err(other_content(answer, source_name));
        };
        let kp = array(Some(kp), "Kp", source_name)?;
        let datetime = array(answer.get("datetime"), "datetime", source_name)?;
        let status = match answer.get("status") {
            None | Some(Value::Null) => None,
            status => Some(array(status, "status", source_name)?),
        };
        let lengths = [("datetime", Some(datetime.len())), ("status", status.map(<[Value]>::len))];
        for (other, length) in lengths {
            if let Some(other_length) = length.filter(|length| *length != kp.len()) {
                return Err(FeedError::UnequalLengths {
                    source_name: source_name.to_owned(),
                    key: "Kp".to_owned(),
                    length: kp.len(),
                    other: other.to_owned(),
                    other_length,
                });
            }
        }
        Ok(Self { kp, datetime, status })
    }

    fn reading(&self, index: usize) -> Result<Reading, Fault> {
        let kp = json::number(self.kp.get(index)).map_err(|problem| Fault::new("Kp", problem))?;
        let kp = kp.map_or(Ok(None), |kp| cell("Kp", kp))?;
        let kind = match self.status {
            // a value whose kind nobody told gets the wider error of the two
            None => ActivityKind::Preliminary,
            Some(_) if kp.is_none() => ActivityKind::Preliminary,
            Some(status) => kind(status.get(index))?,
        };
        Reading::new(time(self.datetime.get(index))?, kp.map(KpThird::kp), kind)
    }
}

fn array<'a>(value: Option<&'a Value>, key: &str, source_name: &str) -> Result<&'a [Value], FeedError> {
    let problem = match value {
        Some(Value::Array(values)) => return Ok(values),
        None | Some(Value::Null) => "absent",
        Some(_) => "not a list",
    };
    Err(FeedError::BadField { source_name: source_name.to_owned(), key: key.to_owned(), problem })
}

fn other_content(answer: &Map<String, Value>, source_name: &str) -> FeedError {
    let source_name = source_name.to_owned();
    match OTHER_INDICES.iter().find(|index| answer.contains_key(**index)) {
        Some(index) => FeedError::WrongIndex { source_name, found: format!("the index {index}") },
        None => FeedError::Unrecognised {
            begins: format!("an object with the keys {}", json::keys(answer.keys())),
            source_name,
        },
    }
}

fn kind(status: Option<&Value>) -> Result<ActivityKind, Fault> {
    match status.and_then(Value::as_str) {
        Some("def") => Ok(ActivityKind::Definitive),
        Some("pre" | "now") => Ok(ActivityKind::Preliminary),
        Some(other) => Err(Fault::new("status", format!("\"{}\" is not one of def, pre, now", quote(other)))),
        None => Err(Fault::new("status", "it is not a text")),
    }
}

fn time(value: Option<&Value>) -> Result<Timestamp, Fault> {
    let text = value.and_then(Value::as_str).ok_or_else(|| Fault::new("datetime", "it is not a text"))?;
    text.parse().map_err(|_bad| Fault::new("datetime", format!("\"{}\" is not a time with zone", quote(text))))
}
