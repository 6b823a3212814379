//! How wide words may be at most: nothing may leave the title-safe area, whatever the letters.

/// Widths over the font size that no letter of its class exceeds in DejaVu Sans, the face that stills are drawn in; other
/// sans-serif faces are narrower.
const NARROW: f64 = 0.40;
const USUAL: f64 = 0.64;
const CAPITAL: f64 = 0.79;
const WIDEST: f64 = 1.0;

/// Most that a text takes, px.
pub(super) fn most_px(text: &str, font_px: f64) -> f64 {
    font_px * text.chars().map(of).sum::<f64>()
}

fn of(letter: char) -> f64 {
    match letter {
        'i' | 'j' | 'l' | 'I' | ' ' | '.' | ',' | ':' | '/' | '\'' | '(' | ')' | '·' | '-' => NARROW,
        'm' | 'w' | 'M' | 'W' | '@' | '%' => WIDEST,
        _ if letter.is_uppercase() && u32::from(letter) < 0x250 => CAPITAL,
        _ if u32::from(letter) < 0x250 => USUAL,
        _ => WIDEST,
    }
}

/// Facts joined by a middle dot into lines no wider than `width_px`; a fact too long for a line is cut with an ellipsis.
pub(super) fn lines(facts: &[String], font_px: f64, width_px: f64) -> Vec<String> {
    joined(facts, " · ", font_px, width_px)
}

/// The same with something else between them.
pub(super) fn joined(pieces: &[String], between: &str, font_px: f64, width_px: f64) -> Vec<String> {
    let mut lines: Vec<String> = Vec::new();
    for piece in pieces {
        match lines.last_mut().filter(|line| most_px(&format!("{line}{between}{piece}"), font_px) <= width_px) {
            Some(line) => {
                line.push_str(between);
                line.push_str(piece);
            }
            None => lines.push(cut(piece, font_px, width_px)),
        }
    }
    lines
}

fn cut(text: &str, font_px: f64, width_px: f64) -> String {
    if most_px(text, font_px) <= width_px {
        return text.to_owned();
    }
    let mut kept = String::new();
    let mut taken = font_px * WIDEST;
    for letter in text.chars() {
        taken += font_px * of(letter);
        if taken > width_px {
            break;
        }
        kept.push(letter);
    }
    format!("{}…", kept.trim_end())
}
