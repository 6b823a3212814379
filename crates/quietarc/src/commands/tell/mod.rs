//! `quietarc tell`

mod account;
mod clip;
mod eye;
mod stack;
mod still;

use crate::cli::{TellAction, TellArgs};
use crate::failure::{Failure, Outcome};

pub(super) fn run(arguments: &TellArgs) -> Result<Outcome, Failure> {
    match &arguments.action {
        TellAction::Account(arguments) => account::run(arguments),
        TellAction::Clip(arguments) => clip::run(arguments),
        TellAction::Eye(arguments) => eye::run(arguments),
        TellAction::Stack(arguments) => stack::run(arguments),
        TellAction::Still(arguments) => still::run(arguments),
    }
}
