//! Prints the colours of the palettes as CSS custom properties, for the front end's one token file.

#![expect(clippy::format_push_string, reason = "a few lines, once")]

use draw::{Palette, RAMP_STOPS, stop_kr, tokens};

fn main() {
    let mut out = String::from("/* Written by `cargo run -p quietarc-draw --example tokens`. Do not edit. */\n");
    out.push_str("/* Ramp stops in kR:");
    for stop in 0..RAMP_STOPS {
        out.push_str(&format!(" {:02}={:.2}", stop, stop_kr(stop)));
    }
    out.push_str(" */\n");
    for (selector, palette) in
        [(":root, [data-palette=\"day\"]", Palette::Day), ("[data-palette=\"dark-eyes\"]", Palette::DarkEyes)]
    {
        out.push_str(&block(selector, palette));
    }
    out.push_str(&format!("@media print {{\n{}}}\n", block(":root, [data-palette]", Palette::Print)));
    #[expect(clippy::print_stdout, reason = "printing is what this program is for")]
    {
        print!("{out}");
    }
}

/// One rule with every token of a palette.
fn block(selector: &str, palette: Palette) -> String {
    let mut rule = format!("{selector} {{\n");
    for (name, value) in tokens(palette) {
        rule.push_str(&format!("  {name}: {value};\n"));
    }
    rule.push_str("}\n");
    rule
}
