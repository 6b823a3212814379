/// Longest name kept, characters: the longest lens names of the trade have about 60.
const LONGEST_NAME: usize = 80;
/// Longest value shown in a doubt, characters.
const LONGEST_SHOWN: usize = 60;

/// A name without control characters, outer and double blanks; `None` where nothing is left that says anything.
pub(crate) fn name(text: &str) -> Option<String> {
    let clean = cleaned(text, LONGEST_NAME);
    clean.chars().any(char::is_alphanumeric).then_some(clean)
}

/// A value fit to be shown.
pub(crate) fn shown(text: &str) -> String {
    cleaned(text, LONGEST_SHOWN)
}

fn cleaned(text: &str, longest: usize) -> String {
    // marks that turn the direction of writing could make a name look like another one
    let is_hidden = |c: char| {
        c.is_control()
            || matches!(c, '\u{200b}'..='\u{200f}' | '\u{202a}'..='\u{202e}' | '\u{2066}'..='\u{2069}' | '\u{feff}' | '\u{fffd}')
    };
    let plain: String = text.chars().take(4 * longest).map(|c| if is_hidden(c) { ' ' } else { c }).collect();
    let joined = plain.split_whitespace().collect::<Vec<_>>().join(" ");
    joined.chars().take(longest).collect::<String>().trim_end().to_owned()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn names_are_cleaned_and_bounded() {
        assert_eq!(name("NIKON  D850\0\0\n").as_deref(), Some("NIKON D850"));
        assert_eq!(name("----"), None);
        assert_eq!(name(&"x".repeat(1_000_000)).map(|name| name.len()), Some(LONGEST_NAME));
        assert_eq!(name("\u{202e}mm05"), Some("mm05".to_owned()));
    }
}
