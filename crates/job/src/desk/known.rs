//! Many known pictures made ready to be searched: the few that may be one with a new picture are found among thousands.
//!
//! A tree or table of whole-picture hashes finds no cuts, so every known picture is laid over the new one instead, in very
//! small copies; [`compare`](super::compare) then looks at the few likest. The benchmark `copies` times it among 5,000.

use std::collections::BTreeSet;

use super::fingerprint::Fingerprint;
use super::grey::{Grey, whole};
use super::lanes::{Lanes, filled_up};
use super::slopes::{SlopePart, Slopes, parts};

/// Columns and rows to which a whole picture is stretched to be compared with other whole pictures, px.
const WHOLE_PX: [usize; 2] = [48, 32];
/// Longest side of the copies in which cuts are looked for, px.
const CUT_PX: usize = 16;
/// Factor between the sizes of a cut: half a pixel of such a copy at its edge.
const SIZE_STEP: f64 = 0.92;
/// Least part of a picture's longest side that is looked for, as [`compare`](super::compare) does.
const SMALLEST_PART: f64 = 0.3;
/// Cuts of less than this part have few pixels here and fit to much by chance: they are listed by themselves, so that they
/// do not crowd out larger ones.
const SMALL_CUT: f64 = 0.55;
/// Likest cuts by their light in very small copies, large and small ones, that are looked over again by their slopes: of
/// 5,000 a search then takes some two seconds of processor (a judgement between that and what is found).
const LOOKED_OVER: usize = 200;
/// Longest side of the copies whose slopes are laid over each other, px: finer ones cost its fourth power (judgement).
const SLOPES_PX: usize = 32;
/// Pictures given for each way of being alike: whole, large cut, small cut. A copy among a thousand frames of one quiet
/// night may not be among them; its neighbours are then (judgement: each costs some 20 ms to look at).
const GIVEN: usize = 5;
/// So few pictures are all given: each is then compared in full, small cuts as well.
const ALL_GIVEN: usize = 40;

/// Fingerprints of known pictures, ready to be searched.
#[derive(Debug, Clone)]
pub struct KnownPictures<K> {
    shelf: Vec<Shelved<K>>,
}

#[derive(Debug, Clone)]
struct Shelved<K> {
    key: K,
    fingerprint: Fingerprint,
    small: Small,
}

impl<K> Default for KnownPictures<K> {
    fn default() -> Self {
        Self { shelf: Vec::new() }
    }
}

impl<K> KnownPictures<K> {
    /// Puts a picture on the shelf; one that is too plain to be told from others is left out.
    pub fn add(&mut self, key: K, fingerprint: Fingerprint) {
        if fingerprint.is_plain() {
            return;
        }
        if let Some(small) = Small::of(&fingerprint.grey()) {
            self.shelf.push(Shelved { key, fingerprint, small });
        }
    }

    /// How many are on the shelf.
    pub fn len(&self) -> usize {
        self.shelf.len()
    }

    /// Whether there is none.
    pub fn is_empty(&self) -> bool {
        self.shelf.is_empty()
    }

    /// The pictures that may be one with this one, or cut from it, or it from them: some fifteen at most, or all where
    /// there are few, each once, for [`compare`](super::compare) to decide on.
    /// None for a picture that is too plain to be told from others.
    pub fn likest(&self, fingerprint: &Fingerprint) -> Vec<(&K, &Fingerprint)> {
        if fingerprint.is_plain() {
            return Vec::new();
        }
        if self.shelf.len() <= ALL_GIVEN {
            return self.shelf.iter().map(|known| (&known.key, &known.fingerprint)).collect();
        }
        let grey = fingerprint.grey();
        let (Some(straight), Some(mirrored)) = (Small::of(&grey), Small::of(&grey.mirrored())) else {
            return Vec::new();
        };
        let mut whole = Best::of(GIVEN);
        let mut cuts = [Best::of(LOOKED_OVER), Best::of(LOOKED_OVER)];
        for (index, known) in self.shelf.iter().enumerate() {
            let mut as_whole = f32::MIN;
            let mut as_cut = [f32::MIN; 2];
            for new in [&straight, &mirrored] {
                as_whole = as_whole.max(known.small.whole.with(&new.whole));
                for (outer, inner) in [(&known.small, new), (new, &known.small)] {
                    for part in &inner.parts {
                        let fit = &mut as_cut[usize::from(part.is_small)];
                        *fit = fit.max(outer.outer.best(part));
                    }
                }
            }
            whole.offer(index, as_whole);
            cuts.iter_mut().zip(as_cut).for_each(|(best, fit)| best.offer(index, fit));
        }
        let looked_over: BTreeSet<usize> = cuts.iter().flat_map(Best::indices).collect();
        let mut found: BTreeSet<usize> = whole.indices().collect();
        found.extend(self.likest_by_slopes(&grey, &looked_over));
        found
            .into_iter()
            .filter_map(|index| self.shelf.get(index))
            .map(|known| (&known.key, &known.fingerprint))
            .collect()
    }

    /// Those among some whose slopes fit best as large and as small cuts, this one in them or they in this one.
    fn likest_by_slopes(&self, grey: &Grey, among: &BTreeSet<usize>) -> BTreeSet<usize> {
        let straight = Sloped::of(grey);
        let mirrored = Sloped::of(&grey.mirrored());
        let mut best = [Best::of(GIVEN), Best::of(GIVEN)];
        for index in among {
            let Some(known) = self.shelf.get(*index) else { continue };
            let known = Sloped::of(&known.fingerprint.grey());
            let mut fits = [f32::MIN; 2];
            for new in [&straight, &mirrored] {
                for (outer, inner) in [(&known, new), (new, &known)] {
                    let Some(slopes) = &outer.slopes else { continue };
                    for part in &inner.parts {
                        let Some(fit) = slopes.best(part) else { continue };
                        let of_size = &mut fits[usize::from(part.share < SMALL_CUT)];
                        *of_size = of_size.max(fit.beyond_chance(part));
                    }
                }
            }
            best.iter_mut().zip(fits).for_each(|(best, fit)| best.offer(*index, fit));
        }
        best.iter().flat_map(Best::indices).collect()
    }
}

/// A picture in the sizes in which its slopes are searched; made when it is looked over.
struct Sloped {
    slopes: Option<Slopes>,
    parts: Vec<SlopePart>,
}

impl Sloped {
    fn of(grey: &Grey) -> Self {
        Self {
            slopes: grey.resized_to(SLOPES_PX).and_then(|small| Slopes::of(&small)),
            parts: parts(grey, SLOPES_PX, SIZE_STEP, SMALLEST_PART),
        }
    }
}

/// The likest so far, the likest first.
struct Best {
    found: Vec<(usize, f32)>,
    most: usize,
}

impl Best {
    fn of(most: usize) -> Self {
        Self { found: Vec::with_capacity(most + 1), most }
    }

    fn offer(&mut self, index: usize, fit: f32) {
        let place = self.found.partition_point(|(_, other)| *other >= fit);
        if place < self.most {
            self.found.insert(place, (index, fit));
            self.found.truncate(self.most);
        }
    }

    fn indices(&self) -> impl Iterator<Item = usize> + '_ {
        self.found.iter().map(|(index, _)| *index)
    }
}

/// A picture in the sizes in which it is searched.
#[derive(Debug, Clone)]
struct Small {
    /// Detail of the whole picture, stretched to one shape for all, mean 0 and length 1.
    whole: Lanes,
    outer: Outer,
    parts: Vec<Part>,
}

impl Small {
    fn of(grey: &Grey) -> Option<Self> {
        let stretched = grey.resized(WHOLE_PX[0], WHOLE_PX[1])?.detail();
        let small = grey.resized_to(CUT_PX)?;
        let (columns, rows) = (small.columns as f64, small.rows as f64);
        let mut parts: Vec<Part> = Vec::new();
        let mut part = SIZE_STEP;
        while part >= SMALLEST_PART * SIZE_STEP {
            let [columns, rows] = [columns, rows].map(|side| whole((side * part).round()).max(1));
            if columns * rows >= LEAST_PIXELS
                && parts.last().is_none_or(|last| [last.columns, last.rows] != [columns, rows])
            {
                let values = Lanes::of(&unit(grey.resized(columns, rows)?.values), columns);
                parts.push(Part { columns, rows, values, is_small: part < SMALL_CUT });
            }
            part *= SIZE_STEP;
        }
        let whole = Lanes::of(&unit(stretched.values), WHOLE_PX[0]);
        Some(Self { whole, outer: Outer::of(&small), parts })
    }
}

/// Fewer pixels than this fit to anything.
const LEAST_PIXELS: usize = 12;

/// A picture as a part of another one: mean 0 and length 1.
#[derive(Debug, Clone)]
struct Part {
    columns: usize,
    rows: usize,
    values: Lanes,
    is_small: bool,
}

/// A picture in which parts are looked for, with the sums over every rectangle from its corner.
#[derive(Debug, Clone)]
struct Outer {
    columns: usize,
    rows: usize,
    /// About its mean, filled up behind the last row.
    values: Vec<f32>,
    sums: Vec<[f32; 2]>,
}

impl Outer {
    fn of(small: &Grey) -> Self {
        let across = small.columns + 1;
        let mean = small.values.iter().sum::<f32>() / small.values.len().max(1) as f32;
        // about its mean: sums of squares then keep their digits
        let small = Grey { values: small.values.iter().map(|value| value - mean).collect(), ..*small };
        let mut sums = vec![[0.0; 2]; across * (small.rows + 1)];
        for row in 0..small.rows {
            let mut line = [0.0; 2];
            for column in 0..small.columns {
                let value = small.values[row * small.columns + column];
                line = [line[0] + value, line[1] + value * value];
                let above = sums[row * across + column + 1];
                sums[(row + 1) * across + column + 1] = [above[0] + line[0], above[1] + line[1]];
            }
        }
        Self { columns: small.columns, rows: small.rows, values: filled_up(small.values), sums }
    }

    /// The best correlation of a part with what lies under it, over all its places; -1 where it does not fit in.
    fn best(&self, part: &Part) -> f32 {
        let Self { columns, rows, ref values, .. } = *self;
        if part.columns > columns || part.rows > rows {
            return -1.0;
        }
        let count = (part.columns * part.rows) as f32;
        let mut best = -1.0f32;
        for top in 0..=rows - part.rows {
            for left in 0..=columns - part.columns {
                let [sum, squares] = self.under(left, top, part);
                let spread = squares - sum * sum / count;
                // an even patch is like nothing
                if spread < count * EVEN {
                    continue;
                }
                let both = part.values.products(&values[top * columns + left..], columns);
                best = best.max(both / spread.sqrt());
            }
        }
        best
    }

    fn under(&self, left: usize, top: usize, part: &Part) -> [f32; 2] {
        let across = self.columns + 1;
        let at = |column: usize, row: usize| self.sums[row * across + column];
        let (right, bottom) = (left + part.columns, top + part.rows);
        [0, 1].map(|of| at(right, bottom)[of] - at(left, bottom)[of] - at(right, top)[of] + at(left, top)[of])
    }
}

/// Mean square from which a patch is no longer even, steps of 8 bits.
const EVEN: f32 = 0.25;

fn unit(values: Vec<f32>) -> Vec<f32> {
    let mean = values.iter().sum::<f32>() / values.len().max(1) as f32;
    let length = values.iter().map(|value| (value - mean).powi(2)).sum::<f32>().sqrt();
    if length <= f32::EPSILON {
        return vec![0.0; values.len()];
    }
    values.into_iter().map(|value| (value - mean) / length).collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Even numbers 0..1 without a crate for them (Steele et al. 2014, SplitMix64).
    struct Chance(u64);

    impl Chance {
        fn next(&mut self) -> f32 {
            self.0 = self.0.wrapping_add(0x9E37_79B9_7F4A_7C15);
            let mut bits = self.0;
            bits = (bits ^ (bits >> 30)).wrapping_mul(0xBF58_476D_1CE4_E5B9);
            bits = (bits ^ (bits >> 27)).wrapping_mul(0x94D0_49BB_1331_11EB);
            ((bits ^ (bits >> 31)) >> 40) as f32 / 16_777_216.0
        }
    }

    const MANY: u64 = 230;
    const SIDES: [usize; 2] = [288, 192];

    /// A night like all others: dark land below a jagged skyline, arcs above it, light that thins out upwards, some lamps.
    fn night(seed: u64) -> Grey {
        let mut chance = Chance(seed);
        let [columns, rows] = SIDES;
        let skyline = 0.65 + 0.2 * chance.next();
        let hills: Vec<[f32; 3]> =
            (0..6).map(|_| [chance.next() * 30.0, chance.next() * 6.3, 0.03 * chance.next()]).collect();
        let arcs: Vec<[f32; 5]> = (0..3)
            .map(|_| {
                [
                    0.15 + 0.4 * chance.next(),
                    0.25 * chance.next(),
                    chance.next() - 0.5,
                    0.02 + 0.08 * chance.next(),
                    40.0 + 90.0 * chance.next(),
                ]
            })
            .collect();
        let folds: Vec<[f32; 2]> = (0..4).map(|_| [8.0 + 50.0 * chance.next(), 6.3 * chance.next()]).collect();
        let lamps: Vec<[f32; 2]> = (0..5).map(|_| [chance.next(), skyline + 0.1 * chance.next()]).collect();
        let mut values = Vec::with_capacity(columns * rows);
        for row in 0..rows {
            for column in 0..columns {
                let (x, y) = (column as f32 / columns as f32, row as f32 / rows as f32);
                let edge =
                    skyline + hills.iter().map(|[turns, phase, high]| high * (turns * x + phase).sin()).sum::<f32>();
                let lamp: f32 =
                    lamps.iter().map(|[lx, ly]| 160.0 * (-((x - lx).powi(2) + (y - ly).powi(2)) * 4e4).exp()).sum();
                let rays: f32 = folds.iter().map(|[turns, phase]| 0.2 * (turns * x + phase).sin()).sum();
                let light: f32 = arcs
                    .iter()
                    .map(|[high, bend, tilt, width, kr]| {
                        let middle = high + bend * (x - 0.5).powi(2) * 4.0 + tilt * 0.2 * (x - 0.5);
                        kr * (1.0 + rays) * (-((y - middle) / width).powi(2)).exp()
                    })
                    .sum();
                let noise = 6.0 * (chance.next() - 0.5);
                values.push(
                    if y > edge { 8.0 + lamp + noise } else { 20.0 + 25.0 * y + light + lamp + noise }
                        .clamp(0.0, 255.0),
                );
            }
        }
        Grey { columns, rows, values }
    }

    fn print(picture: &Grey) -> Fingerprint {
        Fingerprint::of_grey(picture, [3000, 2000]).unwrap()
    }

    fn cut(picture: &Grey, [left, top]: [usize; 2], [columns, rows]: [usize; 2]) -> Grey {
        let lines = picture.values.chunks(picture.columns).skip(top).take(rows);
        Grey { columns, rows, values: lines.flat_map(|line| line[left..left + columns].to_vec()).collect() }
    }

    fn brighter(picture: &Grey) -> Grey {
        Grey { values: picture.values.iter().map(|value| (1.3 * value + 3.0).min(255.0)).collect(), ..*picture }
    }

    #[test]
    fn copies_are_among_the_likest_of_many() {
        let mut known = KnownPictures::default();
        for seed in 0..MANY {
            known.add(seed, print(&night(seed)));
        }
        let (mut missed, mut small_found) = (Vec::new(), 0);
        for seed in [0, 150] {
            let picture = night(seed);
            let small = [cut(&picture, [83, 51], [115, 77]), cut(&picture, [40, 70], [115, 77]).mirrored()];
            let copies = [
                ("whole", brighter(&picture)),
                ("mirrored", picture.mirrored()),
                ("large cut", cut(&picture, [30, 20], [230, 150])),
                ("cut", cut(&picture, [61, 33], [160, 107])),
            ];
            let is_found = |copy: &Grey| {
                let likest = known.likest(&print(copy));
                assert!(likest.len() <= 3 * GIVEN, "{}", likest.len());
                likest.into_iter().any(|(key, _)| *key == seed)
            };
            missed.extend(copies.iter().filter(|(_, copy)| !is_found(copy)).map(|(what, _)| (*what, seed)));
            small_found += small.iter().filter(|copy| is_found(copy)).count();
        }
        assert!(missed.is_empty(), "{missed:?}");
        // four tenths of the side of such even skies: nine of twelve were found in a longer trial
        assert!(small_found >= 3, "{small_found} of 4");
    }
}
