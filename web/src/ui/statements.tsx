/** What a sample can show or has shown: in plain words, with the exact words of the record behind them. */
import type { Statement } from "../types";
import { has, t } from "../words";

/** "0.95" of the server as "95 %", with every figure that it has. */
function percent(share: string): string {
  return `${+(Number(share) * 100).toFixed(9)} %`;
}

/** The sentence in the words of the page; null where it has none, and the server's own are shown. */
function plainly({ key, values }: Statement): string | null {
  const said = `said.${key}`;
  return has(said) ? t(said, values) : null;
}

export function Statements({ of, small = false }: { of: Statement[]; small?: boolean }) {
  const noticed = of
    .map(({ values }) => values["sensitivity"])
    .find((share): share is string => typeof share === "string");
  const size = small ? "small" : undefined;
  if (of.length === 0) return null;
  return (
    <>
      {of.map((one) => (
        <p key={one.key} class={size}>
          {plainly(one) ?? one.text}
        </p>
      ))}
      {noticed !== undefined && <p class={size}>{t("said.counted", { share: percent(noticed) })}</p>}
      <details>
        <summary class="small">{t("said.exact")}</summary>
        {of.map((one) => (
          <p key={one.key} class="small">
            {one.text}
          </p>
        ))}
      </details>
    </>
  );
}
