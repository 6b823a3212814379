//! What the person asking gives by hand: a kit by name, an activity, cloud.

use std::path::Path;

use job::{Activity, Kit};
use quantity::{Fraction, Timestamp};

use super::{open_journal, read};
use crate::cli::JournalArgs;
use crate::{Failure, output};

/// The kit of that name in the journal, or the plain one.
pub(super) fn kit(name: Option<&str>, journal: &JournalArgs) -> Result<Kit, Failure> {
    match name {
        Some(name) => Ok(open_journal(journal)?.kit_named(name)?.kit),
        None => Ok(Kit::plain()),
    }
}

/// One Kp over a span, an agency's table over another, or nothing given.
pub(super) fn activity(
    kp: Option<f64>,
    table: Option<&Path>,
    given_over: (Timestamp, Timestamp),
    table_over: (Timestamp, Timestamp),
) -> Result<Activity, Failure> {
    match (table, kp) {
        (Some(path), _) => {
            let series = feeds::parse_kp(&read(path)?, &path.display().to_string())?;
            if let Some(summary) = series.rejected_summary() {
                output::note(&summary);
            }
            Ok(series.to_activity(table_over.0, table_over.1))
        }
        (None, Some(kp)) => Ok(Activity::given(kp, given_over.0, given_over.1)),
        (None, None) => Ok(Activity { source: "nothing given".to_owned(), issued_at: None, intervals: Vec::new() }),
    }
}

/// `--cloud` as a share of the sky.
pub(super) fn cloud(tenths: f64) -> Result<Fraction, Failure> {
    Fraction::new(tenths / 10.0).map_err(|_cause| {
        Failure::new(format!("--cloud {tenths} is outside 0 to 10"), "give tenths of the sky, 0 clear to 10 overcast")
    })
}
