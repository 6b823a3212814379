/** What may be drawn on a checked frame; the names are those of the drawing. */
export type Layer = "stars" | "aurora" | "cloud" | "ground" | "clipped";

/** Each with its key and what its lines mean. */
export const LAYERS: readonly { name: Layer; label: string; key: string; what: string }[] = [
  {
    name: "stars",
    label: "Stars",
    key: "s",
    what: "Rings: stars found; lines beside a ring show which way it is drawn out.",
  },
  { name: "aurora", label: "Aurora", key: "a", what: "Unbroken line: aurora." },
  { name: "cloud", label: "Cloud", key: "c", what: "Long dashes: cloud." },
  { name: "ground", label: "Ground", key: "g", what: "Dash and dot: no sky." },
  { name: "clipped", label: "Burnt out", key: "b", what: "Dots: full pixels." },
];
