/** Papers that came with a consignment: typed by their fields, compared with the goods field by field. */
import { useState } from "preact/hooks";
import { may } from "../../access";
import { Refused, record } from "../../api";
import { newId } from "../../ids";
import { NoRoom, send } from "../../outbox/outbox";
import { route } from "../../route";
import { person } from "../../settings";
import { type PaperField, type PaperKind, type Papers, paperKindValues } from "../../types";
import { Choices, CopyFrom, Frame, Problem, SignedForm, Toggle } from "../../ui/common";
import { useGet } from "../../ui/load";
import { Sentence } from "../../ui/sentence";
import { Shape } from "../../ui/shapes";
import { moment, named, t } from "../../words";
import { takenApart } from "../../words/lists";

const everywhere: PaperField[] = ["title", "issuer", "number", "holder", "product", "filter_class", "standard"];
const ofKind: Partial<Record<PaperKind, PaperField[]>> = {
  type_certificate: ["body_number"],
  control: ["body_number"],
  compliance_certificate: ["body_number"],
  declaration: ["certificate", "certificate_body", "body_number", "signed_by"],
  test_report: ["method", "lots"],
  packing_list: ["lots"],
  invoice: ["lots"],
  authorisation: ["lots", "signed_by"],
};
type Typed = Partial<Record<PaperField, string>>;
type Kept = Papers["papers"][number];

function typedOf(paper: Kept | undefined): Typed {
  if (paper === undefined) return {};
  const { lots, ...rest } = paper.fields;
  const texts = Object.entries(rest).filter(([, value]) => typeof value === "string" && value !== "");
  return { ...Object.fromEntries(texts), lots: lots.join(", ") };
}

function Form({ id, of, done }: { id: string; of?: Kept | undefined; done: (waits: boolean) => void }) {
  const [kind, setKind] = useState<PaperKind>(of?.fields.kind ?? "type_certificate");
  const [typed, setTyped] = useState<Typed>(typedOf(of));
  const [unread, setUnread] = useState(of?.fields.unreadable.includes("expires") ?? false);
  const [values, setValues] = useState<"" | "yes" | "no">(of?.fields.specimen_values ?? "");
  const [why, setWhy] = useState("");
  const [file, setFile] = useState<File | null>(null);
  const [problem, setProblem] = useState("");
  const shown = [...everywhere, ...(ofKind[kind] ?? [])];
  const field = (name: PaperField, type: "text" | "date" = "text") => (
    <label class="field" key={name}>
      {named("paper_field", name)}
      {name === "title" && <span class="hint">{t("brought.title.hint")}</span>}
      {name === "lots" && <span class="hint">{t("brought.lots.hint")}</span>}
      <input
        class="ink"
        type={type}
        required={name === "title"}
        maxLength={300}
        value={typed[name] ?? ""}
        onInput={(event) => setTyped({ ...typed, [name]: event.currentTarget.value })}
      />
    </label>
  );
  const keep = async () => {
    const paper = {
      kind,
      ...Object.fromEntries(shown.map((name) => [name, (typed[name] ?? "").trim()])),
      lots: takenApart(typed.lots ?? ""),
      issued: typed.issued || null,
      expires: typed.expires || null,
      unreadable: unread ? ["expires"] : [],
      specimen_values: kind === "test_report" ? values : "",
    };
    const key = newId();
    try {
      const parcel = await send({
        id: key,
        path: "/api/papers",
        actor: person.value,
        fields: {
          id: key,
          consignment_id: id,
          paper: JSON.stringify(paper),
          replaces: of?.paper_id ?? "",
          reason: why,
        },
        ...(file === null ? {} : { bytes: await file.arrayBuffer(), media_type: file.type, file_name: file.name }),
      });
      if (parcel.state === "refused") setProblem(parcel.reason);
      else done(parcel.state === "waiting");
    } catch (failure) {
      if (!(failure instanceof NoRoom)) throw failure;
      setProblem(t("lookup.full"));
    }
  };
  return (
    <SignedForm class="stack" write={() => void keep()}>
      {problem !== "" && (
        <p class="notice" role="alert">
          {problem}
        </p>
      )}
      <label class="field">
        {t("brought.kind")}
        <select value={kind} onChange={(event) => setKind(event.currentTarget.value as PaperKind)}>
          {paperKindValues.map((value) => (
            <option key={value} value={value}>
              {named("paper_kind", value)}
            </option>
          ))}
        </select>
      </label>
      {shown.map((name) => field(name))}
      <div class="pair">
        {field("issued", "date")}
        {field("expires", "date")}
      </div>
      {!typed.expires && <Toggle label={t("brought.expires.unread")} on={unread} change={setUnread} />}
      {kind === "test_report" && (
        <Choices
          legend={t("brought.values")}
          name="values"
          value={values}
          change={setValues}
          options={[
            { value: "yes", label: t("brought.yes") },
            { value: "no", label: t("brought.no") },
          ]}
        />
      )}
      <label class="button">
        {file === null ? t("brought.file") : t("lookup.attached", { name: file.name })}
        <input
          class="unseen"
          type="file"
          accept="image/*,application/pdf"
          onChange={(event) => setFile(event.currentTarget.files?.[0] ?? null)}
        />
      </label>
      {of !== undefined && (
        <label class="field">
          {t("brought.why")}
          <input
            type="text"
            required
            minLength={3}
            maxLength={2000}
            value={why}
            onInput={(event) => setWhy(event.currentTarget.value)}
          />
        </label>
      )}
      <button type="submit" class="button main">
        {t("brought.keep")}
      </button>
    </SignedForm>
  );
}

function Decide({ id, done }: { id: string; done: () => void }) {
  const [reason, setReason] = useState("");
  const [said, setSaid] = useState("");
  const [problem, setProblem] = useState<unknown>(null);
  const keep = async () => {
    try {
      const { waiting } = await record(`/consignments/${id}/papers/decide`, { id: newId(), reason: reason.trim() });
      setSaid(waiting ? t("brought.waiting") : t("brought.decided"));
      setProblem(null);
      done();
    } catch (failure) {
      if (!(failure instanceof Refused)) throw failure;
      setProblem(failure);
    }
  };
  return (
    <details>
      <summary>{t("brought.decide")}</summary>
      <SignedForm class="stack" write={() => void keep()}>
        <p>{t("brought.decide.what")}</p>
        {problem !== null && <Problem of={problem} />}
        {said !== "" && <p role="status">{said}</p>}
        <label class="field">
          {t("brought.decide.reason")}
          <textarea
            required
            minLength={3}
            maxLength={2000}
            value={reason}
            onInput={(event) => setReason(event.currentTarget.value)}
          />
        </label>
        <button type="submit" class="button">
          {t("brought.decide")}
        </button>
      </SignedForm>
    </details>
  );
}

function Found({ of }: { of: Papers["findings"] }) {
  return (
    <ul class="rows">
      {of.map((one, place) => (
        <li key={place} class="slip">
          <Shape
            of={one.question ? "cannot_tell" : one.severity}
            label={named("kind", one.question ? "question" : one.severity)}
          />
          <div>
            <p>
              <Sentence text={one.says} />
            </p>
            {one.next_step !== "" && <p class="small">{one.next_step}</p>}
            <p class="small soft">{one.source}</p>
          </div>
        </li>
      ))}
    </ul>
  );
}

function Table({ of }: { of: Papers["table"] }) {
  const shapes = { agrees: "no_conflict_found", resembles: "cannot_tell", differs: "conflict", alone: "not_looked_at" };
  return (
    <ul class="rows">
      {of.map((row) => (
        <li key={row.field} class="slip">
          <Shape of={shapes[row.state]} label={t(`brought.${row.state}`)} />
          <div>
            <p>
              <b>{named("paper_field", row.field)}</b> – {t(`brought.${row.state}`)}
            </p>
            {row.cells.map((cell, place) => (
              <p key={place} class="small">
                {named("paper_place", cell.place)}: <span class="ink">{cell.value}</span>
              </p>
            ))}
          </div>
        </li>
      ))}
    </ul>
  );
}

export function GoodsPapersPage() {
  const { id } = route.value;
  const { got, problem, again } = useGet<Papers>(`/papers?consignment_id=${id}`);
  const [open, setOpen] = useState<string | null>(null);
  const [waits, setWaits] = useState(false);
  const done = (waiting: boolean) => {
    setOpen(null);
    setWaits(waiting);
    again();
  };
  const papers = got?.answer;
  const kept = papers?.papers ?? [];
  const serious = papers?.findings.some((one) => one.severity === "conflict" || one.severity === "missing") ?? false;
  return (
    <Frame title={t("brought.title")}>
      <h1>{t("brought.title")}</h1>
      <CopyFrom at={got?.keptAt ?? null} />
      {problem !== null && <Problem of={problem} again={again} />}
      {waits && (
        <p class="notice" role="status">
          {t("brought.waiting")}
        </p>
      )}
      <p>{t("brought.what")}</p>
      <p class="slip">
        <Shape of={papers?.state ?? "not_looked_at"} />
        <b>{papers === undefined || kept.length === 0 ? t("brought.none") : named("state", papers.state)}</b>
      </p>
      {papers !== undefined && papers.findings.length > 0 && (
        <section class="sheet" aria-labelledby="found">
          <h2 id="found">{t("brought.found")}</h2>
          <Found of={papers.findings} />
          {serious && may("releaser") && <Decide id={id} done={again} />}
        </section>
      )}
      {papers !== undefined && papers.table.length > 0 && (
        <section class="sheet" aria-labelledby="table">
          <h2 id="table">{t("brought.table")}</h2>
          <Table of={papers.table} />
        </section>
      )}
      {may("screener", "releaser") &&
        (open === "" ? (
          <section class="sheet" aria-labelledby="add">
            <h2 id="add">{t("brought.add")}</h2>
            <Form id={id} done={done} />
          </section>
        ) : (
          <button type="button" class="button main" onClick={() => setOpen("")}>
            {t("brought.add")}
          </button>
        ))}
      {kept.length > 0 && (
        <section class="sheet" aria-labelledby="kept">
          <h2 id="kept">{t("brought.kept")}</h2>
          <ul class="rows">
            {kept.map((paper) => (
              <li key={paper.paper_id}>
                <p>
                  <b class="ink">{paper.fields.title || named("paper_kind", paper.fields.kind)}</b>
                  {!paper.in_force && <span class="tag">{t("brought.before")}</span>}
                </p>
                <p class="small">
                  {named("paper_kind", paper.fields.kind)}
                  {paper.fields.number !== "" && ` · ${paper.fields.number}`}
                </p>
                {paper.reason !== "" && <p class="small">“{paper.reason}”</p>}
                <p class="small soft">
                  {paper.by.name} · {moment(paper.by.at)}
                </p>
                {paper.files.map((file, place) => (
                  <p key={place}>
                    <a class="button small" href={`/api/papers/${paper.paper_id}/files/${place}`} download={file.name}>
                      {t("lookup.file", { name: file.name, kb: Math.ceil(file.size / 1000) })}
                    </a>
                  </p>
                ))}
                {paper.in_force &&
                  may("screener", "releaser") &&
                  (open === paper.paper_id ? (
                    <Form id={id} of={paper} done={done} />
                  ) : (
                    <button type="button" class="button small" onClick={() => setOpen(paper.paper_id)}>
                      {t("brought.correct")}
                    </button>
                  ))}
              </li>
            ))}
          </ul>
        </section>
      )}
      <a class="button" href={`#/consignment/${id}`}>
        {t("consignment.go")}
      </a>
    </Frame>
  );
}
