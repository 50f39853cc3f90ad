/** One declaration of goods at a time. */
import { useState } from "preact/hooks";
import { Refused, record } from "../../api";
import { newId } from "../../ids";
import { Problem, useSigned } from "../../ui/common";
import { t } from "../../words";

/** Sends one declaration; says so when it is kept, or kept on the phone until there is a network. */
export function useDeclare(id: string, done: () => void) {
  const [said, setSaid] = useState("");
  const [problem, setProblem] = useState<unknown>(null);
  const { sheet, signed } = useSigned();
  const declare = (what: Record<string, unknown>) =>
    signed(async () => {
      try {
        const { waiting } = await record(`/consignments/${id}/declared`, { id: newId(), ...what });
        setSaid(waiting ? t("brought.waiting") : t("goods.kept"));
        setProblem(null);
        done();
      } catch (failure) {
        if (!(failure instanceof Refused)) throw failure;
        setProblem(failure);
      }
    });
  const told = (
    <>
      {problem !== null && <Problem of={problem} />}
      {said !== "" && <p role="status">{said}</p>}
      {sheet}
    </>
  );
  return { declare, told };
}
