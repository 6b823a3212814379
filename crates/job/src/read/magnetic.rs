//! What a magnetogram says of the time of the frames.

use jiff::SignedDuration;
use quantity::Timestamp;
use sequence::{MagneticEvents, MagneticRecord, MagneticReference, MagneticSearch, OnsetStanding, magnetic_events};

use super::ReadRecords;
use super::report::{ReadBay, ReadFrames, ReadMagnetic, ReadOnset, ReadReport};
use super::trace::trace;
use crate::wording;

/// What is shown and told before and after the frames: a bay or onset that began before them may have made what they show.
pub(super) const BESIDE: SignedDuration = SignedDuration::from_mins(30);
/// Share of the frames' time from which a record is said to cover it: less is a gap of more than a lone sample in a hundred.
const COVERED: f64 = 0.99;

/// The time of the frames and what is told beside it; `None` where no frame has a time.
fn span_beside(frames: &ReadFrames) -> Option<(Timestamp, Timestamp)> {
    let (first, last) = frames.first.zip(frames.last)?;
    Some((first.saturating_sub(BESIDE).unwrap_or(first), last.saturating_add(BESIDE).unwrap_or(last)))
}

/// Whether a stretch touches the time of the frames, half an hour to each side; everything does where they say no time.
fn is_beside(frames: &ReadFrames, from: Timestamp, to: Timestamp) -> bool {
    span_beside(frames).is_none_or(|(begin, end)| from <= end && begin <= to)
}

impl ReadReport {
    /// Bays of the magnetogram that touch the time of the frames, half an hour to each side. Reports of older versions hold those of
    /// the whole record.
    pub fn bays_beside(&self) -> impl Iterator<Item = &ReadBay> {
        let bays = self.magnetic.iter().flat_map(|magnetic| &magnetic.bays);
        bays.filter(|bay| is_beside(&self.frames, bay.from, bay.to))
    }

    /// Onsets of the magnetogram within that time.
    pub fn onsets_beside(&self) -> impl Iterator<Item = &ReadOnset> {
        let onsets = self.magnetic.iter().flat_map(|magnetic| &magnetic.onsets);
        onsets.filter(|onset| is_beside(&self.frames, onset.at, onset.at))
    }
}

impl ReadMagnetic {
    /// How far the record misses the time of the frames, in words; `None` where it covers it, and in reports from before that was kept.
    pub fn gap_words(&self) -> Option<String> {
        let covered = self.frames_covered.filter(|covered| *covered < COVERED)?;
        Some(if covered > 0.0 {
            format!("covers {:.0} % of the frames' time", 100.0 * covered)
        } else {
            "has no value of the frames' time".to_owned()
        })
    }
}

/// Looks through a magnetogram; what keeps it from being read is told in the report's limits.
pub(super) fn magnetic(records: &ReadRecords<'_>, report: &mut ReadReport) -> Option<MagneticEvents> {
    let record = records.magnetic?;
    let taken = records.space.as_ref().and_then(|space| space.kp_taken).map(|taken| taken.kp);
    let search = MagneticSearch { kp: report.request.kp.or(taken), ..MagneticSearch::default() };
    let events = match magnetic_events(record, &search) {
        Ok(events) => events,
        Err(error) => {
            report.limits.push(format!("the magnetogram says nothing: {error}; {}", error.hint()));
            return None;
        }
    };
    let frames = &report.frames;
    let bays = events.bays.iter().filter(|bay| is_beside(frames, bay.from, bay.to));
    let bays: Vec<ReadBay> = bays.map(|bay| ReadBay { from: bay.from, to: bay.to, depth_nt: bay.depth_nt }).collect();
    let onsets = events.onsets.iter().filter(|onset| is_beside(frames, onset.at, onset.at)).map(|onset| ReadOnset {
        at: onset.at,
        likely: onset.standing == OnsetStanding::Likely,
        depth_nt: onset.depth_nt,
    });
    let onsets: Vec<ReadOnset> = onsets.collect();
    let span = frames.first.zip(frames.last);
    report.magnetic = Some(ReadMagnetic {
        station: record.station_code.clone(),
        element: format!("{:?}", events.element),
        quiet_nt: events.quiet_nt,
        quiet_basis: quiet_basis(events.reference).to_owned(),
        least_depth_nt: search.depth_nt,
        bays_elsewhere: count(events.bays.len() - bays.len()),
        onsets_elsewhere: count(events.onsets.len() - onsets.len()),
        bays,
        onsets,
        coverage: events.coverage,
        frames_covered: span.and_then(|(first, last)| covered(record, first, last)),
        spikes: count(events.spike_count),
        steps: count(events.steps.len()),
        untried_minutes: events.untried_minutes.map(count),
        rejected_rows: count(records.rejected_rows),
        trace: span.map_or_else(Vec::new, |(first, last)| trace(record, first, last)),
    });
    Some(events)
}

fn count(number: usize) -> u32 {
    u32::try_from(number).unwrap_or(u32::MAX)
}

fn quiet_basis(reference: MagneticReference) -> &'static str {
    match reference {
        MagneticReference::Given => "as it was given",
        MagneticReference::MedianOfDay => "the median of a day or more",
        MagneticReference::MedianOfHours => "the median of some hours, which a disturbance may have moved",
    }
}

/// Share of the record's steps from the first frame to the last that hold a value, 0 to 1; steps beyond the record hold none.
fn covered(record: &MagneticRecord, first: Timestamp, last: Timestamp) -> Option<f64> {
    let (_, values) = record.northward()?;
    let step = |at: Timestamp| (at.duration_since(record.start).as_secs_f64() / record.cadence_s).round();
    let (from, to) = (step(first), step(last));
    let is_there = |(step, value): &(usize, &Option<f64>)| {
        value.is_some_and(f64::is_finite) && (from..=to).contains(&(*step as f64))
    };
    let there = values.iter().enumerate().filter(is_there).count();
    Some(there as f64 / (to - from + 1.0))
}

/// The lines of the account that the magnetogram gives, each with what it rests on.
pub(super) fn lines(report: &ReadReport, tell: &mut impl FnMut(String, &str)) {
    let Some(magnetic) = &report.magnetic else { return };
    let station = &magnetic.station;
    if let Some(gap) = magnetic.gap_words() {
        tell(
            format!("the magnetogram of {station} {gap}: what it does not hold is not known"),
            "the record's times against the frames'; take a record of the night, or of another station",
        );
    }
    if magnetic.frames_covered.is_none_or(|covered| covered > 0.0) {
        let elsewhere = match (magnetic.bays_elsewhere, magnetic.onsets_elsewhere) {
            (0, 0) => String::new(),
            (bays, onsets) => format!(
                "; {} and {} more at other times of the record",
                wording::counted(bays, "bay"),
                wording::counted(onsets, "onset")
            ),
        };
        let quiet =
            if magnetic.quiet_basis.is_empty() { String::new() } else { format!(" ({})", magnetic.quiet_basis) };
        tell(
            format!(
                "magnetogram of {station}, from 30 min before the frames to 30 min after: {} below the quiet level{quiet} by {} nT, {}{elsewhere}",
                wording::counted(count(report.bays_beside().count()), "bay"),
                magnetic.least_depth_nt,
                wording::counted(count(report.onsets_beside().count()), "onset")
            ),
            "criterion of Newell & Gjerloev 2011, made for many stations: one station makes it likely at most",
        );
    }
    if let Some(words) = cleaning(magnetic) {
        tell(words, "spikes far from the median of their neighbours; a minute next to a gap cannot be tried");
    }
}

/// What of the record was not looked at; `None` where all was.
fn cleaning(magnetic: &ReadMagnetic) -> Option<String> {
    let counted = |count: u32, what: &str| (count > 0).then(|| format!("{count} {what}"));
    let mut left: Vec<String> = [
        counted(magnetic.spikes, "lone samples taken for spikes"),
        counted(magnetic.steps, "steps of the base line taken out"),
        counted(magnetic.rejected_rows, "rows of the file that cannot be true left out"),
    ]
    .into_iter()
    .flatten()
    .collect();
    match magnetic.untried_minutes {
        Some(0) => {}
        Some(minutes) => left.push(format!("{minutes} minutes not tried for an onset because of gaps")),
        // reports from before it was kept say nothing of their reference either
        None if magnetic.quiet_basis.is_empty() => {}
        None => left.push("no onset looked for, as it takes a value a minute".to_owned()),
    }
    (!left.is_empty()).then(|| format!("in the whole magnetogram: {}", left.join("; ")))
}

/// A lag of the sky to the field, in words.
///
/// * `after_s`: seconds by which the sky came after the field; negative: before it.
pub(super) fn lag_words(after_s: f64) -> String {
    let minutes = (after_s.abs() / 60.0).round();
    if minutes < 1.0 {
        return "within half a minute of a magnetic onset".to_owned();
    }
    format!("{minutes:.0} min {} a magnetic onset", if after_s < 0.0 { "before" } else { "after" })
}

#[cfg(test)]
mod tests {
    use sequence::{MagneticComponent, MagneticElement, MagneticQuality};

    use super::*;

    /// A record of minutes from midnight of 15 March 2026 with some values gone.
    fn record(minutes: usize, gone: std::ops::Range<usize>) -> MagneticRecord {
        let values = (0..minutes).map(|minute| (!gone.contains(&minute)).then_some(11_000.0)).collect();
        MagneticRecord {
            station_code: "TST".to_owned(),
            station_name: None,
            place: None,
            source: None,
            quality: MagneticQuality::Unknown,
            start: "2026-03-15T00:00:00Z".parse().unwrap(),
            cadence_s: 60.0,
            components: vec![MagneticComponent { element: MagneticElement::X, values }],
        }
    }

    #[test]
    fn a_lag_says_which_came_first() {
        assert_eq!(lag_words(-180.0), "3 min before a magnetic onset");
        assert_eq!(lag_words(181.0), "3 min after a magnetic onset");
        assert_eq!(lag_words(-20.0), "within half a minute of a magnetic onset");
    }

    #[test]
    fn a_record_covers_only_the_frames_it_has_values_of() {
        let at = |text: &str| text.parse().unwrap();
        // minutes 100 to 199 are 01:40 to 03:19
        let record = record(600, 100..200);
        let of = |from: &str, to: &str| covered(&record, at(from), at(to)).unwrap();
        assert!((of("2026-03-15T01:00:00Z", "2026-03-15T01:39:00Z") - 1.0).abs() < 1e-12);
        assert!(of("2026-03-15T01:40:00Z", "2026-03-15T03:19:00Z").abs() < 1e-12);
        // 40 of the 60 minutes from 01:00 to 01:59
        assert!((of("2026-03-15T01:00:00Z", "2026-03-15T01:59:00Z") - 40.0 / 60.0).abs() < 1e-12);
        assert!(of("2026-03-14T20:00:00Z", "2026-03-14T22:00:00Z").abs() < 1e-12, "the evening before");
    }
}
