/**
 * Puts a drawing of the program into the page, without anything in it that could run.
 * Returns its root, or null where the text is no drawing.
 */
export function put(holder: HTMLElement, svg: string): SVGSVGElement | null {
  const root = new DOMParser().parseFromString(svg, "image/svg+xml").documentElement;
  if (!(root instanceof SVGSVGElement)) {
    holder.replaceChildren("The drawing cannot be shown; its facts stand in words beside it.");
    return null;
  }
  for (const script of root.querySelectorAll("script")) script.remove();
  // the words stand in the page itself; a native tooltip over a picture hides what it explains
  const title = root.querySelector(":scope > title");
  root.setAttribute("role", "img");
  root.removeAttribute("aria-labelledby");
  root.setAttribute("aria-label", title?.textContent || "drawing");
  title?.remove();
  if (!root.hasAttribute("viewBox")) {
    root.setAttribute("viewBox", `0 0 ${root.getAttribute("width")} ${root.getAttribute("height")}`);
  }
  holder.replaceChildren(root);
  return root;
}

/** Drawings already fetched, by what was asked; emptied when full. */
export class Kept {
  private readonly drawings = new Map<string, string>();

  constructor(private readonly most: number) {}

  get(key: string): string | undefined {
    return this.drawings.get(key);
  }

  set(key: string, drawing: string): void {
    if (this.drawings.size >= this.most) this.drawings.clear();
    this.drawings.set(key, drawing);
  }
}
