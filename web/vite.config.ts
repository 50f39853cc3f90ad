import { createHash } from "node:crypto";
import { defineConfig, type Plugin } from "vite";

/** Tells the service worker which files the build made, and a version that changes with them. */
function fillServiceWorker(): Plugin {
  return {
    name: "fill-service-worker",
    generateBundle(_options, bundle) {
      const files = Object.keys(bundle)
        .filter((name) => name !== "sw.js" && !name.endsWith(".map") && !/^(assets\/)?door[-.]/.test(name))
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

/** Tells `early.js` which file holds which language, and has the page ask for it before all else. */
function fillEarly(): Plugin {
  return {
    name: "fill-early",
    apply: "build",
    transformIndexHtml: () => [
      { tag: "script", attrs: { type: "module", async: true, src: "/early.js" }, injectTo: "head-prepend" },
    ],
    generateBundle(_options, bundle) {
      const languages: Record<string, string> = {};
      for (const [name, made] of Object.entries(bundle)) {
        const code =
          made.type === "chunk" ? /words\/whole\/(\w+)\.ts$/.exec(made.facadeModuleId ?? "")?.[1] : undefined;
        if (code !== undefined) languages[code] = `/${name}`;
      }
      const early = bundle["early.js"];
      if (early?.type !== "chunk") throw new Error("the build made no early.js");
      early.code = early.code.replace("__LANGUAGES__", JSON.stringify(languages));
    },
  };
}

export default defineConfig({
  plugins: [fillEarly(), fillServiceWorker()],
  oxc: { jsx: { runtime: "automatic", importSource: "preact" } },
  build: {
    target: ["es2020", "chrome87", "safari14", "firefox90"],
    modulePreload: { polyfill: false },
    rolldownOptions: {
      input: { index: "index.html", door: "door.html", sw: "src/sw/sw.ts", early: "src/early.ts" },
      output: {
        entryFileNames: (chunk) =>
          ["sw", "early"].includes(chunk.name) ? `${chunk.name}.js` : "assets/[name]-[hash].js",
      },
    },
  },
  server: { proxy: { "/api": process.env["INKWITNESS_API"] ?? "http://127.0.0.1:8000" } },
});
