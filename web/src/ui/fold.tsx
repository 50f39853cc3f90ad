/** A part of a page that opens at a tap: its heading, and in few words what it holds. */
import type { ComponentChildren } from "preact";

export function Fold({
  id,
  title,
  holds = "",
  open = false,
  children,
}: {
  id: string;
  title: string;
  /** What is in it, or how much: nobody should have to open it to learn that nothing is there. */
  holds?: string;
  open?: boolean;
  children: ComponentChildren;
}) {
  return (
    <section aria-labelledby={id}>
      <details class="sheet fold" open={open}>
        <summary>
          <span>
            <h2 id={id}>{title}</h2>
            {holds !== "" && <span class="small">{holds}</span>}
          </span>
        </summary>
        {children}
      </details>
    </section>
  );
}
