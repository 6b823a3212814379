//! A file of places into the journal: all of its good places, or none when the journal cannot.

use feeds::places::{FoundPlace, FoundPlaces, Sameness, duplicates};
use job::Site;
use journal::{Journal, JournalError};
use serde::Serialize;

use super::{KeepError, add};
use crate::Failure;

/// A place of the file that was not stored.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub(crate) struct NotStored {
    /// Where it stands and what it is called, as far as that is known.
    pub(crate) place: String,
    /// Why.
    pub(crate) reason: String,
    /// What to do about it.
    pub(crate) remedy: String,
}

/// What became of a file of places.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub(crate) struct ImportReport {
    /// The file.
    pub(crate) file: String,
    /// Names of the sites stored.
    pub(crate) added: Vec<String>,
    /// Names of places that are in the journal already, at the same place: left as they are.
    pub(crate) already_there: Vec<String>,
    /// What was not stored.
    pub(crate) failed: Vec<NotStored>,
    /// Stored, and wants a look: near another site, without a name, looking swapped.
    pub(crate) remarks: Vec<String>,
}

impl ImportReport {
    /// How many places the file has.
    pub(crate) fn places(&self) -> usize {
        self.added.len() + self.already_there.len() + self.failed.len()
    }
}

/// Stores the places of a file.
///
/// * `time_zone`: for places whose file names none.
pub(crate) fn import(journal: &mut Journal, found: &FoundPlaces, time_zone: &str) -> Result<ImportReport, KeepError> {
    let known: Vec<Site> = journal.sites().map_err(KeepError::Journal)?.into_iter().map(|stored| stored.site).collect();
    let mut report = ImportReport {
        file: found.source_name.clone(),
        added: Vec::new(),
        already_there: Vec::new(),
        failed: found.rejected.iter().map(left_out).collect(),
        remarks: found.remarks.iter().map(ToString::to_string).collect(),
    };
    if found.rejected_beyond > 0 {
        report.remarks.push(format!("{} more places were left out and are not listed", found.rejected_beyond));
    }
    let likenesses = likenesses(&known, found);
    let without_height = found.places.iter().filter(|place| place.elevation_m.is_none()).count();
    if without_height > 0 {
        report.remarks.push(format!("{without_height} of its places have no height above the sea: taken as 0 m"));
    }
    // all of them or none: an error of the journal takes back what was stored before it
    journal.transaction(|journal| -> Result<(), Aborted> {
        for (place, likeness) in found.places.iter().zip(&likenesses) {
            store(journal, place, time_zone, likeness.as_ref(), &mut report).map_err(Aborted)?;
        }
        Ok(())
    })?;
    Ok(report)
}

/// An error of the journal that takes everything back.
struct Aborted(JournalError);

impl From<JournalError> for Aborted {
    fn from(error: JournalError) -> Self {
        Self(error)
    }
}

impl From<Aborted> for KeepError {
    fn from(Aborted(error): Aborted) -> Self {
        Self::Journal(error)
    }
}

fn left_out(error: &feeds::RowError) -> NotStored {
    NotStored {
        place: error.place.to_string(),
        reason: format!("{}: {}", error.field, error.problem),
        remedy: "correct it in the file and import the file again; what is stored already stays as it is".to_owned(),
    }
}

/// Another place that a found one is probably the same as.
struct Likeness {
    /// Its name.
    name: String,
    /// Whether it is in the journal; else it stands earlier in the file.
    in_journal: bool,
    sameness: Sameness,
}

/// Of every found place the likeness that weighs most.
fn likenesses(known: &[Site], found: &FoundPlaces) -> Vec<Option<Likeness>> {
    let all: Vec<&Site> = known.iter().chain(found.places.iter().map(|place| &place.site)).collect();
    let mut most: Vec<Option<Likeness>> = found.places.iter().map(|_| None).collect();
    let weight = |sameness: Sameness| match sameness {
        Sameness::NameAndPlace { .. } => 2,
        Sameness::Name => 1,
        Sameness::Place { .. } => 0,
    };
    for pair in duplicates(&all) {
        let Some(slot) = pair.second.checked_sub(known.len()).and_then(|index| most.get_mut(index)) else { continue };
        if slot.as_ref().is_none_or(|other| weight(pair.sameness) > weight(other.sameness)) {
            *slot = Some(Likeness {
                name: all[pair.first].name.clone(),
                in_journal: pair.first < known.len(),
                sameness: pair.sameness,
            });
        }
    }
    most
}

fn store(
    journal: &Journal,
    place: &FoundPlace,
    time_zone: &str,
    likeness: Option<&Likeness>,
    report: &mut ImportReport,
) -> Result<(), JournalError> {
    let here = format!("{}, {:?}", place.at, place.name());
    if let Some(Likeness { name, in_journal, sameness }) = likeness {
        let whose = if *in_journal { "of the journal" } else { "of this file" };
        match sameness {
            Sameness::NameAndPlace { .. } if *in_journal => {
                report.already_there.push(place.name().to_owned());
                return Ok(());
            }
            Sameness::NameAndPlace { .. } | Sameness::Name => {
                report.failed.push(NotStored {
                    place: here,
                    reason: format!("{name:?} {whose} has that name"),
                    remedy: "give one of them another name and import the file again".to_owned(),
                });
                return Ok(());
            }
            Sameness::Place { distance_m } => {
                report.remarks.push(format!("{here}: only {distance_m:.0} m from {name:?} {whose}; both are kept"));
            }
        }
    }
    match add(journal, place.to_site(time_zone)) {
        Ok(site) => report.added.push(site.name),
        Err(KeepError::Journal(error)) => return Err(error),
        Err(other) => {
            let Failure { message, hint, .. } = other.into();
            report.failed.push(NotStored { place: here, reason: message, remedy: hint });
        }
    }
    Ok(())
}
