//! `quietarc kit measure` from end to end on drawn flats and biases.

use crate::kept::House;
use crate::program::{stderr, stdout};

const SIZE: usize = 96;
const GAIN_E: f64 = 2.5;
const READ_E: f64 = 5.0;

/// Even numbers from 0 to 1 (xorshift64*).
struct Dice(u64);

impl Dice {
    fn even(&mut self) -> f64 {
        self.0 ^= self.0 >> 12;
        self.0 ^= self.0 << 25;
        self.0 ^= self.0 >> 27;
        (self.0.wrapping_mul(0x2545_f491_4f6c_dd1d) >> 11) as f64 / (1u64 << 53) as f64
    }

    /// Deviation 1: twelve even numbers less six.
    fn normal(&mut self) -> f64 {
        (0..12).map(|_| self.even()).sum::<f64>() - 6.0
    }
}

/// A FITS file of one even exposure (FITS Standard 4.0).
fn exposure(dice: &mut Dice, electrons: f64, seconds: f64) -> Vec<u8> {
    let lines = [
        "SIMPLE  =                    T".to_owned(),
        "BITPIX  =                   16".to_owned(),
        "NAXIS   =                    2".to_owned(),
        format!("NAXIS1  = {SIZE:>20}"),
        format!("NAXIS2  = {SIZE:>20}"),
        "BZERO   =                32768".to_owned(),
        "GAIN    =                  120".to_owned(),
        format!("EXPTIME = {seconds:>20}"),
        "END".to_owned(),
    ];
    let mut bytes: Vec<u8> = lines.iter().flat_map(|line| format!("{line:<80}").into_bytes()).collect();
    bytes.resize(bytes.len().div_ceil(2880) * 2880, b' ');
    for _ in 0..SIZE * SIZE {
        let noisy = electrons + electrons.sqrt() * dice.normal() + READ_E * dice.normal();
        #[expect(clippy::cast_possible_truncation, reason = "whole numbers of 16 bits less 32 768")]
        let stored = ((400.0 + noisy / GAIN_E).round() - 32_768.0) as i16;
        bytes.extend(stored.to_be_bytes());
    }
    bytes
}

/// Two flats at each of three levels and two biases, by name.
fn pictures(house: &House) -> Vec<String> {
    let mut dice = Dice(77);
    let mut paths = Vec::new();
    for (name, electrons, seconds) in
        [("a", 4_000.0, 1.0), ("b", 12_000.0, 3.0), ("c", 40_000.0, 10.0), ("bias", 0.0, 0.001)]
    {
        for number in [1, 2] {
            paths.push(house.file(&format!("{name}{number}.fits"), exposure(&mut dice, electrons, seconds)));
        }
    }
    paths
}

fn asked<'a>(paths: &'a [String], more: &[&'a str]) -> Vec<&'a str> {
    let mut arguments = vec!["kit", "measure"];
    for pair in paths[..6].chunks(2) {
        arguments.extend(["--flat", &pair[0], &pair[1]]);
    }
    arguments.extend(["--bias", &paths[6], &paths[7]]);
    arguments.extend(more);
    arguments
}

#[test]
fn gain_and_read_noise_are_printed_and_kept() {
    let house = House::new();
    let paths = pictures(&house);
    let said = house.done(&asked(&paths, &[]));
    assert!(said.contains("gain setting 120") && said.contains("electrons for each number"), "{said}");

    let json = house.json(&asked(&paths, &["--json"]));
    let number = |name: &str| json["channels"][0][name]["value"].as_f64().unwrap();
    // 9 216 pixels a level: the variance to 1.5 %, three levels 0.9 %, three deviations
    assert!((number("gain_e") / GAIN_E - 1.0).abs() < 0.03, "{json}");
    assert!((number("read_noise_e") / READ_E - 1.0).abs() < 0.05, "{json}");

    house.done(&["kit", "add", "Skerrow camera", "--sensor", "full-frame-24", "--lens", "20-1.8"]);
    let output = house.run(&asked(&paths, &["--name", "Skerrow camera", "--save"]));
    assert!(output.status.success(), "{}", stderr(&output));
    assert!(stderr(&output).contains("written into the kit"), "{}", stderr(&output));
    assert!(stdout(&output).contains("read noise"));
    let kit = house.json(&["kit", "show", "Skerrow camera", "--json"]);
    let kept = kit["camera"]["read_noise_e"].as_f64().unwrap();
    assert!((kept / READ_E - 1.0).abs() < 0.05, "{kit}");
}

#[test]
fn what_cannot_be_measured_is_refused_in_words() {
    let house = House::new();
    let paths = pictures(&house);
    let note = house.file("note.txt", "no picture");
    let refused = |arguments: &[&str]| house.refused(arguments);
    let said = refused(&["kit", "measure", "--flat", &paths[0], &note, "--bias", &paths[6], &paths[7]]);
    assert!(said.contains("note.txt"), "{said}");
    let said = refused(&["kit", "measure", "--flat", &paths[0], &paths[2], "--bias", &paths[6], &paths[7]]);
    assert!(said.contains("exposure time"), "{said}");
    let said = refused(&["kit", "measure", "--flat", &paths[6], &paths[7], "--bias", &paths[6], &paths[7]]);
    assert!(said.contains("none of the 1 pairs"), "{said}");
    let said = refused(&asked(&paths, &["--name", "nobody's", "--save"]));
    assert!(said.contains("nobody's"), "{said}");
}
