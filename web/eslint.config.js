import svelte from "eslint-plugin-svelte";
import ts from "typescript-eslint";

const browserGlobals = Object.fromEntries(
  [
    "window",
    "document",
    "localStorage",
    "fetch",
    "console",
    "setTimeout",
    "clearTimeout",
    "setInterval",
    "clearInterval",
    "AbortController",
    "DOMParser",
    "location",
    "history",
    "requestAnimationFrame",
    "EventSource",
    "URL",
    "URLSearchParams",
  ].map((name) => [name, "readonly"]),
);

export default ts.config(
  { ignores: ["dist", "node_modules", "src/generated", "public", "browser/shots"] },
  ...ts.configs.strict,
  ...svelte.configs["flat/recommended"],
  { languageOptions: { globals: browserGlobals } },
  { files: ["**/*.svelte", "**/*.svelte.ts"], languageOptions: { parserOptions: { parser: ts.parser } } },
  {
    rules: {
      "@typescript-eslint/no-explicit-any": "error",
      "no-restricted-globals": ["error", { name: "fetch", message: "src/api.ts does all fetching" }],
      eqeqeq: "error",
    },
  },
  { files: ["src/api.ts"], rules: { "no-restricted-globals": "off" } },
);
