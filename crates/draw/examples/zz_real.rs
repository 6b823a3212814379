#![allow(warnings)]
use draw::*;
use job::*;
use quantity::*;
fn main() {
    let mk = |name: &str, zone: &str, lat, lon| Site {
        name: name.into(),
        position: GeoPosition::new(lat, lon, 5.).unwrap(),
        time_zone: zone.into(),
        sky_quality: SkyQuality::Bortle { class: 2 },
        horizon: vec![],
        snow_cover: true,
        notes: String::new(),
    };
    let cam = CameraBody {
        name: "b".into(),
        pixel_um: 6.,
        width_px: 6000,
        height_px: 4000,
        peak_quantum_efficiency: [0.3, 0.45, 0.35],
        read_noise_e: 2.,
        full_well_e: 60000.,
        base_iso: 100.,
    };
    let kit = Kit {
        name: "k".into(),
        camera: cam,
        lens: Lens { name: "l".into(), focal_mm: 20., f_number: 1.8, transmission: 0.9 },
        exposure_s: 5.,
        iso: 1600.,
    };
    for (i, (n, z, la, lo, d, kp, c)) in [
        ("Skerrow Bay", "Europe/Oslo", 69.2, 15.1, "2026-03-14", 4.0, Some(0.3)),
        ("Tussock Point", "Pacific/Auckland", -46.6, 168.4, "2026-06-11", 7.0, None),
        ("Lang Ness", "Europe/London", 60.2, -1.3, "2026-10-24", 6.0, Some(0.7)),
        ("Longyear", "Arctic/Longyearbyen", 78.2, 15.6, "2026-12-20", 3.0, Some(0.0)),
    ]
    .into_iter()
    .enumerate()
    {
        let site = mk(n, z, la, lo);
        let night: jiff::civil::Date = d.parse().unwrap();
        let asked: Timestamp = format!("{d}T12:00:00Z").parse().unwrap();
        let from = Timestamp::from_second(asked.as_second() - 86400).unwrap();
        let to = Timestamp::from_second(asked.as_second() + 2 * 86400).unwrap();
        let r = outlook(OutlookRequest {
            site: site.clone(),
            night,
            asked_at: asked,
            kit: kit.clone(),
            activity: Activity::given(kp, from, to),
            cloud: match c {
                Some(c) => CloudCover::given(Fraction::clamped(c)),
                None => CloudCover::unknown(),
            },
            f107: 120.,
            adaptation_minutes: 30.,
        })
        .unwrap();
        let at = r
            .windows
            .first()
            .map(|w| w.best_at)
            .unwrap_or(Timestamp::from_second((r.night.from.as_second() + r.night.to.as_second()) / 2).unwrap());
        let s = skymap(SkymapRequest { site, at, kp, f107: 120., step_deg: 3. }).unwrap();
        for (pn, p) in [("day", Palette::Day), ("dark", Palette::DarkEyes)] {
            std::fs::write(format!("/tmp/real/strip-{i}-{pn}-desk.svg"), night_strip(&r, &StripStyle::desk(p)))
                .unwrap();
            std::fs::write(
                format!("/tmp/real/strip-{i}-{pn}-phone.svg"),
                night_strip(&r, &StripStyle { caption: false, height_px: 150., ..StripStyle::phone(p) }),
            )
            .unwrap();
            std::fs::write(format!("/tmp/real/bowl-{i}-{pn}-phone.svg"), sky_bowl(&s, &BowlStyle::new(390., p)))
                .unwrap();
            let b = sky_bowl(&s, &BowlStyle::new(640., p));
            println!("{n} {} bytes", b.len());
            std::fs::write(format!("/tmp/real/bowl-{i}-{pn}-desk.svg"), b).unwrap();
        }
    }
}
