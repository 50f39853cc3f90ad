/** A folder of photos: a unit a file or a unit a folder, with progress; what was brought before is left out. */
import { useEffect, useState } from "preact/hooks";
import { newId } from "../../ids";
import { all, changed, NoRoom } from "../../outbox/outbox";
import { keepPhoto, kindsTaken, TooLarge } from "../../photo/keep";
import { type Surface, surfaceValues } from "../../types";
import { Choices, Frame, Problem, Toggle, useSigned } from "../../ui/common";
import { named, t } from "../../words";
import { inARow } from "../../words/lists";
import { w } from "./words";

/** What this device remembers of photos that it brought: so many names and sizes, the newest last. */
const MOST = 5000;
const KEY = "ink.brought";

function remembered(): string[] {
  try {
    return JSON.parse(localStorage.getItem(KEY) ?? "[]") as string[];
  } catch (problem) {
    console.warn("what was brought before could not be read", problem);
    return [];
  }
}

const nameOf = (file: File) => `${file.webkitRelativePath || file.name}|${file.size}|${file.lastModified}`;
const isPhoto = (file: File) => file.type.startsWith("image/") || /\.(heic|heif|avif)$/i.test(file.name);
const folderOf = (file: File) => file.webkitRelativePath.split("/").slice(0, -1).join("/");

export function ImportPage() {
  const [per, setPer] = useState<"file" | "folder">("file");
  const [surface, setSurface] = useState<Surface>("facepiece");
  const [looked, setLooked] = useState(false);
  const [at, setAt] = useState<{ n: number; of: number } | null>(null);
  const [units, setUnits] = useState<ReadonlySet<string>>(new Set());
  const [sent, setSent] = useState({ n: 0, of: 0 });
  const [before, setBefore] = useState(0);
  const [refused, setRefused] = useState<string[]>([]);
  const [problem, setProblem] = useState<unknown>(null);
  const { sheet, signed } = useSigned();
  const turn = changed.value;
  useEffect(() => {
    if (units.size === 0) return;
    void all().then((parcels) => {
      const mine = parcels.filter((parcel) => units.has(parcel.unit_id) && parcel.kind === "photo");
      setSent({ n: mine.filter((parcel) => parcel.state === "sent").length, of: mine.length });
    });
  }, [turn, units]);

  const bring = async (chosen: File[]) => {
    setProblem(null);
    const known = new Set(remembered());
    const fresh = chosen.filter((file) => !known.has(nameOf(file)));
    setBefore(chosen.length - fresh.length);
    const turnedDown: string[] = [];
    const made = new Map<string, string>();
    for (const [place, file] of fresh.entries()) {
      setAt({ n: place + 1, of: fresh.length });
      const group = per === "folder" && folderOf(file) !== "" ? folderOf(file) : nameOf(file);
      const unit = made.get(group) ?? newId();
      made.set(group, unit);
      if (!isPhoto(file)) {
        turnedDown.push(file.name);
        continue;
      }
      try {
        await keepPhoto({
          photo: file,
          unit,
          surface,
          whole: "unknown",
          declared: [],
          count: 1,
          label: (per === "folder" && folderOf(file) !== "" ? folderOf(file) : file.name).slice(-80),
          consignment: "",
        });
      } catch (failure) {
        if (failure instanceof TooLarge) {
          turnedDown.push(file.name);
          continue;
        }
        setProblem(failure instanceof NoRoom ? new Error(t("outbox.full")) : failure);
        break;
      }
      known.add(nameOf(file));
      localStorage.setItem(KEY, JSON.stringify([...known].slice(-MOST)));
      setUnits((now) => new Set([...now, unit]));
    }
    setRefused(turnedDown);
    setAt(null);
  };
  // Dark is the one that fits what was said above: whole folders, or files.
  const pick = (label: string, folder: boolean) => (
    <label class={folder === (per === "folder") ? "button main" : "button"}>
      {label}
      <input
        class="unseen"
        type="file"
        multiple
        disabled={!looked || at !== null}
        {...(folder ? { webkitdirectory: true } : { accept: kindsTaken() })}
        onChange={(event) => {
          const chosen = Array.from(event.currentTarget.files ?? []).sort((a, b) => (nameOf(a) < nameOf(b) ? -1 : 1));
          event.currentTarget.value = "";
          if (chosen.length > 0) signed(() => void bring(chosen));
        }}
      />
    </label>
  );
  return (
    <Frame title={w("import.title")}>
      <h1>{w("import.title")}</h1>
      <p>{w("import.what")}</p>
      <Choices
        legend={w("import.per")}
        name="per"
        value={per}
        change={setPer}
        options={[
          { value: "file", label: w("import.per.file") },
          { value: "folder", label: w("import.per.folder") },
        ]}
      />
      <label class="field">
        {t("surface.title")}
        <select value={surface} onChange={(event) => setSurface(event.currentTarget.value as Surface)}>
          {surfaceValues.map((one) => (
            <option key={one} value={one}>
              {named("surface", one)}
            </option>
          ))}
        </select>
      </label>
      <p class="notice">{w("import.faces.why")}</p>
      <Toggle label={w("import.faces")} on={looked} change={setLooked} />
      {pick(w("import.folder"), true)}
      {pick(w("import.files"), false)}
      {problem !== null && <Problem of={problem} />}
      <div role="status" class="stack">
        {at !== null && (
          <>
            <p>{w("import.at", at)}</p>
            <progress max={at.of} value={at.n} />
          </>
        )}
        {sent.of > 0 && <p>{w("import.sent", sent)}</p>}
        {before > 0 && <p>{w("import.before", { n: before })}</p>}
        {refused.length > 0 && <p class="notice">{w("import.refused", { names: inARow(refused.slice(0, 10)) })}</p>}
      </div>
      {units.size > 0 && (
        <a class="button" href="#/kept">
          {w("import.kept")}
        </a>
      )}
      {sheet}
    </Frame>
  );
}
