/** Without a consignment: goods refused at the door, and print that was typed because no photo can be taken. */
import { useState } from "preact/hooks";
import { ask, record, withLanguage } from "../../api";
import type { OfferOut, TypedOut } from "../../generated/api";
import { offerChannelValues, whyRefusedValues } from "../../generated/api";
import { newId } from "../../ids";
import { type Surface, surfaceValues } from "../../types";
import { Choices, CopyFrom, Frame, Problem, SignedForm, Toggle } from "../../ui/common";
import { useGet } from "../../ui/load";
import { Shape } from "../../ui/shapes";
import { day, named } from "../../words";
import { inARow } from "../../words/lists";
import { w, wn } from "./words";

function Refuse({ kept }: { kept: () => void }) {
  const [channel, setChannel] = useState<(typeof offerChannelValues)[number]>("at_the_door");
  const [goods, setGoods] = useState("");
  const [pieces, setPieces] = useState("");
  const [why, setWhy] = useState<readonly string[]>([]);
  const [problem, setProblem] = useState<unknown>(null);
  const [said, setSaid] = useState("");
  const keep = async () => {
    setProblem(null);
    try {
      const { waiting } = await record("/offers", {
        id: newId(),
        channel,
        goods,
        why,
        pieces: pieces === "" ? null : Number(pieces),
      });
      setSaid(waiting ? w("stock.waits") : w("stock.kept", { what: goods }));
      setGoods("");
      setPieces("");
      setWhy([]);
      kept();
    } catch (failure) {
      setProblem(failure);
    }
  };
  return (
    <SignedForm class="stack" write={() => void keep()}>
      <p class="notice">{w("offers.privacy")}</p>
      <Choices
        legend={w("offers.channel")}
        name="channel"
        value={channel}
        change={setChannel}
        options={offerChannelValues.map((one) => ({ value: one, label: wn("offers.channel", one) }))}
      />
      <label class="field">
        {w("offers.goods")}
        <input
          type="text"
          required
          maxLength={300}
          value={goods}
          onInput={(event) => setGoods(event.currentTarget.value)}
        />
      </label>
      <label class="field">
        {w("offers.pieces")}
        <input
          type="number"
          inputMode="numeric"
          min={1}
          value={pieces}
          onInput={(event) => setPieces(event.currentTarget.value)}
        />
      </label>
      <fieldset>
        <legend>{w("offers.why")}</legend>
        <div class="choices">
          {whyRefusedValues.map((one) => (
            <Toggle
              key={one}
              label={wn("offers.why", one)}
              on={why.includes(one)}
              change={(on) => setWhy(on ? [...why, one] : why.filter((other) => other !== one))}
            />
          ))}
        </div>
      </fieldset>
      {problem !== null && <Problem of={problem} />}
      <button type="submit" class="button main">
        {w("offers.keep")}
      </button>
      <p role="status">{said}</p>
    </SignedForm>
  );
}

function Typed() {
  const [lines, setLines] = useState("");
  const [surface, setSurface] = useState<Surface>("facepiece");
  const [whole, setWhole] = useState(false);
  const [answer, setAnswer] = useState<TypedOut | null>(null);
  const [problem, setProblem] = useState<unknown>(null);
  const check = async () => {
    setProblem(null);
    try {
      const asked = { id: newId(), lines: lines.split("\n"), surface, whole: whole ? "yes" : "unknown" };
      setAnswer(await ask<TypedOut>("/typed", asked));
    } catch (failure) {
      setProblem(failure);
    }
  };
  return (
    <SignedForm class="stack" write={() => void check()}>
      <p>{w("typed.what")}</p>
      <label class="field">
        {w("typed.lines")}
        <textarea
          class="ink"
          rows={6}
          required
          autocapitalize="characters"
          autocomplete="off"
          spellcheck={false}
          value={lines}
          onInput={(event) => setLines(event.currentTarget.value)}
        />
      </label>
      <label class="field">
        {w("typed.surface")}
        <select value={surface} onChange={(event) => setSurface(event.currentTarget.value as Surface)}>
          {surfaceValues.map((one) => (
            <option key={one} value={one}>
              {named("surface", one)}
            </option>
          ))}
        </select>
      </label>
      <Toggle label={w("typed.whole")} on={whole} change={setWhole} />
      {problem !== null && <Problem of={problem} />}
      <button type="submit" class="button">
        {w("typed.check")}
      </button>
      {answer !== null && <TypedAnswer of={answer} />}
    </SignedForm>
  );
}

function TypedAnswer({ of }: { of: TypedOut }) {
  return (
    <section class="sheet stack" role="status">
      <div class="slip">
        <Shape of={of.check.outcome} />
        <h3>{named("state", of.check.outcome)}</h3>
      </div>
      <p>
        <b>{of.says}</b>
      </p>
      <ul class="rows">
        {of.check.findings.map((one) => (
          <li key={one.rule + one.says}>{one.says}</li>
        ))}
      </ul>
      <dl class="versus">
        {Object.values(of.check.marks)
          .filter((mark) => mark.standing !== "absent")
          .map((mark) => [<dt>{named("mark", mark.mark)}</dt>, <dd class="ink">{mark.printed}</dd>])}
      </dl>
      {of.check.holder_match.says !== "" && <p>{of.check.holder_match.says}</p>}
      {of.check.notes.map((note) => (
        <p key={note} class="notice">
          {named("notice", note)}
        </p>
      ))}
    </section>
  );
}

export function OffersPage() {
  const [turn, setTurn] = useState(0);
  const { got, problem, again } = useGet<OfferOut[]>("/offers", turn);
  const rows = got?.answer ?? [];
  return (
    <Frame title={w("offers.title")}>
      <h1>{w("offers.title")}</h1>
      <p>{w("offers.what")}</p>
      <section class="stack" aria-labelledby="refuse">
        <h2 id="refuse">{w("offers.refuse")}</h2>
        <Refuse kept={() => setTurn(turn + 1)} />
        {problem !== null && <Problem of={problem} again={again} />}
        <CopyFrom at={got?.keptAt ?? null} />
        {got !== null && rows.length === 0 && <p class="sheet">{w("offers.none")}</p>}
        {rows.length > 0 && (
          <>
            <ul class="sheet rows">
              {rows.map((one) => (
                <li key={one.offer_id}>
                  {day(one.by.at)} · {wn("offers.channel", one.channel)} · <b>{one.goods}</b>
                  {one.pieces !== null && ` · ${w("stock.pieces", { n: one.pieces })}`}
                  <br />
                  <span class="small">
                    {inARow(one.why.map((why) => wn("offers.why", why)))} · {one.by.name}
                  </span>
                </li>
              ))}
            </ul>
            <a class="button quiet" href={withLanguage("/offers/list.csv")} download>
              {w("stock.csv")}
            </a>
          </>
        )}
      </section>
      <section class="stack" aria-labelledby="typed">
        <h2 id="typed">{w("typed.title")}</h2>
        <Typed />
      </section>
    </Frame>
  );
}
