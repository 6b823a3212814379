//! `quietarc desk edit`

use journal::{Editable, SubmissionId};

use super::{instant, position};
use crate::cli::DeskEditArgs;
use crate::commands::{now, open_journal};
use crate::desk::{Edited, edit};
use crate::failure::{Failure, Outcome};
use crate::output;

pub(super) fn run(arguments: &DeskEditArgs) -> Result<Outcome, Failure> {
    let mut journal = open_journal(&arguments.journal)?;
    let id = SubmissionId::new(arguments.number);
    let found = journal.submission(id)?;
    let Editable { mut claim, credit_name, contact, caption, notes } = found.editable.clone();
    if let Some(words) = &arguments.claim_time {
        (claim.time_text, claim.at) = (words.clone(), instant(words));
    }
    let given = |to: &Option<String>, from: String| to.clone().unwrap_or(from);
    claim.place_text = given(&arguments.claim_place, claim.place_text);
    claim.position = position(arguments.claim_lat, arguments.claim_lon)?.or(claim.position);
    let fields = Editable {
        claim,
        credit_name: given(&arguments.credit, credit_name),
        contact: given(&arguments.contact, contact),
        caption: given(&arguments.caption, caption),
        notes: given(&arguments.notes, notes),
    };
    let version = arguments.seen_version.unwrap_or(found.version);
    let edited = Edited { version, by: arguments.by.clone(), fields, keeps_position: false };
    let version = edit(&mut journal, id, edited, now())?;
    let again = if journal.submission(id)?.measured_at.is_none() && found.measured_at.is_some() {
        "; its checks are void, and are made again by a running server or the next quietarc desk take"
    } else {
        ""
    };
    output::answer(&format!("submission {id} is changed, now version {version}{again}"))?;
    Ok(Outcome::Done)
}
