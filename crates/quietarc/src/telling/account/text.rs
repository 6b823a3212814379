//! An account as plain text, and its running order as a table.

use std::fmt::Write;

use job::{AccountNumber, AccountReport};

use crate::failure::Failure;

/// The sentences, the sources of their numbers, what is not known, and the running order.
pub(crate) fn text(report: &AccountReport) -> String {
    let mut out = String::new();
    let mut number = 0;
    for sentence in &report.sentences {
        out.push_str(&sentence.text);
        for _number in &sentence.numbers {
            number += 1;
            // writing to a String cannot fail
            let _written = write!(out, " [{number}]");
        }
        out.push('\n');
    }
    section(&mut out, "Not known, and not told:", &report.not_known);
    let cards: Vec<String> = report
        .cards
        .iter()
        .map(|card| format!("{} {:>5.1} s  {} ({})", clock(card.start_s), card.length_s, card.title, card.picture))
        .collect();
    section(&mut out, "Running order (lengths are an estimate, 150 spoken words a minute):", &cards);
    section(&mut out, "No time on air for:", &report.left_out);
    let numbers = report.sentences.iter().flat_map(|sentence| &sentence.numbers);
    let sources: Vec<String> =
        numbers.enumerate().map(|(i, number)| format!("[{}] {}", i + 1, source(number))).collect();
    section(&mut out, "Sources:", &sources);
    out
}

fn section(out: &mut String, title: &str, lines: &[String]) {
    if lines.is_empty() {
        return;
    }
    // writing to a String cannot fail
    let _written = write!(out, "\n{title}\n");
    for line in lines {
        let _written = writeln!(out, "  {line}");
    }
}

/// "12 kR: IMG_0101.JPG, 2026-03-15T09:00:00Z": a number with who says it and when.
pub(super) fn source(number: &AccountNumber) -> String {
    let exact = number.value.map_or_else(String::new, |value| format!(" ({value} {})", number.unit).replace(" )", ")"));
    let at = number.at.map_or_else(String::new, |at| format!(", {at}"));
    format!("{}{exact}: {}{at}", number.words, number.source)
}

/// "1:05" for 65 s.
pub(super) fn clock(seconds: f64) -> String {
    #[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "an hour at most; saturates")]
    let seconds = seconds.round() as u64;
    format!("{}:{:02}", seconds / 60, seconds % 60)
}

/// The running order as comma-separated values.
///
/// # Errors
///
/// Never for a report.
pub(crate) fn running_order_csv(report: &AccountReport) -> Result<Vec<u8>, Failure> {
    let fault = |error: &dyn std::fmt::Display| {
        Failure::new(format!("the running order cannot be written down: {error}"), "report this as a bug")
    };
    let mut table = csv::Writer::from_writer(Vec::new());
    table.write_record(["id", "start_s", "length_s", "title", "picture", "text"]).map_err(|error| fault(&error))?;
    for card in &report.cards {
        let said: Vec<&str> = report
            .sentences
            .iter()
            .filter(|sentence| card.sentences.contains(&sentence.id))
            .map(|sentence| sentence.text.as_str())
            .collect();
        let (start, length) = (format!("{:.1}", card.start_s), format!("{:.1}", card.length_s));
        let row = [&card.id, &start, &length, &card.title, &card.picture, &said.join(" ")];
        table.write_record(row).map_err(|error| fault(&error))?;
    }
    table.into_inner().map_err(|error| fault(&error))
}
