/**
 * Asks for the file of the chosen language while the page's own script is still on its way; English is
 * in that script. A file of its own, so that no script stands inside the page.
 */
declare const __LANGUAGES__: Record<string, string>;

const files = __LANGUAGES__;

function chosen(): string {
  try {
    const kept: unknown = JSON.parse(localStorage.getItem("ink.language") ?? '""');
    if (typeof kept === "string" && kept !== "") return kept;
  } catch (problem) {
    console.warn("the language chosen before could not be read, the browser's is taken", problem);
  }
  return navigator.languages.map((name) => name.slice(0, 2)).find((code) => code === "en" || code in files) ?? "en";
}

const file = files[chosen()];
if (file !== undefined) {
  const link = document.createElement("link");
  link.rel = "modulepreload";
  link.href = file;
  document.head.append(link);
}

export {};
