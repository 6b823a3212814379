//! The demo's desk: invented people send invented pictures, drawn for the demo's night; some claims are true, one is not.

use std::path::Path;

use jiff::{SignedDuration, Timestamp};
use journal::{Claim, Consent, ConsentedUse, Door, Journal, OneUse, SubmissionId};
use quantity::GeoPosition;

use super::demo_night::Drawn;
use super::now;
use crate::desk::{Arrival, Stock, take};
use crate::failure::Failure;

/// One invented sender.
struct Sender {
    name: &'static str,
    place: &'static str,
    caption: &'static str,
    /// How far beside the truth the claim is: hours later, degrees further south.
    beside: [i64; 2],
    uses: &'static [OneUse],
}

impl Sender {
    /// One whose claim is true.
    const fn true_to(name: &'static str, place: &'static str, caption: &'static str, uses: &'static [OneUse]) -> Self {
        Self { name, place, caption, beside: [0, 0], uses }
    }
}

/// One has permitted nothing yet, and one claims the picture for another night and coast.
const SENDERS: [Sender; 5] = [
    Sender::true_to(
        "Ída Vollan (invented)",
        "Skerrow Bay",
        "From the slipway. It came up behind the boathouse.",
        &[OneUse::OnAir, OneUse::Online],
    ),
    Sender::true_to(
        "Jonas Teague (invented)",
        "the road above Skerrow Bay",
        "Could not believe the colours",
        &[OneUse::OnAir],
    ),
    Sender::true_to("M. Abara (invented)", "near the lighthouse", "", &[]),
    Sender::true_to("Pia Lund (invented)", "Gull Ness", "The whole family was out", &[OneUse::Online, OneUse::Archive]),
    Sender {
        beside: [19, 16],
        ..Sender::true_to(
            "R. Quill (invented)",
            "Port Ellery, down south",
            "My picture from last night!",
            &[OneUse::OnAir],
        )
    },
];

/// Takes the pictures in, each under an invented name; they are measured as any other when the demo serves.
pub(super) fn fill(journal: &mut Journal, at: &Path, night: &[Drawn]) -> Result<usize, Failure> {
    let stock = Stock::beside(at);
    // apart from each other in the night, so that none is a copy of another
    let apart = night.len().div_ceil(SENDERS.len()).max(1);
    let mut taken = 0;
    for (drawn, sender) in night.iter().step_by(apart).zip(&SENDERS) {
        let bytes = super::read(&drawn.path)?;
        let id = one(journal, &stock, sender, drawn, &bytes)?;
        permit(journal, id, sender)?;
        taken += 1;
    }
    // somebody passes another one's picture off as her own: the same, with a word behind it
    if let Some(first) = night.first() {
        let bytes = [super::read(&first.path)?, b"again".to_vec()].concat();
        let second = Sender {
            beside: [2, 1],
            ..Sender::true_to("Nell Oxley (invented)", "Tarn Head", "Mine", &[OneUse::OnAir])
        };
        let id = one(journal, &stock, &second, first, &bytes)?;
        permit(journal, id, &second)?;
        taken += 1;
    }
    Ok(taken)
}

fn one(
    journal: &mut Journal,
    stock: &Stock,
    sender: &Sender,
    drawn: &Drawn,
    bytes: &[u8],
) -> Result<SubmissionId, Failure> {
    let [hours, south_deg] = sender.beside;
    let at: Option<Timestamp> = drawn.taken_at.checked_add(SignedDuration::from_hours(hours)).ok();
    let latitude_deg = drawn.place.latitude_deg() - f64::from(i32::try_from(south_deg).unwrap_or_default());
    let claim = Claim {
        time_text: at.map(|at| at.strftime("%Y-%m-%d %H:%M UTC").to_string()).unwrap_or_default(),
        at,
        place_text: sender.place.to_owned(),
        position: Some(GeoPosition::new(latitude_deg, drawn.place.longitude_deg(), 0.0)?),
    };
    let name = drawn.path.file_name().unwrap_or_default().to_string_lossy();
    let arrival = Arrival {
        file_name: &name,
        bytes,
        door: Door::Folder,
        link: None,
        claim,
        credit_name: sender.name,
        contact: "",
        caption: sender.caption,
        withdrawal_hash: None,
    };
    Ok(take(journal, stock, &arrival, now())?.id)
}

fn permit(journal: &mut Journal, id: SubmissionId, sender: &Sender) -> Result<(), Failure> {
    if sender.uses.is_empty() {
        return Ok(());
    }
    let uses = sender.uses.iter().fold(ConsentedUse::default(), |uses, one| uses.with(*one));
    let words = "Invented for the demo: yes, you may".to_owned();
    let seen = journal.submission(id)?.version;
    journal.record_consent(id, seen, &Consent { uses, recorded_at: now(), recorded_by: "demo".to_owned(), words })?;
    Ok(())
}
