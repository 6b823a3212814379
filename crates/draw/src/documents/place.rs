//! The sites of an outlook in the order in which they are worth going to.

use job::{Chances, OutlookReport, OutlookStep, Recommendation, Site, SiteOutlook, WatchWindow, best_step};

/// One site and what the outlook says of it.
pub(super) struct Place<'a> {
    pub(super) site: &'a Site,
    /// From 1, and of how many; none where nothing was compared.
    pub(super) rank: Option<(usize, usize)>,
    pub(super) recommendation: Recommendation,
    pub(super) chances: Option<Chances>,
    pub(super) window: Option<&'a WatchWindow>,
    /// The best moment: of the window, else of the night.
    pub(super) best: Option<&'a OutlookStep>,
    /// What the site is worth, 0 to 1, the road counted; none where nothing was compared.
    pub(super) worth: Option<f64>,
    pub(super) reason: &'a str,
}

impl Place<'_> {
    /// "2 of 4".
    pub(super) fn rank_words(&self) -> Option<String> {
        self.rank.map(|(rank, of)| format!("{rank} of {of}"))
    }
}

/// The ranking, or the one site asked about.
pub(super) fn places(report: &OutlookReport) -> Vec<Place<'_>> {
    if report.ranking.is_empty() {
        return vec![Place {
            site: &report.request.site,
            rank: None,
            recommendation: report.verdict.recommendation,
            chances: report.chances,
            window: report.windows.first(),
            best: best(&report.steps, report.windows.first()),
            worth: None,
            reason: report.windows.first().map_or("no stretch of the night stands out", |window| &window.reason),
        }];
    }
    let of = report.ranking.len();
    report.ranking.iter().enumerate().map(|(index, row)| ranked(report, row, (index + 1, of))).collect()
}

fn ranked<'a>(report: &'a OutlookReport, row: &'a SiteOutlook, rank: (usize, usize)) -> Place<'a> {
    let place = Place {
        site: &row.site,
        rank: Some(rank),
        recommendation: row.recommendation,
        chances: row.chances,
        window: row.windows.first(),
        best: best(&row.steps, row.windows.first()),
        worth: Some(row.worth),
        reason: &row.reason,
    };
    // The ranking counts quickly. The site asked about has its full count too: where both mean the same stretch of the night
    // that one is given, so that a document does not say two things of one site.
    let full = report.windows.first().filter(|full| {
        row.site == report.request.site
            && row.windows.first().is_some_and(|quick| quick.from <= full.best_at && full.best_at <= quick.to)
    });
    match full {
        None => place,
        Some(window) => Place {
            recommendation: report.verdict.recommendation,
            chances: report.chances,
            window: Some(window),
            best: best(&report.steps, Some(window)),
            ..place
        },
    }
}

fn best<'a>(steps: &'a [OutlookStep], window: Option<&WatchWindow>) -> Option<&'a OutlookStep> {
    let in_window = window.and_then(|window| steps.iter().find(|step| step.at == window.best_at));
    in_window.or_else(|| best_step(steps).map(|index| &steps[index]))
}

/// The advice in a word or two.
pub(super) fn advice(recommendation: Recommendation) -> &'static str {
    match recommendation {
        Recommendation::Go => "go",
        Recommendation::Perhaps => "perhaps",
        Recommendation::Stay => "stay",
        Recommendation::CannotTell => "cannot tell",
    }
}
