/** What leaves the house for one consignment, and what came back: written down, never sent from here. */
import { useState } from "preact/hooks";
import { may } from "../../access";
import { ask, get, Refused, withLanguage } from "../../api";
import type { Addressee, ContactFrom, DispatchOut as Dispatch, Party } from "../../generated/api";
import { newId } from "../../ids";
import { head } from "../../outbox/outbox";
import { route } from "../../route";
import { person } from "../../settings";
import type { Consignment } from "../../types";
import { Choices, Frame, Problem, Toggle, useSigned } from "../../ui/common";
import { useGet } from "../../ui/load";
import { day, t } from "../../words";
import { inARow } from "../../words/lists";
import { type Doing, Row } from "./given";
import { w, wn } from "./words";

const parties: Party[] = ["supplier", "holder", "authority", "manager", "store", "other"];
const contacts: ContactFrom[] = ["", "register", "records", "goods", "seller"];
const sizes = ["a6", "a4", "100x50"];
const addressees: Addressee[] = ["supplier", "authority", "holder", "body"];

/** To whom: what they are, and their name; what one does then, with the problem it met. */
function useRecipient(of: string, first: Party = "supplier") {
  const [party, setParty] = useState<Party>(first);
  const [name, setName] = useState("");
  const [contact, setContact] = useState<ContactFrom>("");
  const [problem, setProblem] = useState<unknown>(null);
  const { sheet, signed } = useSigned();
  const fields = (
    <>
      <label class="field">
        {w(of === "answer" ? "party.from" : "party")}
        <select value={party} onChange={(event) => setParty(event.currentTarget.value as Party)}>
          {parties.map((one) => (
            <option key={one} value={one}>
              {wn("to", one)}
            </option>
          ))}
        </select>
      </label>
      <label class="field">
        {w(of === "answer" ? "who" : "name")}
        <input
          type="text"
          required
          maxLength={200}
          value={name}
          onInput={(event) => setName(event.currentTarget.value)}
        />
      </label>
      {(of === "message" || of === "answer") && (
        <label class="field">
          {w("contact")}
          <select value={contact} onChange={(event) => setContact(event.currentTarget.value as ContactFrom)}>
            {contacts.map((one) => (
              <option key={one} value={one}>
                {wn("contact", one || "none")}
              </option>
            ))}
          </select>
        </label>
      )}
      {problem !== null && <Problem of={problem} />}
      {sheet}
    </>
  );
  const act = (what: () => Promise<void>) =>
    signed(() => {
      what().then(
        () => setProblem(null),
        (failure: unknown) => setProblem(failure),
      );
    });
  return { party, recipients: [{ party, name: name.trim(), contact }], fields, act, problem };
}

function Report({ id, done }: Doing) {
  const { recipients, fields, act } = useRecipient("report", "manager");
  const give = async () => {
    await ask(`/consignments/${id}/reports`, { id: newId(), recipients });
    done();
  };
  const at = (format: string) => withLanguage(`/consignments/${id}/report?format=${format}`);
  return (
    <details class="sheet stack">
      <summary>{w("report")}</summary>
      <p>{w("report.what")}</p>
      {["pdf", "json", "csv"].map((format) => (
        <a class="button" key={format} href={at(format)} target="_blank" rel="noopener">
          {w("open", { what: format.toUpperCase() })}
        </a>
      ))}
      <form
        class="stack"
        onSubmit={(event) => {
          event.preventDefault();
          act(give);
        }}
      >
        {fields}
        <button type="submit" class="button">
          {w("report.give")}
        </button>
      </form>
    </details>
  );
}

function Labels({ id, held }: { id: string; held: boolean }) {
  const [size, setSize] = useState("a6");
  const [each, setEach] = useState(false);
  const [own, setOwn] = useState(false);
  if (!held) return null;
  const query = `size=${size}&paper=${own ? "own" : "a4"}&each=${each ? "carton" : "one"}`;
  return (
    <details class="sheet stack">
      <summary>{w("labels")}</summary>
      <Choices
        legend={w("size")}
        name="size"
        value={size}
        change={setSize}
        options={sizes.map((one) => ({ value: one, label: one.toUpperCase().replace("X", " × ") }))}
      />
      <Toggle label={w("labels.each")} on={each} change={setEach} />
      <Toggle label={w("labels.own")} on={own} change={setOwn} />
      <a class="button" href={withLanguage(`/consignments/${id}/labels?${query}`)} target="_blank" rel="noopener">
        {w("open", { what: "PDF" })}
      </a>
    </details>
  );
}

/** For which of several lots; nothing where there is but one. */
function ForLot({ lots, value, change }: { lots: string[]; value: string; change: (lot: string) => void }) {
  if (lots.length < 2) return null;
  return (
    <label class="field">
      {t("lot.decide")}
      <select value={value} onChange={(event) => change(event.currentTarget.value)}>
        <option value="">{t("lot.all")}</option>
        {lots.map((code) => (
          <option key={code} value={code}>
            {t("lot.one", { code })}
          </option>
        ))}
      </select>
    </label>
  );
}

function Message({ id, lots, done }: Doing & { lots: string[] }) {
  const [lot, setLot] = useState("");
  const [to, setTo] = useState<Addressee>("supplier");
  const [text, setText] = useState("");
  const [address, setAddress] = useState("");
  const [copied, setCopied] = useState(false);
  const { party, recipients, fields, act, problem } = useRecipient("message");
  const write = async () => {
    const { answer } = await get<{ subject: string; text: string; address: string }>(
      `/consignments/${id}/messages/${to}`,
      false,
      null,
      head(person.value), // a message is signed by whoever writes it
    );
    setText(`${answer.subject}\n\n${answer.text}`);
    setAddress(answer.address);
    setCopied(false);
  };
  const give = async () => {
    const asks = party === "holder" && to === "holder";
    const decision = asks ? { decision_id: newId() } : {};
    await ask(`/consignments/${id}/dispatches`, { id: newId(), kind: "message", recipients, text, lot, ...decision });
    setText("");
    done();
  };
  return (
    <details class="sheet stack">
      <summary>{w("message")}</summary>
      <p>{w("message.what")}</p>
      <Choices
        legend={w("party")}
        name="to"
        value={to}
        change={setTo}
        options={addressees.map((value) => ({ value, label: wn("to", value) }))}
      />
      <button type="button" class="button" onClick={() => act(write)}>
        {w("message.write")}
      </button>
      {text === "" && problem !== null && <Problem of={problem} />}
      {text !== "" && (
        <form
          class="stack"
          onSubmit={(event) => {
            event.preventDefault();
            act(give);
          }}
        >
          <label class="field">
            {w("text")}
            <textarea rows={14} value={text} onInput={(event) => setText(event.currentTarget.value)} />
          </label>
          <button
            type="button"
            class="button"
            onClick={() => act(() => navigator.clipboard.writeText(text).then(() => setCopied(true)))}
          >
            {w(copied ? "copied" : "copy")}
          </button>
          <p>{address}</p>
          <ForLot lots={lots} value={lot} change={setLot} />
          {fields}
          <button type="submit" class="button">
            {w("given")}
          </button>
        </form>
      )}
    </details>
  );
}

function Pack({ id, done }: Doing) {
  const [originals, setOriginals] = useState<"no" | "yes">("no");
  const [seal, setSeal] = useState("");
  const { recipients, fields, act } = useRecipient("pack", "authority");
  const make = async () => {
    const response = await fetch(withLanguage(`/consignments/${id}/packs`), {
      method: "POST",
      headers: { ...head(person.value), "Content-Type": "application/json" },
      body: JSON.stringify({ id: newId(), recipients, originals: originals === "yes" }),
    });
    if (!response.ok) {
      const told = (await response.json()) as { error?: { message?: string } };
      throw new Refused(told.error?.message ?? t("problem.server", { status: response.status }), response.status);
    }
    const link = document.createElement("a");
    link.href = URL.createObjectURL(await response.blob());
    link.download = /filename="([^"]+)"/.exec(response.headers.get("Content-Disposition") ?? "")?.[1] ?? "pack.zip";
    link.click();
    URL.revokeObjectURL(link.href);
    setSeal(response.headers.get("X-Seal") ?? "");
    done();
  };
  return (
    <details class="sheet stack">
      <summary>{w("pack")}</summary>
      <p>{w("pack.what")}</p>
      <form
        class="stack"
        onSubmit={(event) => {
          event.preventDefault();
          act(make);
        }}
      >
        <Choices
          legend={w("originals")}
          name="originals"
          value={originals}
          change={setOriginals}
          options={[
            { value: "no", label: w("originals.no") },
            { value: "yes", label: w("originals.yes") },
          ]}
        />
        {fields}
        <button type="submit" class="button">
          {w("pack.make")}
        </button>
      </form>
      {seal !== "" && (
        <p role="status">
          {w("seal")} <span class="ink">{seal}</span>
        </p>
      )}
    </details>
  );
}

function Answered({ id, lots, rows, done }: Doing & { lots: string[]; rows: Dispatch[] }) {
  const [lot, setLot] = useState("");
  const [to, setTo] = useState("");
  const asked = rows.filter((row) => row.kind === "message" && row.decision_id !== null);
  const answered = asked.find((row) => row.dispatch_id === to);
  const [text, setText] = useState("");
  const [about, setAbout] = useState<"agrees" | "differs" | "">("");
  const { party, recipients, fields, act } = useRecipient("answer");
  const keep = async () => {
    const decision = party === "holder" && about !== "" ? { about, decision_id: newId() } : {};
    await ask(`/consignments/${id}/dispatches`, {
      id: newId(),
      kind: "answer",
      recipients,
      text,
      answers: to === "" ? null : to,
      lot: answered?.lot ?? lot,
      ...decision,
    });
    setText("");
    setTo("");
    done();
  };
  return (
    <details class="sheet stack">
      <summary>{w("answer")}</summary>
      <form
        class="stack"
        onSubmit={(event) => {
          event.preventDefault();
          act(keep);
        }}
      >
        {fields}
        <label class="field">
          {w("answer.text")}
          <textarea required rows={5} value={text} onInput={(event) => setText(event.currentTarget.value)} />
        </label>
        {party === "holder" && asked.length > 0 && (
          <label class="field">
            {w("answer.to")}
            <select value={to} onChange={(event) => setTo(event.currentTarget.value)}>
              <option value="">{w("answer.none")}</option>
              {asked.map((row) => (
                <option key={row.dispatch_id} value={row.dispatch_id}>
                  {day(row.on)} · {inARow(row.recipients.map((one) => one.name))}
                  {(row.lot ?? "") !== "" && ` · ${t("lot.one", { code: row.lot })}`}
                </option>
              ))}
            </select>
          </label>
        )}
        {to === "" && <ForLot lots={lots} value={lot} change={setLot} />}
        {party === "holder" && (
          <Choices
            legend={w("answer.about")}
            name="about"
            value={about}
            change={setAbout}
            options={[
              { value: "agrees", label: w("answer.agrees") },
              { value: "differs", label: w("answer.differs") },
            ]}
          />
        )}
        <button type="submit" class="button">
          {w("answer.keep")}
        </button>
      </form>
    </details>
  );
}

export function GiveOutPage() {
  const { id } = route.value;
  const { got, problem } = useGet<Consignment>(`/consignments/${id}`);
  const given = useGet<Dispatch[]>(`/consignments/${id}/dispatches`);
  const done = given.again;
  const rows = given.got?.answer ?? [];
  const lots = (got?.answer.lots ?? []).map((one) => one.code);
  return (
    <Frame title={w("title")}>
      <h1>{w("title")}</h1>
      {problem !== null && <Problem of={problem} />}
      <p class="soft">
        <a href={`#/consignment/${id}`}>{got?.answer.label || t("consignment.go")}</a>
      </p>
      <p>{w("what")}</p>
      <Report id={id} done={done} />
      <Labels id={id} held={got?.answer.held ?? false} />
      {may("screener", "releaser") && <Message id={id} lots={lots} done={done} />}
      {may("screener", "releaser") && <Answered id={id} lots={lots} rows={rows} done={done} />}
      {may("releaser", "auditor") && <Pack id={id} done={done} />}
      <a class="button" href={withLanguage("/leaflet")} target="_blank" rel="noopener">
        {w("leaflet")}
      </a>
      <section class="stack" aria-labelledby="given">
        <h2 id="given">{w("list")}</h2>
        {rows.length === 0 ? (
          <p>{w("none")}</p>
        ) : (
          <ul class="sheet rows">
            {rows.map((row) => (
              <Row key={row.dispatch_id} id={id} row={row} done={done} />
            ))}
          </ul>
        )}
      </section>
    </Frame>
  );
}
