//! The account of a night, from the journal, as text, as a page and as a running order.

mod html;
mod text;

use job::{AccountMet, AccountReport, AccountRequest, ReadReport};
use journal::{Journal, OutingId};

pub(crate) use html::page;
pub(crate) use text::{running_order_csv, text};

use crate::failure::Failure;

/// How an account is to be told.
#[derive(Debug, Default)]
pub(crate) struct AccountTask {
    /// Where, in the owner's words.
    pub(crate) place: Option<String>,
    /// Time on air.
    pub(crate) minutes_of_air: Option<f64>,
    /// Cards by their names in the order wished.
    pub(crate) card_order: Vec<String>,
    /// What the frames say, where it is given beside the journal.
    pub(crate) reading: Option<ReadReport>,
}

/// Tells an outing of the journal.
///
/// # Errors
///
/// No such outing, or a record that this version cannot read.
pub(crate) fn account(journal: &Journal, outing: OutingId, task: AccountTask) -> Result<AccountReport, Failure> {
    let kept = journal.outing(outing)?;
    let met = journal.met(outing)?.map(|met| AccountMet {
        said_at: met.said_at,
        eye: met.eye,
        camera: met.camera,
        kr: met.kr,
        kr_source: met.kr_source,
    });
    let request = AccountRequest {
        night: kept.night,
        place: task.place,
        time_zone: kept.site.time_zone,
        invented: kept.invented,
        outlook: journal.latest_prediction(outing)?,
        met,
        reading: task.reading,
        minutes_of_air: task.minutes_of_air,
        card_order: task.card_order,
    };
    Ok(job::account(&request)?)
}

/// What was read of an outing's frames and kept, the last of it.
///
/// # Errors
///
/// A record that this version cannot read.
pub(crate) fn kept_reading(journal: &Journal, outing: OutingId) -> Result<Option<ReadReport>, Failure> {
    let kept = journal.readings(Some(outing))?;
    Ok(kept.first().map(|summary| journal.reading(summary.id)).transpose()?)
}
