//! What goes in comes out, to the last bit.

use jiff::civil::date;
use job::{Recommendation, SkyQuality};
use journal::{Journal, KitId, NewOuting, SiteId};

use crate::samples::{furnished, instant, kit, new_outing, report, site};

/// A column and the number it came from are the same value.
const SAME: f64 = f64::EPSILON;

#[test]
fn sites_and_kits_come_back_equal() {
    let journal = Journal::in_memory().unwrap();
    let site_id = journal.add_site(&site("Test bay")).unwrap();
    let kit_id = journal.add_kit(&kit("Wide")).unwrap();
    assert_eq!(journal.site(site_id).unwrap().site, site("Test bay"));
    assert_eq!(journal.site_named("Test bay").unwrap().id, site_id);
    assert_eq!(journal.kit(kit_id).unwrap().kit, kit("Wide"));
    assert_eq!(journal.kit_named("Wide").unwrap().id, kit_id);
}

#[test]
fn lists_are_sorted_by_name() {
    let journal = Journal::in_memory().unwrap();
    for name in ["Fjord", "Bay", "Cape"] {
        journal.add_site(&site(name)).unwrap();
        journal.add_kit(&kit(name)).unwrap();
    }
    let sites: Vec<String> = journal.sites().unwrap().into_iter().map(|stored| stored.site.name).collect();
    let kits: Vec<String> = journal.kits().unwrap().into_iter().map(|stored| stored.kit.name).collect();
    assert_eq!(sites, ["Bay", "Cape", "Fjord"]);
    assert_eq!(kits, sites);
}

#[test]
fn a_replaced_site_keeps_its_number_and_its_outings() {
    let (journal, outing) = furnished();
    let id = journal.site_named("Test bay").unwrap().id;
    let mut moved = site("Other bay");
    moved.sky_quality = SkyQuality::Bortle { class: 3 };
    journal.replace_site(id, &moved).unwrap();
    assert_eq!(journal.outing(outing).unwrap().site, moved);
    assert!(journal.site_named("Test bay").is_err());
    let kit_id = journal.kit_named("Wide").unwrap().id;
    journal.replace_kit(kit_id, &kit("Wider")).unwrap();
    assert_eq!(journal.outing(outing).unwrap().kit.name, "Wider");
}

#[test]
fn an_outing_comes_back_with_its_site_and_kit() {
    let (journal, id) = furnished();
    let outing = journal.outing(id).unwrap();
    let put_in = new_outing(outing.site_id, outing.kit_id);
    assert_eq!((outing.site, outing.kit), (site("Test bay"), kit("Wide")));
    assert_eq!((outing.night, outing.title, outing.invented), (put_in.night, put_in.title, true));
    assert_eq!(outing.created_at, put_in.created_at);
}

#[test]
fn a_report_comes_back_equal_to_the_last_bit() {
    let (journal, outing) = furnished();
    assert_eq!(journal.latest_prediction(outing).unwrap(), None);
    let report = report("2024-05-10T12:00:00Z");
    journal.record_prediction(outing, &report).unwrap();
    assert_eq!(journal.latest_prediction(outing).unwrap(), Some(report));
}

#[test]
fn numbers_of_seventeen_digits_come_back_equal() {
    let (journal, outing) = furnished();
    let mut report = report("2024-05-10T12:00:00Z");
    let step = report.steps[0].clone();
    report.steps =
        (1..2000_u32).map(|n| job::OutlookStep { mlt_h: f64::from(n).sqrt() / 7.0, ..step.clone() }).collect();
    journal.record_prediction(outing, &report).unwrap();
    assert!(journal.latest_prediction(outing).unwrap() == Some(report));
}

#[test]
fn the_latest_prediction_is_the_one_asked_last_not_the_one_stored_last() {
    let (journal, outing) = furnished();
    for asked_at in ["2024-05-10T12:00:00.5Z", "2024-05-10T12:00:00.25Z", "2024-05-10T12:00:00Z"] {
        journal.record_prediction(outing, &report(asked_at)).unwrap();
    }
    let latest = journal.latest_prediction(outing).unwrap().unwrap();
    assert_eq!(latest.request.asked_at, instant("2024-05-10T12:00:00.5Z"));
    let listed = journal.outings().unwrap().remove(0);
    assert_eq!((listed.predictions, listed.latest.unwrap().asked_at), (3, instant("2024-05-10T12:00:00.5Z")));
    let asked: Vec<String> =
        journal.predictions(outing).unwrap().iter().map(|prediction| prediction.asked_at.to_string()).collect();
    assert_eq!(asked, ["2024-05-10T12:00:00.5Z", "2024-05-10T12:00:00.25Z", "2024-05-10T12:00:00Z"]);
}

#[test]
fn the_key_numbers_are_those_of_the_best_window() {
    let (journal, outing) = furnished();
    journal.record_prediction(outing, &report("2024-05-10T12:00:00Z")).unwrap();
    let list = journal.outings().unwrap();
    assert_eq!((list.len(), list[0].predictions), (1, 1));
    assert_eq!((list[0].site_name.as_str(), list[0].kit_name.as_str()), ("Test bay", "Wide"));
    let key = list[0].latest.as_ref().unwrap();
    assert_eq!(key.recommendation, Recommendation::Go);
    assert_eq!(key.best_at, Some(instant("2024-05-10T22:10:00Z")));
    assert!((key.eye_sees.unwrap() - 0.7).abs() < SAME);
    assert!((key.kp.unwrap() - 8.667).abs() < SAME);
    assert!((key.brightest_arc_kr.unwrap() - 86.67).abs() < 100.0 * SAME);
    assert_eq!(journal.predictions(outing).unwrap().first(), Some(key));
}

#[test]
fn without_a_window_the_step_with_the_best_chance_counts() {
    let (journal, outing) = furnished();
    let mut report = report("2024-05-10T12:00:00Z");
    report.windows.clear();
    journal.record_prediction(outing, &report).unwrap();
    let key = journal.predictions(outing).unwrap().remove(0);
    assert_eq!(key.best_at, Some(instant("2024-05-10T22:00:00Z")));
}

#[test]
fn a_report_without_chances_has_no_key_numbers_but_is_stored() {
    let (journal, outing) = furnished();
    let mut report = report("2024-05-10T12:00:00Z");
    (report.windows, report.chances, report.steps) = (vec![], None, vec![]);
    report.verdict.recommendation = Recommendation::CannotTell;
    journal.record_prediction(outing, &report).unwrap();
    let key = journal.predictions(outing).unwrap().remove(0);
    assert_eq!((key.eye_sees, key.kp, key.best_at), (None, None, None));
    assert_eq!(key.recommendation, Recommendation::CannotTell);
}

#[test]
fn outings_stand_latest_night_first() {
    let (journal, first) = furnished();
    let outing = journal.outing(first).unwrap();
    let later = NewOuting { night: date(2025, 1, 1), ..new_outing(outing.site_id, outing.kit_id) };
    let later = journal.add_outing(&later).unwrap();
    let order: Vec<_> = journal.outings().unwrap().into_iter().map(|outing| outing.id).collect();
    assert_eq!(order, [later, first]);
}

#[test]
fn removing_an_outing_takes_its_predictions_and_frees_site_and_kit() {
    let (journal, outing) = furnished();
    journal.record_prediction(outing, &report("2024-05-10T12:00:00Z")).unwrap();
    let stored = journal.outing(outing).unwrap();
    journal.remove_outing(outing).unwrap();
    journal.remove_site(stored.site_id).unwrap();
    journal.remove_kit(stored.kit_id).unwrap();
    assert!(journal.outings().unwrap().is_empty() && journal.sites().unwrap().is_empty());
    journal.check().unwrap();
}

#[test]
fn a_journal_closed_and_opened_again_has_everything() {
    let folder = tempfile::tempdir().unwrap();
    let path = folder.path().join("night.qarc");
    let journal = Journal::open(&path).unwrap();
    let outing = crate::samples::furnish(&journal);
    journal.record_prediction(outing, &report("2024-05-10T12:00:00Z")).unwrap();
    drop(journal);
    let journal = Journal::open(&path).unwrap();
    assert_eq!(journal.latest_prediction(outing).unwrap(), Some(report("2024-05-10T12:00:00Z")));
    journal.check().unwrap();
}

#[test]
fn a_number_survives_json_as_a_plain_number() {
    let id = SiteId::new(7);
    assert_eq!(serde_json::to_string(&id).unwrap(), "7");
    assert_eq!(serde_json::from_str::<KitId>("7").unwrap().get(), id.get());
    assert_eq!(id.to_string(), "7");
}
