//! `quietarc demo`

use job::CheckRequest;
use journal::{Journal, JournalError, NewOuting};

use super::{demo_desk, demo_night, make_folder, now};
use crate::cli::DemoArgs;
use crate::failure::{Failure, Outcome};
use crate::stored_feeds::settings;
use crate::{output, present, present_check, scenario, server};

pub(super) fn run(arguments: &DemoArgs) -> Result<Outcome, Failure> {
    make_folder(&arguments.journal)?;
    let mut journal = Journal::open(&arguments.journal)?;
    if journal.outings()?.iter().any(|outing| !outing.invented) {
        return Err(Failure::new(
            format!("{} holds outings of your own", arguments.journal.display()),
            "give the demo a journal file of its own with --journal",
        ));
    }
    let reports = scenario::reports()?;
    journal.transaction(|journal| fill(journal, &reports))?;
    for (title, report) in &reports {
        output::answer(&format!("== {title}\n\n{}", present::outlook(report)))?;
    }
    output::answer(&present_check::check(&job::check(&demo_frame(), scenario::DEMO_FRAME), true))?;
    let mut folders = arguments.frames.clone();
    if !arguments.no_night {
        let folder = demo_night::folder(&arguments.journal);
        demo_night::draw(&folder)?;
        output::answer(&demo_night::sorted(&mut journal, &folder)?)?;
        let sent = demo_desk::fill(&mut journal, &arguments.journal, &demo_night::good_frames(&folder)?)?;
        output::answer(&format!(
            "== What viewers sent, invented\n\n{sent} pictures wait on the page Desk; they are checked while the demo serves."
        ))?;
        // first of those that the page offers; without --frames the only one
        folders.insert(0, folder);
    }
    if arguments.no_serve {
        return Ok(Outcome::Done);
    }
    let frames = server::FrameFolders::new(server::Reach::ThisMachine, &folders)?;
    let settings = settings(&arguments.settings)?;
    let kept = server::Kept { journal, path: arguments.journal.clone(), settings, frames, proxy: None };
    server::run(kept, arguments.port, server::Reach::ThisMachine)?;
    Ok(Outcome::Done)
}

fn demo_frame() -> CheckRequest {
    CheckRequest { name: scenario::DEMO_FRAME_NAME.to_owned(), ..CheckRequest::default() }
}

/// Replaces what the journal holds by the invented outings: all or nothing.
fn fill(journal: &Journal, reports: &[(&str, job::OutlookReport)]) -> Result<(), Failure> {
    journal.remove_everything()?;
    // the list of outings shows the newest first: the main one goes in last
    for (title, report) in reports.iter().rev() {
        let request = &report.request;
        let site = journal.add_site(&request.site)?;
        for candidate in &request.elsewhere {
            journal.add_site(&candidate.site)?;
        }
        let kit = match journal.kit_named(&request.kit.name) {
            Ok(kit) => kit.id,
            Err(JournalError::NotFound { .. }) => journal.add_kit(&request.kit)?,
            Err(other) => return Err(other.into()),
        };
        let outing = journal.add_outing(&NewOuting {
            site,
            kit,
            night: request.night,
            title: (*title).to_owned(),
            created_at: now(),
            invented: true,
        })?;
        journal.record_prediction(outing, report)?;
    }
    Ok(())
}
