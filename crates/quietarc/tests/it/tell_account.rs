//! The account of a night by command: text, page and running order.

use serde_json::Value;

use crate::house::House;
use crate::program::{stderr, stdout};

fn told(house: &House, arguments: &[&str], code: i32) -> String {
    let output = house.run(arguments);
    assert_eq!(output.status.code(), Some(code), "{arguments:?}: {}{}", stdout(&output), stderr(&output));
    if code == 0 { stdout(&output) } else { stderr(&output) }
}

#[test]
fn an_outing_is_told_as_text_page_and_running_order() {
    let house = House::new("");
    told(&house, &["site", "add", "Skerrow Bay", "--lat", "69.15", "--lon", "15.65", "--time-zone", "Europe/Oslo"], 0);
    let ask = ["outlook", "--site", "Skerrow Bay", "--cloud", "1", "--kp", "5", "--no-feeds", "--night", "2026-03-14"];
    told(&house, &[&ask[..], &["--asked-at", "2026-03-14T12:00:00Z", "--save", "First"]].concat(), 0);
    told(&house, &["outing", "saw", "First", "--eye", "yes", "--kr", "12"], 0);
    let list: Value = serde_json::from_str(&told(&house, &["outing", "list", "--json"], 0)).unwrap();
    let number = list[0]["id"].to_string();
    let [page, cards] = ["night.html", "night.csv"].map(|name| house.path(name).to_str().unwrap().to_owned());
    let place = ["--place", "the <north> coast", "--minutes-of-air", "2"];
    let files = ["--html", &page, "--running-order", &cards];
    let text = told(&house, &[&["tell", "account", &number], &place[..], &files[..]].concat(), 0);
    assert!(
        text.contains("the eye saw aurora") && text.contains("about 12") && text.contains("the <north> coast"),
        "{text}"
    );
    assert!(text.contains("Not known") && !text.contains("Skerrow") && !text.contains("69.15"), "{text}");

    let page = std::fs::read_to_string(page).unwrap();
    // a page of its own: nothing is fetched, and what was given is text, not markup
    assert!(!page.contains("http") && !page.contains("<script") && !page.contains("<north>"), "{page}");
    assert!(!page.contains("Skerrow") && page.contains("the &lt;north&gt; coast"), "{page}");
    let links = page.matches("href=\"#source-").count();
    assert!(links > 4 && page.matches("<li><span id=\"source-").count() == links, "{page}");

    let mut rows = csv::Reader::from_path(cards).unwrap();
    let ends: Vec<f64> = rows
        .records()
        .map(|row| row.unwrap())
        .map(|row| row[1].parse::<f64>().unwrap() + row[2].parse::<f64>().unwrap())
        .collect();
    // two minutes of air, to a tenth of a second a card
    assert!((ends.last().unwrap() - 120.0).abs() < 0.2, "{ends:?}");

    // a page that cannot be written takes neither the running order nor the text with it
    let (gone, kept) = (house.path("gone/night.html"), house.path("kept.csv"));
    let files = ["--html", gone.to_str().unwrap(), "--running-order", kept.to_str().unwrap()];
    let output = house.run(&[&["tell", "account", &number], &files[..]].concat());
    assert_eq!(output.status.code(), Some(2), "{}", stderr(&output));
    assert!(stderr(&output).contains("night.html cannot be written"), "{}", stderr(&output));
    assert!(stdout(&output).contains("the eye saw aurora") && kept.is_file(), "{}", stdout(&output));

    for (wrong, wanted) in [
        (vec!["tell", "account", "99"], "outing"),
        (vec!["tell", "account", &number, "--minutes-of-air", "0"], "minutes_of_air"),
        (vec!["tell", "account", &number, "--running-order", "order.txt"], ".json nor in .csv"),
        (vec!["tell", "account", &number, "--reading", "/nowhere.json"], "cannot be read"),
    ] {
        let said = told(&house, &wrong, 2);
        assert!(said.contains(wanted) && said.contains("hint: "), "{said}");
    }
}
