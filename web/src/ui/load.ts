import { useCallback, useEffect, useRef, useState } from "preact/hooks";
import { type Got, get, NotHere, Refused } from "../api";
import { language } from "../settings";

interface Loaded<T> {
  got: Got<T> | null;
  problem: unknown;
  again: () => void;
}

/** Seconds until a list with something unread in it is asked for again: longer each time, for a photo may never be read. */
const patience = (asked: number) => Math.min(30, 2 * 1.3 ** asked);

/** Reads a path of the API, and again for as long as something in the answer is still to come. */
export function useFresh<T>(path: string | null, unread: (answer: T) => boolean, after?: number): Loaded<T> {
  const loaded = useGet<T>(path, after);
  const { got, problem, again } = loaded;
  const asked = useRef(0);
  const waits = got !== null && unread(got.answer);
  useEffect(() => {
    if (!waits) {
      asked.current = 0;
      return;
    }
    const timer = setTimeout(again, 1000 * patience(asked.current++));
    return () => clearTimeout(timer);
  }, [got, problem, waits, again]);
  return loaded;
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
    const left = new AbortController();
    get<T>(path, true, left.signal).then(
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
      left.abort();
    };
  }, [path, turn, spoken, after]);
  return { got, problem, again };
}
