/** Photos already taken, many at a time: each its own unit, or all of one. */
import { useState } from "preact/hooks";
import { newId } from "../../ids";
import { NoRoom } from "../../outbox/outbox";
import { attach, keepPhoto, kindsTaken, TooLarge } from "../../photo/keep";
import { isPhotoFile } from "../../photo/kinds";
import { route } from "../../route";
import { person } from "../../settings";
import { type Consignment, type Surface, surfaceValues, type Whole } from "../../types";
import { Choices, Frame, PersonSheet, Problem } from "../../ui/common";
import { useGet } from "../../ui/load";
import { named, t } from "../../words";
import { inARow } from "../../words/lists";
import { byCarton } from "../units/walking";
import { w } from "../units/words";

interface Brought {
  name: string;
  unit: string;
}

export function RollPage() {
  const [how, setHow] = useState<"each" | "one">("each");
  const [surface, setSurface] = useState<Surface>("facepiece");
  const [whole, setWhole] = useState<Whole>("unknown");
  const [brought, setBrought] = useState<Brought[]>([]);
  const [at, setAt] = useState<{ n: number; of: number } | null>(null);
  const [problem, setProblem] = useState("");
  const [files, setFiles] = useState<File[]>([]);
  const consignment = route.value.query.get("consignment") ?? "";
  const { got, problem: away } = useGet<Consignment>(consignment === "" ? null : `/consignments/${consignment}`);
  const [filled, setFilled] = useState<string[]>([]);
  const places = byCarton(got?.answer.drawn ?? [])
    .filter((one) => one.unit_id === null && !filled.includes(one.place))
    .map((one) => one.place);

  const bring = async (chosen: File[]) => {
    if (person.value === "") {
      setFiles(chosen);
      return;
    }
    setFiles([]);
    setProblem("");
    const shared = newId();
    const left = [...places];
    const used: string[] = [];
    const told: string[] = [];
    for (const [place, file] of chosen.entries()) {
      setAt({ n: place + 1, of: chosen.length });
      if (!(await isPhotoFile(file))) {
        told.push(w("photo.none", { name: file.name }));
        continue;
      }
      const unit = how === "one" ? shared : newId();
      try {
        await keepPhoto({
          photo: file,
          unit,
          surface,
          whole,
          declared: [],
          count: 1,
          label: left[0] ?? file.name.slice(0, 80),
          consignment,
        });
        const place = left.shift();
        if (place !== undefined) {
          await attach(unit, consignment, place);
          used.push(place);
        }
      } catch (failure) {
        if (failure instanceof TooLarge) {
          told.push(`${file.name}: ${failure.message}`);
          continue;
        }
        if (!(failure instanceof NoRoom)) throw failure;
        told.push(t("outbox.full"));
        break;
      }
      setBrought((before) => [...before, { name: inARow([used.at(-1), file.name], "·"), unit }]);
    }
    setAt(null);
    setFilled((before) => [...before, ...used]);
    setProblem(told.join(" "));
  };

  return (
    <Frame title={t("roll.title")}>
      <h1>{t("roll.title")}</h1>
      <p>{t("roll.what")}</p>
      <a class="button quiet" href="#/import">
        {w("roll.folder")}
      </a>
      {problem !== "" && (
        <p class="notice" role="alert">
          {problem}
        </p>
      )}
      {consignment !== "" && (
        <div class="sheet stack">
          <p>
            <a href={`#/consignment/${consignment}/sample`}>{got?.answer.label ?? w("roll.sample")}</a>
          </p>
          {away !== null && <Problem of={away} />}
          <p>{places.length > 0 ? w("roll.places", { n: places.length, first: places[0] ?? "" }) : w("roll.full")}</p>
        </div>
      )}
      {consignment === "" && (
        <Choices
          legend={t("roll.how")}
          name="how"
          value={how}
          change={setHow}
          options={[
            { value: "each", label: t("roll.each") },
            { value: "one", label: t("roll.one") },
          ]}
        />
      )}
      <Choices
        legend={t("surface.title")}
        name="surface"
        value={surface}
        change={setSurface}
        options={surfaceValues.map((value) => ({ value, label: named("surface", value) }))}
      />
      <Choices
        legend={t("whole.title")}
        name="whole"
        value={whole}
        change={setWhole}
        options={[
          { value: "yes", label: t("whole.yes") },
          { value: "no", label: t("whole.no") },
          { value: "unknown", label: t("whole.unknown") },
        ]}
      />
      <label class="button main">
        {t("roll.pick")}
        <input
          class="unseen"
          type="file"
          accept={kindsTaken()}
          multiple
          onChange={(event) => {
            const chosen = Array.from(event.currentTarget.files ?? []);
            event.currentTarget.value = "";
            if (chosen.length > 0) void bring(chosen);
          }}
        />
      </label>
      {at !== null && (
        <p class="waits" role="status">
          {t("roll.at", at)}
        </p>
      )}
      {brought.length > 0 && (
        <section class="stack">
          <h2>{t("roll.brought", { n: brought.length })}</h2>
          <ul class="sheet rows">
            {brought.map(({ name, unit }, place) => (
              <li key={place}>
                <a href={`#/unit/${unit}`}>{name}</a>
              </li>
            ))}
          </ul>
          <a class="button" href="#/kept">
            {t("roll.kept")}
          </a>
        </section>
      )}
      {files.length > 0 && <PersonSheet close={() => (person.value === "" ? setFiles([]) : void bring(files))} />}
    </Frame>
  );
}
