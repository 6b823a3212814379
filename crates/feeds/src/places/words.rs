//! Names and descriptions as other programs write them.

/// Longest name, characters: longer ones fit no list and no picture.
pub const LONGEST_NAME: usize = 120;
/// Longest description kept, characters: a page of text.
const LONGEST_DESCRIPTION: usize = 4000;

/// A name in one line: control characters and marks that turn the direction of text become blanks, runs of blanks one.
///
/// Everything else stays, angle brackets and quotation marks included: a name is text wherever it is shown.
pub fn clean_name(text: &str) -> String {
    let visible: String = text.chars().map(|c| if is_harmful(c) || c == '\n' { ' ' } else { c }).collect();
    let words: Vec<&str> = visible.split_whitespace().collect();
    cut(&words.join(" "), LONGEST_NAME)
}

/// A description: as a name, but lines stay lines and it may be longer.
pub(super) fn clean_description(text: &str) -> String {
    let text = text.replace("\r\n", "\n").replace('\r', "\n");
    let visible: String = text.chars().map(|c| if is_harmful(c) { ' ' } else { c }).collect();
    cut(visible.trim(), LONGEST_DESCRIPTION)
}

/// Whether a character is invisible and changes what the others mean: C0 and C1 controls except the line feed, the
/// bidirectional overrides and isolates of Unicode, and the byte order mark.
fn is_harmful(c: char) -> bool {
    (c.is_control() && c != '\n')
        || matches!(c, '\u{202a}'..='\u{202e}' | '\u{2066}'..='\u{2069}' | '\u{200e}' | '\u{200f}' | '\u{feff}')
}

fn cut(text: &str, longest: usize) -> String {
    match text.char_indices().nth(longest) {
        None => text.to_owned(),
        // room for the mark that something is missing
        Some(_) => text.chars().take(longest - 1).chain(['…']).collect(),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_name_is_one_clean_line() {
        assert_eq!(clean_name("  Skerrow\tBay\u{0}\n by \u{202e}night "), "Skerrow Bay by night");
        assert_eq!(clean_name("<script>alert(1)</script>"), "<script>alert(1)</script>");
        assert_eq!(clean_name("e\u{301}tang 北の湖 🌌"), "e\u{301}tang 北の湖 🌌");
        assert_eq!(clean_name(&"x".repeat(500)).chars().count(), LONGEST_NAME);
    }

    #[test]
    fn a_description_keeps_its_lines() {
        assert_eq!(clean_description(" gate\r\nroad\u{7} "), "gate\nroad");
    }
}
