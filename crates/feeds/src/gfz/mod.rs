//! The Kp tables of GFZ, in every shape in which they are published.

mod daily;
mod json;
mod tab;
mod three_hourly;
mod wdc;

pub(crate) use json::parse_json;

use job::ActivityKind;

use crate::collect::{Collector, Reading};
use crate::row::Fault;
use crate::sniff::is_row;
use crate::{FeedError, KpFormat, KpSeries, Place};

/// The four text tables.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum TextShape {
    /// One day a line, all indices.
    Daily,
    /// One interval a line.
    ThreeHourly,
    /// `.wdc`.
    Wdc,
    /// `.tab`.
    Tab,
}

impl TextShape {
    /// Which table a line belongs to, by its first columns; `None` where it could be anything.
    pub(crate) fn of_line(line: &str) -> Option<Self> {
        let mut fields = line.split_whitespace();
        let first = fields.next()?;
        let all_digits = |text: &str, count: usize| text.len() == count && text.bytes().all(|b| b.is_ascii_digit());
        if all_digits(first, 4) && line.starts_with(first) && fields.next().is_some_and(|month| all_digits(month, 2)) {
            let hour = fields.nth(1)?;
            return Some(if hour.contains('.') { Self::ThreeHourly } else { Self::Daily });
        }
        if all_digits(first, 6)
            && line.split_whitespace().nth(1).is_some_and(|kp| crate::KpThird::from_sign(kp).is_some())
        {
            return Some(Self::Tab);
        }
        wdc::looks_like(line).then_some(Self::Wdc)
    }

    fn format(self) -> KpFormat {
        match self {
            Self::Daily => KpFormat::GfzDaily,
            Self::ThreeHourly => KpFormat::GfzThreeHourly,
            Self::Wdc => KpFormat::GfzWdc,
            Self::Tab => KpFormat::GfzTab,
        }
    }

    /// Reads one row; `kind` counts for the tables that do not say it themselves.
    fn row(self, line: &str, kind: ActivityKind) -> Result<Vec<Reading>, Fault> {
        match self {
            Self::Daily => daily::row(line),
            Self::ThreeHourly => three_hourly::row(line),
            Self::Wdc => wdc::row(line, kind),
            Self::Tab => tab::row(line, kind),
        }
    }
}

/// Reads a text table line by line.
pub(crate) fn parse_text(text: &str, shape: TextShape, source_name: &str) -> Result<KpSeries, FeedError> {
    let kind = kind_by_name(source_name);
    if shape == TextShape::ThreeHourly {
        three_hourly::check_index(text, source_name)?;
    }
    let mut collector = Collector::new(source_name, shape.format());
    for (index, line) in text.lines().enumerate().filter(|(_, line)| is_row(line)) {
        if shape == TextShape::Tab && tab::is_footer(line) {
            continue;
        }
        collector.row(Place::Line(index + 1), shape.row(line, kind));
    }
    collector.finish()
}

/// `.wdc` and `.tab` files do not say what kind of value they hold; the names of quick-look files do.
fn kind_by_name(source_name: &str) -> ActivityKind {
    let file = source_name.rsplit(['/', '\\']).next().unwrap_or_default().to_ascii_lowercase();
    if file.starts_with("ql") || file.starts_with("pql") { ActivityKind::Preliminary } else { ActivityKind::Definitive }
}

/// The kind of Kp by the last column of a text table: 0 preliminary, 1 Kp definitive, 2 all definitive.
fn kind_by_flag(flag: u8) -> Result<ActivityKind, Fault> {
    match flag {
        0 => Ok(ActivityKind::Preliminary),
        1 | 2 => Ok(ActivityKind::Definitive),
        other => Err(Fault::new("D", format!("{other} is not one of 0, 1, 2"))),
    }
}
