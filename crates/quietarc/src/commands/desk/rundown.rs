//! `quietarc desk rundown`

use journal::{OneUse, SubmissionId};

use super::list::row;
use crate::cli::{DeskRundownArgs, JournalArgs, RundownAction};
use crate::commands::{now, open_journal};
use crate::desk::{Reorder, set_rundown};
use crate::failure::{Failure, Outcome};
use crate::output;

pub(super) fn run(arguments: &DeskRundownArgs) -> Result<Outcome, Failure> {
    let mut journal = open_journal(&JournalArgs { journal: arguments.journal.clone() })?;
    let rows = match &arguments.action {
        None => journal.rundown_rows()?,
        Some(action) => {
            let seen = journal.rundown()?;
            let to = reorder(action).of(&seen)?;
            set_rundown(&mut journal, &seen, &to, now(), &arguments.by)?
        }
    };
    if arguments.json {
        output::json(&rows)?;
        return Ok(Outcome::Done);
    }
    let lines: Vec<String> = rows
        .iter()
        .zip(1..)
        .map(|(line, place)| {
            let may = line.uses.is_some_and(|uses| uses.permits(OneUse::OnAir));
            format!("{place:>3}. {}{}", row(line), if may { "" } else { "  NOT PERMITTED FOR AIR ANY MORE" })
        })
        .collect();
    output::answer(&if lines.is_empty() {
        "The rundown is empty: quietarc desk rundown add NUMBER".to_owned()
    } else {
        lines.join("\n")
    })?;
    Ok(Outcome::Done)
}

fn reorder(action: &RundownAction) -> Reorder {
    let ids = |numbers: &[i64]| numbers.iter().map(|number| SubmissionId::new(*number)).collect();
    match action {
        RundownAction::Add { numbers } => Reorder::Add(ids(numbers)),
        RundownAction::Remove { numbers } => Reorder::Remove(ids(numbers)),
        RundownAction::Move { number, place } => Reorder::Move(SubmissionId::new(*number), *place),
    }
}
