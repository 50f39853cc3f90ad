import { useCallback, useEffect, useState } from "preact/hooks";
import { get, NotHere, Refused, type Got } from "../api";
import { language } from "../settings";

export interface Loaded<T> {
  got: Got<T> | null;
  problem: unknown;
  again: () => void;
}

/** Reads a path of the API, anew when `after` changes; shows what came, the problem, or neither yet. */
export function useGet<T>(path: string | null, after?: number): Loaded<T> {
  const [got, setGot] = useState<Got<T> | null>(null);
  const [problem, setProblem] = useState<unknown>(null);
  const [turn, setTurn] = useState(0);
  const again = useCallback(() => setTurn((now) => now + 1), []);
  const spoken = language.value;
  useEffect(() => {
    if (path === null) return;
    let here = true;
    get<T>(path).then(
      (answer) => {
        if (!here) return;
        setGot(answer);
        setProblem(null);
      },
      (failure: unknown) => {
        if (!here) return;
        if (!(failure instanceof NotHere || failure instanceof Refused)) console.error(failure);
        setProblem(failure);
      },
    );
    return () => {
      here = false;
    };
  }, [path, turn, spoken, after]);
  return { got, problem, again };
}
