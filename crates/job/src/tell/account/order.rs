//! A running order: cards with times, as long as they take to say.

use super::{AccountCard, AccountSentence};
use crate::JobError;

/// Spoken words a second: 150 a minute, an unhurried presenter. Common practice, no source.
const WORDS_PER_S: f64 = 2.5;
/// A breath after every card, s. Common practice, no source.
const BREATH_S: f64 = 1.0;

/// What stands on each card, what is shown meanwhile, and in which order sentences go when time is short: the last first.
struct Plan {
    id: &'static str,
    title: &'static str,
    picture: &'static str,
    /// Sentences by the begin of their names, each with its weight: the heaviest stays longest.
    holds: &'static [(&'static str, u8)],
}

const PLANS: [Plan; 6] = [
    Plan { id: "where", title: "When and where", picture: "a still of the place, or the map", holds: &[("night", 9)] },
    Plan {
        id: "cause",
        title: "What drove it",
        picture: "the outlook's inputs",
        holds: &[("wind", 5), ("activity", 4)],
    },
    Plan {
        id: "foretold",
        title: "What was foretold",
        picture: "the outlook's night strip",
        holds: &[("foretold_brightness", 1), ("foretold", 3)],
    },
    Plan {
        id: "seen",
        title: "What was seen",
        picture: "eye view beside camera view, or the clip",
        holds: &[("seen", 8), ("recorded", 7), ("brightness", 6)],
    },
    Plan {
        id: "course",
        title: "What the sky did",
        picture: "the keogram, or the clip",
        holds: &[
            ("frames", 1),
            ("aurora", 2),
            ("form", 5),
            ("brightening", 5),
            ("drift", 2),
            ("pulsation", 4),
            ("bay", 3),
            ("onset", 4),
        ],
    },
    Plan {
        id: "colours",
        title: "Which colours, and why",
        picture: "eye view beside camera view",
        holds: &[("colours", 4), ("colours_why", 4), ("reddest", 2)],
    },
];

pub(super) struct Order {
    pub(super) cards: Vec<AccountCard>,
    pub(super) left_out: Vec<String>,
    pub(super) length_s: f64,
}

impl Plan {
    fn weight(&self, sentence: &AccountSentence) -> Option<u8> {
        // "foretold_brightness" stands before "foretold": the longer name is looked for first
        let found = self.holds.iter().find(|(name, _)| {
            let rest = sentence.id.strip_prefix(name);
            rest.is_some_and(|rest| rest.is_empty() || rest.strip_prefix('_').is_some_and(|n| n.parse::<u8>().is_ok()))
        });
        found.map(|(_, weight)| *weight)
    }
}

/// Seconds that a sentence takes to say.
fn spoken_s(sentence: &AccountSentence) -> f64 {
    sentence.text.split_whitespace().count() as f64 / WORDS_PER_S
}

/// Says whether every card of an order is one that there may be.
///
/// # Errors
///
/// A name that no card has, or the same one twice.
pub(super) fn check(card_order: &[String]) -> Result<(), JobError> {
    let names = PLANS.map(|plan| plan.id).join(", ");
    for (place, id) in card_order.iter().enumerate() {
        if PLANS.iter().all(|plan| plan.id != id) {
            return Err(JobError::bad(
                "card_order",
                format!("no card is called {id:?}"),
                format!("give some of {names}"),
            ));
        }
        if card_order.iter().take(place).any(|other| other == id) {
            return Err(JobError::bad("card_order", format!("{id} stands in it twice"), "name every card once"));
        }
    }
    Ok(())
}

/// Puts the cards named first, in that order, and lets the times follow.
fn reordered(cards: &mut [AccountCard], card_order: &[String]) {
    let place = |card: &AccountCard| card_order.iter().position(|id| *id == card.id).unwrap_or(card_order.len());
    // cards not named keep their usual order behind
    cards.sort_by_key(place);
    let mut start_s = 0.0;
    for card in cards {
        card.start_s = start_s;
        start_s += card.length_s;
    }
}

pub(super) fn running_order(sentences: &[AccountSentence], minutes: Option<f64>, card_order: &[String]) -> Order {
    // card, weight and place of every sentence
    let mut kept: Vec<(usize, u8, usize)> = sentences
        .iter()
        .enumerate()
        .filter_map(|(place, sentence)| {
            PLANS.iter().enumerate().find_map(|(card, plan)| Some((card, plan.weight(sentence)?, place)))
        })
        .collect();
    let air_s = minutes.map(|minutes| 60.0 * minutes);
    let mut left_out = Vec::new();
    while let Some(air_s) = air_s.filter(|air_s| length_s(sentences, &kept) > *air_s)
        && kept.len() > 1
    {
        debug_assert!(air_s > 0.0, "checked with the request");
        // the lightest goes; of equals the last
        let lightest =
            kept.iter().enumerate().min_by_key(|(i, (_, weight, _))| (*weight, usize::MAX - i)).map(|(i, _)| i);
        let Some(lightest) = lightest else { break };
        left_out.push(sentences[kept.remove(lightest).2].id.clone());
    }
    let spoken = length_s(sentences, &kept);
    // what is left of the time goes to the pictures, evenly
    let stretch = air_s.map_or(1.0, |air_s| (air_s / spoken.max(1e-9)).max(1.0));
    let mut cards: Vec<AccountCard> = Vec::new();
    let mut start_s = 0.0;
    for (number, plan) in PLANS.iter().enumerate() {
        let own: Vec<(usize, u8, usize)> = kept.iter().filter(|(card, ..)| *card == number).copied().collect();
        if own.is_empty() {
            continue;
        }
        let length = stretch * length_s(sentences, &own);
        cards.push(AccountCard {
            id: plan.id.to_owned(),
            title: plan.title.to_owned(),
            start_s,
            length_s: length,
            sentences: own.iter().map(|(_, _, place)| sentences[*place].id.clone()).collect(),
            picture: plan.picture.to_owned(),
        });
        start_s += length;
    }
    reordered(&mut cards, card_order);
    Order { cards, left_out, length_s: start_s }
}

fn length_s(sentences: &[AccountSentence], kept: &[(usize, u8, usize)]) -> f64 {
    let cards = (0..PLANS.len()).filter(|card| kept.iter().any(|(of, ..)| of == card)).count();
    kept.iter().map(|(_, _, place)| spoken_s(&sentences[*place])).sum::<f64>() + BREATH_S * cards as f64
}
