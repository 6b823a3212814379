//! The field card: whole, closed to the outside, bounded, and the same every time.

use draw::documents::field_card;
use job::{
    Activity, Candidate, CloudCover, FieldPlan, ForegroundObject, Kit, OutlookReport, OutlookRequest, Site, Weather,
    WeatherHour, field_plan, outlook,
};
use proptest::prelude::*;
use quantity::{Fraction, GeoPosition, InputNote, InputState, Timestamp};
use roxmltree::{Document, Node};

use super::names;
use crate::sample;

fn instant(text: &str) -> Timestamp {
    text.parse().unwrap()
}

/// An invented night worked out by the verbs themselves: three sites, a forecast, things in front.
fn night() -> (OutlookReport, FieldPlan) {
    let (from, to) = (instant("2026-03-14T11:00:00Z"), instant("2026-03-15T11:00:00Z"));
    let weather = |low: f64| Weather {
        source: "forecast invented for a test".to_owned(),
        issued_at: Some(instant("2026-03-14T13:00:00Z")),
        hours: vec![WeatherHour {
            cloud: CloudCover { low: Some(Fraction::clamped(low)), ..CloudCover::default() },
            temperature_c: Some(-11.0),
            dew_point_c: Some(-12.0),
            wind_m_s: Some(6.0),
            ..WeatherHour::unknown(from, to)
        }],
        around: Vec::new(),
    };
    let place = |name: &str, latitude_deg, longitude_deg, drive_minutes| Site {
        time_zone: "Europe/Oslo".to_owned(),
        drive_minutes: Some(drive_minutes),
        ..Site::bare(name, GeoPosition::new(latitude_deg, longitude_deg, 10.0).unwrap())
    };
    let report = outlook(OutlookRequest {
        site: Site {
            // all around, so that any pointing holds one
            foreground: (0..8)
                .map(|side| ForegroundObject {
                    name: "boathouse".to_owned(),
                    bearing_deg: 45.0 * f64::from(side),
                    distance_m: 60.0,
                    height_m: 5.5,
                    width_m: 9.0,
                })
                .collect(),
            notes: "Invented: do not drive there.".to_owned(),
            ..place("Skerrow Bay", 67.2, 15.1, 20.0)
        },
        night: jiff::civil::date(2026, 3, 14),
        asked_at: instant("2026-03-14T16:00:00Z"),
        kit: Kit::plain(),
        activity: Activity::given(4.0, from, to),
        other_activity: Vec::new(),
        weather: weather(0.3),
        elsewhere: vec![
            Candidate { site: place("Marrow Head", 67.4, 14.8, 55.0), weather: weather(0.0) },
            Candidate { site: place("Ternholm Lake", 66.9, 16.2, 95.0), weather: weather(0.9) },
        ],
        input_notes: Vec::new(),
        upstream: None,
        precipitation: None,
        f107: 120.0,
        adaptation_minutes: 30.0,
    })
    .unwrap();
    let plan = field_plan(&report).unwrap();
    (report, plan)
}

/// The card as XML: its first line is the one thing in it that is not.
fn parsed(card: &str) -> Document<'_> {
    Document::parse(card.strip_prefix("<!doctype html>\n").unwrap()).unwrap()
}

/// The text on the page.
fn words(document: &Document<'_>) -> String {
    let unseen = |node: Node<'_, '_>| ["style", "title", "desc"].contains(&node.tag_name().name());
    let shown = |node: &Node<'_, '_>| node.is_text() && !node.ancestors().any(unseen);
    let texts: Vec<&str> = document.descendants().filter(shown).filter_map(|node| node.text()).collect();
    texts.join("\n")
}

/// Every address and every thing that could run.
fn closed(document: &Document<'_>) {
    const ALLOWED: [&str; 27] = [
        "html", "head", "meta", "title", "style", "body", "input", "label", "main", "header", "footer", "div", "p",
        "span", "h1", "h2", "ul", "li", "table", "thead", "tbody", "tr", "th", "td", "svg", "desc", "g",
    ];
    const DRAWN: [&str; 6] = ["path", "rect", "line", "circle", "text", "polygon"];
    for node in document.descendants().filter(Node::is_element) {
        let name = node.tag_name().name();
        assert!(ALLOWED.contains(&name) || DRAWN.contains(&name), "<{name}>");
        for attribute in node.attributes() {
            assert!(!attribute.name().starts_with("on"), "{}", attribute.name());
            assert!(!["href", "src", "action", "data", "srcset"].contains(&attribute.name()), "{}", attribute.name());
            assert!(!attribute.value().contains("url("), "{}", attribute.value());
        }
        let empty = node.first_child().is_none();
        let may_be_empty = ["meta", "input"].contains(&name) || DRAWN.contains(&name);
        assert!(!empty || may_be_empty, "<{name}> is empty: HTML would leave it open");
    }
}

#[test]
fn it_says_everything_a_night_outside_needs() {
    let (report, plan) = night();
    let card = field_card(&report, &plan);
    let document = parsed(&card);
    closed(&document);
    let said = words(&document);
    let frame = plan.stand.as_ref().unwrap();
    let settings = &plan.expose.as_ref().unwrap().settings;
    let mut wanted = vec![
        report.verdict.text.clone(),
        "night of 14-15 Mar 2026".to_owned(),
        "leave by ".to_owned(),
        "20 min on the road, 30 min to set up".to_owned(),
        format!("{:.0}°", frame.pointing.azimuth_deg),
        "boathouse".to_owned(),
        "Magnetic zenith".to_owned(),
        "A compass needle points".to_owned(),
        settings[0].dial.clone(),
        settings[1].dial.clone(),
        "wind 6 m/s (Beaufort 4)".to_owned(),
        "feels like -19 °C".to_owned(),
        "Frost on the lens".to_owned(),
        "Marrow Head".to_owned(),
        "95 min".to_owned(),
        "forecast invented for a test, 3 h old".to_owned(),
        "Invented: do not drive there.".to_owned(),
    ];
    wanted.extend(report.cautions.iter().map(|caution| caution.text.clone()));
    for words in wanted {
        assert!(said.contains(&words), "{words:?} in {said}");
    }
    // a strip for paper, phone and dark eyes; a bowl for paper and dark eyes
    let drawings = document.descendants().filter(|node| node.has_tag_name(("http://www.w3.org/2000/svg", "svg")));
    assert_eq!(drawings.count(), 5);
    assert_eq!(card, field_card(&report, &plan));
}

#[test]
fn dark_eyes_see_red_alone_and_paper_needs_no_colour_for_its_words() {
    let (report, plan) = night();
    let card = field_card(&report, &plan);
    let document = parsed(&card);
    let eyes = document.descendants().filter(|node| node.attribute("class") == Some("eyes"));
    let drawn: Vec<_> = eyes.flat_map(|node| node.descendants().collect::<Vec<_>>()).collect();
    assert!(drawn.len() > 100);
    for node in &drawn {
        for name in ["fill", "stroke"] {
            let colour = node.attribute(name).unwrap_or("none");
            assert!(colour == "none" || colour.ends_with("0000"), "{colour}");
        }
    }
    let style = document.descendants().find(|node| node.has_tag_name("style")).and_then(|node| node.text()).unwrap();
    assert!(style.contains("@media print { :root { --ground: #ffffff; --ink: #000000;"), "{style}");
}

#[test]
fn a_night_without_light_still_makes_a_card() {
    for report in [sample::moonlit_without_activity().outlook(), sample::polar_night().outlook()] {
        let plan = FieldPlan { at: report.night.from, declination_deg: 0.4, sky: None, stand: None, expose: None };
        let card = field_card(&report, &plan);
        let document = parsed(&card);
        closed(&document);
        assert!(words(&document).contains("a compass needs no correction here"));
    }
}

#[test]
fn whatever_is_typed_the_page_is_bounded() {
    let long = "The far end of the long shingle ".repeat(200);
    let (mut report, plan) = night();
    let short = words(&parsed(&field_card(&report, &plan))).len();
    report.request.site.name.clone_from(&long);
    report.request.site.notes.clone_from(&long);
    report.verdict.text.clone_from(&long);
    report.would_change = vec![long.clone(); 50];
    report.inputs = (0..60)
        .map(|_| InputNote {
            name: long.clone(),
            source: long.clone(),
            observed_at: None,
            age_minutes: Some(1e12),
            state: InputState::Stale,
        })
        .collect();
    report.windows = vec![report.windows[0].clone(); 40];
    let row = report.ranking[0].clone();
    report.ranking = vec![row; 200];
    for row in &mut report.ranking {
        row.site.name.clone_from(&long);
        row.reason.clone_from(&long);
    }
    let card = field_card(&report, &plan);
    let document = parsed(&card);
    closed(&document);
    let said = words(&document);
    assert!(said.contains("and 38 more windows") && said.contains("the best 5 of 200"), "{said}");
    assert!(said.contains("and 54 more") && said.contains("and 48 more"), "{said}");
    assert!(said.len() < 2 * short, "{} against {short}", said.len());
}

#[test]
fn the_site_asked_about_is_on_its_card_whatever_its_rank() {
    let (mut report, plan) = night();
    let row = report.ranking[0].clone();
    let mut last = report.ranking.iter().find(|row| row.site.name == "Skerrow Bay").unwrap().clone();
    last.reason = "a longer drive".to_owned();
    report.ranking = vec![row; 20];
    report.ranking.push(last);
    let card = field_card(&report, &plan);
    let document = parsed(&card);
    let asked = document.descendants().find(|node| node.attribute("class") == Some("asked")).unwrap();
    let cells: Vec<&str> =
        asked.children().filter_map(|cell| cell.text()).map(str::trim).filter(|t| !t.is_empty()).collect();
    assert_eq!(cells[..2], ["21", "Skerrow Bay"]);
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(48))]
    #[test]
    fn any_name_stays_text(name in ".{0,40}") {
        let mut report = sample::normal().outlook();
        report.request.site.name.clone_from(&name);
        report.verdict.text = format!("Perhaps: {name}");
        let plan = FieldPlan { at: report.windows[0].best_at, declination_deg: 5.0, sky: None, stand: None, expose: None };
        let card = field_card(&report, &plan);
        let document = parsed(&card);
        closed(&document);
        let shown = names::as_shown(&name);
        prop_assert!(words(&document).contains(&shown), "{shown:?}");
    }
}

#[test]
fn script_in_a_name_stays_text() {
    let (mut report, plan) = night();
    let name = "</title><script>alert(1)</script>";
    name.clone_into(&mut report.request.site.name);
    "\" onload=\"alert(1)".clone_into(&mut report.request.site.notes);
    let card = field_card(&report, &plan);
    let document = parsed(&card);
    closed(&document);
    assert!(words(&document).contains(name));
    assert_eq!(card.matches("<script").count(), 0);
}
