//! The form that the reading of a picture tells, for the table.

use frame::Limits;
use job::{FrameLook, ReadRequest, Reading, SequenceLens};

use super::known::Known;

/// What stands behind a name, and behind no other word.
const CHANCE: &str = ", chance ";

/// Whether a form was named.
pub(super) fn is_told(words: &str) -> bool {
    words.contains(CHANCE)
}

/// What the reading says of a picture by itself, in a few words; empty where there is no aurora or no picture.
pub(super) fn told(known: &Known, bytes: &[u8]) -> String {
    let request = ReadRequest { name: known.file.clone(), position: known.position(), ..ReadRequest::default() };
    let Ok(stack) = raw::open_stack(bytes, &Limits::default()) else { return String::new() };
    let lens = SequenceLens::of(stack.frame.clone(), &known.file, known.at(), known.position(), &request);
    let Ok(look) = FrameLook::of(&stack.frame, known.at(), &request, &lens) else { return String::new() };
    let mut reading = Reading::new(request, lens).unwrap();
    reading.push_without_time(&look);
    let forms = reading.finish(&job::ReadRecords::default()).forms;
    let words = forms.iter().map(|form| match form.name {
        Some(name) => {
            let code = form.code.as_ref().map_or(String::new(), |code| format!(" ({code})"));
            format!("{}{code}{CHANCE}{:.2}", name.words(), form.confidence)
        }
        None => format!("cannot tell: {}", form.reasons.last().map_or("", String::as_str)),
    });
    words.collect::<Vec<_>>().join("; ")
}
