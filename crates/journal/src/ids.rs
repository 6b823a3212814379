use std::fmt;

use rusqlite::types::{FromSql, FromSqlResult, ToSql, ToSqlOutput, ValueRef};
use serde::{Deserialize, Serialize};

/// One id type: a row number that cannot be taken for that of another table.
macro_rules! id {
    ($(#[$doc:meta])* $name:ident) => {
        $(#[$doc])*
        #[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize)]
        #[serde(transparent)]
        pub struct $name(i64);

        impl $name {
            /// From a number given by a person or an address; whether there is such a row shows on use.
            pub fn new(number: i64) -> Self {
                Self(number)
            }

            /// The plain number.
            pub fn get(self) -> i64 {
                self.0
            }
        }

        impl fmt::Display for $name {
            fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
                self.0.fmt(f)
            }
        }

        impl ToSql for $name {
            fn to_sql(&self) -> rusqlite::Result<ToSqlOutput<'_>> {
                Ok(self.0.into())
            }
        }

        impl FromSql for $name {
            fn column_result(value: ValueRef<'_>) -> FromSqlResult<Self> {
                value.as_i64().map(Self)
            }
        }
    };
}

id!(
    /// A stored site.
    SiteId
);
id!(
    /// A stored kit.
    KitId
);
id!(
    /// A stored outing.
    OutingId
);
id!(
    /// A stored prediction.
    PredictionId
);
id!(
    /// A stored reading.
    ReadingId
);
id!(
    /// A picture that somebody sent.
    SubmissionId
);
id!(
    /// What a picture looks like, as it is stored.
    PrintId
);
id!(
    /// A link by which pictures are sent.
    LinkId
);
