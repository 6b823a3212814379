//! A user's settings for feeds, from a TOML file.

use std::collections::BTreeMap;

use serde::Deserialize;
use thiserror::Error;

use crate::client::{FetchError, Question, address};
use crate::{FeedId, Needs, Source, UnknownFeed};

/// Largest settings file read, bytes.
const LARGEST_BYTES: usize = 256 * 1024;
/// Longest contact: it goes out with every question.
const LONGEST_CONTACT: usize = 100;

/// Whom a service may write to: a mail address or a web address.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Contact(String);

impl Contact {
    /// A contact.
    ///
    /// # Errors
    ///
    /// Neither a mail nor a web address, longer than 100 characters, or with characters that would break a header.
    pub fn new(text: &str) -> Result<Self, SettingsError> {
        let text = text.trim();
        let is_clean = text.bytes().all(|byte| byte.is_ascii_graphic() && !matches!(byte, b'(' | b')' | b'\\' | b'"'));
        let is_mail = text.split_once('@').is_some_and(|(name, host)| !name.is_empty() && host.contains('.'));
        let is_web = text.starts_with("https://") || text.starts_with("http://");
        if is_clean && (is_mail || is_web) && text.len() <= LONGEST_CONTACT {
            Ok(Self(text.to_owned()))
        } else {
            Err(SettingsError::BadContact { contact: crate::row::quote(text) })
        }
    }

    /// The address.
    pub fn as_str(&self) -> &str {
        &self.0
    }
}

/// What a user says about feeds. The default says nothing: every feed on, at its default address, no contact.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct Settings {
    /// Whom services may write to.
    pub contact: Option<Contact>,
    /// Airfields whose reports are pulled, by their four letters.
    pub stations: Vec<String>,
    feeds: BTreeMap<FeedId, FeedSettings>,
}

#[derive(Debug, Clone, Default, PartialEq, Eq, Deserialize)]
#[serde(deny_unknown_fields)]
struct FeedSettings {
    url: Option<String>,
    #[serde(default)]
    off: bool,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct Document {
    contact: Option<String>,
    #[serde(default)]
    stations: Vec<String>,
    #[serde(default)]
    feeds: BTreeMap<String, FeedSettings>,
}

impl Settings {
    /// Reads settings.
    ///
    /// ```
    /// let settings = feeds::Settings::parse(r#"
    ///     contact = "desk@example.org"
    ///     stations = ["ENTC"]
    ///     [feeds.noaa_ovation]
    ///     off = true
    ///     [feeds.gfz_kp]
    ///     url = "https://mirror.example.org/kp.txt"
    /// "#)?;
    /// assert!(!settings.is_on(feeds::FeedId::NoaaOvation));
    /// assert_eq!(settings.template(feeds::FeedId::GfzKp), "https://mirror.example.org/kp.txt");
    /// # Ok::<(), feeds::SettingsError>(())
    /// ```
    ///
    /// # Errors
    ///
    /// No TOML, a word not known here, a feed not known here, a contact or an address that cannot be one.
    pub fn parse(text: &str) -> Result<Self, SettingsError> {
        if text.len() > LARGEST_BYTES {
            return Err(SettingsError::TooLarge { bytes: text.len(), limit: LARGEST_BYTES });
        }
        let document: Document = toml::from_str(text).map_err(|error| SettingsError::BadToml {
            line: line_of(text, error.span().map_or(0, |span| span.start)),
            problem: error.message().lines().collect::<Vec<_>>().join("; "),
        })?;
        let contact = document.contact.as_deref().map(Contact::new).transpose()?;
        let feeds = document.feeds.into_iter().map(|(name, feed)| {
            let id: FeedId = name.parse()?;
            check_url(id.source(), &feed)?;
            Ok((id, feed))
        });
        let feeds = feeds.collect::<Result<BTreeMap<_, _>, SettingsError>>()?;
        Ok(Self { contact, stations: document.stations, feeds })
    }

    /// Whether a feed is to be asked.
    pub fn is_on(&self, feed: FeedId) -> bool {
        self.feeds.get(&feed).is_none_or(|settings| !settings.off)
    }

    /// The address of a feed, with the places to fill in braces: the user's, or the default.
    pub fn template(&self, feed: FeedId) -> &str {
        self.feeds.get(&feed).and_then(|settings| settings.url.as_deref()).unwrap_or(feed.source().url)
    }

    /// Whether the address of a feed is the user's.
    pub fn is_overridden(&self, feed: FeedId) -> bool {
        self.feeds.get(&feed).is_some_and(|settings| settings.url.is_some())
    }

    /// The address to ask; see [`address`].
    ///
    /// # Errors
    ///
    /// As [`address`].
    pub fn address(&self, feed: FeedId, question: &Question) -> Result<String, FetchError> {
        address(feed.source(), self.template(feed), question)
    }
}

/// An address without places to fill must be one; one with places is checked when they are filled.
fn check_url(source: &Source, feed: &FeedSettings) -> Result<(), SettingsError> {
    let Some(url) = &feed.url else { return Ok(()) };
    let bad = || SettingsError::BadUrl { feed: source.id, url: crate::row::quote(url) };
    let example = match source.needs {
        Needs::Nothing => url.clone(),
        Needs::Place => url.replace("{lat}", "1").replace("{lon}", "1"),
        Needs::GridPoint => url.replace("{grid}", "https://example.org/"),
        Needs::Stations => url.replace("{stations}", "ENTC"),
    };
    crate::client::check_address(&example).map_err(|_cause| bad())
}

fn line_of(text: &str, offset: usize) -> usize {
    text.bytes().take(offset).filter(|byte| *byte == b'\n').count() + 1
}

/// Settings that cannot be used.
#[derive(Debug, Clone, PartialEq, Eq, Error)]
#[non_exhaustive]
pub enum SettingsError {
    /// Far larger than any settings.
    #[error("the settings have {bytes} bytes, {limit} are read at most")]
    TooLarge {
        /// Their size.
        bytes: usize,
        /// The largest size read.
        limit: usize,
    },
    /// Not TOML, or with words not known here.
    #[error("the settings cannot be read, line {line}: {problem}")]
    BadToml {
        /// Line, from 1.
        line: usize,
        /// What is wrong.
        problem: String,
    },
    /// No address to write to.
    #[error("the contact {contact:?} is neither a mail address nor a web address")]
    BadContact {
        /// What was given.
        contact: String,
    },
    /// No web address.
    #[error("the url {url:?} of {feed} is not a web address")]
    BadUrl {
        /// The feed.
        feed: FeedId,
        /// What was given.
        url: String,
    },
    /// A feed not known here.
    #[error("the settings name a feed that does not exist: {0}")]
    UnknownFeed(#[from] UnknownFeed),
}

impl SettingsError {
    /// What to do about it, for the terminal and the page alike.
    pub fn hint(&self) -> String {
        match self {
            Self::TooLarge { .. } => "give the settings file alone".to_owned(),
            Self::BadToml { .. } => {
                "it may hold contact, stations, and tables like [feeds.gfz_kp] with url and off".to_owned()
            }
            Self::BadContact { .. } => "give contact = \"you@example.org\", 100 characters at most".to_owned(),
            Self::BadUrl { .. } => "give an address that starts with https://".to_owned(),
            Self::UnknownFeed(unknown) => unknown.hint(),
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn nothing_said_means_every_feed_at_its_default() {
        let settings = Settings::parse("").unwrap();
        assert_eq!(settings, Settings::default());
        for id in FeedId::ALL {
            assert!(settings.is_on(*id) && !settings.is_overridden(*id));
            assert_eq!(settings.template(*id), id.source().url);
        }
    }

    #[test]
    fn mistakes_are_named_with_their_line() {
        let error = Settings::parse("contact = \"a@b.org\"\n\n[feeds.gfz_kp]\nurls = 1\n").unwrap_err();
        assert!(matches!(error, SettingsError::BadToml { line: 4, .. }), "{error:?}");
        for (text, part) in [
            ("[feeds.gfz]\noff = true", "there is no feed \"gfz\""),
            ("contact = \"me\"", "\"me\" is neither"),
            ("contact = \"a@b.org\\r\\nHost: x\"", "is neither"),
            ("[feeds.gfz_kp]\nurl = \"file:///tmp/x\"", "is not a web address"),
            ("contact = ", "line 1"),
        ] {
            let error = Settings::parse(text).unwrap_err();
            assert!(error.to_string().contains(part), "{text}: {error}");
            assert!(!error.to_string().contains('\n') && !error.hint().is_empty());
        }
    }
}
