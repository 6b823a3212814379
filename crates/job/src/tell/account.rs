//! The account of a night: sentences drawn from what the journal keeps, each number with its source.

mod colours;
mod from_outlook;
mod from_reading;
mod order;
mod sentence;

use jiff::civil::Date;
use quantity::{Estimate, Timestamp};
use serde::{Deserialize, Serialize};

use self::sentence::{Saying, zone};
use crate::{JobError, OutlookReport, ReadReport, SeenOutcome};

/// Shortest and longest time on air, minutes.
const MINUTES_OF_AIR: [f64; 2] = [0.25, 60.0];

/// What was met on an outing, by the person who was there.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct AccountMet {
    /// When it was said.
    pub said_at: Timestamp,
    /// What the eye met.
    pub eye: Option<SeenOutcome>,
    /// What the camera met.
    pub camera: Option<SeenOutcome>,
    /// Green light of the brightest aurora, kR.
    pub kr: Option<Estimate>,
    /// Where that brightness is from.
    pub kr_source: Option<String>,
}

/// What an account is drawn from: the journal's record of an outing and nothing else.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct AccountRequest {
    /// Date of the noon that opens the night.
    pub night: Date,
    /// Where, in the owner's words and as coarse as the owner wishes; no finer place is ever named.
    pub place: Option<String>,
    /// IANA zone of the times told.
    pub time_zone: String,
    /// Whether the outing is invented.
    pub invented: bool,
    /// What was foretold, last before the night.
    pub outlook: Option<OutlookReport>,
    /// What was met.
    pub met: Option<AccountMet>,
    /// What the frames say over time.
    pub reading: Option<ReadReport>,
    /// Time on air, minutes; as long as it takes where not given.
    pub minutes_of_air: Option<f64>,
    /// Cards by their names in the order in which they are to come; those not named follow in the usual order.
    #[serde(default)]
    pub card_order: Vec<String>,
}

/// A number within a sentence.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "typescript", derive(ts_rs::TS))]
pub struct AccountNumber {
    /// As it stands in the sentence.
    pub words: String,
    /// Its value as the record has it; `None` for times and dates.
    pub value: Option<f64>,
    /// Ends of its likely range (68 %), where the record has one.
    pub range: Option<[f64; 2]>,
    /// The unit; empty for plain counts and times.
    pub unit: String,
    /// Who says so.
    pub source: String,
    /// When it was measured, observed or said.
    #[cfg_attr(feature = "typescript", ts(type = "string | null"))]
    pub at: Option<Timestamp>,
}

/// A sentence of the account.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "typescript", derive(ts_rs::TS))]
pub struct AccountSentence {
    /// Its name, the same in every account.
    pub id: String,
    /// What is said.
    pub text: String,
    /// Every number in it, in the order of the text.
    pub numbers: Vec<AccountNumber>,
}

/// A card of the running order.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "typescript", derive(ts_rs::TS))]
pub struct AccountCard {
    /// Its name, the same in every account.
    pub id: String,
    /// What it is about.
    pub title: String,
    /// When it begins, s after the start.
    pub start_s: f64,
    /// How long it lasts, s.
    pub length_s: f64,
    /// Its sentences, by their names.
    pub sentences: Vec<String>,
    /// What could be shown meanwhile.
    pub picture: String,
}

/// The account of a night.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "typescript", derive(ts_rs::TS))]
pub struct AccountReport {
    /// The sentences, in order.
    pub sentences: Vec<AccountSentence>,
    /// What an audience may ask and the record does not hold.
    pub not_known: Vec<String>,
    /// The running order.
    pub cards: Vec<AccountCard>,
    /// Sentences for which there was no time on air, by their names.
    pub left_out: Vec<String>,
    /// Length of the running order, s: an estimate by 2.5 spoken words a second.
    pub length_s: f64,
}

/// Tells a night from the record of its outing.
///
/// A part of the record that is not there has no sentence; what an audience would ask about it is named as not known.
/// Colours are explained only where they were measured, pulsation only where it was found.
///
/// # Errors
///
/// A time zone that is not known; a time on air out of range; a card that there is not.
pub fn account(request: &AccountRequest) -> Result<AccountReport, JobError> {
    let zone = zone(&request.time_zone)?;
    if let Some(minutes) = request.minutes_of_air {
        let [low, high] = MINUTES_OF_AIR;
        JobError::check("minutes_of_air", minutes, low, high, "minutes")?;
    }
    order::check(&request.card_order)?;
    let mut sentences = vec![opening(request)];
    let mut not_known = Vec::new();
    let outlook = request.outlook.as_ref();
    match outlook {
        Some(outlook) => from_outlook::sentences(outlook, &zone, &mut sentences, &mut not_known),
        None => not_known.push("What was foretold: no outlook is kept for this outing.".to_owned()),
    }
    met(request, &mut sentences, &mut not_known);
    match &request.reading {
        Some(reading) => from_reading::sentences(reading, &zone, &mut sentences, &mut not_known),
        None => not_known
            .push("How it moved, brightened or pulsated: no reading of a sequence is kept for this outing.".to_owned()),
    }
    match request.reading.as_ref().and_then(|reading| Some((reading.aurora.lines.as_ref()?, reading.frames.first))) {
        Some((lines, first)) => colours::sentences(lines, first, &zone, &mut sentences, &mut not_known),
        None => not_known.push("Which colours it had, and why: no light by colour is kept for this outing.".to_owned()),
    }
    let order::Order { cards, left_out, length_s } =
        order::running_order(&sentences, request.minutes_of_air, &request.card_order);
    Ok(AccountReport { sentences, not_known, cards, left_out, length_s })
}

fn opening(request: &AccountRequest) -> AccountSentence {
    let source = "the outing in the journal";
    let night = request.night.strftime("%-d %B %Y").to_string();
    let place = request.place.as_deref().map(str::trim).filter(|place| !place.is_empty());
    let mut saying = Saying::new("night").text("In the night that began on ").word(&night, source, None);
    if let Some(place) = place {
        // the owner's words may hold numbers of their own: a road, a parish
        saying = saying.text(", ").word(place, "the owner's words for the place", None);
    }
    let end = if request.invented { ". (This outing is invented: nobody was there.)" } else { "." };
    saying.text(end).done()
}

/// Source of what a person said of an outing.
const SAID: &str = "said on the outing";

fn met(request: &AccountRequest, sentences: &mut Vec<AccountSentence>, not_known: &mut Vec<String>) {
    let Some(met) = &request.met else {
        not_known.push("What was seen: nobody has said what was met on this outing.".to_owned());
        return;
    };
    let outcome = |outcome: SeenOutcome, yes: &str, no: &str| match outcome {
        SeenOutcome::Yes => yes.to_owned(),
        SeenOutcome::No => no.to_owned(),
        SeenOutcome::Cloud => "cloud hid the sky, so that nobody can tell whether there was aurora".to_owned(),
    };
    if let Some(eye) = met.eye {
        let words =
            outcome(eye, "the eye saw aurora", "the eye saw no aurora, under a sky that would have let it through");
        let saying = Saying::new("seen").text("To whoever stood there, ");
        sentences.push(saying.word(&words, SAID, Some(met.said_at)).text(".").done());
    }
    if let Some(camera) = met.camera {
        let words = outcome(camera, "the camera recorded aurora", "the camera recorded no aurora");
        // cloud that hid the sky from the eye needs no second sentence
        if (met.eye, camera) != (Some(SeenOutcome::Cloud), SeenOutcome::Cloud) {
            let saying = Saying::new("recorded").text("On the pictures, ");
            sentences.push(saying.word(&words, SAID, Some(met.said_at)).text(".").done());
        }
    }
    match met.kr {
        Some(kr) => {
            let source = met.kr_source.as_deref().unwrap_or(SAID);
            let saying = Saying::new("brightness").text("At its brightest the green light was about ");
            let saying = saying.estimate(&kr, "kR", source, Some(met.said_at));
            sentences.push(saying.text(" kilorayleighs.").done());
        }
        None => not_known.push("How bright it was: no brightness is kept for this outing.".to_owned()),
    }
}
