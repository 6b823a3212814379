//! `quietarc tell`

mod clip;
mod eye;

use crate::cli::{TellAction, TellArgs};
use crate::failure::{Failure, Outcome};

pub(super) fn run(arguments: &TellArgs) -> Result<Outcome, Failure> {
    match &arguments.action {
        TellAction::Clip(arguments) => clip::run(arguments),
        TellAction::Eye(arguments) => eye::run(arguments),
    }
}
