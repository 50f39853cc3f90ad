import { createHash } from "node:crypto";
import { defineConfig, type Plugin } from "vite";

/** Tells the service worker which files the build made, and a version that changes with them. */
function fillServiceWorker(): Plugin {
  return {
    name: "fill-service-worker",
    generateBundle(_options, bundle) {
      const files = Object.keys(bundle)
        .filter((name) => name !== "sw.js" && !name.endsWith(".map"))
        .sort();
      const worker = bundle["sw.js"];
      if (worker === undefined || worker.type !== "chunk") return;
      const version = createHash("sha256").update(files.join("\n")).update(worker.code);
      for (const name of files) {
        const made = bundle[name];
        if (made !== undefined) version.update(made.type === "chunk" ? made.code : made.source);
      }
      worker.code = worker.code
        .replace("__FILES__", JSON.stringify(files.map((name) => `/${name}`)))
        .replace("__VERSION__", JSON.stringify(version.digest("hex").slice(0, 12)));
    },
  };
}

export default defineConfig({
  plugins: [fillServiceWorker()],
  oxc: { jsx: { runtime: "automatic", importSource: "preact" } },
  build: {
    target: ["es2020", "chrome87", "safari14", "firefox90"],
    modulePreload: { polyfill: false },
    rolldownOptions: {
      input: { index: "index.html", sw: "src/sw/sw.ts" },
      output: {
        entryFileNames: (chunk) => (chunk.name === "sw" ? "sw.js" : "assets/[name]-[hash].js"),
      },
    },
  },
  server: { proxy: { "/api": process.env["INKWITNESS_API"] ?? "http://127.0.0.1:8000" } },
});
