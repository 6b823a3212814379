use thiserror::Error;

/// A request that cannot be answered.
#[derive(Debug, Clone, PartialEq, Error)]
#[non_exhaustive]
pub enum JobError {
    /// A number in the request is outside the range in which it has a meaning.
    #[error("{field}: {message}")]
    BadField {
        /// The field of the request, dotted (`activity.intervals[2].kp`).
        field: String,
        /// What is wrong with it.
        message: String,
        /// What to do about it.
        hint: String,
    },
    /// The activity given leaves every dark hour of the night without a value.
    #[error("the activity from {source_name} covers no part of the night of {night}")]
    NoActivity {
        /// Who gave it.
        source_name: String,
        /// The night asked for.
        night: String,
    },
    /// The time zone name is not in the zone database.
    #[error("time zone {name:?} is not known")]
    UnknownTimeZone {
        /// What was given.
        name: String,
    },
}

impl JobError {
    /// What to do about it, for the terminal and the page alike.
    pub fn hint(&self) -> String {
        match self {
            Self::BadField { hint, .. } => hint.clone(),
            Self::NoActivity { night, .. } => {
                format!("give a Kp value, or a table with intervals that reach into the night of {night}")
            }
            Self::UnknownTimeZone { .. } => "give an IANA name such as Europe/Oslo, Pacific/Auckland or UTC".to_owned(),
        }
    }

    /// The field of the request that is at fault, where there is one.
    pub fn field(&self) -> Option<&str> {
        match self {
            Self::BadField { field, .. } => Some(field),
            Self::NoActivity { .. } => Some("activity"),
            Self::UnknownTimeZone { .. } => Some("site.time_zone"),
        }
    }

    /// A field whose value cannot be used.
    pub(crate) fn bad(field: impl Into<String>, message: impl Into<String>, hint: impl Into<String>) -> Self {
        Self::BadField { field: field.into(), message: message.into(), hint: hint.into() }
    }

    /// Checks that a number is finite and in range.
    pub(crate) fn check(field: &str, value: f64, low: f64, high: f64, unit: &str) -> Result<f64, Self> {
        if value.is_finite() && (low..=high).contains(&value) {
            return Ok(value);
        }
        Err(Self::bad(
            field,
            format!("{value} is outside {low} to {high} {unit}"),
            format!("give {low} to {high} {unit}"),
        ))
    }
}
