/** On a wide screen the list stands beside what is open; it is fetched only there. */
import type { FunctionComponent } from "preact";
import { useEffect, useState } from "preact/hooks";

const wide = matchMedia("(min-width: 68.75rem)");

export function ListBeside() {
  const [fits, setFits] = useState(wide.matches);
  const [List, setList] = useState<FunctionComponent | null>(null);
  useEffect(() => {
    const look = () => setFits(wide.matches);
    wide.addEventListener("change", look);
    return () => wide.removeEventListener("change", look);
  }, []);
  useEffect(() => {
    if (!fits) return;
    import("./list").then(
      ({ DeskList }) => setList(() => DeskList),
      (problem: unknown) => console.warn("the list beside the page could not be fetched", problem),
    );
  }, [fits]);
  return fits && List !== null ? <List /> : null;
}
