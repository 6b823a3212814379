//! `quietarc kit`: cameras with lenses.

mod add;
mod measure;

use job::Kit;

use super::open_journal;
use crate::cli::{KitListArgs, KitRemoveArgs, KitShowArgs, KitsAction, KitsArgs, StartersArgs};
use crate::failure::{Failure, Outcome};
use crate::{keeping, output, present_kit};

pub(super) fn run(arguments: &KitsArgs) -> Result<Outcome, Failure> {
    match &arguments.action {
        KitsAction::Add(arguments) => add::add(arguments),
        KitsAction::Change(arguments) => add::change(arguments),
        KitsAction::List(arguments) => list(arguments),
        KitsAction::Show(arguments) => show(arguments),
        KitsAction::Remove(arguments) => remove(arguments),
        KitsAction::Starters(arguments) => starters(arguments),
        KitsAction::Measure(arguments) => measure::measure(arguments),
    }
}

fn list(arguments: &KitListArgs) -> Result<Outcome, Failure> {
    let stored = open_journal(&arguments.journal)?.kits()?;
    let kits: Vec<Kit> = stored.into_iter().map(|stored| stored.kit).collect();
    if arguments.json {
        output::json(&kits)?;
    } else if kits.is_empty() {
        output::answer("No kit is kept yet. Add one: quietarc kit add NAME --sensor full-frame-24 --lens 20-1.8")?;
    } else {
        output::answer(&present_kit::kits(&kits))?;
    }
    Ok(Outcome::Done)
}

fn show(arguments: &KitShowArgs) -> Result<Outcome, Failure> {
    let kit = open_journal(&arguments.journal)?.kit_named(&arguments.name)?.kit;
    if arguments.json {
        output::json(&kit)?;
    } else {
        output::answer(&present_kit::kit(&kit))?;
    }
    Ok(Outcome::Done)
}

fn remove(arguments: &KitRemoveArgs) -> Result<Outcome, Failure> {
    keeping::remove::<Kit>(&open_journal(&arguments.journal)?, &arguments.name)?;
    output::answer(&format!("removed the kit {:?}", arguments.name))?;
    Ok(Outcome::Done)
}

fn starters(arguments: &StartersArgs) -> Result<Outcome, Failure> {
    let starters = job::starters();
    if arguments.json {
        output::json(&starters)?;
    } else {
        output::answer(&present_kit::starters(&starters))?;
    }
    Ok(Outcome::Done)
}
