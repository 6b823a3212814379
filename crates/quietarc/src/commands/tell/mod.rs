//! `quietarc tell`

mod eye;

use crate::cli::{TellAction, TellArgs};
use crate::failure::{Failure, Outcome};

pub(super) fn run(arguments: &TellArgs) -> Result<Outcome, Failure> {
    match &arguments.action {
        TellAction::Eye(arguments) => eye::run(arguments),
    }
}
