//! Words of strangers made fit to be kept and shown. They are text wherever they go, never markup and never a path.

/// Letters of a name or a title at most.
const LINE_LETTERS: usize = 200;
/// Letters of a caption or of words of permission at most.
const BLOCK_LETTERS: usize = 4000;

/// One line: without control characters and marks that turn the direction of reading, spaces joined, cut to length.
pub(crate) fn line(text: &str) -> String {
    let plain: String = text.chars().map(|letter| if letter.is_whitespace() { ' ' } else { letter }).collect();
    let words: Vec<String> =
        plain.split(' ').map(|word| word.chars().filter(|letter| is_shown(*letter)).collect()).collect();
    let words: Vec<&str> = words.iter().map(String::as_str).filter(|word| !word.is_empty()).collect();
    words.join(" ").chars().take(LINE_LETTERS).collect()
}

/// Some lines, each as [`line`].
pub(crate) fn block(text: &str) -> String {
    let lines: Vec<String> = text.lines().map(line).collect();
    lines.join("\n").trim().chars().take(BLOCK_LETTERS).collect()
}

/// A file's name to be shown: the last part of whatever path it pretends to be.
pub(crate) fn file_name(text: &str) -> String {
    let last = text.rsplit(['/', '\\']).find(|part| !part.trim().is_empty()).unwrap_or_default();
    let name = line(last);
    if name.chars().all(|letter| letter == '.') { "unnamed".to_owned() } else { name }
}

/// A part of a file's name of our own: letters a to z, digits and hyphens.
pub(crate) fn slug(text: &str) -> String {
    let mapped: String =
        text.to_lowercase().chars().map(|letter| if letter.is_ascii_alphanumeric() { letter } else { '-' }).collect();
    let parts: Vec<&str> = mapped.split('-').filter(|part| !part.is_empty()).collect();
    parts.join("-").chars().take(40).collect()
}

/// Text as HTML that shows it.
pub(crate) fn escaped(text: &str) -> String {
    let mut out = String::with_capacity(text.len());
    for letter in text.chars() {
        match letter {
            '&' => out.push_str("&amp;"),
            '<' => out.push_str("&lt;"),
            '>' => out.push_str("&gt;"),
            '"' => out.push_str("&quot;"),
            '\'' => out.push_str("&#39;"),
            _ => out.push(letter),
        }
    }
    out
}

/// Unicode's marks of direction (UAX 9) and of no width let a name look like another one.
fn is_shown(letter: char) -> bool {
    let hides =
        matches!(letter, '\u{200b}'..='\u{200f}' | '\u{202a}'..='\u{202e}' | '\u{2060}'..='\u{2069}' | '\u{feff}');
    !letter.is_control() && !hides
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn names_lose_paths_and_what_hides() {
        assert_eq!(file_name("../../etc/passwd"), "passwd");
        assert_eq!(file_name("C:\\pictures\\a\u{202e}gpj.exe"), "agpj.exe");
        assert_eq!(file_name("..\\..\\"), "unnamed");
        assert_eq!(file_name(""), "unnamed");
        assert_eq!(file_name("IMG 1\0\n.jpg"), "IMG 1 .jpg");
        assert_eq!(file_name(&"x".repeat(5000)).len(), LINE_LETTERS);
    }

    #[test]
    fn markup_stays_text() {
        assert_eq!(escaped("<a b='c' d=\"&\">"), "&lt;a b=&#39;c&#39; d=&quot;&amp;&quot;&gt;");
        assert_eq!(line(" <script>alert(1)</script>\t x "), "<script>alert(1)</script> x");
        assert_eq!(block("a\r\n\r\nb\u{7}"), "a\n\nb");
        assert_eq!(slug("Åse <b>& Co</b> / .."), "se-b-co-b");
    }
}
