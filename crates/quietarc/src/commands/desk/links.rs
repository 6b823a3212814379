//! `quietarc desk link`

use journal::LinkId;

use crate::cli::DeskLinkAction;
use crate::commands::{now, open_journal};
use crate::desk::{LinkWish, make_link};
use crate::failure::{Failure, Outcome};
use crate::output;

pub(super) fn run(action: &DeskLinkAction) -> Result<Outcome, Failure> {
    match action {
        DeskLinkAction::New(arguments) => {
            let wish = LinkWish {
                label: &arguments.label,
                time_zone: &arguments.time_zone,
                days: arguments.days,
                most_pictures: arguments.most,
            };
            let made = make_link(&open_journal(&arguments.journal)?, &wish, now())?;
            if arguments.json {
                output::json(&made)?;
            } else {
                output::answer(&format!(
                    "link {}: {}\nPut it behind the address of your server (quietarc serve --share). It is shown this once, and holds until {}.",
                    made.id, made.path, made.expires_at
                ))?;
            }
        }
        DeskLinkAction::List(arguments) => {
            let links = open_journal(&arguments.journal)?.links()?;
            if arguments.json {
                output::json(&links)?;
                return Ok(Outcome::Done);
            }
            let at = now();
            let lines: Vec<String> = links
                .iter()
                .map(|link| {
                    let standing = link.shut(at).unwrap_or("open");
                    format!(
                        "{:>4}  {}  {} of {} pictures, until {}: {standing}",
                        link.id, link.label, link.taken, link.most_pictures, link.expires_at
                    )
                })
                .collect();
            let none = "No link is made yet: quietarc desk link new".to_owned();
            output::answer(&if lines.is_empty() { none } else { lines.join("\n") })?;
        }
        DeskLinkAction::Revoke(arguments) => {
            let id = LinkId::new(arguments.number);
            open_journal(&arguments.journal)?.revoke_link(id, now())?;
            output::answer(&format!("link {id} is taken back; nothing comes in by it any more"))?;
        }
    }
    Ok(Outcome::Done)
}
