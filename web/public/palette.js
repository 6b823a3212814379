// Runs before the first paint, so that a person with dark-adapted eyes never sees a white page.
// src/palette.svelte.ts keeps the same two entries.
(() => {
  const root = document.documentElement;
  let palette = null;
  let brightness = null;
  try {
    palette = localStorage.getItem("quietarc.palette");
    brightness = localStorage.getItem("quietarc.brightness");
  } catch {
    // storage refused: the desk palette it is
  }
  if (palette === "dark_eyes") {
    root.dataset.palette = "dark-eyes";
    root.style.background = "black";
    root.style.colorScheme = "dark";
  }
  if (brightness !== null) root.style.setProperty("--brightness", brightness);
})();
