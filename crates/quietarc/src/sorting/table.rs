//! All measures of all frames as a table, for CSV and Parquet alike.

use std::io::Write;

use job::{SequenceKind, SortReport, SortedFrame};

/// The values of one column.
#[derive(Debug, Clone, PartialEq)]
pub(crate) enum Values {
    Text(Vec<Option<String>>),
    Whole(Vec<Option<i64>>),
    Number(Vec<Option<f64>>),
}

/// A table, column by column.
#[derive(Debug, Clone, PartialEq)]
pub(crate) struct Table {
    pub(crate) columns: Vec<(&'static str, Values)>,
    pub(crate) rows: usize,
}

/// A word of the report as it stands in its JSON.
fn word<T: serde::Serialize>(value: T) -> Option<String> {
    serde_json::to_value(value).ok()?.as_str().map(str::to_owned)
}

impl Table {
    /// Of a sorted night: one row a frame, in the order of the report.
    pub(crate) fn of(report: &SortReport) -> Self {
        let frames = &report.frames;
        let text = |of: &dyn Fn(&SortedFrame) -> Option<String>| Values::Text(frames.iter().map(of).collect());
        let whole = |of: &dyn Fn(&SortedFrame) -> Option<i64>| Values::Whole(frames.iter().map(of).collect());
        let number = |of: &dyn Fn(&SortedFrame) -> Option<f64>| Values::Number(frames.iter().map(of).collect());
        let sequence = |frame: &SortedFrame| -> Option<SequenceKind> {
            let index = usize::try_from(frame.sequence).ok()?;
            report.sequences.get(index).map(|sequence| sequence.kind)
        };
        let camera = |frame: &SortedFrame| -> Option<String> {
            let index = usize::try_from(frame.camera?).ok()?;
            report.cameras.get(index).map(|camera| camera.name.clone())
        };
        let like = |frame: &SortedFrame| -> Option<String> {
            let index = usize::try_from(frame.like?).ok()?;
            frames.get(index).map(|other| other.name.clone())
        };
        let reasons = |frame: &SortedFrame| -> Option<String> {
            let kinds: Vec<String> = frame.reasons.iter().filter_map(|reason| word(reason.kind)).collect();
            (!kinds.is_empty()).then(|| kinds.join(" "))
        };
        let companions = |frame: &SortedFrame| (!frame.companions.is_empty()).then(|| frame.companions.join("; "));
        let columns = vec![
            ("name", text(&|frame| Some(frame.name.clone()))),
            ("companions", text(&companions)),
            ("content_sha256", text(&|frame| Some(frame.content_hash.clone()))),
            ("bytes", whole(&|frame| i64::try_from(frame.bytes).ok())),
            ("utc", text(&|frame| frame.utc.map(|utc| utc.to_string()))),
            ("camera_clock", text(&|frame| frame.local.clone())),
            ("camera", text(&camera)),
            ("sequence", whole(&|frame| Some(i64::from(frame.sequence)))),
            ("sequence_kind", text(&|frame| sequence(frame).and_then(word))),
            ("verdict", text(&|frame| word(frame.verdict))),
            ("person", text(&|frame| frame.person.and_then(word))),
            ("rating", whole(&|frame| frame.rating.map(i64::from))),
            ("reasons", text(&reasons)),
            ("why", text(&|frame| Some(frame.why.clone()))),
            ("like", text(&like)),
            ("score", number(&|frame| frame.score)),
            ("scene", text(&|frame| frame.measures.scene.and_then(word))),
            ("exposure_s", number(&|frame| frame.measures.exposure_s)),
            ("iso", number(&|frame| frame.measures.iso)),
            ("f_number", number(&|frame| frame.measures.f_number)),
            ("focal_mm", number(&|frame| frame.measures.focal_mm)),
            ("stars", whole(&|frame| frame.measures.stars.map(i64::from))),
            ("hfd_px", number(&|frame| frame.measures.hfd_px)),
            ("elongation", number(&|frame| frame.measures.elongation)),
            ("trail_px", number(&|frame| frame.measures.trail_px)),
            ("sky_stops", number(&|frame| frame.measures.sky_stops)),
            ("clipped_share", number(&|frame| frame.measures.clipped_share)),
            ("cloud_fraction", number(&|frame| frame.measures.cloud_fraction)),
            ("cloud_method", text(&|frame| frame.measures.cloud_method.and_then(word))),
            ("aurora_probability", number(&|frame| frame.measures.aurora_probability)),
            ("aurora_brightest_kr", number(&|frame| frame.measures.aurora_brightest_kr)),
            ("aurora_extent", number(&|frame| frame.measures.aurora_extent)),
            ("ra_deg", number(&|frame| frame.measures.ra_deg)),
            ("dec_deg", number(&|frame| frame.measures.dec_deg)),
            ("lamp_share", number(&|frame| frame.measures.lamp_share)),
            ("glare_share", number(&|frame| frame.measures.glare_share)),
        ];
        Self { columns, rows: frames.len() }
    }

    /// As CSV with a header; what is not known is empty.
    ///
    /// # Errors
    ///
    /// What is written to cannot take it.
    pub(crate) fn write_csv(&self, out: impl Write) -> Result<(), csv::Error> {
        let mut table = csv::Writer::from_writer(out);
        table.write_record(self.columns.iter().map(|(name, _values)| *name))?;
        for row in 0..self.rows {
            table.write_record(self.columns.iter().map(|(_name, values)| values.shown(row)))?;
        }
        table.flush()?;
        Ok(())
    }
}

impl Values {
    fn shown(&self, row: usize) -> String {
        let shown = match self {
            Self::Text(values) => values.get(row).cloned().flatten(),
            Self::Whole(values) => values.get(row).copied().flatten().map(|value| value.to_string()),
            Self::Number(values) => values.get(row).copied().flatten().map(|value| value.to_string()),
        };
        shown.unwrap_or_default()
    }
}
