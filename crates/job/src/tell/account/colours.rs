//! Green, red or blue, and why.

use jiff::tz::TimeZone;
use quantity::Timestamp;

use super::AccountSentence;
use super::sentence::Saying;
use crate::ReadLineShares;

/// Why green: computed light by the electrons' energy (GLOW, Solomon 2017, J. Geophys. Res. 122, 7834): 557.7 nm outdoes 630.0 nm
/// from a mean energy of some 1 keV on; its height is that of the same table.
const QUICK: &str = "GLOW, Solomon 2017, J. Geophys. Res. 122, 7834: green outdoes red where the electrons' mean energy is 1 keV or more";
/// Why red: the same below it.
const SLOW: &str =
    "GLOW, Solomon 2017, J. Geophys. Res. 122, 7834: red outdoes green where the electrons' mean energy is below 1 keV";
/// How long the two states live: 0.7 and 110 s (from memory).
const LIVES: &str = "the oxygen states live 0.7 s (green) and 110 s (red); from memory";

/// What the frames say of the lines, and what follows from it; no more than their ranges bear.
///
/// * `first`: when the frames begin.
pub(super) fn sentences(
    lines: &ReadLineShares,
    first: Option<Timestamp>,
    zone: &TimeZone,
    sentences: &mut Vec<AccountSentence>,
    not_known: &mut Vec<String>,
) {
    let (green, red) = (&lines.green_5577, &lines.red_6300);
    let source = |line: &str| {
        format!("share of {line} nm in its photons, median of {} frames, from their red, green and blue", lines.frames)
    };
    let saying = Saying::new("colours").text("By the frames, of a hundred parts of its light ");
    let saying = saying.parts(green, &source("557.7"), first).text(" were oxygen's green, ");
    let saying = saying.parts(red, &source("630.0"), first).text(" oxygen's red and ");
    sentences.push(saying.parts(&lines.blue_4278, &source("427.8"), first).text(" nitrogen's blue.").done());
    let why = Saying::new("colours_why");
    if green.low > red.high {
        let why = why.text("It was green because ");
        let why = why
            .because("its electrons came quick enough to reach the denser air below, where oxygen shines green", QUICK);
        let why = why.text("; ");
        let because = "red needs nearly two minutes undisturbed, which an atom has only in the thin air far above";
        sentences.push(why.because(because, LIVES).text(".").done());
    } else if red.low > green.high {
        let why = why.text("It was red because ");
        let why = why.because("many of its electrons were slow and stopped high up", SLOW).text(", ");
        let because = "where the air is so thin that an oxygen atom has the minutes it needs to shine red";
        sentences.push(why.because(because, LIVES).text(".").done());
    } else {
        not_known.push("Why it was green or red: by these frames neither was surely the stronger.".to_owned());
    }
    if let Some(reddest) = &lines.reddest {
        let source = "share of 630.0 nm in the photons of one frame, above the range of all";
        let saying = Saying::new("reddest").text("It was reddest at ").time(reddest.at, zone, source).text(", when ");
        let saying = saying.parts(&reddest.red_6300, source, Some(reddest.at));
        sentences.push(saying.text(" of a hundred parts were red.").done());
    }
}
