//! How the card looks: one set of sizes in `rem`, so that paper and screen differ by the size of a letter and the number of columns.

use std::fmt::Write;

use crate::theme::Palette;

/// Nothing is fetched and nothing runs.
pub(super) const POLICY: &str = "default-src 'none'; style-src 'unsafe-inline'";

/// Rules that hold everywhere. No quotation mark, ampersand or angle bracket: the text goes through the writer's escapes.
const SHAPE: &str = "
* { box-sizing: border-box; margin: 0; padding: 0; }
html { scrollbar-color: var(--rule) var(--ground); }
body, main { background: var(--ground); color: var(--ink); }
main { font-family: system-ui, Liberation Sans, DejaVu Sans, sans-serif; line-height: 1.28; overflow-wrap: anywhere;
  font-variant-numeric: tabular-nums; }
svg { display: block; width: 100%; height: auto; }
h1 { font-size: 1.7rem; line-height: 1.1; }
h2 { font-size: 1rem; margin: .45rem 0 .15rem; padding-bottom: .05rem; border-bottom: 1px solid var(--rule); }
.facts, footer, .small { font-size: .86rem; }
.near { font-size: .93rem; }
.verdict { display: flex; flex-wrap: wrap; gap: .3rem .7rem; align-items: center; margin: .35rem 0; }
.advice { flex: none; padding: .15rem .6rem; font-size: 1.5rem; font-weight: 800; color: var(--ground); background: var(--ink);
  border-radius: .3rem; }
.words { flex: 1 1 20rem; font-size: 1.08rem; font-weight: 600; }
.window { margin: .2rem 0 .35rem; padding-left: .5rem; border-left: .3rem solid var(--ink); }
.times { font-size: 1.5rem; font-weight: 700; }
.best, .leave { font-size: 1.12rem; font-weight: 600; }
.hours { display: flex; flex-wrap: wrap; gap: 0 .7rem; align-items: baseline; }
.times, .best, .leave, .dial { white-space: nowrap; }
table { width: 100%; border-collapse: collapse; }
th, td { padding: .08rem .5rem .08rem 0; text-align: left; vertical-align: baseline; border-bottom: 1px solid var(--rule); }
th { font-weight: 600; }
td { font-weight: 400; }
.look td:nth-child(2), .look td:nth-child(3) { font-weight: 600; }
.camera th, .camera td { font-size: 1.2rem; font-weight: 700; }
.setting { margin: .15rem 0 .25rem; }
.when { display: inline-block; min-width: 7.2rem; }
.dial { font-size: 1.35rem; font-weight: 700; }
.sites tbody th { font-weight: 400; }
.asked td, .sites .asked th { font-weight: 700; }
ul { padding-left: 1.15rem; }
footer { margin-top: .35rem; padding-top: .2rem; border-top: 1px solid var(--rule); }
";

/// On a screen: one column on a phone, letters to be read at arm's length, a switch for the light.
const SCREEN: &str = "
@media screen {
main { padding: 0 1rem 2rem; max-width: 64rem; margin: 0 auto; font-size: 1.05rem; }
label { display: block; padding: .8rem 0; min-height: 48px; font-weight: 600; text-decoration: underline; }
#light { position: absolute; opacity: 0; }
#light:focus-visible + label { outline: 3px solid var(--ink); outline-offset: -3px; }
.eyes svg { max-width: 34rem; }
.paper { display: none; }
#light:checked ~ .sheet .eyes { display: none; }
}
@media screen and (max-width: 51.99rem) {
#light:checked ~ .sheet .narrow { display: block; }
.look tr { display: grid; grid-template-columns: minmax(0, 1fr) auto auto; gap: 0 .8rem; padding: .3rem 0; border-bottom: 1px solid var(--rule); }
.look td:last-child { grid-column: 1 / -1; }
.look th, .look td, .sites th, .sites td { padding: 0; border: 0; }
.sites thead { display: none; }
.sites tr { display: flex; flex-wrap: wrap; gap: 0 .8rem; padding: .3rem 0; border-bottom: 1px solid var(--rule); }
.sites th { flex: 1 0 80%; font-size: 1.12rem; }
.sites td:nth-child(n+4)::before { content: attr(data-column); margin-right: .35rem; font-weight: 400; opacity: .85; }
}
@media screen and (min-width: 52rem) {
#light:checked ~ .sheet .narrow { display: none; }
#light:checked ~ .sheet .wide { display: block; }
.middle, .foot { display: grid; grid-template-columns: 24rem minmax(0, 1fr); gap: 0 1.5rem; }
.foot { grid-template-columns: minmax(0, 1fr) minmax(0, 1fr); }
.look th, .look td:nth-child(2), .look td:nth-child(3), .sites th, .sites td { white-space: nowrap; }
.sites tbody th, .sites td:last-child { white-space: normal; }
.foot { font-size: .93rem; }
}
";

/// On paper: one page, whichever of the two sizes lies in the tray. Nothing rests on a background: browsers leave those out.
const PAPER: &str = "
@page { margin: 8mm; }
@media print {
html { font-size: 8.2pt; }
#light, label, .eyes, .narrow { display: none; }
.wide { display: block; }
.advice { color: var(--ink); background: none; border: .16rem solid var(--ink); }
.middle { display: grid; grid-template-columns: 72mm minmax(0, 1fr); gap: 0 5mm; }
.foot { display: grid; grid-template-columns: minmax(0, 4fr) minmax(0, 6fr); gap: 0 5mm; font-size: .86rem; }
.look th, .look td:nth-child(2), .look td:nth-child(3), .sites th, .sites td { white-space: nowrap; }
.sites tbody th, .sites td:last-child { white-space: normal; }
.sites table { font-size: .88rem; }
* { break-inside: avoid; }
}
";

/// The whole style sheet.
pub(super) fn style() -> String {
    let mut out = String::new();
    let dark = colours(Palette::DarkEyes);
    let light = colours(Palette::Print);
    // writing to a String cannot fail
    let _written = write!(
        out,
        ":root {{ {dark} color-scheme: dark; }}\nbody:has(#light:checked) {{ {light} }}\n\
         @media print {{ :root {{ {light} color-scheme: light; }} }}{SHAPE}{SCREEN}{PAPER}"
    );
    out
}

fn colours(palette: Palette) -> String {
    let theme = palette.theme();
    format!("--ground: {}; --ink: {}; --rule: {};", theme.background, theme.text, theme.rule)
}
