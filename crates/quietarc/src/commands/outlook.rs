//! `quietarc outlook`

use draw::{CompareStyle, Palette, StripStyle};
use jiff::civil::Date;
use job::{Candidate, OutlookReport, OutlookRequest, Site, Weather};
use journal::NewOuting;
use quantity::Timestamp;

use super::{given, now, open_journal, request_from, save_picture};
use crate::cli::{OutlookArgs, OutlookCommandArgs};
use crate::failure::{Failure, Outcome};
use crate::{output, present};

pub(super) fn run(arguments: &OutlookCommandArgs) -> Result<Outcome, Failure> {
    let report = job::outlook(request(&arguments.asked)?)?;
    if let Some(path) = &arguments.strip {
        let style =
            StripStyle { width_px: 1200.0, height_px: 260.0, palette: Palette::Day, caption: true, cursor: None };
        save_picture(path, &draw::night_strip(&report, &style))?;
    }
    if let Some(path) = &arguments.compare {
        if report.ranking.is_empty() {
            return Err(Failure::new("there is nothing to compare", "give --also SITE or --everywhere"));
        }
        let style = CompareStyle { width_px: 1000.0, palette: Palette::Day };
        save_picture(path, &draw::compare_sites(&report.ranking, &style))?;
    }
    if let Some(title) = &arguments.save {
        save(&arguments.asked, title, &report)?;
    }
    if arguments.json {
        output::json(&report)?;
    } else {
        output::answer(&present::outlook(&report))?;
    }
    Ok(Outcome::Done)
}

/// The question that the arguments ask.
pub(super) fn request(arguments: &OutlookArgs) -> Result<OutlookRequest, Failure> {
    if let Some(path) = &arguments.request {
        return request_from(path);
    }
    let site = super::site::site(&arguments.site, || open_journal(&arguments.journal))?;
    let asked_at = arguments.asked_at.unwrap_or_else(now);
    let night = match arguments.night {
        Some(night) => night,
        None => tonight(&site, asked_at)?,
    };
    let times = job::night_times(night, site.position)?;
    let whole_night = (times.from, times.to);
    Ok(OutlookRequest {
        activity: given::activity(arguments.kp, arguments.kp_file.as_deref(), whole_night, whole_night)?,
        other_activity: Vec::new(),
        elsewhere: elsewhere(arguments, &site, night)?,
        weather: weather(arguments, &site, night)?,
        kit: given::kit(arguments.kit.as_deref(), &arguments.journal)?,
        f107: arguments.f107,
        adaptation_minutes: arguments.dark_minutes,
        night,
        asked_at,
        site,
    })
}

/// The other sites asked for, each with the weather given.
fn elsewhere(arguments: &OutlookArgs, focus: &Site, night: Date) -> Result<Vec<Candidate>, Failure> {
    if !arguments.everywhere && arguments.also.is_empty() {
        return Ok(Vec::new());
    }
    let journal = open_journal(&arguments.journal)?;
    let stored: Vec<Site> = if arguments.everywhere {
        journal.sites()?.into_iter().map(|stored| stored.site).collect()
    } else {
        arguments.also.iter().map(|name| Ok(journal.site_named(name)?.site)).collect::<Result<_, Failure>>()?
    };
    stored
        .into_iter()
        .filter(|site| site.name != focus.name)
        .map(|site| Ok(Candidate { weather: weather(arguments, &site, night)?, site }))
        .collect()
}

/// The night that the moment of asking belongs to.
fn tonight(site: &Site, asked_at: Timestamp) -> Result<Date, Failure> {
    Ok(job::almanac(job::AlmanacRequest { at: asked_at, position: site.position })?.night.date)
}

fn weather(arguments: &OutlookArgs, site: &Site, night: Date) -> Result<Weather, Failure> {
    let Some(tenths) = arguments.cloud else { return Ok(Weather::unknown()) };
    let times = job::night_times(night, site.position)?;
    Ok(Weather::given_cloud(given::cloud(tenths)?, times.from, times.to))
}

fn save(arguments: &OutlookArgs, title: &str, report: &OutlookReport) -> Result<(), Failure> {
    let mut journal = open_journal(&arguments.journal)?;
    journal.transaction(|journal| {
        let site = journal.site_named(&report.request.site.name)?.id;
        let kit = match journal.kit_named(&report.request.kit.name) {
            Ok(kit) => kit.id,
            Err(journal::JournalError::NotFound { .. }) => journal.add_kit(&report.request.kit)?,
            Err(other) => return Err(Failure::from(other)),
        };
        let outing = journal.add_outing(&NewOuting {
            site,
            kit,
            night: report.request.night,
            title: title.to_owned(),
            created_at: report.request.asked_at,
            invented: false,
        })?;
        journal.record_prediction(outing, report)?;
        Ok(())
    })
}
