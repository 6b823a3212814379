//! `quietarc desk`: what viewers send, from their door to the programme.

mod card;
mod check;
mod edit;
mod know;
mod links;
mod list;
mod out;
mod rundown;
mod take;

use jiff::Timestamp;
use journal::{ConsentedUse, OneUse};
use quantity::GeoPosition;

use crate::cli::{DeskAction, DeskArgs, JournalArgs, UseChoice};
use crate::desk::Stock;
use crate::failure::{Failure, Outcome};

pub(super) fn run(arguments: &DeskArgs) -> Result<Outcome, Failure> {
    match &arguments.action {
        DeskAction::Check(arguments) => check::run(arguments),
        DeskAction::Take(arguments) => take::run(arguments),
        DeskAction::List(arguments) => list::run(arguments),
        DeskAction::Show(arguments) => list::show(arguments),
        DeskAction::Edit(arguments) => edit::run(arguments),
        DeskAction::Rundown(arguments) => rundown::run(arguments),
        DeskAction::Know(arguments) => know::run(arguments),
        DeskAction::Consent(arguments) => out::consent(arguments),
        DeskAction::Export(arguments) => out::export(arguments),
        DeskAction::Withdraw(arguments) => out::withdraw(arguments),
        DeskAction::Card(arguments) => card::run(arguments),
        DeskAction::Link(arguments) => links::run(&arguments.action),
    }
}

fn stock(journal: &JournalArgs) -> Result<Stock, Failure> {
    Ok(Stock::beside(&super::journal_path(journal)?))
}

/// What is written as an instant is kept as one too; other words stay words.
fn instant(words: &str) -> Option<Timestamp> {
    words.trim().parse().ok()
}

fn position(latitude_deg: Option<f64>, longitude_deg: Option<f64>) -> Result<Option<GeoPosition>, Failure> {
    let both = latitude_deg.zip(longitude_deg);
    Ok(both.map(|(latitude, longitude)| GeoPosition::new(latitude, longitude, 0.0)).transpose()?)
}

fn one_use(choice: UseChoice) -> OneUse {
    match choice {
        UseChoice::OnAir => OneUse::OnAir,
        UseChoice::Online => OneUse::Online,
        UseChoice::Archive => OneUse::Archive,
    }
}

fn uses(choices: &[UseChoice]) -> ConsentedUse {
    choices.iter().fold(ConsentedUse::default(), |uses, choice| uses.with(one_use(*choice)))
}
