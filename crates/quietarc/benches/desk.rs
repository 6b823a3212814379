//! A storm night's desk: how long the board takes with 5,000 submissions, how long a new one is compared with them, and how fast
//! pictures are taken in while they are measured behind.
//!
//! The aims are a board under a second and twenty pictures a second: small ones, and such as phones send, of which some are
//! measured while others still come.

#![expect(clippy::unwrap_used, reason = "a benchmark of a wrong input is no benchmark")]
#![expect(clippy::expect_used, reason = "as in the tests that the helpers are shared with")]
#![expect(clippy::print_stdout, reason = "a benchmark is there to print")]

#[path = "../../job/benches/check/clock.rs"]
#[expect(dead_code, reason = "shared with benches that decode")]
mod clock;
#[path = "../tests/it/desk_filled.rs"]
mod desk_filled;
#[path = "../tests/it/desk_form.rs"]
mod desk_form;
#[path = "../../job/benches/shared/looks.rs"]
mod looks;
#[path = "../tests/it/running.rs"]
#[expect(dead_code, reason = "shared with tests that look at more of a server")]
mod running;

use std::path::Path;
use std::time::Instant;

use job::{KnownPictures, OpenedPicture, compare};
use journal::{Journal, ListQuestion, PrintOf};

use self::clock::{middle, seconds};
use self::desk_filled::fill;
use self::desk_form::{agent, form, send_form};
use self::looks::print;
use self::running::{Server, serve, serve_with};

/// Submissions on the board.
const SUBMISSIONS: u32 = 5_000;
/// Rows that the page asks for at once.
const ROWS: u32 = 100;
/// Askings and comparisons; the middle one counts.
const ROUNDS: u32 = 7;
/// Pictures sent, and senders at once.
const SENT: usize = 400;
const SENDERS: usize = 4;
/// The invented picture that is sent, each time with another word behind it.
const PICTURE: &[u8] = include_bytes!("../data/demo_frame.composed.jpg");
/// Longest side of small pictures that are sent, px.
const SENT_PX: usize = 640;
/// Pictures of a phone's size that are sent: at the rate that is aimed at they come for twenty seconds.
const LARGE: usize = 400;
/// Width and height of those, px: the 12 megapixels of most phones.
const LARGE_PX: [usize; 2] = [4_000, 3_000];
/// Grain of a night picture, half its range in steps of 8 bits: such a JPEG has some megabytes.
const GRAIN: u32 = 6;
/// What this bench is called in the table.
const NAME: &str = "desk/";

fn main() {
    // criterion's settings are numbers; anything else is a filter
    let mut filters =
        std::env::args().skip(1).filter(|argument| !argument.starts_with('-') && argument.parse::<f64>().is_err());
    if filters.next().is_some_and(|filter| !NAME.contains(filter.as_str())) {
        return;
    }
    let folder = tempfile::tempdir().unwrap();
    let journal = folder.path().join("journal.sqlite");
    filled(&journal);
    board(&journal);
    likeness();
    intake();
}

fn filled(path: &Path) {
    let mut journal = Journal::open(path).unwrap();
    let start = Instant::now();
    fill(&mut journal, SUBMISSIONS);
    let mut from = 0;
    loop {
        let question = ListQuestion { most: 500, from, ..ListQuestion::default() };
        let rows = journal.submissions(&question).unwrap().rows;
        if rows.is_empty() {
            break;
        }
        from += 500;
        for row in rows {
            let number = u32::try_from(row.id.get()).unwrap();
            journal.record_print(&PrintOf::Submission(row.id), &print(number)).unwrap();
        }
    }
    println!("{NAME}a journal of {SUBMISSIONS} made: {:.1} s", start.elapsed().as_secs_f64());
}

fn board(journal: &Path) {
    let server = serve_with(&["serve"], journal);
    let questions = [
        ("the first rows", format!("api/desk/submissions?most={ROWS}")),
        ("the last rows", format!("api/desk/submissions?most={ROWS}&from={}", SUBMISSIONS - ROWS)),
        (
            "asked by form, verdict and distance",
            format!("api/desk/submissions?most={ROWS}&form=rays&outcome=cannot_tell&near=77&within_km=300"),
        ),
        ("asked by a word", format!("api/desk/submissions?most={ROWS}&text=viewer")),
        ("all points of map and time", "api/desk/points".to_owned()),
        ("one with its evidence", format!("api/desk/submissions/{}", SUBMISSIONS / 2)),
    ];
    for (name, path) in questions {
        // by the clock: the work is another process's
        let taken = (0..ROUNDS).map(|_round| waited_s(|| answer(&server, &path))).collect();
        println!("{NAME}{name}, {SUBMISSIONS} submissions: {:.0} ms", middle(taken) * 1e3);
    }
}

fn waited_s(work: impl FnOnce() -> usize) -> f64 {
    let start = Instant::now();
    std::hint::black_box(work());
    start.elapsed().as_secs_f64()
}

fn answer(server: &Server, path: &str) -> usize {
    let mut answer = agent().get(format!("{}{path}", server.address)).call().unwrap();
    assert_eq!(answer.status().as_u16(), 200, "{path}");
    answer.body_mut().read_to_string().unwrap().len()
}

/// One new picture against all: the search, and the comparison in full of what it gives.
fn likeness() {
    let mut known = KnownPictures::default();
    for number in 0..SUBMISSIONS {
        known.add(number, print(number));
    }
    let (mut searched, mut compared, mut found) = (Vec::new(), Vec::new(), 0);
    for round in 0..ROUNDS {
        let number = round * (SUBMISSIONS / ROUNDS);
        let new = print(number);
        let mut likest = Vec::new();
        searched.push(seconds(|| likest = known.likest(&new)));
        compared.push(seconds(|| {
            let copies = likest.iter().filter(|(_, other)| compare(&new, other).kind.is_copy());
            found += u32::from(copies.map(|(key, _)| **key).any(|key| key == number));
        }));
    }
    println!("{NAME}the likest of {SUBMISSIONS}: {:.0} ms", middle(searched) * 1e3);
    println!("{NAME}the likest compared in full: {:.0} ms", middle(compared) * 1e3);
    println!("{NAME}copies found: {found} of {ROUNDS}");
}

/// Pictures sent over HTTP by some at once, while the server measures those that came before.
fn intake() {
    let small = OpenedPicture::open(PICTURE, false).unwrap().small(SENT_PX).unwrap();
    send_many("small", SENT, &packed([small.width, small.height], &small.rgb));
    let large: Vec<u8> = (0..LARGE_PX[0] * LARGE_PX[1])
        .flat_map(|index| {
            let [x, y] =
                [index % LARGE_PX[0] * small.width / LARGE_PX[0], index / LARGE_PX[0] * small.height / LARGE_PX[1]];
            let place = 3 * (y * small.width + x);
            // Knuth 1997, volume 2, section 3.3.4: a multiplier that scatters neighbours
            let chance = u32::try_from(index).unwrap().wrapping_mul(2_654_435_761) >> 16;
            let grain = u8::try_from(chance % (2 * GRAIN + 1)).unwrap();
            [0, 1, 2].map(|channel| small.rgb[place + channel].saturating_add(grain))
        })
        .collect();
    send_many("of 12 megapixels", LARGE, &packed(LARGE_PX, &large));
}

fn packed(size: [usize; 2], rgb: &[u8]) -> Vec<u8> {
    let [width, height] = size.map(|side| u16::try_from(side).unwrap());
    let mut file = Vec::new();
    jpeg_encoder::Encoder::new(&mut file, 90).encode(rgb, width, height, jpeg_encoder::ColorType::Rgb).unwrap();
    file
}

fn send_many(what: &str, many: usize, picture: &[u8]) {
    let server = serve(&["serve"]);
    let start = Instant::now();
    std::thread::scope(|scope| {
        for sender in 0..SENDERS {
            let server = &server;
            scope.spawn(move || {
                for number in (sender..many).step_by(SENDERS) {
                    let bytes = [picture, number.to_string().as_bytes()].concat();
                    let (status, text) = send_form(server, "api/desk/submissions", &form(&[], "a.jpg", &bytes), None);
                    assert_eq!(status, 200, "{text}");
                }
            });
        }
    });
    let taken_s = start.elapsed().as_secs_f64();
    let waiting = Journal::open(&server.journal).unwrap().unmeasured_submissions(u32::MAX).unwrap().len();
    let megabytes = picture.len() as f64 * 1e-6;
    println!(
        "{NAME}{many} pictures {what}, {megabytes:.1} MB each, taken in: {:.0} a second in {taken_s:.1} s",
        many as f64 / taken_s
    );
    println!("{NAME}measured meanwhile: {} of them", many - waiting);
}
