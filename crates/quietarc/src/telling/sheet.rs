//! Stills that are drawn of a night: its keogram, its map. One door for command and server.

use draw::{StillStyle, keogram_still, map_still};
use job::{ReadReport, TellSheetRequest, outlook_map, reading_keogram, reading_map};
use journal::{Journal, OutingId};

use super::account::kept_reading;
use super::credit::{CreditFields, DigitalSource};
use super::still::{StillKind, file_of};
use crate::Failure;

/// What is drawn.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum SheetKind {
    Keogram,
    Map,
}

/// A still that is drawn, before it is a file.
pub(crate) struct Drawn {
    pub(crate) svg: String,
    pub(crate) caption: Vec<String>,
}

/// Draws of an outing of the journal; its own zone is used where none is asked for.
///
/// # Errors
///
/// No such outing, nothing kept with it that can be drawn, a request out of range.
pub(crate) fn of_outing(
    journal: &Journal,
    outing: OutingId,
    kind: SheetKind,
    mut request: TellSheetRequest,
    style: StillStyle,
) -> Result<Drawn, Failure> {
    let kept = journal.outing(outing)?;
    request.time_zone = request.time_zone.or(Some(kept.site.time_zone));
    let mut reading = kept_reading(journal, outing)?;
    if let Some(reading) = &mut reading {
        reading.request.position = reading.request.position.or(Some(kept.site.position));
        if kind == SheetKind::Keogram || reading.keogram.is_some() {
            return of_reading(reading, kind, &request, style);
        }
    }
    let foretold = journal.latest_prediction(outing)?.filter(|_| kind == SheetKind::Map);
    let foretold = foretold.ok_or_else(|| {
        Failure::new(
            format!("nothing is kept with outing {outing} that this can be drawn of"),
            "read its frames with quietarc read --save, or ask its outlook with --save",
        )
    })?;
    let map = outlook_map(&foretold, &request)?;
    Ok(Drawn { svg: map_still(&map, &style), caption: map.caption })
}

/// Draws of a reading.
///
/// # Errors
///
/// A reading without a keogram, or without a place for a map; a request out of range.
pub(crate) fn of_reading(
    reading: &ReadReport,
    kind: SheetKind,
    request: &TellSheetRequest,
    style: StillStyle,
) -> Result<Drawn, Failure> {
    Ok(match kind {
        SheetKind::Keogram => {
            let told = reading_keogram(reading, request)?;
            Drawn { svg: keogram_still(&told, &style), caption: told.caption }
        }
        SheetKind::Map => {
            let told = reading_map(reading, request)?;
            Drawn { svg: map_still(&told, &style), caption: told.caption }
        }
    })
}

/// The drawing as a file with its credit.
///
/// # Errors
///
/// As [`StillKind::check`].
pub(crate) fn sheet_file(
    drawn: Drawn,
    request: &TellSheetRequest,
    style: StillStyle,
    kind: StillKind,
) -> Result<Vec<u8>, Failure> {
    kind.check(style)?;
    let fields = CreditFields {
        credit_line: request.credit.clone(),
        caption: Some(drawn.caption.join(" · ")),
        place: request.place.clone(),
        source: Some(DigitalSource::Computed),
        ..CreditFields::default()
    };
    file_of(drawn.svg, kind, &fields)
}
