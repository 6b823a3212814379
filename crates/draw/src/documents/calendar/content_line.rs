//! Content lines: name, colon, value, folded.

use super::super::plain_text::one_line;

/// Longest line, octets, its break not counted (RFC 5545, 3.1).
const LONGEST_OCTETS: usize = 75;

/// Lines of an iCalendar stream as they grow.
#[derive(Debug, Default)]
pub(super) struct ContentLines(String);

impl ContentLines {
    /// A line whose value is no text: a date, a number, a name of the standard.
    pub(super) fn plain(&mut self, name: &str, value: &str) {
        self.folded(&format!("{name}:{value}"));
    }

    /// A line whose value is text: cleaned line by line and escaped.
    pub(super) fn text(&mut self, name: &str, value: &str) {
        let lines: Vec<String> = value.split('\n').map(|line| escaped(&one_line(line))).collect();
        self.plain(name, &lines.join("\\n"));
    }

    /// The stream.
    pub(super) fn into_text(self) -> String {
        self.0
    }

    fn folded(&mut self, line: &str) {
        let mut octets = 0;
        for character in line.chars() {
            if octets + character.len_utf8() > LONGEST_OCTETS {
                self.0.push_str("\r\n ");
                octets = 1;
            }
            self.0.push(character);
            octets += character.len_utf8();
        }
        self.0.push_str("\r\n");
    }
}

/// Text by RFC 5545, 3.3.11.
fn escaped(text: &str) -> String {
    let mut out = String::with_capacity(text.len());
    for character in text.chars() {
        if matches!(character, '\\' | ';' | ',') {
            out.push('\\');
        }
        out.push(character);
    }
    out
}

#[cfg(test)]
mod tests {
    use super::*;

    fn written(value: &str) -> String {
        let mut lines = ContentLines::default();
        lines.text("SUMMARY", value);
        lines.into_text()
    }

    #[test]
    fn text_is_escaped_as_the_standard_shows() {
        // the example of RFC 5545, 3.3.11
        assert_eq!(
            written("Project XYZ Final Review\nConference Room - 3B\nCome Prepared."),
            "SUMMARY:Project XYZ Final Review\\nConference Room - 3B\\nCome Prepared.\r\n"
        );
        assert_eq!(written("a;b,c\\d\r\u{7}"), "SUMMARY:a\\;b\\,c\\\\d\r\n");
    }

    #[test]
    fn long_lines_are_folded_between_characters() {
        let text = written(&"ø".repeat(100));
        let lines: Vec<&str> = text.trim_end().split("\r\n").collect();
        assert!(lines.len() == 3 && lines.iter().all(|line| line.len() <= LONGEST_OCTETS), "{lines:?}");
        assert!(lines[1..].iter().all(|line| line.starts_with(' ')));
        assert_eq!(text.replace("\r\n ", ""), format!("SUMMARY:{}\r\n", "ø".repeat(100)));
    }
}
