/** Find units and consignments again: words, how it stands, from day to day; pages from the server. */
import { useEffect, useState } from "preact/hooks";
import { get, NotHere, picture, Refused, withLanguage } from "../../api";
import type { FoundPage as Found, FoundRow } from "../../generated/api";
import { Frame, Problem } from "../../ui/common";
import { Shape } from "../../ui/shapes";
import { day } from "../../words";
import { inARow } from "../../words/lists";
import { w, wn } from "./words";

const states = [
  "conflict",
  "missing",
  "cannot_tell",
  "no_conflict_found",
  "not_read",
  "to_be_confirmed",
  "held",
  "released",
] as const;

function Row({ one }: { one: FoundRow }) {
  const told = inARow([one.number, one.maker, inARow(one.lots), one.label], "·");
  return (
    <li>
      <a class="row" href={`#/${one.kind}/${one.id}`}>
        {one.photo_id !== null ? (
          <img
            src={picture(one.photo_id, 96)}
            alt=""
            loading="lazy"
            style={{ flex: "none", inlineSize: "3rem", blockSize: "3rem", objectFit: "cover" }}
          />
        ) : (
          <Shape of={one.held ? "held" : one.outcome || "not_looked_at"} />
        )}
        <span>
          <b>{one.says}</b> · {wn("find", one.kind)}
          <br />
          <span class="small">
            {told || one.id.slice(-6)} · {day(one.made_at)} · {inARow(one.people)}
          </span>
        </span>
      </a>
    </li>
  );
}

export function FindPage() {
  const [words, setWords] = useState("");
  const [state, setState] = useState("");
  const [since, setSince] = useState("");
  const [until, setUntil] = useState("");
  const [page, setPage] = useState<Found | null>(null);
  const [problem, setProblem] = useState<unknown>(null);
  const [turn, setTurn] = useState(0);
  const query = () => {
    const asked = new URLSearchParams();
    for (const [key, value] of [
      ["q", words.trim()],
      ["state", state],
      ["since", since],
      ["until", until],
    ] as const)
      if (value !== "") asked.set(key, value);
    return asked;
  };
  // A little after the last letter, so that each letter is not a question of its own.
  useEffect(() => {
    let here = true;
    const timer = setTimeout(() => {
      get<Found>(`/find?${query()}`, false).then(
        ({ answer }) => {
          if (!here) return;
          setPage(answer);
          setProblem(null);
        },
        (failure: unknown) => {
          if (!(failure instanceof NotHere || failure instanceof Refused)) console.error(failure);
          if (here) setProblem(failure);
        },
      );
    }, 250);
    return () => {
      here = false;
      clearTimeout(timer);
    };
  }, [words, state, since, until, turn]);
  const further = () => {
    const asked = query();
    asked.set("before", page?.next ?? "");
    get<Found>(`/find?${asked}`, false).then(({ answer }) => {
      setPage({ ...answer, found: [...(page?.found ?? []), ...answer.found] });
    }, setProblem);
  };
  return (
    <Frame title={w("find.title")}>
      <h1>{w("find.title")}</h1>
      <form
        class="stack"
        onSubmit={(event) => {
          event.preventDefault();
          setTurn(turn + 1);
        }}
      >
        <label class="field">
          {w("find.words")}
          <input type="search" maxLength={200} value={words} onInput={(event) => setWords(event.currentTarget.value)} />
        </label>
        <label class="field">
          {w("find.state")}
          <select value={state} onChange={(event) => setState(event.currentTarget.value)}>
            <option value="">{w("find.any")}</option>
            {states.map((one) => (
              <option key={one} value={one}>
                {wn("find.s", one)}
              </option>
            ))}
          </select>
        </label>
        <div class="pair">
          <label class="field">
            {w("find.since")}
            <input type="date" value={since} onInput={(event) => setSince(event.currentTarget.value)} />
          </label>
          <label class="field">
            {w("find.until")}
            <input type="date" value={until} onInput={(event) => setUntil(event.currentTarget.value)} />
          </label>
        </div>
      </form>
      {problem !== null && <Problem of={problem} again={() => setTurn(turn + 1)} />}
      <div role="status">
        {page !== null && page.left > 0 && <p class="notice">{w("find.left", { n: page.left })}</p>}
        {page !== null && page.found.length === 0 && <p class="sheet">{w("find.none")}</p>}
      </div>
      {page !== null && page.found.length > 0 && (
        <>
          <ul class="sheet rows">
            {page.found.map((one) => (
              <Row key={one.kind + one.id} one={one} />
            ))}
          </ul>
          {page.more && (
            <button type="button" class="button" onClick={further}>
              {w("find.more")}
            </button>
          )}
          <a class="button quiet" href={withLanguage(`/find/list.csv?${query()}`)} download>
            {w("stock.csv")}
          </a>
        </>
      )}
    </Frame>
  );
}
