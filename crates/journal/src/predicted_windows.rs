//! What a prediction says of every stretch of the night, as rows one can search.

use job::{Chances, OutlookReport, OutlookStep, WatchWindow};
use quantity::Timestamp;
use rusqlite::params;

use crate::predictions::best_step;
use crate::text::instant;
use crate::{Journal, JournalError, PredictionId};

/// One row.
struct Row<'a> {
    site_name: &'a str,
    is_own_site: bool,
    place: usize,
    span: Option<(Timestamp, Timestamp)>,
    step: &'a OutlookStep,
    chances: Option<Chances>,
}

impl Journal {
    /// Stores the windows of all sites of a report, and the ages of its inputs.
    pub(crate) fn record_windows(&self, id: PredictionId, report: &OutlookReport) -> Result<(), JournalError> {
        let own = report.request.site.name.as_str();
        for row in rows(own, true, &report.windows, &report.steps) {
            self.record_window(id, &row)?;
        }
        if report.windows.is_empty()
            && let Some(step) = best_step(report)
        {
            let row = Row { site_name: own, is_own_site: true, place: 0, span: None, step, chances: report.chances };
            self.record_window(id, &row)?;
        }
        for site in report.ranking.iter().filter(|site| site.site.name != own) {
            for row in rows(&site.site.name, false, &site.windows, &site.steps) {
                self.record_window(id, &row)?;
            }
        }
        let sql = "INSERT INTO prediction_input VALUES (?1, ?2, ?3, ?4, ?5)";
        for (place, input) in report.inputs.iter().enumerate() {
            self.connection.execute(sql, params![id, number(place), input.name, input.source, input.age_minutes])?;
        }
        Ok(())
    }

    fn record_window(&self, id: PredictionId, row: &Row<'_>) -> Result<(), JournalError> {
        let arc = row.step.brightest.as_ref().map(|patch| patch.brightest_arc_kr);
        // two sites of one name in a comparison: the first stands
        let sql = "INSERT OR IGNORE INTO predicted_window \
                   VALUES (?1, ?2, ?3, ?4, ?5, ?6, ?7, ?8, ?9, ?10, ?11, ?12, ?13)";
        self.connection.execute(
            sql,
            params![
                id,
                row.site_name,
                row.is_own_site,
                number(row.place),
                row.span.map(|(from, _)| instant(from)),
                row.span.map(|(_, to)| instant(to)),
                instant(row.step.at),
                row.chances.map(|chances| chances.eye_sees.value()),
                row.chances.map(|chances| chances.camera_records.value()),
                row.step.clear_sightline.is_some(),
                arc.map(|arc| arc.value),
                arc.map(|arc| arc.low),
                arc.map(|arc| arc.high)
            ],
        )?;
        Ok(())
    }
}

fn rows<'a>(
    site_name: &'a str,
    is_own_site: bool,
    windows: &'a [WatchWindow],
    steps: &'a [OutlookStep],
) -> impl Iterator<Item = Row<'a>> {
    windows.iter().enumerate().filter_map(move |(place, window)| {
        let step = steps.iter().find(|step| step.at == window.best_at)?;
        let span = Some((window.from, window.to));
        Some(Row { site_name, is_own_site, place, span, step, chances: Some(window.chances) })
    })
}

fn number(place: usize) -> i64 {
    i64::try_from(place).unwrap_or(i64::MAX)
}
