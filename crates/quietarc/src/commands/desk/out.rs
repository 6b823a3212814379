//! `quietarc desk consent`, `export` and `withdraw`

use journal::{Consent, SubmissionId};
use serde_json::json;

use super::{one_use, stock, uses};
use crate::cli::{DeskConsentArgs, DeskExportArgs, DeskWithdrawArgs, PlaceShownChoice};
use crate::commands::{now, open_journal};
use crate::desk::{self, Exporting, PlaceShown};
use crate::failure::{Failure, Outcome};
use crate::output;

pub(super) fn consent(arguments: &DeskConsentArgs) -> Result<Outcome, Failure> {
    let mut journal = open_journal(&arguments.journal)?;
    let id = SubmissionId::new(arguments.number);
    let by = desk::line(&arguments.by);
    let found = journal.submission(id)?;
    let mut seen = arguments.seen_version.unwrap_or(found.version);
    if let Some(credit) = &arguments.credit {
        let to = journal::Editable { credit_name: desk::line(credit), ..found.editable };
        seen = journal.edit_submission(id, seen, &to, now(), &by)?;
    }
    let given = Consent {
        uses: uses(&arguments.uses),
        recorded_at: now(),
        recorded_by: by,
        words: desk::block(&arguments.words),
    };
    journal.record_consent(id, seen, &given)?;
    let permitted: Vec<&str> = given.uses.list().into_iter().map(journal::OneUse::spoken).collect();
    output::answer(&if permitted.is_empty() {
        format!("submission {id}: its sender permits nothing; it may not leave")
    } else {
        format!("submission {id} may be used {}", permitted.join(", "))
    })?;
    Ok(Outcome::Done)
}

pub(super) fn export(arguments: &DeskExportArgs) -> Result<Outcome, Failure> {
    let mut journal = open_journal(&arguments.journal)?;
    let ids: Vec<SubmissionId> = arguments.numbers.iter().map(|number| SubmissionId::new(*number)).collect();
    let asked = Exporting {
        ids: &ids,
        permitted_use: one_use(arguments.permitted_use),
        folder: &arguments.out,
        place: match arguments.place {
            PlaceShownChoice::Nothing => PlaceShown::Nothing,
            PlaceShownChoice::Words => PlaceShown::Words,
            PlaceShownChoice::Degrees => PlaceShown::Degrees,
        },
        by: &desk::line(&arguments.by),
    };
    let all = desk::export(&mut journal, &stock(&arguments.journal)?, &asked, now())?;
    let of = all.len();
    let mut left = Vec::new();
    let mut failed = 0;
    for one in all {
        match one {
            Ok(exported) => left.push(exported),
            Err((id, failure)) => {
                failed += 1;
                output::note(&format!("{id:>6}  {}\n        {}", failure.message, failure.hint));
            }
        }
    }
    if arguments.json {
        output::json(&json!({ "exported": left }))?;
    } else if !left.is_empty() {
        let lines: Vec<String> = left.iter().map(|one| format!("{:>6}  {}", one.id, one.file.display())).collect();
        output::answer(&lines.join("\n"))?;
    }
    Ok(if failed == 0 { Outcome::Done } else { Outcome::SomeFailed { failed, of } })
}

pub(super) fn withdraw(arguments: &DeskWithdrawArgs) -> Result<Outcome, Failure> {
    let mut journal = open_journal(&arguments.journal)?;
    let id = SubmissionId::new(arguments.number);
    let asked = desk::Withdrawal { words: &arguments.words, erase: arguments.erase, by: &arguments.by };
    let exports = desk::withdraw(&mut journal, &stock(&arguments.journal)?, id, &asked, now())?;
    let mut lines = vec![format!("submission {id} is withdrawn; it leaves no more")];
    if exports.is_empty() {
        lines.push("No copy of it has left.".to_owned());
    } else {
        lines.push("Copies that left before; have them removed:".to_owned());
        lines.extend(exports.iter().map(|made| {
            format!(
                "  {} {} to {} by {}",
                made.exported_at,
                made.permitted_use.spoken(),
                made.destination,
                made.exported_by
            )
        }));
    }
    output::answer(&lines.join("\n"))?;
    Ok(Outcome::Done)
}
