//! `quietarc feeds`: the cache of what the agencies publish.

mod pull;
mod replay;
mod sources;
mod status;

use feeds::FeedId;

use crate::cli::{FeedsAction, FeedsArgs};
use crate::failure::{Failure, Outcome};

pub(super) fn run(arguments: &FeedsArgs) -> Result<Outcome, Failure> {
    match &arguments.action {
        FeedsAction::Pull(arguments) => pull::run(arguments),
        FeedsAction::Status(arguments) => status::run(arguments),
        FeedsAction::Sources(arguments) => sources::run(arguments),
    }
}

/// Feeds by name, each once, in the order of the table; all where none is named.
fn chosen(names: &[String]) -> Result<Vec<FeedId>, Failure> {
    let named: Vec<FeedId> = names.iter().map(|name| name.parse()).collect::<Result<_, feeds::UnknownFeed>>()?;
    let all = FeedId::ALL.iter().copied();
    Ok(all.filter(|feed| named.is_empty() || named.contains(feed)).collect())
}
