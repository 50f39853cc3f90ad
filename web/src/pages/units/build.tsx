/** How a unit is made and in what state it is: each thing with "not looked at" as it is at first. */
import { useState } from "preact/hooks";
import { Refused, record } from "../../api";
import { newId } from "../../ids";
import { go, route } from "../../route";
import type { Construction, Looks, Unit } from "../../types";
import { Choices, CopyFrom, Frame, Problem, SignedForm } from "../../ui/common";
import { useGet } from "../../ui/load";
import { moment, t } from "../../words";

const NOT = "not_looked_at";

function Form({ unit, looks, last }: { unit: string; looks: Looks; last: Construction | null }) {
  const [answers, setAnswers] = useState<Record<string, string>>(last?.answers ?? {});
  const [sizes, setSizes] = useState<Record<string, string>>(
    Object.fromEntries(Object.entries(last?.measures ?? {}).map(([name, value]) => [name, String(value)])),
  );
  const [note, setNote] = useState(last?.note ?? "");
  const [problem, setProblem] = useState<unknown>(null);
  const keep = async () => {
    const measured = Object.entries(sizes).filter(([, value]) => value.trim() !== "");
    try {
      const body = {
        id: newId(),
        answers: Object.fromEntries(Object.entries(answers).filter(([, answer]) => answer !== NOT)),
        measures: Object.fromEntries(measured.map(([name, value]) => [name, Number(value)])),
        note,
      };
      await record(`/units/${unit}/construction`, body, unit);
      go(`unit/${unit}`);
    } catch (failure) {
      if (!(failure instanceof Refused)) throw failure;
      setProblem(failure);
    }
  };
  return (
    <SignedForm class="stack" write={() => void keep()}>
      {Object.entries(looks.groups).map(([group, says], place) => (
        <details key={group} open={place === 0}>
          <summary>{says}</summary>
          <div class="stack">
            {looks.looks
              .filter((look) => look.group === group)
              .map((look) => (
                <div key={look.name}>
                  <Choices
                    legend={look.says}
                    name={look.name}
                    value={answers[look.name] ?? NOT}
                    change={(answer) => setAnswers({ ...answers, [look.name]: answer })}
                    options={look.answers.map((one) => ({ value: one.answer, label: one.says }))}
                  />
                  {look.limits !== "" && <p class="hint">{look.limits}</p>}
                </div>
              ))}
            {group === "measures" &&
              looks.measures.map((one) => (
                <label class="field" key={one.name}>
                  {one.says}
                  <input
                    type="number"
                    inputMode="decimal"
                    step="any"
                    min="0"
                    max={one.most}
                    value={sizes[one.name] ?? ""}
                    onInput={(event) => setSizes({ ...sizes, [one.name]: event.currentTarget.value })}
                  />
                </label>
              ))}
          </div>
        </details>
      ))}
      <label class="field">
        {t("build.note")}
        <textarea maxLength={2000} value={note} onInput={(event) => setNote(event.currentTarget.value)} />
      </label>
      {problem !== null && <Problem of={problem} />}
      <button type="submit" class="button main">
        {t("build.keep")}
      </button>
    </SignedForm>
  );
}

export function BuildPage() {
  const { id } = route.value;
  const unit = useGet<Unit>(`/units/${id}`);
  const looks = useGet<Looks>("/looks");
  const last = unit.got?.answer.construction ?? null;
  return (
    <Frame title={t("build.title")}>
      <CopyFrom at={unit.got?.keptAt ?? null} />
      <h1>{t("build.title")}</h1>
      <p>{t("build.what")}</p>
      {last !== null && <p class="small soft">{`${last.by.name} · ${moment(last.by.at)}`}</p>}
      {(unit.problem ?? looks.problem ?? null) !== null && <Problem of={unit.problem ?? looks.problem} />}
      {unit.got !== null && looks.got !== null && (
        <Form key={last?.construction_id ?? ""} unit={id} looks={looks.got.answer} last={last} />
      )}
      <a class="button" href={`#/unit/${id}`}>
        {t("build.back")}
      </a>
    </Frame>
  );
}
