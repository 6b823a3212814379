//! `quietarc outlook`

use draw::{CompareStyle, Palette, StripStyle};
use jiff::civil::Date;
use job::{Candidate, OutlookReport, OutlookRequest, Site};
use journal::NewOuting;
use quantity::Timestamp;

use super::given::{self, Inputs, Span};
use super::{now, open_journal, request_from, save_picture};
use crate::cli::{OutlookArgs, OutlookCommandArgs};
use crate::failure::{Failure, Outcome};
use crate::{output, present};

pub(super) fn run(arguments: &OutlookCommandArgs) -> Result<Outcome, Failure> {
    let report = super::scores::with_record(job::outlook(request(&arguments.asked)?)?, &arguments.asked.journal)?;
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
    let inputs = Inputs::new(&arguments.inputs, &arguments.journal, asked_at)?;
    let whole_night = span(&site, night)?;
    let found = inputs.activity(whole_night, whole_night)?;
    let (weather, said) = inputs.weather(&site, whole_night)?;
    let (elsewhere, without) = elsewhere(arguments, &inputs, &site, night)?;
    Ok(OutlookRequest {
        activity: found.activity,
        other_activity: found.others,
        upstream: found.upstream,
        precipitation: inputs.precipitation(&site)?,
        input_notes: found.notes.into_iter().chain(said).chain(without).collect(),
        elsewhere,
        weather,
        kit: given::kit(arguments.kit.as_deref(), &arguments.journal)?,
        f107: found.f107,
        adaptation_minutes: arguments.dark_minutes,
        night,
        asked_at,
        site,
    })
}

fn span(site: &Site, night: Date) -> Result<Span, Failure> {
    let times = job::night_times(night, site.position)?;
    Ok((times.from, times.to))
}

/// The other sites asked for, each with its weather, and what is to be said of that.
fn elsewhere(
    arguments: &OutlookArgs,
    inputs: &Inputs<'_>,
    focus: &Site,
    night: Date,
) -> Result<(Vec<Candidate>, Option<String>), Failure> {
    if !arguments.everywhere && arguments.also.is_empty() {
        return Ok((Vec::new(), None));
    }
    let journal = open_journal(&arguments.journal)?;
    let stored: Vec<Site> = if arguments.everywhere {
        journal.sites()?.into_iter().map(|stored| stored.site).collect()
    } else {
        arguments.also.iter().map(|name| Ok(journal.site_named(name)?.site)).collect::<Result<_, Failure>>()?
    };
    let others = stored.into_iter().filter(|site| site.name != focus.name);
    let candidates = others.map(|site| {
        let (weather, _said) = inputs.weather(&site, span(&site, night)?)?;
        Ok(Candidate { weather, site })
    });
    let candidates = candidates.collect::<Result<Vec<_>, Failure>>()?;
    let note = crate::stored_feeds::without_weather(&candidates);
    Ok((candidates, note))
}

/// The night that the moment of asking belongs to.
fn tonight(site: &Site, asked_at: Timestamp) -> Result<Date, Failure> {
    Ok(job::almanac(job::AlmanacRequest { at: asked_at, position: site.position })?.night.date)
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
