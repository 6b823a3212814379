//! `quietarc tell account`

use std::path::Path;

use job::{AccountReport, ReadReport};
use journal::OutingId;

use crate::cli::TellAccountArgs;
use crate::commands::{first_failure, open_journal, read};
use crate::failure::{Failure, Outcome};
use crate::telling::account::{AccountTask, account, kept_reading, page, running_order_csv, text};
use crate::{out_file, output};

pub(super) fn run(arguments: &TellAccountArgs) -> Result<Outcome, Failure> {
    let journal = open_journal(&arguments.journal)?;
    let outing = OutingId::new(arguments.outing);
    let reading = match &arguments.reading {
        Some(path) => Some(reading_from(path)?),
        None => kept_reading(&journal, outing)?,
    };
    let task = AccountTask {
        place: arguments.place.clone(),
        minutes_of_air: arguments.minutes_of_air,
        card_order: arguments.order.clone(),
        reading,
    };
    let report = account(&journal, outing, task)?;
    let saved = [
        arguments.html.as_deref().map(|path| out_file::write(path, page(&report, "Account of the night").as_bytes())),
        arguments.running_order.as_deref().map(|path| save_running_order(path, &report)),
    ];
    // one that cannot be written takes neither the other nor the account with it
    let unsaved = saved.into_iter().flatten().filter_map(Result::err);
    if arguments.json {
        output::json(&report)?;
    } else {
        output::answer(&text(&report))?;
    }
    first_failure(unsaved)?;
    Ok(Outcome::Done)
}

pub(super) fn reading_from(path: &Path) -> Result<ReadReport, Failure> {
    serde_json::from_slice(&read(path)?).map_err(|error| {
        Failure::new(format!("{} is no reading: {error}", path.display()), "give what quietarc read --json printed")
    })
}

fn save_running_order(path: &Path, report: &AccountReport) -> Result<(), Failure> {
    match path.extension().and_then(|ending| ending.to_str()) {
        Some("csv") => out_file::write(path, &running_order_csv(report)?),
        Some("json") => {
            let bytes = serde_json::to_vec_pretty(&report.cards).map_err(|error| {
                Failure::new(format!("the running order cannot be written down: {error}"), "report this as a bug")
            })?;
            out_file::write(path, &bytes)
        }
        _ => Err(Failure::new(
            format!("{} ends neither in .json nor in .csv", path.display()),
            "end the name in .json or .csv",
        )),
    }
}
