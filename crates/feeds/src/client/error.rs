use std::fmt;

use thiserror::Error;

use crate::{FeedError, FeedId, Needs};

/// How a service keeps a program out.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Block {
    /// A status that says so: 202, 403, 405, or a redirect to nowhere.
    Status(u16),
    /// A page for people in place of the data.
    Page,
    /// A good status and nothing in it.
    Empty,
}

impl fmt::Display for Block {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::Status(status) => write!(f, "refuses this program (status {status})"),
            Self::Page => f.write_str("answers with a web page in place of the data"),
            Self::Empty => f.write_str("answers with nothing"),
        }
    }
}

/// Why a feed could not be had. What is stored of it stays.
#[derive(Debug, Clone, PartialEq, Eq, Error)]
#[non_exhaustive]
pub enum FetchError {
    /// The address needs something the question lacks.
    #[error("not asked: the address needs {what}")]
    Missing {
        /// "a place", "an airfield", "the forecast grid cell".
        what: &'static str,
    },
    /// The place lies where the feed has nothing.
    #[error("not asked: {feed} does not cover this place")]
    NotCovered {
        /// The feed.
        feed: FeedId,
    },
    /// No airfield code.
    #[error("not asked: {station:?} is not the code of an airfield")]
    BadStation {
        /// What was given.
        station: String,
    },
    /// More airfields than one question may hold.
    #[error("not asked: {given} airfields, {limit} at most")]
    TooManyStations {
        /// How many were given.
        given: usize,
        /// How many may be.
        limit: usize,
    },
    /// No address of the web.
    #[error("not asked: {url:?} is not a web address")]
    BadAddress {
        /// What was given.
        url: String,
    },
    /// The service refuses programs that name nobody to write to, and none is named.
    #[error("not asked: {agency} refuses programs without a contact")]
    NoContact {
        /// The service.
        agency: &'static str,
    },
    /// The same host failed to answer moments ago.
    #[error("not asked: {host} did not answer a moment ago")]
    HostIsDown {
        /// The host.
        host: String,
    },
    /// Nothing got out of this machine.
    #[error("no way to {host}: {problem}")]
    NoNetwork {
        /// The host.
        host: String,
        /// What the system says.
        problem: String,
    },
    /// The host is known but did not talk.
    #[error("no connection to {host}: {problem}")]
    NotConnected {
        /// The host.
        host: String,
        /// What the system says.
        problem: String,
    },
    /// Too slow.
    #[error("{host} took too long ({stage})")]
    TimedOut {
        /// The host.
        host: String,
        /// At which point.
        stage: &'static str,
    },
    /// The answer ended before its end.
    #[error("the answer of {host} was cut off: {problem}")]
    CutOff {
        /// The host.
        host: String,
        /// What was seen.
        problem: String,
    },
    /// The answer breaks the rules of HTTP.
    #[error("{host} does not answer as a web server should: {problem}")]
    Protocol {
        /// The host.
        host: String,
        /// What was seen.
        problem: String,
    },
    /// More than a body of this feed may have.
    #[error("the answer is larger than the {limit} bytes taken at most")]
    TooLarge {
        /// The limit, after unpacking.
        limit: usize,
    },
    /// Packed in a way that was not asked for, or that cannot be unpacked.
    #[error("the answer cannot be unpacked: {problem}")]
    BadPacking {
        /// What was seen.
        problem: String,
    },
    /// Kept out.
    #[error("blocked: {host} {how}")]
    Blocked {
        /// The host.
        host: String,
        /// How.
        how: Block,
    },
    /// 404 or 410.
    #[error("{host} says that there is nothing at this address (status {status})")]
    Gone {
        /// The host.
        host: String,
        /// 404 or 410.
        status: u16,
        /// What the address was made from: where it holds a place, it may be the place that is wrong.
        needs: Needs,
    },
    /// 429 or 503: come back later.
    #[error("{host} asks to come back later (status {status})")]
    Busy {
        /// The host.
        host: String,
        /// 429 or 503.
        status: u16,
    },
    /// 204: nothing to say for this question.
    #[error("{host} has nothing for this question (status 204)")]
    NoContent {
        /// The host.
        host: String,
    },
    /// Any other status.
    #[error("{host} answers with status {status}")]
    Status {
        /// The host.
        host: String,
        /// The status.
        status: u16,
    },
    /// Sent on too often.
    #[error("sent on to another address more than {limit} times")]
    TooManyRedirects {
        /// The limit.
        limit: u32,
    },
    /// Sent on to where this client does not go.
    #[error("sent on to {to:?}, which is not followed")]
    RedirectRefused {
        /// Where to.
        to: String,
    },
    /// Something that is no data at all, whatever the feed.
    #[error("not used: {found} in place of {feed}")]
    NotData {
        /// The feed.
        feed: FeedId,
        /// "nothing" or "a web page".
        found: &'static str,
    },
    /// A whole answer whose content is not what the feed should hold.
    #[error("not used: {0}")]
    BadBody(FeedError),
}

impl FetchError {
    /// What to do about it, for the terminal and the page alike.
    pub fn hint(&self) -> String {
        match self {
            Self::Missing { what: "an airfield" } => {
                "give --station with four letters, or stations = [\"ENTC\"] in the settings".to_owned()
            }
            Self::Missing { what: "a place" } => "give --lat and --lon, or --site".to_owned(),
            Self::Missing { .. } => "pull nws_points first".to_owned(),
            Self::NotCovered { .. } => "use another weather feed for this place".to_owned(),
            Self::BadStation { .. } => "give the four letters of an airfield, for example ENTC".to_owned(),
            Self::TooManyStations { limit, .. } => format!("give {limit} airfields at most"),
            Self::BadAddress { .. } => "correct the url in the settings; it starts with https://".to_owned(),
            Self::NoContact { .. } => {
                "give contact = \"you@example.org\" in the settings; it is sent along with every question".to_owned()
            }
            Self::HostIsDown { .. } => "try again when the other feeds of this host answer".to_owned(),
            Self::NoNetwork { .. } => "check the network; what is stored stays and is used with its age".to_owned(),
            Self::NotConnected { .. } | Self::TimedOut { .. } | Self::CutOff { .. } => {
                "try again in a while; a weak line may need several tries".to_owned()
            }
            Self::Protocol { .. } => {
                "try again; if it stays so, something stands between here and the service".to_owned()
            }
            Self::TooLarge { .. } => "look at the address in a browser; if it is right, please report it".to_owned(),
            Self::BadPacking { .. } => "try again; if it stays so, please report it".to_owned(),
            Self::Blocked { how: Block::Page, .. } => {
                "look at the address in a browser: a login page of the local network, or a notice of the service"
                    .to_owned()
            }
            Self::Blocked { how: Block::Empty, .. } => "try again in a while".to_owned(),
            Self::Blocked { how: Block::Status(_), .. } => {
                "give a contact in the settings, ask less often, or read the service's terms".to_owned()
            }
            Self::Gone { needs: Needs::Place, .. } => {
                "ask for a place the service covers: not the sea, and inside its country".to_owned()
            }
            Self::Gone { needs: Needs::GridPoint, .. } => "pull nws_points again: the cell has moved".to_owned(),
            Self::Gone { needs: Needs::Stations, .. } => "ask for another airfield".to_owned(),
            Self::Gone { needs: Needs::Nothing, .. } | Self::RedirectRefused { .. } | Self::TooManyRedirects { .. } => {
                "look for the feed's new address and give it as url in the settings".to_owned()
            }
            Self::Busy { .. } => "wait until the time shown under next".to_owned(),
            Self::NoContent { .. } => "ask for another place or airfield".to_owned(),
            Self::Status { .. } => "try again later; the trouble is at the service".to_owned(),
            Self::NotData { .. } => "fetch it again, and look at it before it is stored".to_owned(),
            Self::BadBody(_) => {
                "the answer is kept aside; if it stays so, the publisher has changed the format: please report it"
                    .to_owned()
            }
        }
    }

    /// Whether a question went out at all; if not, nothing is counted against the feed.
    pub fn was_asked(&self) -> bool {
        !matches!(
            self,
            Self::Missing { .. }
                | Self::NotCovered { .. }
                | Self::BadStation { .. }
                | Self::TooManyStations { .. }
                | Self::BadAddress { .. }
                | Self::NoContact { .. }
                | Self::HostIsDown { .. }
        )
    }

    /// Whether other feeds of the same host need not be tried now.
    pub fn is_host_down(&self) -> bool {
        matches!(
            self,
            Self::NoNetwork { .. }
                | Self::NotConnected { .. }
                | Self::TimedOut { stage: super::transport::CONNECTING, .. }
        )
    }
}
