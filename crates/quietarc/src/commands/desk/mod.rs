//! `quietarc desk`: what viewers send.

mod check;

use crate::cli::{DeskAction, DeskArgs};
use crate::failure::{Failure, Outcome};

pub(super) fn run(arguments: &DeskArgs) -> Result<Outcome, Failure> {
    match &arguments.action {
        DeskAction::Check(arguments) => check::run(arguments),
    }
}
