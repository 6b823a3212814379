use geomag::*;
use crate::table::{Table, Errors};
#[test]
fn scratch_apex() {
    let t = Table::read(include_str!("../data/05_geomag_coords.csv"));
    let (mut q, mut a, mut l, mut m, mut mm, mut al) = (Errors::default(), Errors::default(), Errors::default(), Errors::default(), Errors::default(), Errors::default());
    for r in t.rows() {
        let f = FieldModel::at_decimal_year(r.number("decimal_year")).unwrap();
        let c = trace(&f, r.number("lat_deg"), r.number("lon_deg"), r.number("height_km")).unwrap();
        let dq = c.qd_lat_deg - r.number("qd_lat_deg");
        let dl = quantity::wrap_degrees_180(c.qd_lon_deg - r.number("qd_lon_deg")) * c.qd_lat_deg.to_radians().cos();
        println!("RES {} {dq:.4} {dl:.4}", r.label()); q.add(dq, r.label()); 
        a.add(c.apex_lat_deg.unwrap_or(0.0) - r.number("apex_lat_deg"), r.label());
        l.add(dl, r.label());
        let i: jiff::Timestamp = r.text("utc").parse().unwrap();
        let d = magnetic_local_time_h(r.number("qd_lon_deg"), i, &f) - r.number("mlt_apex_h");
        m.add((d + 12.0).rem_euclid(24.0) - 12.0, r.label());
        if r.number("aacgm_trace_lat_deg").abs() > 45.0 {
        al.add(c.model_lat_deg - r.number("aacgm_trace_lat_deg"), r.label());}
        let d = magnetic_local_time_h(c.qd_lon_deg, i, &f) - r.number("mlt_apex_h");
        mm.add((d + 12.0).rem_euclid(24.0) - 12.0, r.label());
        println!("ROW {} {:.4} {:.4} {:.4} {:.4}", r.label(), c.qd_lat_deg, dq, dl, c.model_lat_deg - r.number("aacgm_trace_lat_deg"));
    }
    println!("qd {}\napex {}\nlon*cos {}\nmlt from table lon {}\nmlt own {}\naacgm {}", q.summary(), a.summary(), l.summary(), m.summary(), mm.summary(), al.summary());
}
#[test]
fn scratch_field() {
    let t = Table::read(include_str!("../data/04_igrf14.csv"));
    let mut e = Errors::default();
    for r in t.rows() {
        let f = FieldModel::at_decimal_year(r.number("decimal_year")).unwrap().field(r.number("lat_deg"), r.number("lon_deg"), r.number("alt_km"));
        e.add((f.north_nt - r.number("north_nt")).abs().max((f.east_nt - r.number("east_nt")).abs()).max((f.down_nt - r.number("down_nt")).abs()), r.label());
    }
    println!("field {}", e.summary());
    let f = FieldModel::at_decimal_year(2025.0).unwrap();
    let d = f.dipole(); println!("{d:?}");
    for (lat, lon) in [(69.65,18.96),(64.84,-147.72),(-45.87,170.5),(55.95,-3.19),(44.98,-93.27)] {
        let t = std::time::Instant::now();
        let c = trace(&f, lat, lon, 110.0).unwrap();
        println!("{c:?} {:?}", t.elapsed());
    }
    let t = std::time::Instant::now();
    let mut s = 0.0;
    for i in 0..100000 { s += f.field_ecef_nt([3000.0 + f64::from(i) * 0.01, 2000.0, 6000.0])[0]; }
    println!("eval {:?}/1e5 {s}", t.elapsed());

    for (n, b) in [("20x20 arctic", GridBounds{south_deg:60.0,north_deg:80.0,west_deg:10.0,east_deg:30.0,heights_km:(80.0,500.0)}),
     ("pole", GridBounds{south_deg:70.0,north_deg:90.0,west_deg:-180.0,east_deg:180.0,heights_km:(80.0,500.0)}),
     ("magnetic pole date line", GridBounds{south_deg:70.0,north_deg:90.0,west_deg:170.0,east_deg:-170.0,heights_km:(80.0,500.0)}),
     ("saa", GridBounds{south_deg:-35.0,north_deg:-15.0,west_deg:-20.0,east_deg:0.0,heights_km:(80.0,500.0)}),
     ("equator", GridBounds{south_deg:-10.0,north_deg:10.0,west_deg:-20.0,east_deg:0.0,heights_km:(80.0,500.0)}),
     ("layer", GridBounds{south_deg:60.0,north_deg:80.0,west_deg:10.0,east_deg:30.0,heights_km:(110.0,110.0)})] {
        let t = std::time::Instant::now();
        let g = ApexGrid::build(&f, b, 0.005);
        let e = t.elapsed();
        let Ok(g) = g else { println!("{n} {g:?} {e:?}"); continue };
        let t = std::time::Instant::now();
        let mut s = 0.0;
        for i in 0..1000000 { let i = f64::from(i); s += g.at(b.south_deg + (i * 0.0137) % 20.0, b.west_deg + (i * 0.0071) % 20.0, b.heights_km.0 + (i*0.03) % (b.heights_km.1 - b.heights_km.0 + 1e-9)).unwrap().model_lat_deg; }
        println!("{n} build {e:?} bound {} look-ups 1e6 {:?} {s}", g.error_bound_deg(), t.elapsed());
    }
}
#[test]
fn scratch_expansion() {
    let t = Table::read(include_str!("../data/05_geomag_coords.csv"));
    let (mut q, mut l) = (Errors::default(), Errors::default());
    for r in t.rows() {
        let y = r.number("decimal_year");
        let e = ApexExpansion::at_decimal_year(y).unwrap();
        let c = e.coordinates(r.number("lat_deg"), r.number("lon_deg"), r.number("height_km")).unwrap();
        let dq = c.qd_lat_deg - r.number("qd_lat_deg");
        let dl = quantity::wrap_degrees_180(c.qd_lon_deg - r.number("qd_lon_deg")) * c.qd_lat_deg.to_radians().cos();
        println!("RES {} {dq:.4} {dl:.4}", r.label()); q.add(dq, r.label()); l.add(dl, r.label());
    }
    println!("exp qd {}\nexp lon*cos {}", q.summary(), l.summary());
}
