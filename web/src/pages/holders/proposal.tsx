/** What is proposed for the next edition of the list, what it would change, and accepting it. */
import { useEffect, useState } from "preact/hooks";
import { may } from "../../access";
import { ask, NotHere, Refused } from "../../api";
import { dash, lookedUpBy } from "../../holders/mapping";
import { newId } from "../../ids";
import type { Changes, Edition, Proposal, Recheck } from "../../types";
import { Frame, Problem, useSigned } from "../../ui/common";
import { useGet } from "../../ui/load";
import { Inks } from "../../ui/sentence";
import { named, onward, t } from "../../words";

const shownAtMost = 100;

export function Difference({ changes }: { changes: Changes }) {
  const over = changes.added + changes.changed + changes.absent - Math.min(changes.changes.length, shownAtMost);
  return (
    <section class="stack" aria-labelledby="difference">
      <h2 id="difference">{t("difference.title")}</h2>
      <p>{t("difference.counts", { added: changes.added, changed: changes.changed, absent: changes.absent })}</p>
      {changes.changes.length > 0 && (
        <ul class="sheet rows">
          {changes.changes.slice(0, shownAtMost).map((change) => {
            const entry = change.after ?? change.before;
            return (
              <li key={`${change.kind}${change.key}`} class="stack tight">
                <p>
                  <span class={change.kind === "changed" ? "tag solid" : "tag"}>
                    {named("difference", change.kind)}
                  </span>{" "}
                  {entry != null && <Inks of={lookedUpBy(entry)} />} {entry?.holder}
                </p>
                {change.kind === "changed" && (
                  <dl class="versus">
                    {change.fields.map(({ field, before, after }) => (
                      <>
                        <dt>{named("field.of", field)}</dt>
                        <dd>
                          <del>{dash(before)}</del> {onward.value} <ins>{dash(after)}</ins>
                        </dd>
                      </>
                    ))}
                  </dl>
                )}
              </li>
            );
          })}
          {over > 0 && <li>{t("difference.more", { n: over })}</li>}
        </ul>
      )}
    </section>
  );
}

/** Stock whose answer the new edition changed; asked again until all of it was judged. */
function Rechecked({ edition }: { edition: number }) {
  const { got, again } = useGet<Recheck>(`/holders/editions/${edition}/recheck`);
  const state = got?.answer;
  useEffect(() => {
    if (state === undefined || state.waiting === 0) return;
    const timer = setTimeout(again, 1000);
    return () => clearTimeout(timer);
  }, [state]);
  if (state === undefined) return null;
  return (
    <section class="stack" aria-labelledby="stock">
      <h2 id="stock">{t("recheck.title")}</h2>
      <p role="status">
        {t("recheck.state", { done: state.done, waiting: state.waiting, changed: state.changed.length })}
      </p>
      {(state.in_store ?? []).map((one) => (
        <p key={one.consignment_id + one.lot}>
          <a href={`#/consignment/${one.consignment_id}`}>{one.says}</a>
        </p>
      ))}
      {state.changed.length > 0 && (
        <ul class="sheet rows">
          {state.changed.map((one) => (
            <li key={one.unit_id}>
              <a href={`#/unit/${one.unit_id}`}>{one.label || t("outbox.unit")}</a> ·{" "}
              <span class="ink">{one.looked_up}</span>
              <p class="small">
                {named("listed", one.state_before)} {onward.value} <b>{named("listed", one.state_after)}</b>
              </p>
            </li>
          ))}
        </ul>
      )}
    </section>
  );
}

export function ProposalPage({ id }: { id: string }) {
  const { got, problem, again } = useGet<Proposal>(`/holders/proposals/${id}`);
  const [made, setMade] = useState<Edition | null>(null);
  const [edition] = useState(newId);
  const [refused, setRefused] = useState<unknown>(null);
  const { sheet, signed } = useSigned();
  const proposal = got?.answer ?? null;
  const accept = async () => {
    try {
      setMade(await ask<Edition>(`/holders/proposals/${id}/accept`, { id: edition }));
      setRefused(null);
    } catch (failure) {
      if (!(failure instanceof Refused || failure instanceof NotHere)) throw failure;
      setRefused(failure);
    }
  };
  return (
    <Frame title={t("proposal.title")}>
      <h1>{made === null ? t("proposal.title") : t("proposal.accepted", { n: made.edition })}</h1>
      {problem !== null && <Problem of={problem} again={again} />}
      {refused !== null && <Problem of={refused} />}
      {proposal !== null && (
        <>
          <p>
            {t("proposal.which", {
              name: proposal.name,
              n: proposal.entries,
              who: proposal.by.name,
              base: proposal.base_edition ?? "–",
            })}
          </p>
          {proposal.note !== "" && <p>“{proposal.note}”</p>}
        </>
      )}
      {made === null ? (
        <>
          {proposal?.difference != null && <Difference changes={proposal.difference} />}
          {proposal !== null && (
            <>
              <p>{t("proposal.two")}</p>
              {may("list_keeper") && (
                <button type="button" class="button main" onClick={() => signed(() => void accept())}>
                  {t("proposal.accept")}
                </button>
              )}
            </>
          )}
        </>
      ) : (
        <Rechecked edition={made.edition} />
      )}
      <a class="button" href="#/holders">
        {t("holders.title")}
      </a>
      {sheet}
    </Frame>
  );
}
