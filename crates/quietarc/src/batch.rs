//! Comma-separated batches: rows in, rows out, a bad row named by its line and passed over.

use std::fs::File;
use std::io::{self, BufWriter, Write};
use std::path::Path;

use crate::failure::{Failure, Outcome};
use crate::output;

/// Rows read and worked on together: enough to share work between neighbours, little enough to stream.
const CHUNK_ROWS: usize = 4096;

/// One row of the input with its line.
pub(crate) struct Row {
    cells: Vec<String>,
    line: u64,
}

impl Row {
    /// A cell as text.
    pub(crate) fn text(&self, column: usize) -> &str {
        self.cells.get(column).map_or("", String::as_str)
    }

    /// A cell as a number.
    pub(crate) fn number(&self, column: usize, name: &str) -> Result<f64, Failure> {
        let text = self.text(column);
        text.parse()
            .map_err(|_cause| Failure::new(format!("{name} {text:?} is not a number"), "give a plain decimal number"))
    }

    /// A cell as an instant.
    pub(crate) fn instant(&self, column: usize) -> Result<quantity::Timestamp, Failure> {
        let text = self.text(column);
        text.parse()
            .map_err(|_cause| Failure::new(format!("utc {text:?} is not a time"), "give UTC as 2026-03-15T22:40:00Z"))
    }

    /// Latitude, longitude, and where `height_m` names a column, height.
    pub(crate) fn position(&self, first: usize, height_m: Option<usize>) -> Result<quantity::GeoPosition, Failure> {
        let height_m = height_m.map_or(Ok(0.0), |column| self.number(column, "elev_m"))?;
        Ok(quantity::GeoPosition::new(self.number(first, "lat_deg")?, self.number(first + 1, "lon_deg")?, height_m)?)
    }
}

/// A batch's work: from a chunk of rows to a line of output or a failure for each.
pub(crate) trait Work {
    /// Columns the input must have, in this order.
    const INPUT: &'static str;
    /// Header of the output.
    const OUTPUT: &'static str;
    /// Answers a chunk, one result a row, in order.
    fn answer(&mut self, rows: &[Row]) -> Vec<Result<String, Failure>>;
}

/// Runs a batch file through its work to standard output.
///
/// # Errors
///
/// The file cannot be read, its header is not the one expected, or the output cannot be written.
pub(crate) fn run<W: Work>(file: &Path, work: &mut W) -> Result<Outcome, Failure> {
    let mut reader = open(file)?;
    check_header::<W>(&mut reader, file)?;
    let mut out = BufWriter::new(io::stdout().lock());
    let mut counts = Counts::default();
    let mut wanted = write_line(&mut out, W::OUTPUT)?;
    let mut records = reader.records();
    while wanted {
        let chunk: Vec<_> = records.by_ref().take(CHUNK_ROWS).collect();
        if chunk.is_empty() {
            break;
        }
        let mut rows = Vec::with_capacity(chunk.len());
        for record in chunk {
            match record {
                Ok(record) => rows.push(Row {
                    line: record.position().map_or(0, csv::Position::line),
                    cells: record.iter().map(str::to_owned).collect(),
                }),
                Err(error) => {
                    counts.refuse(None, &Failure::new(error.to_string(), "give as many cells as the header has"));
                }
            }
        }
        for (row, answer) in rows.iter().zip(work.answer(&rows)) {
            match answer {
                Ok(line) => {
                    counts.done += 1;
                    wanted &= write_line(&mut out, &line)?;
                }
                Err(failure) => counts.refuse(Some(row.line), &failure),
            }
        }
    }
    out.flush().or_else(output::quiet_on_closed_pipe)?;
    Ok(counts.outcome())
}

#[derive(Default)]
struct Counts {
    done: usize,
    failed: usize,
}

impl Counts {
    fn refuse(&mut self, line: Option<u64>, failure: &Failure) {
        self.failed += 1;
        let place = line.map_or_else(String::new, |line| format!("line {line}: "));
        output::note(&format!("{place}{} (hint: {})", failure.message, failure.hint));
    }

    fn outcome(self) -> Outcome {
        if self.failed == 0 {
            return Outcome::Done;
        }
        Outcome::SomeFailed { failed: self.failed, of: self.failed + self.done }
    }
}

fn open(file: &Path) -> Result<csv::Reader<File>, Failure> {
    csv::ReaderBuilder::new().trim(csv::Trim::All).comment(Some(b'#')).from_path(file).map_err(|error| {
        Failure::new(format!("{} cannot be read: {error}", file.display()), "give the path of a readable CSV file")
    })
}

fn check_header<W: Work>(reader: &mut csv::Reader<File>, file: &Path) -> Result<(), Failure> {
    let header = reader.headers().map_err(|error| {
        Failure::new(format!("{} cannot be read: {error}", file.display()), "give a CSV file in UTF-8")
    })?;
    let found = header.iter().collect::<Vec<_>>().join(",");
    if found == W::INPUT {
        return Ok(());
    }
    Err(Failure::new(format!("{} begins with {found:?}", file.display()), format!("give it the header {}", W::INPUT)))
}

/// Writes a line; false when nobody reads any more.
fn write_line(out: &mut impl Write, line: &str) -> Result<bool, Failure> {
    match writeln!(out, "{line}") {
        Ok(()) => Ok(true),
        Err(error) if error.kind() == io::ErrorKind::BrokenPipe => Ok(false),
        Err(error) => {
            Err(Failure::new(format!("the answer cannot be written: {error}"), "check the space where it goes"))
        }
    }
}
