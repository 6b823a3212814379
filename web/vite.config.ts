import { svelte } from "@sveltejs/vite-plugin-svelte";
import { defineConfig } from "vite";

export default defineConfig({
  plugins: [svelte()],
  // the program may be started on any port; the front end only ever asks the host it came from
  base: "/",
  build: { target: "es2022", assetsInlineLimit: 0, modulePreload: { polyfill: false } },
  server: { proxy: { "/api": process.env["QUIETARC_URL"] ?? "http://127.0.0.1:8080" } },
});
