//! Links by which viewers send: a long random word in an address, of which only the hash is kept.

use jiff::{SignedDuration, Timestamp};
use journal::{Journal, LinkId, NewLink};
use serde::Serialize;

use super::text;
use crate::Failure;

/// Random bytes of a token: 128 bits cannot be guessed.
const TOKEN_BYTES: usize = 16;
/// Longest life of a link, days.
const LONGEST_DAYS: u32 = 90;
/// Pictures by one link at most.
const MOST_PICTURES: u32 = 100_000;

/// A link that somebody wants.
pub(crate) struct LinkWish<'a> {
    pub(crate) label: &'a str,
    pub(crate) time_zone: &'a str,
    pub(crate) days: u32,
    pub(crate) most_pictures: u32,
}

/// A new link; its token is told this once.
#[derive(Serialize)]
pub(crate) struct MadeToken {
    pub(crate) id: LinkId,
    pub(crate) token: String,
    /// What stands behind the server's address.
    pub(crate) path: String,
    pub(crate) expires_at: Timestamp,
}

/// Makes a link.
pub(crate) fn make_link(journal: &Journal, wish: &LinkWish<'_>, now: Timestamp) -> Result<MadeToken, Failure> {
    if !(1..=LONGEST_DAYS).contains(&wish.days) {
        return Err(Failure::new(format!("a link cannot hold for {} days", wish.days), "give 1 to 90 days"));
    }
    if !(1..=MOST_PICTURES).contains(&wish.most_pictures) {
        return Err(Failure::new("a link takes 1 to 100000 pictures", "give a number in between"));
    }
    if jiff::tz::TimeZone::get(wish.time_zone).is_err() {
        return Err(Failure::new(
            format!("there is no time zone {:?}", text::line(wish.time_zone)),
            "give an IANA name such as Europe/Oslo",
        ));
    }
    let token = token()?;
    let expires_at = now
        .checked_add(SignedDuration::from_hours(24 * i64::from(wish.days)))
        .map_err(|error| Failure::new(format!("no such time: {error}"), "set the clock of this machine"))?;
    let id = journal.add_link(&NewLink {
        token_hash: token_hash(&token),
        label: text::line(wish.label),
        time_zone: wish.time_zone.to_owned(),
        created_at: now,
        expires_at,
        most_pictures: wish.most_pictures,
    })?;
    Ok(MadeToken { id, path: format!("/send/{token}"), token, expires_at })
}

/// A word of 128 random bits, hexadecimal.
pub(crate) fn token() -> Result<String, Failure> {
    let mut bytes = [0u8; TOKEN_BYTES];
    getrandom::fill(&mut bytes)
        .map_err(|error| Failure::new(format!("no random numbers for a link: {error}"), "try again"))?;
    Ok(format!("{:032x}", u128::from_be_bytes(bytes)))
}

/// What is kept of a token. Looking this up takes a time that tells nothing of the token.
pub(crate) fn token_hash(token: &str) -> String {
    crate::sorting::content_hash(token.as_bytes())
}
