use quantity::{Fraction, Timestamp};
use serde::{Deserialize, Serialize};

/// Cloud as given for the night: one cover for all of it.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "typescript", derive(ts_rs::TS))]
pub struct CloudCover {
    /// Share of the sky covered, 0 clear to 1 overcast; `None` where nobody said.
    pub cover: Option<Fraction>,
    /// Who says so.
    pub source: String,
    /// When it was observed or issued.
    #[cfg_attr(feature = "typescript", ts(type = "string | null"))]
    pub observed_at: Option<Timestamp>,
}

impl CloudCover {
    /// A cover given by the person asking.
    pub fn given(cover: Fraction) -> Self {
        Self { cover: Some(cover), source: "given by hand".to_owned(), observed_at: None }
    }

    /// Nobody said anything about cloud.
    pub fn unknown() -> Self {
        Self { cover: None, source: "nothing given".to_owned(), observed_at: None }
    }
}
