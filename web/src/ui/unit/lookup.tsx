/** What a person's look at the authority's own list said, and what of the user's list is in the print. */
import { useState } from "preact/hooks";
import { may } from "../../access";
import { clock } from "../../clock";
import { newId } from "../../ids";
import { NoRoom, send } from "../../outbox/outbox";
import { person } from "../../settings";
import {
  type KeptLookUp,
  type LookUpAnswer,
  type LookUpSource,
  lookUpAnswerValues,
  lookUpSourceValues,
  type Papers,
  type Searched,
} from "../../types";
import { moment, named, t } from "../../words";
import { inARow } from "../../words/lists";
import { Choices, useSigned } from "../common";
import { Fold } from "../fold";
import { useGet } from "../load";
import { Sentence } from "../sentence";
import { Shape } from "../shapes";

const searchShapes = { printed: "cannot_tell", near: "near", not_seen: "not_listed" } as const;

/** Names and models of the list that were looked for in the lines: each a question, never an answer. */
export function Search({ of }: { of: Searched[] }) {
  if (of.length === 0) return null;
  return (
    <div class="stack tight">
      <h3>{t("search.title")}</h3>
      <ul class="rows">
        {of.map((one, place) => (
          <li key={place} class="slip">
            <Shape of={searchShapes[one.state]} label={named("searched", one.state)} />
            <p>
              <Sentence
                text={t(`search.${one.state}.${one.field}`, {
                  listed: one.listed,
                  printed: one.printed,
                  under: one.approval_number || one.holder,
                })}
              />
            </p>
          </li>
        ))}
      </ul>
      <p class="small soft">{t("search.why")}</p>
    </div>
  );
}

/** What a look-up is about; all empty for one that the list keeper keeps for the list itself. */
export interface About {
  unit?: string;
  consignment?: string;
  /** The consignment of which the papers may be named; a unit's own where it is under none. */
  papers?: string | undefined;
  scheme?: string;
  looked_up?: string;
}

function Past({ one }: { one: KeptLookUp }) {
  return (
    <li>
      <b>{named("lookup", one.answer)}</b> ·{" "}
      {one.source !== undefined && one.source !== "official_list" && `${named("lookup", one.source)} · `}
      {one.list_name} · <span class="ink">{one.looked_up}</span>
      {(one.document_id ?? "") !== "" && <p class="small">{t("lookup.paper.rests")}</p>}
      {one.words !== "" && <p>“{one.words}”</p>}
      {one.address !== "" && <p class="small ink">{one.address}</p>}
      {one.attachments.map((file, place) => (
        <p key={place}>
          <a class="button small" href={`/api/holders/look-ups/${one.look_up_id}/files/${place}`} download={file.name}>
            {t("lookup.file", { name: file.name, kb: Math.ceil(file.size / 1000) })}
          </a>
        </p>
      ))}
      <p class="small soft">
        {one.by.name} · {moment(one.looked_up_at)}
      </p>
    </li>
  );
}

/** Papers kept with these goods on which a look-up of this kind can rest. */
function KeptPaper({
  about,
  source,
  value,
  change,
}: {
  about: About;
  source: LookUpSource;
  value: string;
  change: (paper: string, title: string) => void;
}) {
  const of =
    about.papers !== undefined || about.consignment !== undefined
      ? `consignment_id=${about.papers ?? about.consignment}`
      : `unit_id=${about.unit}`;
  const { got } = useGet<Papers>(`/papers?${of}`);
  const kinds = source === "declaration" ? ["declaration"] : ["type_certificate", "control"];
  const kept = (got?.answer.papers ?? []).filter((one) => one.in_force && kinds.includes(one.fields.kind));
  const name = (one: (typeof kept)[number]) => one.fields.title || named("paper_kind", one.fields.kind);
  return (
    <label class="field">
      {t("lookup.paper")}
      <span class="hint">{t("lookup.paper.why")}</span>
      <select
        value={value}
        onChange={(event) => {
          const one = kept.find((other) => other.paper_id === event.currentTarget.value);
          change(one?.paper_id ?? "", one === undefined ? "" : name(one));
        }}
      >
        <option value="">{t("lookup.paper.none")}</option>
        {kept.map((one) => (
          <option key={one.paper_id} value={one.paper_id}>
            {name(one)}
            {one.fields.number !== "" && ` · ${one.fields.number}`}
          </option>
        ))}
      </select>
    </label>
  );
}

function Form({ about, kept }: { about: About; kept: () => void }) {
  const [asked, setAsked] = useState(about.looked_up ?? "");
  const [list, setList] = useState("");
  const [address, setAddress] = useState("");
  const [answer, setAnswer] = useState<LookUpAnswer | "">("");
  const [source, setSource] = useState<LookUpSource>("official_list");
  const [paper, setPaper] = useState("");
  const [words, setWords] = useState("");
  const [file, setFile] = useState<File | null>(null);
  const [on, setOn] = useState("");
  const [problem, setProblem] = useState("");
  const { sheet, signed } = useSigned();
  const keep = async () => {
    const id = newId();
    const fields = {
      id,
      looked_up: asked,
      list_name: list,
      address,
      answer,
      // when somebody looked, not when it arrives: it may wait on this phone for days
      looked_up_at: on === "" ? clock() : clock(new Date(Math.min(Date.now(), Date.parse(`${on}T12:00`)))),
      scheme: about.scheme ?? "",
      words,
      source,
      document_id: paper,
      unit_id: about.unit ?? "",
      consignment_id: about.consignment ?? "",
    };
    const attached =
      file === null ? {} : { bytes: await file.arrayBuffer(), media_type: file.type, file_name: file.name };
    try {
      const parcel = await send({
        id,
        path: "/api/holders/look-ups",
        actor: person.value,
        unit_id: about.unit ?? "",
        fields,
        ...attached,
      });
      setProblem(parcel.state === "refused" ? parcel.reason : "");
      if (parcel.state === "refused") return;
    } catch (failure) {
      if (!(failure instanceof NoRoom)) throw failure;
      setProblem(t("lookup.full"));
      return;
    }
    setAnswer("");
    setOn("");
    setPaper("");
    setWords("");
    setFile(null);
    kept();
  };
  return (
    <form
      class="stack"
      onSubmit={(event) => {
        event.preventDefault();
        if (answer !== "") signed(() => void keep());
      }}
    >
      <p>{t("lookup.what")}</p>
      {problem !== "" && (
        <p class="notice" role="alert">
          {problem}
        </p>
      )}
      <Choices
        legend={t("lookup.source")}
        name="source"
        value={source}
        change={(chosen) => {
          setSource(chosen);
          setPaper("");
        }}
        options={lookUpSourceValues.map((value) => ({ value, label: named("lookup", value) }))}
      />
      <p class="hint">{t("lookup.source.why")}</p>
      {source !== "official_list" && (about.unit !== undefined || about.consignment !== undefined) && (
        <KeptPaper
          about={about}
          source={source}
          value={paper}
          change={(chosen, title) => {
            setPaper(chosen);
            if (title !== "") setList(title);
          }}
        />
      )}
      <label class="field">
        {t("lookup.list")}
        <input
          type="text"
          required
          maxLength={200}
          value={list}
          onInput={(event) => setList(event.currentTarget.value)}
        />
      </label>
      <label class="field">
        {t("lookup.asked")}
        <input
          class="ink"
          type="text"
          required
          maxLength={400}
          value={asked}
          onInput={(event) => setAsked(event.currentTarget.value)}
        />
      </label>
      <Choices
        legend={t("lookup.answer")}
        name="lookup"
        value={answer}
        change={setAnswer}
        options={lookUpAnswerValues.map((value) => ({ value, label: named("lookup", value) }))}
      />
      <label class="field">
        {t("lookup.words")}
        <textarea
          required
          minLength={2}
          maxLength={4000}
          value={words}
          onInput={(event) => setWords(event.currentTarget.value)}
        />
      </label>
      <label class="field">
        {t("lookup.day")}
        <input
          type="date"
          max={clock().slice(0, 10)}
          value={on}
          onInput={(event) => setOn(event.currentTarget.value)}
        />
      </label>
      <label class="field">
        {t("lookup.address")}
        <input
          type="text"
          inputMode="url"
          maxLength={1000}
          value={address}
          onInput={(event) => setAddress(event.currentTarget.value)}
        />
      </label>
      <label class="button">
        {file === null ? t("lookup.attach") : t("lookup.attached", { name: file.name })}
        <input
          class="unseen"
          type="file"
          accept="image/*,application/pdf,text/html,.mhtml"
          onChange={(event) => setFile(event.currentTarget.files?.[0] ?? null)}
        />
      </label>
      <p class="hint">{t("lookup.attach.why")}</p>
      <button type="submit" class="button main" disabled={answer === ""}>
        {t("lookup.keep")}
      </button>
      {sheet}
    </form>
  );
}

/** `done` looks again at the goods that it is about: what is decided on them rests on it. */
export function LookUp({ about, done }: { about: About; done?: () => void }) {
  const query =
    about.unit !== undefined
      ? `?unit_id=${about.unit}`
      : about.consignment !== undefined
        ? `?consignment_id=${about.consignment}`
        : "";
  const { got, again } = useGet<KeptLookUp[]>(`/holders/look-ups${query}`);
  const kept = got?.answer ?? [];
  const rows = (
    <ul class="rows">
      {kept.map((one) => (
        <Past key={one.look_up_id} one={one} />
      ))}
    </ul>
  );
  const form = may("screener", "list_keeper", "releaser") && (
    <details>
      <summary>{t("lookup.open")}</summary>
      <Form
        about={about}
        kept={() => {
          again();
          done?.();
        }}
      />
    </details>
  );
  if (about.unit !== undefined)
    return (
      <Fold
        id="lookup"
        title={t("lookup.title")}
        holds={
          kept.length === 0
            ? t("lookup.none")
            : inARow(
                kept.map((one) => named("lookup", one.answer)),
                "·",
              )
        }
      >
        {kept.length > 0 && rows}
        {form}
      </Fold>
    );
  return (
    <section class="stack" aria-labelledby="lookup">
      <h2 id="lookup">{t("lookup.title")}</h2>
      <div class="sheet">
        {kept.length === 0 ? (
          <p class="slip">
            <Shape of="not_looked_at" />
            <span>{t("lookup.none")}</span>
          </p>
        ) : (
          rows
        )}
        {form}
      </div>
    </section>
  );
}
