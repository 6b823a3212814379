//! `quietarc site`: places to stand.

mod add;
mod import;
mod surroundings;
mod terrain;

use job::Site;

use super::{open_journal, save_picture};
use crate::cli::{SiteListArgs, SiteRemoveArgs, SiteShowArgs, SitesAction, SitesArgs};
use crate::failure::{Failure, Outcome};
use crate::{keeping, output, present_site};

/// The skyline as a file.
const SKYLINE: draw::HorizonStyle =
    draw::HorizonStyle { width_px: 1200.0, height_px: 280.0, palette: draw::Palette::Day };

pub(super) fn run(arguments: &SitesArgs) -> Result<Outcome, Failure> {
    match &arguments.action {
        SitesAction::Add(arguments) => add::add(arguments),
        SitesAction::Change(arguments) => add::change(arguments),
        SitesAction::List(arguments) => list(arguments),
        SitesAction::Show(arguments) => show(arguments),
        SitesAction::Remove(arguments) => remove(arguments),
        SitesAction::Import(arguments) => import::run(arguments),
    }
}

fn list(arguments: &SiteListArgs) -> Result<Outcome, Failure> {
    let stored = open_journal(&arguments.journal)?.sites()?;
    let sites: Vec<Site> = stored.into_iter().map(|stored| stored.site).collect();
    if arguments.json {
        output::json(&sites)?;
    } else if arguments.geojson {
        output::answer(&feeds::places::to_geojson(&sites))?;
    } else if sites.is_empty() {
        output::answer("No site is kept yet. Add one: quietarc site add NAME --lat ... --lon ...")?;
    } else {
        output::answer(&present_site::sites(&sites))?;
    }
    Ok(Outcome::Done)
}

fn show(arguments: &SiteShowArgs) -> Result<Outcome, Failure> {
    let site = open_journal(&arguments.journal)?.site_named(&arguments.name)?.site;
    for path in [&arguments.svg, &arguments.png].into_iter().flatten() {
        save_picture(path, &draw::horizon_profile(&site, &SKYLINE))?;
    }
    if arguments.json {
        output::json(&site)?;
    } else {
        output::answer(&present_site::site(&site))?;
    }
    Ok(Outcome::Done)
}

fn remove(arguments: &SiteRemoveArgs) -> Result<Outcome, Failure> {
    keeping::remove::<Site>(&open_journal(&arguments.journal)?, &arguments.name)?;
    output::answer(&format!("removed the site {:?}", arguments.name))?;
    Ok(Outcome::Done)
}
