//! `quietarc feeds sources`

use feeds::{FeedId, Settings, Source};
use serde::Serialize;

use crate::cli::FeedsSourcesArgs;
use crate::failure::{Failure, Outcome};
use crate::output;
use crate::stored_feeds::settings;

pub(super) fn run(arguments: &FeedsSourcesArgs) -> Result<Outcome, Failure> {
    let settings = settings(&arguments.settings)?;
    let lines: Vec<SourceLine> = FeedId::ALL.iter().map(|feed| SourceLine::new(*feed, &settings)).collect();
    if arguments.json {
        output::json(&lines)?;
    } else {
        let blocks: Vec<String> = lines.iter().map(SourceLine::text).collect();
        output::answer(&blocks.join("\n\n"))?;
    }
    Ok(Outcome::Done)
}

/// A feed as the settings leave it.
#[derive(Debug, Serialize)]
struct SourceLine {
    #[serde(flatten)]
    source: Source,
    url_in_use: String,
    is_url_from_settings: bool,
    is_on: bool,
}

impl SourceLine {
    fn new(feed: FeedId, settings: &Settings) -> Self {
        Self {
            source: *feed.source(),
            url_in_use: settings.template(feed).to_owned(),
            is_url_from_settings: settings.is_overridden(feed),
            is_on: settings.is_on(feed),
        }
    }

    fn text(&self) -> String {
        let source = &self.source;
        let off = if self.is_on { "" } else { " (off)" };
        let from = if self.is_url_from_settings { " (from the settings)" } else { "" };
        let contact = if source.wants_contact { "\n    refuses programs without a contact" } else { "" };
        format!(
            "{}{off}\n    {}\n    {}\n    address: {}{from}\n    licence: {}\n    credit: {}\n    asked at most every {}{contact}",
            source.id,
            source.title,
            source.agency,
            self.url_in_use,
            source.licence,
            source.credit,
            interval_words(source.minimum_interval_s)
        )
    }
}

fn interval_words(seconds: u32) -> String {
    match seconds {
        ..3600 => format!("{} min", seconds / 60),
        3600..86_400 => format!("{} h", seconds / 3600),
        86_400.. => format!("{} d", seconds / 86_400),
    }
}
