//! An outlook as a document: one door for command and server.

use draw::documents::{DocumentKind, calendar, field_card, geojson, gpx};
use job::OutlookReport;

use crate::Failure;

/// Makes a document of a report.
pub(crate) fn document(kind: DocumentKind, report: &OutlookReport) -> Result<String, Failure> {
    Ok(match kind {
        DocumentKind::Card => field_card(report, &job::field_plan(report)?),
        DocumentKind::Calendar => calendar(report)?,
        DocumentKind::Gpx => gpx(report),
        DocumentKind::GeoJson => geojson(report),
    })
}
