//! Sites and kits as they enter the journal and leave it: one set of checks for the command line and the pages.

mod import;

use feeds::places::{LONGEST_NAME, clean_name};
use job::{JobError, Kit, Site};
use journal::{Journal, JournalError, KitId, SiteId};

use crate::Failure;

pub(crate) use import::{ImportReport, import};

/// Corners, waters and objects of one site at most: more is no help to anybody who looks at them.
const MOST_PARTS: usize = 400;
/// Longest notes, characters: a page of text.
const LONGEST_NOTES: usize = 4000;

/// What can be kept under a name.
pub(crate) trait Kept: Sized {
    /// "site" or "kit".
    const WHAT: &'static str;
    type Id: Copy;
    fn name_mut(&mut self) -> &mut String;
    /// What the types cannot check.
    fn check(&self) -> Result<(), Failure>;
    fn add(&self, journal: &Journal) -> Result<Self::Id, JournalError>;
    fn find(journal: &Journal, name: &str) -> Result<Self::Id, JournalError>;
    fn replace(&self, journal: &Journal, id: Self::Id) -> Result<(), JournalError>;
    fn remove(journal: &Journal, id: Self::Id) -> Result<(), JournalError>;
}

/// Why something was not kept, changed or removed.
#[derive(Debug)]
pub(crate) enum KeepError {
    /// It cannot be what it claims to be.
    Unfit(Failure),
    /// Another has the name, or outings hang on it.
    Conflict(Failure),
    /// There is none of that name.
    NotThere(Failure),
    /// The journal cannot.
    Journal(JournalError),
}

impl From<KeepError> for Failure {
    fn from(error: KeepError) -> Self {
        match error {
            KeepError::Unfit(failure) | KeepError::Conflict(failure) | KeepError::NotThere(failure) => failure,
            KeepError::Journal(error) => error.into(),
        }
    }
}

impl From<Failure> for KeepError {
    fn from(failure: Failure) -> Self {
        Self::Unfit(failure)
    }
}

/// Stores a new one. Returns it as it was stored.
pub(crate) fn add<T: Kept>(journal: &Journal, record: T) -> Result<T, KeepError> {
    let record = fit(record)?;
    record.add(journal).map_err(|error| told::<T>(error))?;
    Ok(record)
}

/// Puts another in the place of the one of that name; its outings stay. Returns it as it was stored.
pub(crate) fn replace<T: Kept>(journal: &Journal, name: &str, record: T) -> Result<T, KeepError> {
    let record = fit(record)?;
    let id = T::find(journal, name).map_err(|error| told::<T>(error))?;
    record.replace(journal, id).map_err(|error| told::<T>(error))?;
    Ok(record)
}

/// Removes the one of that name; refused where an outing uses it.
pub(crate) fn remove<T: Kept>(journal: &Journal, name: &str) -> Result<(), KeepError> {
    let id = T::find(journal, name).map_err(|error| told::<T>(error))?;
    T::remove(journal, id).map_err(|error| match error {
        JournalError::InUse { outings, .. } => KeepError::Conflict(in_use::<T>(name, outings)),
        other => told::<T>(other),
    })
}

/// Checks it, with its name in one clean line.
fn fit<T: Kept>(mut record: T) -> Result<T, KeepError> {
    let name = record.name_mut();
    let length = name.chars().count();
    if length > LONGEST_NAME {
        return Err(KeepError::Unfit(Failure {
            field: Some(format!("{}.name", T::WHAT)),
            ..Failure::new(
                format!("the name of the {} has {length} characters", T::WHAT),
                format!("give {LONGEST_NAME} at most, and the rest in the notes"),
            )
        }));
    }
    *name = clean_name(name);
    if name.is_empty() {
        return Err(told::<T>(JournalError::EmptyName { what: T::WHAT }));
    }
    record.check()?;
    Ok(record)
}

/// Sorts the journal's refusals by what can be done about them.
fn told<T: Kept>(error: JournalError) -> KeepError {
    let about_the_name =
        |error: JournalError| Failure { field: Some(format!("{}.name", T::WHAT)), ..Failure::from(error) };
    match error {
        JournalError::DuplicateName { .. } => KeepError::Conflict(about_the_name(error)),
        JournalError::EmptyName { .. } => KeepError::Unfit(about_the_name(error)),
        JournalError::NotFound { .. } => KeepError::NotThere(error.into()),
        other => KeepError::Journal(other),
    }
}

fn in_use<T: Kept>(name: &str, outings: u32) -> Failure {
    let what = T::WHAT;
    let outings = if outings == 1 { "an outing uses it".to_owned() } else { format!("{outings} outings use it") };
    Failure::new(
        format!("the {what} {name:?} cannot be removed: {outings}"),
        format!("keep it, or change it: its outings stay (quietarc {what} change {name:?}, or the page)"),
    )
}

impl Kept for Site {
    const WHAT: &'static str = "site";
    type Id = SiteId;

    fn name_mut(&mut self) -> &mut String {
        &mut self.name
    }

    fn check(&self) -> Result<(), Failure> {
        Site::check(self)?;
        let too_many = |field: &str, count: usize, most: usize, unit: &str| Failure {
            field: Some(format!("site.{field}")),
            ..Failure::new(format!("the site has {count} {unit} in {field}"), format!("give {most} at most"))
        };
        for (field, count) in
            [("horizon", self.horizon.len()), ("water", self.water.len()), ("foreground", self.foreground.len())]
        {
            if count > MOST_PARTS {
                return Err(too_many(field, count, MOST_PARTS, "entries"));
            }
        }
        let length = self.notes.chars().count();
        if length > LONGEST_NOTES {
            return Err(too_many("notes", length, LONGEST_NOTES, "characters"));
        }
        Ok(())
    }

    fn add(&self, journal: &Journal) -> Result<SiteId, JournalError> {
        journal.add_site(self)
    }

    fn find(journal: &Journal, name: &str) -> Result<SiteId, JournalError> {
        Ok(journal.site_named(name)?.id)
    }

    fn replace(&self, journal: &Journal, id: SiteId) -> Result<(), JournalError> {
        journal.replace_site(id, self)
    }

    fn remove(journal: &Journal, id: SiteId) -> Result<(), JournalError> {
        journal.remove_site(id)
    }
}

/// A kit with the lens that stars showed, and the sharpest of them: kept where somebody who does not know of it changes other things, and dropped where
/// the glass or the pixels are others.
fn with_profile(kit: &Kit, before: &Kit) -> Kit {
    let mut kit = kit.clone();
    let pixels = |kit: &Kit| (kit.camera.width_px, kit.camera.height_px, kit.camera.pixel_um.to_bits());
    let glass = |kit: &Kit| (kit.lens.focal_mm.to_bits(), kit.lens.projection);
    let same = pixels(&kit) == pixels(before) && glass(&kit) == glass(before);
    if same {
        kit.lens.profile = kit.lens.profile.or_else(|| before.lens.profile.clone());
        kit.lens.sharpest = kit.lens.sharpest.or_else(|| before.lens.sharpest.clone());
        return kit;
    }
    if kit.lens.profile == before.lens.profile {
        kit.lens.profile = None;
    }
    if kit.lens.sharpest == before.lens.sharpest {
        kit.lens.sharpest = None;
    }
    kit
}

impl Kept for Kit {
    const WHAT: &'static str = "kit";
    type Id = KitId;

    fn name_mut(&mut self) -> &mut String {
        &mut self.name
    }

    fn check(&self) -> Result<(), Failure> {
        Kit::check(self).map_err(|error: JobError| error.into())
    }

    fn add(&self, journal: &Journal) -> Result<KitId, JournalError> {
        journal.add_kit(self)
    }

    fn find(journal: &Journal, name: &str) -> Result<KitId, JournalError> {
        Ok(journal.kit_named(name)?.id)
    }

    fn replace(&self, journal: &Journal, id: KitId) -> Result<(), JournalError> {
        let before = journal.kit(id)?.kit;
        journal.replace_kit(id, &with_profile(self, &before))
    }

    fn remove(journal: &Journal, id: KitId) -> Result<(), JournalError> {
        journal.remove_kit(id)
    }
}
