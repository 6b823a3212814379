//! The listing beside a GRIB file (`.idx`): which bytes to ask for.

use std::ops::RangeInclusive;

use jiff::civil::DateTime;
use jiff::tz::Offset;
use quantity::Timestamp;

use crate::FeedError;
use crate::weather::body;

const EXPECTED: &str = "a listing of a GRIB file (.idx)";
/// Most lines read; the longest listings have about 1200.
const MOST_LINES: usize = 20_000;
/// Names and levels of the fields this program reads.
const WANTED: [(&str, &[&str]); 11] = [
    ("TCDC", &["entire atmosphere", "entire atmosphere (considered as a single layer)", "surface"]),
    ("LCDC", &["low cloud layer"]),
    ("MCDC", &["middle cloud layer"]),
    ("HCDC", &["high cloud layer"]),
    ("TMP", &["2 m above ground"]),
    ("DPT", &["2 m above ground"]),
    ("UGRD", &["10 m above ground"]),
    ("VGRD", &["10 m above ground"]),
    ("WIND", &["10 m above ground"]),
    ("WDIR", &["10 m above ground"]),
    ("GUST", &["surface", "10 m above ground"]),
];

/// One line of a listing.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct GribIndexEntry {
    /// Number of the field as printed, such as `7` or `223.2`.
    pub number: String,
    /// First byte of its message.
    pub first_byte: u64,
    /// Last byte of its message; `None` for the last of the file.
    pub last_byte: Option<u64>,
    /// When the forecast was made.
    pub reference_time: Timestamp,
    /// Short name of the quantity, such as `LCDC`.
    pub variable: String,
    /// Level in words.
    pub level: String,
    /// Step in words, such as `anl`, `24 hour fcst` or `0-6 hour ave fcst`.
    pub step: String,
    /// What follows, such as `ens std dev` or `prob >0`; empty for the quantity itself.
    pub rest: String,
}

impl GribIndexEntry {
    /// Whether it is of an instant: an analysis or a plain forecast step.
    pub fn is_instant(&self) -> bool {
        self.step == "anl"
            || matches!(self.step.split(' ').collect::<Vec<_>>()[..], [number, _unit, "fcst"] if digits(number))
    }

    /// Whether it is a mean over a stretch of time.
    pub fn is_mean(&self) -> bool {
        self.step.contains(" ave ")
    }

    /// Its bytes for a `Range` header, where its end is known.
    pub fn bytes(&self) -> Option<RangeInclusive<u64>> {
        Some(self.first_byte..=self.last_byte?)
    }

    /// The value of a `Range` header that asks for its message alone.
    pub fn range_header(&self) -> String {
        match self.last_byte {
            Some(last) => format!("bytes={}-{last}", self.first_byte),
            None => format!("bytes={}-", self.first_byte),
        }
    }
}

/// Reads a listing; each message ends where the next begins.
///
/// Fields that share one message (`223.1`, `223.2`) share its bytes.
///
/// # Errors
///
/// No listing: a web page, an empty body, or a line of another form, which is named.
///
/// # Example
///
/// ```
/// let listing = b"1:0:d=2020021000:VIS:surface:24 hour fcst:\n2:754142:d=2020021000:LCDC:low cloud layer:24 hour fcst:\n";
/// let entries = feeds::weather::parse_grib_index(listing, "hrrr.idx")?;
/// assert_eq!(entries[0].range_header(), "bytes=0-754141");
/// assert_eq!(entries[1].range_header(), "bytes=754142-");
/// # Ok::<(), feeds::FeedError>(())
/// ```
pub fn parse_grib_index(bytes: &[u8], source_name: &str) -> Result<Vec<GribIndexEntry>, FeedError> {
    let text = body::text(bytes, source_name, EXPECTED)?;
    let mut entries = Vec::new();
    for (index, line) in text.lines().enumerate().filter(|(_, line)| !line.trim().is_empty()).take(MOST_LINES) {
        let entry = entry(line.trim()).ok_or_else(|| {
            let found = format!("its line {} is \"{}\"", index + 1, crate::row::quote(line.trim()));
            body::not_weather(source_name, EXPECTED, found)
        })?;
        entries.push(entry);
    }
    let mut starts: Vec<u64> = entries.iter().map(|entry| entry.first_byte).collect();
    starts.sort_unstable();
    for entry in &mut entries {
        let next = starts.partition_point(|start| *start <= entry.first_byte);
        entry.last_byte = starts.get(next).map(|start| start - 1);
    }
    Ok(entries)
}

fn entry(line: &str) -> Option<GribIndexEntry> {
    let mut parts = line.splitn(7, ':');
    let number = parts.next().filter(|number| number.split('.').all(digits))?.to_owned();
    let first_byte = parts.next().filter(|offset| digits(offset))?.parse().ok()?;
    let reference_time = reference_time(parts.next()?.strip_prefix("d=")?)?;
    let mut text = || parts.next().map(|part| part.trim().to_owned());
    let (variable, level, step) = (text()?, text()?, text()?);
    let rest = text().unwrap_or_default().trim_end_matches(':').to_owned();
    Some(GribIndexEntry { number, first_byte, last_byte: None, reference_time, variable, level, step, rest })
}

/// `YYYYMMDDHH`, at times with minutes.
fn reference_time(text: &str) -> Option<Timestamp> {
    if !digits(text) || !matches!(text.len(), 10 | 12) {
        return None;
    }
    let part = |from: usize, to: usize| text.get(from..to)?.parse().ok();
    let minute = if text.len() == 12 { part(10, 12)? } else { 0 };
    let year = text.get(..4)?.parse().ok()?;
    let civil = DateTime::new(year, part(4, 6)?, part(6, 8)?, part(8, 10)?, minute, 0, 0).ok()?;
    Offset::UTC.to_timestamp(civil).ok()
}

fn digits(text: &str) -> bool {
    !text.is_empty() && text.bytes().all(|byte| byte.is_ascii_digit())
}

/// The lines whose fields [`grib_weather`](super::grib_weather) can use: cloud, temperature, dew point, wind, gusts.
///
/// Where a quantity is given both for an instant and as a mean, the instant is taken; means are taken of cloud only.
/// Spreads, probabilities and other lines with words behind the step are left out.
pub fn weather_entries(entries: &[GribIndexEntry]) -> Vec<&GribIndexEntry> {
    let mut chosen = Vec::new();
    for (variable, levels) in WANTED {
        let named = |entry: &&GribIndexEntry| {
            entry.variable == variable && entry.rest.is_empty() && levels.contains(&entry.level.as_str())
        };
        let instants: Vec<_> = entries.iter().filter(named).filter(|entry| entry.is_instant()).collect();
        let cloud = variable.ends_with("CDC");
        if instants.is_empty() && cloud {
            chosen.extend(entries.iter().filter(named).filter(|entry| entry.is_mean()));
        }
        chosen.extend(instants);
    }
    chosen
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Composed to the listings of GFS and NBM.
    const LISTING: &[u8] = b"1:0:d=2026111406:LCDC:low cloud layer:6 hour fcst:\n\
        2:100:d=2026111406:LCDC:low cloud layer:0-6 hour ave fcst:\n\
        3:250:d=2026111406:MCDC:middle cloud layer:0-6 hour ave fcst:\n\
        4.1:400:d=2026111406:UGRD:10 m above ground:6 hour fcst:\n\
        4.2:400:d=2026111406:VGRD:10 m above ground:6 hour fcst:\n\
        5:700:d=2026111406:TCDC:surface:6 hour fcst:ens std dev\n\
        6:800:d=2026111406:TMP:2 m above ground:anl:\n\
        7:900:d=2026111406:TMP:850 mb:anl:\n";

    #[test]
    fn instants_are_preferred_and_spreads_left_out() {
        let entries = parse_grib_index(LISTING, "x").unwrap();
        let chosen: Vec<&str> = weather_entries(&entries).iter().map(|entry| entry.number.as_str()).collect();
        assert_eq!(chosen, ["1", "3", "6", "4.1", "4.2"]);
        assert_eq!(entries[3].bytes(), Some(400..=699));
        assert_eq!(entries[4].bytes(), Some(400..=699));
        assert_eq!(entries[7].range_header(), "bytes=900-");
        assert_eq!(entries[0].reference_time.to_string(), "2026-11-14T06:00:00Z");
    }

    #[test]
    fn a_line_of_another_form_is_named() {
        let error = |text: &[u8]| parse_grib_index(text, "x").unwrap_err().to_string();
        assert_eq!(
            error(b"1:0:d=2026:LCDC\n"),
            "x is not a listing of a GRIB file (.idx): its line 1 is \"1:0:d=2026:LCDC\""
        );
        assert!(error(b"<?xml version='1.0'?><Error>NoSuchKey</Error>").contains("web page"));
        assert_eq!(error(b""), "x is empty");
        assert!(error(b"1:0:d=2026133106:A:b:c:\n").contains("line 1"));
    }
}
