//! Numbers and times in words.
