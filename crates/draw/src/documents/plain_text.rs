//! Text that somebody typed, made fit for any format.

/// The text in one line without what no name needs: control characters, marks that turn the order of reading around (they can
/// make a name look like another), characters that XML forbids. Runs of white space become one space.
pub(super) fn one_line(text: &str) -> String {
    let mut out = String::with_capacity(text.len().min(1024));
    for character in text.chars() {
        if character.is_whitespace() || character.is_control() {
            if !out.is_empty() && !out.ends_with(' ') {
                out.push(' ');
            }
        } else if !turns_reading(character) && !is_noncharacter(character) {
            out.push(character);
        }
    }
    out.truncate(out.trim_end().len());
    out
}

/// The text in one line, cut with an ellipsis after so many characters.
pub(super) fn at_most(text: &str, characters: usize) -> String {
    let whole = one_line(text);
    let Some((cut, _)) = whole.char_indices().nth(characters) else { return whole };
    // the ellipsis takes the place of the last character kept
    let kept = whole[..cut].char_indices().last().map_or("", |(last, _)| whole[..last].trim_end());
    format!("{kept}…")
}

/// Embeddings, overrides and isolates of the Unicode bidirectional algorithm (UAX 9), and its marks.
fn turns_reading(character: char) -> bool {
    matches!(character, '\u{061c}' | '\u{200e}' | '\u{200f}' | '\u{202a}'..='\u{202e}' | '\u{2066}'..='\u{2069}')
}

/// U+FDD0..U+FDEF and the last two of every plane (Unicode 15, chapter 23.7).
fn is_noncharacter(character: char) -> bool {
    matches!(character, '\u{fdd0}'..='\u{fdef}') || u32::from(character) & 0xfffe == 0xfffe
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn names_lose_what_no_name_needs() {
        assert_eq!(one_line(" Skerrow\r\n\tBay\u{0}\u{1b}[31m "), "Skerrow Bay [31m");
        assert_eq!(one_line("a\u{202e}txt.b\u{2066}\u{ffff}\u{1fffe}"), "atxt.b");
        assert_eq!(one_line("Øyvågen 東 🙂"), "Øyvågen 東 🙂");
        assert_eq!(one_line("\u{7}\n"), "");
    }

    #[test]
    fn a_long_text_is_cut_and_marked() {
        assert_eq!(at_most("Skerrow Bay", 11), "Skerrow Bay");
        assert_eq!(at_most("Skerrow Bay", 9), "Skerrow…");
        assert_eq!(at_most("東東東東", 3), "東東…");
    }
}
