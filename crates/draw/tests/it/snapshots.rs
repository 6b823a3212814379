//! Pictures and documents kept in `tests/data`. A change writes `*.changed.*` beside the kept one: look at both, then replace.

use std::path::Path;

use draw::documents::{calendar, field_card, geojson, gpx};
use draw::{BowlStyle, CompareStyle, KeogramStyle, Palette, StripStyle, compare_sites, keogram, night_strip, sky_bowl};

use job::FieldPlan;

use crate::keograms::drifting_arc;
use crate::sample;

/// Compares all, then fails naming every picture that changed.
#[derive(Default)]
struct Gallery {
    changed: Vec<String>,
}

impl Gallery {
    fn check(&mut self, name: &str, drawn: &str) {
        self.check_file(name, "svg", drawn);
    }

    #[expect(clippy::disallowed_methods, reason = "the kept pictures are files; the library itself touches none")]
    fn check_file(&mut self, name: &str, ending: &str, drawn: &str) {
        let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/data");
        let kept = folder.join(format!("{name}.{ending}"));
        if std::fs::read_to_string(&kept).is_ok_and(|text| text == drawn) {
            return;
        }
        let changed = folder.join(format!("{name}.changed.{ending}"));
        std::fs::write(&changed, drawn).unwrap();
        self.changed.push(changed.display().to_string());
    }

    fn finish(self) {
        assert!(self.changed.is_empty(), "changed, compare with the kept ones: {:#?}", self.changed);
    }
}

#[test]
fn strips() {
    let mut gallery = Gallery::default();
    for (name, night) in [
        ("normal", sample::normal()),
        ("polar-night", sample::polar_night()),
        ("moonlit-without-activity", sample::moonlit_without_activity()),
        ("southern", sample::southern()),
        ("clouds-unknown", sample::clouds_unknown()),
        ("clock-change", sample::clock_change()),
    ] {
        gallery.check(&format!("strip-{name}-desk"), &night_strip(&night.outlook(), &StripStyle::desk(Palette::Day)));
        gallery.check(
            &format!("strip-{name}-phone"),
            &night_strip(&night.outlook(), &StripStyle::phone(Palette::DarkEyes)),
        );
    }
    let report = sample::normal().outlook();
    let cursor = Some(report.windows[0].best_at);
    gallery.check("strip-print", &night_strip(&report, &StripStyle { cursor, ..StripStyle::desk(Palette::Print) }));
    let bare = StripStyle { cursor, caption: false, ..StripStyle::phone(Palette::Day) };
    gallery.check("strip-cursor-phone", &night_strip(&report, &bare));
    gallery.finish();
}

#[test]
fn bowls() {
    let mut gallery = Gallery::default();
    let north = sample::normal().skymap(10.5, 3.0);
    let south = sample::southern().skymap(10.5, 3.0);
    let moonlit = sample::polar_night().skymap(8.0, 3.0);
    let dark = sample::moonlit_without_activity().skymap(12.0, 3.0);
    let frame = sample::frame(0.0);
    gallery.check(
        "bowl-north-desk",
        &sky_bowl(&north, &BowlStyle { frame_outline: Some(&frame), ..BowlStyle::new(720.0, Palette::Day) }),
    );
    gallery.check("bowl-north-phone", &sky_bowl(&north, &BowlStyle::new(390.0, Palette::DarkEyes)));
    gallery.check("bowl-south-phone", &sky_bowl(&south, &BowlStyle::new(390.0, Palette::Day)));
    gallery.check("bowl-south-desk", &sky_bowl(&south, &BowlStyle::new(720.0, Palette::DarkEyes)));
    gallery.check("bowl-moonlit-phone", &sky_bowl(&moonlit, &BowlStyle::new(390.0, Palette::Day)));
    gallery.check("bowl-dark-phone", &sky_bowl(&dark, &BowlStyle::new(390.0, Palette::DarkEyes)));
    gallery.check("bowl-print", &sky_bowl(&north, &BowlStyle::new(600.0, Palette::Print)));
    gallery.finish();
}

#[test]
fn keograms() {
    let mut gallery = Gallery::default();
    let unit = "kR of 557.7 nm above the sky's own light";
    for (name, palette) in [("keogram-calibrated", Palette::Day), ("keogram-calibrated-dark", Palette::DarkEyes)] {
        gallery.check(name, &keogram(&drifting_arc(true), unit, &KeogramStyle { palette }));
    }
    gallery.finish();
}

#[test]
fn comparison() {
    let mut gallery = Gallery::default();
    let all = [
        sample::normal().row("the clearest line of sight"),
        sample::clouds_unknown().row("a longer drive"),
        sample::moonlit_without_activity().row("no dark hours with activity"),
    ];
    for (name, width_px, palette) in
        [("compare-desk", 1000.0, Palette::Day), ("compare-phone", 390.0, Palette::DarkEyes)]
    {
        gallery.check(name, &compare_sites(&all, &CompareStyle { width_px, palette }));
    }
    gallery.finish();
}

#[test]
fn documents() {
    let mut report = sample::normal().outlook();
    report.cautions = job::cautions();
    report.would_change = vec!["Kp 5 or more instead of 3.".to_owned()];
    report.request.site.drive_minutes = Some(40.0);
    report.ranking = vec![sample::southern().row("the clearest line of sight"), sample::normal().row("a longer drive")];
    let plan = FieldPlan {
        at: report.windows[0].best_at,
        declination_deg: 8.4,
        sky: Some(sample::normal().skymap(10.5, 10.0)),
        stand: None,
        expose: None,
    };
    let mut gallery = Gallery::default();
    gallery.check_file("card", "html", &field_card(&report, &plan));
    gallery.check_file("calendar", "ics", &calendar(&report).unwrap());
    gallery.check_file("sites", "gpx", &gpx(&report));
    gallery.check_file("sites", "geojson", &geojson(&report));
    gallery.finish();
}
