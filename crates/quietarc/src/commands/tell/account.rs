//! `quietarc tell account`

use std::path::Path;

use job::{AccountReport, ReadReport};
use journal::OutingId;

use crate::cli::TellAccountArgs;
use crate::commands::{open_journal, read};
use crate::failure::{Failure, Outcome};
use crate::output;
use crate::sorting::atomic;
use crate::telling::account::{AccountTask, account, kept_reading, page, running_order_csv, text};

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
    if let Some(path) = &arguments.html {
        save(path, page(&report, "Account of the night").as_bytes())?;
    }
    if let Some(path) = &arguments.running_order {
        save_running_order(path, &report)?;
    }
    if arguments.json {
        output::json(&report)?;
    } else {
        output::answer(&text(&report))?;
    }
    Ok(Outcome::Done)
}

pub(super) fn reading_from(path: &Path) -> Result<ReadReport, Failure> {
    serde_json::from_slice(&read(path)?).map_err(|error| {
        Failure::new(format!("{} is no reading: {error}", path.display()), "give what quietarc read --json printed")
    })
}

fn save_running_order(path: &Path, report: &AccountReport) -> Result<(), Failure> {
    match path.extension().and_then(|ending| ending.to_str()) {
        Some("csv") => save(path, &running_order_csv(report)?),
        Some("json") => {
            let bytes = serde_json::to_vec_pretty(&report.cards).map_err(|error| {
                Failure::new(format!("the running order cannot be written down: {error}"), "report this as a bug")
            })?;
            save(path, &bytes)
        }
        _ => Err(Failure::new(
            format!("{} ends neither in .json nor in .csv", path.display()),
            "end the name in .json or .csv",
        )),
    }
}

fn save(path: &Path, bytes: &[u8]) -> Result<(), Failure> {
    atomic::write(path, bytes, None, false).map_err(|error| {
        Failure::new(
            format!("{} cannot be written: {error}", path.display()),
            "give a path in a folder you can write to",
        )
    })
}
