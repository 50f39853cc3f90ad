/** A table of holders, looked at before anything is kept: its columns, every problem, what would change. */
import { useState } from "preact/hooks";
import { ask, NotHere, Refused } from "../../api";
import { type Choices, letters, lettersIn, mapping, sayable } from "../../holders/mapping";
import { newId } from "../../ids";
import { go } from "../../route";
import {
  entryStatusValues,
  type HolderField,
  holderFieldValues,
  type Preview,
  type Proposal,
  type RuleBook,
} from "../../types";
import { Frame, Problem, SignedForm, Toggle } from "../../ui/common";
import { useGet } from "../../ui/load";
import { Shape } from "../../ui/shapes";
import { named, t } from "../../words";
import { inARow } from "../../words/lists";
import { Difference } from "./proposal";

/** What is known of a file: its columns even where the preview was refused for want of one. */
interface Seen {
  preview: Preview | null;
  headers: string[];
  header_row: number;
  columns: Record<string, string>;
}

const shownAtMost = 100;

function formOf(file: File, sheet: string, choices: string): FormData {
  const form = new FormData();
  form.append("file", file, file.name);
  form.append("mapping", choices);
  form.append("sheet", sheet);
  return form;
}

/** The headers of a table that lacks a field which every entry needs: asked with a stand-in for it. */
async function headersOf(file: File, sheet: string): Promise<Seen | null> {
  const standIn = JSON.stringify({ fixed: { scheme: "x", holder: "x" } });
  try {
    const { headers, header_row, columns } = await ask<Preview>("/holders/preview", formOf(file, sheet, standIn));
    return { preview: null, headers, header_row, columns };
  } catch (failure) {
    if (!(failure instanceof Refused)) throw failure;
    return null;
  }
}

function Troubles({ preview }: { preview: Preview }) {
  if (preview.problems.length === 0) return <p class="sheet">{t("import.clean")}</p>;
  const more = preview.errors + preview.doubts - Math.min(preview.problems.length, shownAtMost);
  return (
    <ul class="sheet rows" aria-label={t("import.problems")}>
      {preview.problems.slice(0, shownAtMost).map((one, place) => (
        <li key={place} class="slip">
          <Shape of={one.level === "error" ? "conflict" : "cannot_tell"} label={named("import.level", one.level)} />
          <div class="stack tight">
            <p class="small soft">
              {t("import.where", { row: one.row })} {one.column}{" "}
              <span class="tag">{named("import.level", one.level)}</span>
            </p>
            <p>{one.message}</p>
            {one.value !== "" && <p class="ink small">{one.value}</p>}
          </div>
        </li>
      ))}
      {more > 0 && <li>{t("import.more", { n: more })}</li>}
    </ul>
  );
}

function Columns({ seen, choices, change }: { seen: Seen; choices: Choices; change: (choices: Choices) => void }) {
  const schemes = useGet<RuleBook>("/rules").got?.answer.schemes ?? [];
  const width = Math.max(seen.headers.length, 1);
  const columns = Array.from({ length: seen.headers.length > 0 ? width : 26 }, (_, place) => letters(place));
  const without = (field: HolderField) =>
    Object.fromEntries(Object.entries(choices).filter(([other]) => other !== field)) as Choices;
  return (
    <div class="stack">
      {holderFieldValues.map((field) => {
        const choice = choices[field];
        const found = lettersIn(seen.columns[field] ?? "");
        const value =
          choice === undefined ? (found === "" ? "" : `#${found}`) : "column" in choice ? `#${choice.column}` : "=";
        const said = choice !== undefined && "value" in choice ? choice.value : "";
        const say = (text: string) => change({ ...choices, [field]: { value: text } });
        return (
          <div key={field} class="stack tight">
            <label class="field">
              {named("field.of", field)}
              <select
                aria-label={named("field.of", field)}
                value={value}
                onChange={(event) => {
                  const chosen = event.currentTarget.value;
                  if (chosen === "=") say("");
                  else change(chosen === "" ? without(field) : { ...choices, [field]: { column: chosen.slice(1) } });
                }}
              >
                {found === "" && <option value="">{t("import.nowhere")}</option>}
                {columns.map((column, place) => (
                  <option key={column} value={`#${column}`}>
                    {inARow([column, seen.headers[place]], "·")}
                  </option>
                ))}
                {sayable.includes(field) && <option value="=">{t("import.same")}</option>}
              </select>
            </label>
            {value === "=" && (
              // biome-ignore lint/a11y/noLabelWithoutControl: it holds one of two controls
              <label class="field">
                {t("import.for.all", { field: named("field.of", field) })}
                {field === "scheme" || field === "status" ? (
                  <select
                    aria-label={t("import.for.all", { field: named("field.of", field) })}
                    value={said}
                    onChange={(event) => say(event.currentTarget.value)}
                  >
                    <option value="">–</option>
                    {(field === "scheme"
                      ? schemes.map(({ scheme, title }) => ({ code: scheme, title }))
                      : entryStatusValues.map((code) => ({ code, title: named("entry", code) }))
                    ).map(({ code, title }) => (
                      <option key={code} value={code}>
                        {title}
                      </option>
                    ))}
                  </select>
                ) : (
                  <input
                    type={field === "checked_on" ? "date" : "text"}
                    value={said}
                    onInput={(event) => say(event.currentTarget.value)}
                  />
                )}
              </label>
            )}
          </div>
        );
      })}
    </div>
  );
}

function Propose({ file, sheet, choices, preview }: { file: File; sheet: string; choices: string; preview: Preview }) {
  const [name, setName] = useState("");
  const [checked, setChecked] = useState("");
  const [note, setNote] = useState("");
  const [looked, setLooked] = useState(false);
  const [id] = useState(newId);
  const [problem, setProblem] = useState<unknown>(null);
  const keep = async () => {
    const form = formOf(file, sheet, choices);
    for (const [key, value] of Object.entries({ id, name, checked_on: checked, note })) form.append(key, value);
    try {
      await ask<Proposal>("/holders/proposals", form);
      go(`holders/proposal/${id}`);
    } catch (failure) {
      if (!(failure instanceof Refused || failure instanceof NotHere)) throw failure;
      setProblem(failure);
    }
  };
  return (
    <SignedForm class="sheet" write={() => void keep()}>
      <h2>{t("import.propose.title")}</h2>
      <p>{t("import.propose.what")}</p>
      {problem !== null && <Problem of={problem} />}
      <label class="field">
        {t("import.name")}
        <input type="text" maxLength={200} value={name} onInput={(event) => setName(event.currentTarget.value)} />
      </label>
      <label class="field">
        {t("import.checked")}
        <span class="hint">{t("import.checked.hint")}</span>
        <input type="date" value={checked} onInput={(event) => setChecked(event.currentTarget.value)} />
      </label>
      <label class="field">
        {t("import.note")}
        <input type="text" maxLength={2000} value={note} onInput={(event) => setNote(event.currentTarget.value)} />
      </label>
      {preview.doubts > 0 && (
        <Toggle label={t("import.doubts.looked", { n: preview.doubts })} on={looked} change={setLooked} />
      )}
      <button type="submit" class="button main" disabled={preview.doubts > 0 && !looked}>
        {t("import.propose")}
      </button>
    </SignedForm>
  );
}

export function ImportPage() {
  const [file, setFile] = useState<File | null>(null);
  const [sheet, setSheet] = useState("");
  const [seen, setSeen] = useState<Seen | null>(null);
  const [choices, setChoices] = useState<Choices>({});
  const [stale, setStale] = useState(false);
  const [problem, setProblem] = useState<unknown>(null);
  const [busy, setBusy] = useState(false);
  const asked = mapping(choices, Object.keys(choices).length > 0 ? (seen?.header_row ?? 0) : 0);

  const look = async (chosen: File, wanted: string) => {
    setBusy(true);
    setProblem(null);
    try {
      const preview = await ask<Preview>("/holders/preview", formOf(chosen, sheet, wanted));
      setSeen({ preview, headers: preview.headers, header_row: preview.header_row, columns: preview.columns });
    } catch (failure) {
      if (!(failure instanceof Refused || failure instanceof NotHere)) throw failure;
      setProblem(failure);
      const known = failure instanceof Refused && failure.status === 422 ? await headersOf(chosen, sheet) : null;
      setSeen(known ?? { preview: null, headers: [], header_row: 0, columns: {} });
    } finally {
      setStale(false);
      setBusy(false);
    }
  };
  const preview = seen?.preview ?? null;
  return (
    <Frame title={t("import.title")}>
      <h1>{t("import.title")}</h1>
      <p>{t("import.what")}</p>
      <label class={file === null ? "button main" : "button"}>
        {file === null ? t("import.pick") : t("import.other", { name: file.name })}
        <input
          class="unseen"
          type="file"
          accept=".csv,.tsv,.txt,.xlsx,.json,text/csv,application/json,application/vnd.openxmlformats-officedocument.spreadsheetml.sheet"
          onChange={(event) => {
            const chosen = event.currentTarget.files?.[0];
            event.currentTarget.value = "";
            if (chosen === undefined) return;
            setFile(chosen);
            setChoices({});
            setSeen(null);
            void look(chosen, mapping({}, 0));
          }}
        />
      </label>
      {busy && (
        <p class="waits" role="status">
          {t("import.looking")}
        </p>
      )}
      {problem !== null && <Problem of={problem} />}
      {preview !== null && (
        <>
          <section class="stack" aria-labelledby="found">
            <h2 id="found">{t("import.found")}</h2>
            <p role="status">
              {t("import.counts", {
                rows: preview.rows,
                entries: preview.entries,
                errors: preview.errors,
                doubts: preview.doubts,
              })}
            </p>
            <p>{t("import.nothing.kept")}</p>
            {preview.notes.map((note) => (
              <p key={note} class="small soft">
                {note}
              </p>
            ))}
            <Troubles preview={preview} />
          </section>
          {preview.difference !== null && <Difference changes={preview.difference} />}
        </>
      )}
      {file !== null && seen !== null && !file.name.endsWith(".json") && (
        <details open={preview === null || stale}>
          <summary>{t("import.columns")}</summary>
          <div class="stack">
            <p>{t("import.columns.what")}</p>
            <Columns
              seen={seen}
              choices={choices}
              change={(next) => {
                setChoices(next);
                setStale(true);
              }}
            />
            <label class="field">
              {t("import.sheet")}
              <input
                type="text"
                value={sheet}
                onInput={(event) => {
                  setSheet(event.currentTarget.value);
                  setStale(true);
                }}
              />
            </label>
            <button type="button" class="button main" disabled={busy || !stale} onClick={() => void look(file, asked)}>
              {t("import.again")}
            </button>
          </div>
        </details>
      )}
      {file !== null && preview !== null && !stale && preview.errors > 0 && (
        <p class="notice">{t("import.errors.first")}</p>
      )}
      {file !== null && preview !== null && !stale && preview.errors === 0 && preview.entries > 0 && (
        <Propose file={file} sheet={sheet} choices={asked} preview={preview} />
      )}
      <a class="button quiet" href="#/holders">
        {t("import.leave")}
      </a>
    </Frame>
  );
}
