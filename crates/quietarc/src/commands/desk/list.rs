//! `quietarc desk list` and `show`

use journal::{AlikePicture, ListQuestion, SubmissionId, SubmissionOutcome, SubmissionRow, SubmissionState};

use crate::cli::{DeskListArgs, DeskShowArgs, OutcomeChoice, StateChoice};
use crate::commands::open_journal;
use crate::desk::{BoardAsked, Whole, called, whole};
use crate::failure::{Failure, Outcome};
use crate::output;

fn state(choice: StateChoice) -> SubmissionState {
    match choice {
        StateChoice::Received => SubmissionState::Received,
        StateChoice::Measured => SubmissionState::Measured,
        StateChoice::Checked => SubmissionState::Checked,
        StateChoice::Held => SubmissionState::Held,
        StateChoice::Cleared => SubmissionState::Cleared,
        StateChoice::Used => SubmissionState::Used,
        StateChoice::Withdrawn => SubmissionState::Withdrawn,
    }
}

fn outcome(choice: OutcomeChoice) -> SubmissionOutcome {
    match choice {
        OutcomeChoice::Consistent => SubmissionOutcome::Consistent,
        OutcomeChoice::Inconsistent => SubmissionOutcome::Inconsistent,
        OutcomeChoice::CannotTell => SubmissionOutcome::CannotTell,
    }
}

pub(super) fn run(arguments: &DeskListArgs) -> Result<Outcome, Failure> {
    let journal = open_journal(&arguments.journal)?;
    let asked = BoardAsked {
        state: arguments.state.map(state),
        outcome: arguments.verdict.map(outcome),
        form: arguments.form.clone(),
        claimed_from: arguments.claimed_from,
        claimed_to: arguments.claimed_to,
        near: arguments.near,
        within_km: Some(arguments.within_km),
        text: arguments.text.clone(),
        from: 0,
        most: Some(arguments.most),
    };
    let question = asked.question(&journal)?;
    let listed = journal.submissions(&question)?;
    if arguments.json {
        output::json(&listed)?;
        return Ok(Outcome::Done);
    }
    let mut lines: Vec<String> = listed.rows.iter().map(row).collect();
    let shown = lines.len();
    lines.push(match listed.total as usize {
        0 if question == ListQuestion { most: question.most, ..ListQuestion::default() } => {
            "Nothing is here: quietarc desk take FOLDER".to_owned()
        }
        0 => "Nothing here fits what was asked: quietarc desk list shows all".to_owned(),
        total if total > shown => format!("{shown} of {total}; --most shows more"),
        total => format!("{total} in all"),
    });
    output::answer(&lines.join("\n"))?;
    Ok(Outcome::Done)
}

pub(super) fn row(row: &SubmissionRow) -> String {
    let when = row.claimed_at.map_or_else(|| row.time_text.clone(), |at| at.strftime("%Y-%m-%d %H:%MZ").to_string());
    let permitted = match row.uses {
        None => "no permission recorded".to_owned(),
        Some(uses) => {
            let list: Vec<&str> = uses.list().into_iter().map(journal::OneUse::spoken).collect();
            if list.is_empty() { "refused".to_owned() } else { list.join(", ") }
        }
    };
    let problem = row.problem.as_ref().map(|problem| format!("  could not be opened: {problem}")).unwrap_or_default();
    let who = if row.credit_name.is_empty() { "nobody named" } else { &row.credit_name };
    format!(
        "{:>6}  {:<9}  {:<16}  {}  {}  [{permitted}]  {who}{problem}",
        row.id,
        row.state.word(),
        when,
        row.place_text,
        row.file_name
    )
}

pub(super) fn show(arguments: &DeskShowArgs) -> Result<Outcome, Failure> {
    let journal = open_journal(&arguments.journal)?;
    let whole = whole(&journal, SubmissionId::new(arguments.number), arguments.exact_place)?;
    if arguments.json {
        output::json(&whole)?;
    } else {
        output::answer(&words(&whole))?;
    }
    Ok(Outcome::Done)
}

fn words(whole: &Whole) -> String {
    let Whole { submission: found, changes, alike, .. } = whole;
    let fields = &found.editable;
    let mut lines = vec![format!("{}  {}  {}, {} bytes", found.id, found.file_name, found.media_type, found.bytes)];
    let mut say = |name: &str, text: String| {
        if !text.is_empty() {
            lines.push(format!("  {name:<12}{text}"));
        }
    };
    say("state", found.state.word().to_owned());
    say("problem", found.problem.clone().unwrap_or_default());
    say(
        "time",
        [fields.claim.time_text.clone(), fields.claim.at.map(|at| at.to_string()).unwrap_or_default()].join(" "),
    );
    let position = fields.claim.position.map(|p| format!("{:.4}, {:.4}", p.latitude_deg(), p.longitude_deg()));
    say("place", [fields.claim.place_text.clone(), position.unwrap_or_default()].join(" "));
    say("credit", fields.credit_name.clone());
    say("contact", fields.contact.clone());
    say("caption", fields.caption.clone());
    say("notes", fields.notes.clone());
    match &found.consent {
        None => say("permission", "none recorded: it may not leave".to_owned()),
        Some(consent) => {
            let uses: Vec<&str> = consent.uses.list().into_iter().map(journal::OneUse::spoken).collect();
            let uses = if uses.is_empty() { "refused".to_owned() } else { uses.join(", ") };
            say(
                "permission",
                format!("{uses}: \"{}\" (by {}, {})", consent.words, consent.recorded_by, consent.recorded_at),
            );
        }
    }
    if let Some(at) = found.withdrawn_at {
        say("withdrawn", format!("{at}: {}", found.withdrawn_words.clone().unwrap_or_default()));
    }
    for made in &found.exports {
        say("left", format!("{} {} to {}", made.exported_at, made.permitted_use.spoken(), made.destination));
    }
    for other in &found.same_content {
        say("same as", other.to_string());
    }
    say("aurora", found.form.clone().unwrap_or_default());
    for check in found.evidence.as_ref().and_then(|evidence| evidence["checks"].as_array()).into_iter().flatten() {
        let text = |key: &str| check[key].as_str().unwrap_or_default().to_owned();
        say("check", format!("{}: {}: {}", text("kind"), text("verdict"), text("sentence")));
    }
    for AlikePicture { of, likeness } in alike {
        say("alike", format!("{}: {}", called(of), likeness.sentence));
    }
    for change in changes {
        say("change", format!("{} {} by {}", change.changed_at, change.what, change.changed_by));
    }
    lines.join("\n")
}
