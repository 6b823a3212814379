//! What viewers send: taken in by content, opened in a process of its own, and let out only with permission.

mod board;
mod export;
mod intake;
mod links;
mod privacy;
mod queue;
mod stock;
mod strip;
mod surroundings;
mod text;
mod worker;
mod worker_side;

pub(crate) use board::{Asked as BoardAsked, Edited, Reorder, Whole, edit, set_rundown, whole, writer};
pub(crate) use export::{Exported, Exporting, PlaceShown, export};
pub(crate) use intake::{Arrival, LARGEST_SENT, Taken, take};
pub(crate) use links::{LinkWish, MadeToken, make_link, token, token_hash};
pub(crate) use privacy::{Withdrawal, coarse, withdraw};
pub(crate) use queue::{Queue, measure_waiting};
pub(crate) use stock::{Stock, StockedCopy};
pub(crate) use surroundings::{Surroundings, activity_about, called, own_word_about};
pub(crate) use text::{block, escaped, line};
pub(crate) use worker_side::{run as run_worker, without_places};
