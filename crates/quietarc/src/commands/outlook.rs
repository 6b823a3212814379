//! `quietarc outlook`

use draw::{CompareStyle, Palette, StripStyle};
use jiff::civil::Date;
use job::{Activity, Candidate, Kit, OutlookReport, OutlookRequest, Site, Weather};
use journal::NewOuting;
use quantity::{Fraction, Timestamp};

use super::{now, open_journal, read, request_from, save_picture};
use crate::cli::OutlookArgs;
use crate::failure::{Failure, Outcome};
use crate::{output, present};

pub(super) fn run(arguments: &OutlookArgs) -> Result<Outcome, Failure> {
    let report = job::outlook(request(arguments)?)?;
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
        save(arguments, title, &report)?;
    }
    if arguments.json {
        output::json(&report)?;
    } else {
        output::answer(&present::outlook(&report))?;
    }
    Ok(Outcome::Done)
}

fn request(arguments: &OutlookArgs) -> Result<OutlookRequest, Failure> {
    if let Some(path) = &arguments.request {
        return request_from(path);
    }
    let site = super::site::site(&arguments.site, || open_journal(&arguments.journal))?;
    let asked_at = arguments.asked_at.unwrap_or_else(now);
    let night = match arguments.night {
        Some(night) => night,
        None => tonight(&site, asked_at)?,
    };
    Ok(OutlookRequest {
        activity: activity(arguments, &site, night)?,
        other_activity: Vec::new(),
        elsewhere: elsewhere(arguments, &site, night)?,
        weather: weather(arguments, &site, night)?,
        kit: kit(arguments)?,
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

fn activity(arguments: &OutlookArgs, site: &Site, night: Date) -> Result<Activity, Failure> {
    let times = job::night_times(night, site.position)?;
    match (&arguments.kp_file, arguments.kp) {
        (Some(path), _) => {
            let series = feeds::parse_kp(&read(path)?, &path.display().to_string())?;
            if let Some(summary) = series.rejected_summary() {
                output::note(&summary);
            }
            Ok(series.to_activity(times.from, times.to))
        }
        (None, Some(kp)) => Ok(Activity::given(kp, times.from, times.to)),
        (None, None) => Ok(Activity { source: "nothing given".to_owned(), issued_at: None, intervals: Vec::new() }),
    }
}

fn weather(arguments: &OutlookArgs, site: &Site, night: Date) -> Result<Weather, Failure> {
    let Some(tenths) = arguments.cloud else { return Ok(Weather::unknown()) };
    let cover = Fraction::new(tenths / 10.0).map_err(|_cause| {
        Failure::new(format!("--cloud {tenths} is outside 0 to 10"), "give tenths of the sky, 0 clear to 10 overcast")
    })?;
    let times = job::night_times(night, site.position)?;
    Ok(Weather::given_cloud(cover, times.from, times.to))
}

fn kit(arguments: &OutlookArgs) -> Result<Kit, Failure> {
    match &arguments.kit {
        Some(name) => Ok(open_journal(&arguments.journal)?.kit_named(name)?.kit),
        None => Ok(Kit::plain()),
    }
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
