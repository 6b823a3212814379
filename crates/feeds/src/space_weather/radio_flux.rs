use jiff::tz::Offset;
use quantity::Timestamp;

use crate::agencies::NOAA_LICENCE;
use crate::noaa::parse_long_range;
use crate::{FeedId, FeedState};

/// The sun's radio flux of a day, with its source.
#[derive(Debug, Clone, PartialEq)]
pub struct RadioFlux {
    /// At 10.7 cm, solar flux units.
    pub f107_sfu: f64,
    /// Who says so, with the words the licence asks for.
    pub source: String,
    /// When it was issued, where known.
    pub issued_at: Option<Timestamp>,
}

/// The sun's radio flux of the day of an instant (UTC), by the 27-day outlook among the bodies; it sets how bright the
/// airglow is taken to be.
///
/// `None` where no outlook is at hand, it is stale at `now`, cannot be read, or does not have the day.
pub fn radio_flux(bodies: &[(FeedId, &[u8])], now: Timestamp, at: Timestamp) -> Option<RadioFlux> {
    let feed = FeedId::Noaa27Day;
    let (_, body) = bodies.iter().find(|(id, _)| *id == feed)?;
    let outlook = parse_long_range(body, feed.as_str()).ok()?;
    let date = Offset::UTC.to_datetime(at).date();
    let day = outlook.days.iter().find(|day| day.date == date)?;
    let first = outlook.intervals().first().map(|interval| interval.from);
    let state = feed.source().freshness.state(outlook.issued_at.or(first)?, now);
    matches!(state, FeedState::Fresh | FeedState::Ageing).then(|| RadioFlux {
        f107_sfu: day.f107_sfu,
        source: format!("27-day outlook: NOAA Space Weather Prediction Center, {NOAA_LICENCE}"),
        issued_at: outlook.issued_at,
    })
}
