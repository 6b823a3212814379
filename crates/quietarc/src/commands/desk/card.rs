//! `quietarc desk card`: one page for viewers with tonight's settings, and how to send.

use job::{
    AskedBrightness, AskedSky, ColourShares, ExposeReport, ExposeRequest, Kit, SeenAurora, ShootingPurpose,
    SkymapRequest, starter_kit, starters,
};

use crate::cli::DeskCardArgs;
use crate::commands::{now, open_journal, site};
use crate::desk::escaped;
use crate::failure::{Failure, Outcome};
use crate::output;
use crate::sorting::write_atomic;

/// Cameras that viewers have, by class: what to call it, sensor and lens of the starters.
const CAMERAS: [(&str, &str, &str); 4] = [
    ("Phone, usual", "phone-small", "phone-small-lens"),
    ("Phone, large sensor", "phone-large", "phone-large-lens"),
    ("Camera, kit zoom at its widest", "aps-c-24", "kit-18-3.5"),
    ("Camera, fast wide lens", "full-frame-24", "20-1.8"),
];
/// What viewers see, from faint to bright.
const SEEN: [(&str, SeenAurora); 4] = [
    ("You see a grey glow", SeenAurora::Grey),
    ("You see a hint of colour", SeenAurora::HintOfColour),
    ("You see plain colour", SeenAurora::PlainColour),
    ("It lights up the ground", SeenAurora::CastsShadows),
];
/// Spacing of the map in which the brightest direction is looked for, degrees.
const GRID_STEP_DEG: f64 = 3.0;
/// Solar radio flux where nobody gives one, sfu: as in the outlook.
const USUAL_F107: f64 = 120.0;
/// Minutes that viewers have been outside.
const DARK_MINUTES: f64 = 15.0;

const STYLE: &str = "body{font:17px/1.45 system-ui,sans-serif;max-width:48rem;margin:0 auto;padding:1rem;color:#111;background:#fff}\
h1{font-size:1.5rem;margin:0}h2{font-size:1.15rem;margin:1.2rem 0 .3rem}p,ul{margin:.4rem 0}\
.scroll{overflow-x:auto}table{border-collapse:collapse;width:100%}th,td{border-bottom:1px solid #888;padding:.35rem .6rem .35rem 0;text-align:left;vertical-align:top}\
.tonight{font-weight:700}.small{font-size:.9rem}a{overflow-wrap:anywhere}\
@media(prefers-color-scheme:dark){body{background:#111;color:#eee}a{color:#9cc7f0}}\
@media print{body{font-size:11pt;padding:0;color:#000;background:#fff}}";

pub(super) fn run(arguments: &DeskCardArgs) -> Result<Outcome, Failure> {
    if let Some(link) = arguments.link.as_ref().filter(|link| !is_web_address(link)) {
        return Err(Failure::new(
            format!("{link:?} is no address of a page"),
            "give the whole address, beginning with https:// or http://",
        ));
    }
    let page = page(arguments)?;
    write_atomic(&arguments.out, page.as_bytes(), None, false).map_err(|error| {
        Failure::new(
            format!("{} cannot be written: {error}", arguments.out.display()),
            "give a path in a folder you can write to",
        )
    })?;
    output::answer(&format!("the card is in {}", arguments.out.display()))?;
    Ok(Outcome::Done)
}

/// An address of another kind could run something when it is pressed.
fn is_web_address(link: &str) -> bool {
    ["https://", "http://"].iter().any(|scheme| link.starts_with(scheme))
}

/// What was expected for tonight, where somebody says so.
fn expected(arguments: &DeskCardArgs) -> Result<Option<AskedBrightness>, Failure> {
    if let Some(green_5577_kr) = arguments.brightness_kr {
        return Ok(Some(AskedBrightness::Given { green_5577_kr, low_kr: None, high_kr: None }));
    }
    let Some(kp) = arguments.kp else { return Ok(None) };
    let site = site::site(&arguments.site, || open_journal(&arguments.journal))?;
    let at = arguments.at.unwrap_or_else(now);
    let sky = job::skymap(SkymapRequest { site, at, kp, f107: USUAL_F107, step_deg: GRID_STEP_DEG })?;
    let arc = sky.brightest_arc_kr;
    Ok(Some(AskedBrightness::Given { green_5577_kr: arc.value, low_kr: Some(arc.low), high_kr: Some(arc.high) }))
}

/// With a place the sky is worked out: moon, twilight, towns.
fn sky(arguments: &DeskCardArgs) -> Result<AskedSky, Failure> {
    let place = &arguments.site;
    if place.site.is_none() && place.place.lat.is_none() && place.place.lon.is_none() {
        return Ok(AskedSky::Unknown);
    }
    let site = Box::new(site::site(place, || open_journal(&arguments.journal))?);
    Ok(AskedSky::AtSite { site, at: arguments.at.unwrap_or_else(now) })
}

/// What the sky is that the settings were worked out for.
fn sky_words(sky: &AskedSky) -> String {
    match sky {
        AskedSky::AtSite { site, at } => format!(
            "under the sky of {} at {}, with its moon, twilight and towns",
            escaped(&site.name),
            at.strftime("%-d %B %Y, %H:%M UTC")
        ),
        AskedSky::Unknown | AskedSky::Given { .. } => "under a dark sky without moon".to_owned(),
    }
}

/// Brightness in kR: a tenth is told where whole ones would make nothing of it.
fn kr_words(kr: f64) -> String {
    match kr {
        none if none < 0.05 => "less than 0.1".to_owned(),
        faint if faint < 9.95 => format!("{faint:.1}"),
        bright => format!("{bright:.0}"),
    }
}

fn settings(kit: &Kit, brightness: AskedBrightness, sky: &AskedSky) -> Result<ExposeReport, Failure> {
    Ok(job::expose(ExposeRequest {
        brightness,
        colours: ColourShares::default(),
        kit: kit.clone(),
        sky: sky.clone(),
        pointing: None,
        least_declination_deg: None,
        motion: None,
        purpose: ShootingPurpose::Still,
        temperature_c: None,
        adaptation_minutes: DARK_MINUTES,
    })?)
}

fn kits() -> Vec<(&'static str, Kit)> {
    let all = starters();
    let kit = |(name, sensor, lens): &(&'static str, &str, &str)| {
        Some((*name, starter_kit(*name, all.sensor(sensor)?, all.lens(lens)?)))
    };
    CAMERAS.iter().filter_map(kit).collect()
}

fn page(arguments: &DeskCardArgs) -> Result<String, Failure> {
    let kits = kits();
    let mut rows = String::new();
    let expected = expected(arguments)?;
    let sky = sky(arguments)?;
    if let Some(brightness) = expected {
        rows += &row("Expected tonight", "tonight", &kits, brightness, &sky)?;
    }
    for (words, what) in SEEN {
        rows += &row(words, "", &kits, AskedBrightness::Seen { what }, &sky)?;
    }
    let heads: String = kits.iter().map(|(name, _)| ["<th scope=\"col\">", name, "</th>"].concat()).collect();
    let title = escaped(&arguments.title);
    let cautions: String = job::cautions()
        .iter()
        .map(|caution| ["<li>", &escaped(&caution.text), " <i>", &escaped(&caution.defer_to), "</i></li>"].concat())
        .collect();
    let basis = match expected {
        Some(AskedBrightness::Given { green_5577_kr, .. }) => format!(
            "Expected tonight: green light of {} kR in the brightest part, an estimate; what you see goes first.",
            kr_words(green_5577_kr)
        ),
        _ => "No forecast is in this card: go by what you see.".to_owned(),
    };
    Ok(format!(
        "<!doctype html><html lang=\"en\"><head><meta charset=\"utf-8\">\
         <meta http-equiv=\"Content-Security-Policy\" content=\"default-src 'none'; style-src 'unsafe-inline'\">\
         <meta name=\"viewport\" content=\"width=device-width, initial-scale=1\"><title>{title}</title><style>{STYLE}</style></head>\
         <body><h1>{title}</h1>\
         <h2>Before you press</h2><ul><li>Put the phone or camera on something that stands still, and use the timer of 2 s.</li>\
         <li>Phone: night mode, or the manual mode with the numbers below; never the flash. Camera: manual, focus on a bright star.</li>\
         <li>Wipe the lens. Look at the first picture at full size, then change one thing.</li></ul>\
         <h2>Settings</h2><div class=\"scroll\"><table><thead><tr><th scope=\"col\">What you see</th>{heads}</tr></thead>\
         <tbody>{rows}</tbody></table></div>\
         <p class=\"small\">{basis} Worked out for cameras by class {under}; yours may differ by a stop. \
         If the picture is too dark double the ISO, if the curtains are smeared halve the seconds.</p>\
         <h2>Send it</h2>{send}\
         <h2>Take care</h2><ul class=\"small\">{cautions}</ul></body></html>",
        under = sky_words(&sky),
        send = how_to_send(arguments),
    ))
}

fn row(
    words: &str,
    class: &str,
    kits: &[(&str, Kit)],
    brightness: AskedBrightness,
    sky: &AskedSky,
) -> Result<String, Failure> {
    let mut cells = String::new();
    for (_name, kit) in kits {
        let report = settings(kit, brightness, sky)?;
        let dial = report.settings.first().map_or("cannot tell", |setting| setting.dial.as_str());
        cells += &["<td>", &escaped(dial), "</td>"].concat();
    }
    Ok(format!("<tr class=\"{class}\"><th scope=\"row\">{words}</th>{cells}</tr>"))
}

fn how_to_send(arguments: &DeskCardArgs) -> String {
    let door = arguments.link.as_ref().map_or_else(
        || "<p>Send it to the desk as it came from the phone or camera.</p>".to_owned(),
        |link| format!("<p><a href=\"{0}\" rel=\"noreferrer\">{0}</a></p>", escaped(link)),
    );
    door + "<ul><li>The picture as it was taken: no screenshot, no filter, not through a chat, which takes time and place out of it.</li>\
            <li>Write when and where, and which name may be shown.</li>\
            <li>Only pictures you took yourself. You say what it may be used for, and can take it back.</li>\
            <li>The place in the file is used to check it and is removed from every copy that is shown.</li></ul>"
}

#[cfg(test)]
mod tests {
    use job::Site;
    use quantity::GeoPosition;

    use super::*;

    #[test]
    fn the_dials_are_those_of_expose_under_the_sky_of_the_place() {
        let site = Site::bare("Skerrow <b>".to_owned(), GeoPosition::new(69.3, 16.0, 0.0).unwrap());
        let at = "2026-03-03T22:00:00Z".parse().unwrap();
        let sky = AskedSky::AtSite { site: Box::new(site), at };
        let brightness = AskedBrightness::Seen { what: SeenAurora::Grey };
        let kits = kits();
        assert_eq!(kits.len(), CAMERAS.len());
        let told = row("grey", "", &kits, brightness, &sky).unwrap();
        for (name, kit) in &kits {
            let asked = ExposeRequest {
                brightness,
                colours: ColourShares::default(),
                kit: kit.clone(),
                sky: sky.clone(),
                pointing: None,
                least_declination_deg: None,
                motion: None,
                purpose: ShootingPurpose::Still,
                temperature_c: None,
                adaptation_minutes: DARK_MINUTES,
            };
            let report = job::expose(asked).unwrap();
            assert!(told.contains(&escaped(&report.settings[0].dial)), "{name}: {told}");
        }
        assert!(sky_words(&sky).contains("Skerrow &lt;b&gt; at 3 March 2026, 22:00 UTC"), "{}", sky_words(&sky));
        assert!(sky_words(&AskedSky::Unknown).contains("without moon"));
    }

    #[test]
    fn a_faint_aurora_is_not_called_none() {
        assert_eq!([0.01, 0.3, 4.26, 12.4].map(kr_words), ["less than 0.1", "0.3", "4.3", "12"]);
    }

    #[test]
    fn only_addresses_of_pages_are_linked() {
        assert!(is_web_address("https://desk.example/send/x"));
        assert!(!is_web_address("javascript:alert(1)") && !is_web_address(" https://desk.example"));
    }
}
