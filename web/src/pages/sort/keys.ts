/** The keys of the sheet, as they are shown. */
export const KEYS: readonly { keys: string; what: string }[] = [
  { keys: "→ or j", what: "next frame" },
  { keys: "← or k", what: "the frame before" },
  { keys: "↓ ↑", what: "a row down, a row up" },
  { keys: "p", what: "keep it, and on to the next" },
  { keys: "x", what: "a dud, and on to the next" },
  { keys: "u", what: "leave it open, and on to the next" },
  { keys: "Backspace", what: "take your verdict back" },
  { keys: "c", what: "mark for comparing; on a second frame: compare the two at 100 %" },
  { keys: "w", what: "why: reasons and measures" },
  { keys: "f", what: "next filter; with Shift the one before" },
  { keys: "?", what: "these keys" },
  { keys: "Esc", what: "close what is open" },
];

/** A plain press that is meant for the page: nobody types, no other key is held. */
export function isForPage(event: KeyboardEvent): boolean {
  const typing = event.target instanceof HTMLElement && event.target.matches("input, select, textarea");
  return !typing && !event.ctrlKey && !event.altKey && !event.metaKey;
}
