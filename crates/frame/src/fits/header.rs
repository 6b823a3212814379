/// Bytes that every part of a file is a multiple of.
pub(crate) const UNIT_BYTES: usize = 2_880;
const CARD_BYTES: usize = 80;
const KEYWORD_BYTES: usize = 8;
/// Cards of the longest header that is read: observatories write some hundreds.
const MOST_CARDS: usize = 20_000;

/// One header: keywords with the text of their values, in order.
#[derive(Debug, Clone, Default)]
pub(crate) struct Header {
    cards: Vec<(String, String)>,
    /// Length of the header with its filling, bytes.
    pub(crate) length: usize,
}

impl Header {
    /// Reads cards up to `END`; `None` where that never comes.
    pub(crate) fn read(bytes: &[u8]) -> Option<Self> {
        let mut cards = Vec::new();
        for (index, card) in bytes.chunks_exact(CARD_BYTES).take(MOST_CARDS).enumerate() {
            let keyword = text(&card[..KEYWORD_BYTES]);
            if keyword == "END" {
                let length = ((index + 1) * CARD_BYTES).div_ceil(UNIT_BYTES) * UNIT_BYTES;
                return Some(Self { cards, length });
            }
            if &card[KEYWORD_BYTES..KEYWORD_BYTES + 2] == b"= " {
                cards.push((keyword, value(&text(&card[KEYWORD_BYTES + 2..]))));
            }
        }
        None
    }

    /// The text of a keyword's value, without quotes and outer blanks; the first, where it is there twice.
    pub(crate) fn text(&self, keyword: &str) -> Option<&str> {
        let found = self.cards.iter().find(|(name, _)| name == keyword);
        found.map(|(_, value)| value.as_str()).filter(|value| !value.is_empty())
    }

    /// A number; recorders put some of them in quotes, and old Fortran writes `1.0D0`.
    pub(crate) fn number(&self, keyword: &str) -> Option<f64> {
        let number: f64 = self.text(keyword)?.replace(['D', 'd'], "E").parse().ok()?;
        number.is_finite().then_some(number)
    }

    /// A whole number of 0 or more.
    pub(crate) fn count(&self, keyword: &str) -> Option<u64> {
        self.text(keyword)?.parse().ok()
    }

    /// The first of several keywords that is there.
    pub(crate) fn first_number(&self, keywords: &[&'static str]) -> Option<(&'static str, f64)> {
        keywords.iter().find_map(|keyword| self.number(keyword).map(|number| (*keyword, number)))
    }
}

fn text(bytes: &[u8]) -> String {
    let plain = bytes.iter().map(|byte| if byte.is_ascii_graphic() { char::from(*byte) } else { ' ' });
    plain.collect::<String>().trim().to_owned()
}

/// The value of a card without its comment: between quotes, or up to the slash.
fn value(field: &str) -> String {
    let Some(quoted) = field.strip_prefix('\'') else {
        return field.split('/').next().unwrap_or_default().trim().to_owned();
    };
    // two quotes in a row stand for one
    let mut value = String::new();
    let mut rest = quoted.chars().peekable();
    while let Some(c) = rest.next() {
        if c == '\'' && rest.next_if_eq(&'\'').is_none() {
            break;
        }
        value.push(c);
    }
    value.trim().to_owned()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn values_lose_their_quotes_and_comments() {
        assert_eq!(value("'O''Neill ' / observer"), "O'Neill");
        assert_eq!(value("   +3.2767000000E+04 / zero"), "+3.2767000000E+04");
        assert_eq!(value("T /"), "T");
    }

    #[test]
    fn a_header_without_its_end_is_none() {
        assert!(Header::read(&[b' '; 2880]).is_none());
    }
}
