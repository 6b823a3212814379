//! `quietarc tell`

mod eye;
mod still;

use crate::cli::{TellAction, TellArgs};
use crate::failure::{Failure, Outcome};

pub(super) fn run(arguments: &TellArgs) -> Result<Outcome, Failure> {
    match &arguments.action {
        TellAction::Eye(arguments) => eye::run(arguments),
        TellAction::Still(arguments) => still::run(arguments),
    }
}
