//! A picture comes in: hashed, told by its content, stored, put down. Nothing is decoded here.

use jiff::Timestamp;
use journal::{Claim, Door, Journal, LinkId, NewSubmission, SubmissionId};
use serde::Serialize;

use super::{Stock, text};
use crate::Failure;

/// Largest picture taken in, bytes: phones send 3 to 12 MB, a large body's JPEG 40 MB, its raw file 60 MB.
pub(crate) const LARGEST_SENT: usize = 60_000_000;

/// A picture as it arrives, with what came beside it.
#[derive(Debug, Clone)]
pub(crate) struct Arrival<'a> {
    pub(crate) file_name: &'a str,
    pub(crate) bytes: &'a [u8],
    pub(crate) door: Door,
    pub(crate) link: Option<LinkId>,
    pub(crate) claim: Claim,
    pub(crate) credit_name: &'a str,
    pub(crate) contact: &'a str,
    pub(crate) caption: &'a str,
    /// Hash of the word by which the sender can take it back.
    pub(crate) withdrawal_hash: Option<String>,
}

/// What became of it.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub(crate) struct Taken {
    /// Its number; that of the one before where it was here already.
    pub(crate) id: SubmissionId,
    /// What its file is called.
    pub(crate) file_name: String,
    /// Whether it was here already, and nothing new was put down.
    pub(crate) was_here: bool,
    /// Others with the same bytes.
    pub(crate) same_as: Vec<SubmissionId>,
}

/// Takes a picture in.
///
/// A desk that takes the same folder twice gets the same pictures once; the same bytes from another sender are put down
/// again, for they come with another claim and another permission.
pub(crate) fn take(
    journal: &mut Journal,
    stock: &Stock,
    arrival: &Arrival<'_>,
    now: Timestamp,
) -> Result<Taken, Failure> {
    let file_name = text::file_name(arrival.file_name);
    if arrival.bytes.len() > LARGEST_SENT {
        let most = LARGEST_SENT / 1_000_000;
        return Err(Failure::new(format!("{file_name} is too large"), format!("send a picture of {most} MB at most")));
    }
    let media_type = media_type(arrival.bytes)
        .map_err(|failure| Failure::new(format!("{file_name}: {}", failure.message), failure.hint))?;
    let credit_name = text::line(arrival.credit_name);
    let hash = crate::sorting::content_hash(arrival.bytes);
    let same_as = journal.same_content(&hash)?;
    if let Some(id) = here_already(journal, arrival, &hash, &same_as, &credit_name)? {
        return Ok(Taken { id, file_name, was_here: true, same_as });
    }
    // the picture first: a number without a picture would be worse than a picture without a number
    stock.keep(arrival.bytes)?;
    let claim = Claim {
        time_text: text::line(&arrival.claim.time_text),
        place_text: text::line(&arrival.claim.place_text),
        ..arrival.claim
    };
    let id = journal.take_submission(&NewSubmission {
        content_hash: hash,
        file_name: file_name.clone(),
        media_type: media_type.to_owned(),
        bytes: arrival.bytes.len() as u64,
        received_at: now,
        door: arrival.door,
        link: arrival.link,
        claim,
        credit_name,
        contact: text::line(arrival.contact),
        caption: text::block(arrival.caption),
        withdrawal_hash: arrival.withdrawal_hash.clone(),
    })?;
    Ok(Taken { id, file_name, was_here: false, same_as })
}

fn here_already(
    journal: &Journal,
    arrival: &Arrival<'_>,
    hash: &str,
    same_as: &[SubmissionId],
    credit_name: &str,
) -> Result<Option<SubmissionId>, Failure> {
    if let Some(link) = arrival.link {
        return Ok(journal.sent_before(hash, link, credit_name)?);
    }
    let Some(first) = same_as.first() else { return Ok(None) };
    let withdrawn = same_as.iter().map(|id| journal.submission(*id)).find_map(|found| match found {
        Ok(found) if found.withdrawn_at.is_some() => Some(Ok(found.id)),
        Ok(_standing) => None,
        Err(error) => Some(Err(error)),
    });
    match withdrawn.transpose()? {
        Some(id) => Err(Failure::new(
            format!("{} was withdrawn by its sender (submission {id})", text::file_name(arrival.file_name)),
            "ask the sender to send it again if it may be used after all",
        )),
        None => Ok(Some(*first)),
    }
}

/// By the first bytes alone: the sender's word on it counts for nothing.
fn media_type(bytes: &[u8]) -> Result<&'static str, Failure> {
    use frame::FileKind;
    let kind = frame::sniff(bytes).map_err(|error| Failure::new(error.to_string(), error.hint()))?;
    Ok(match kind {
        FileKind::Jpeg => "image/jpeg",
        FileKind::Png => "image/png",
        FileKind::Tiff => "image/tiff",
        FileKind::Dng => "image/x-adobe-dng",
        FileKind::Gif => "image/gif",
        FileKind::WebP => "image/webp",
        FileKind::Bmp => "image/bmp",
        FileKind::Heic => "image/heic",
        FileKind::Fits => "image/fits",
        FileKind::Netpbm => "image/x-portable-anymap",
        _ => "application/octet-stream",
    })
}
