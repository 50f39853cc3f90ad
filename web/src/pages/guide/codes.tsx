/** What the codes on print and in decisions mean, in short. */
import { Frame } from "../../ui/common";
import { named, t } from "../../words";
import { w } from "../../words/guide";

const printed = [
  ["TC-84A", "codes.tc"],
  ["N95 … P100", "codes.n95"],
  ["FFP1 FFP2 FFP3", "codes.ffp"],
  ["NR R D", "codes.nr"],
  ["KN95", "codes.kn"],
  ["KF94", "codes.kf"],
] as const;

/** As `CODES` of the server has them, in their order. */
const decided = [
  ...(["refuse", "release", "release_limited", "crisis_reserve", "downgrade", "hold"] as const),
  ...(["hold_conflict", "return", "hand_over", "destroy", "discard"] as const),
];

export function CodesPage() {
  return (
    <Frame title={w("codes.title")}>
      <h1>{w("codes.title")}</h1>
      <p>{w("codes.what")}</p>
      <dl class="sheet stack">
        {printed.map(([code, says]) => (
          <div key={code}>
            <dt>
              <b class="ink">{code}</b>
            </dt>
            <dd>{w(says)}</dd>
          </div>
        ))}
      </dl>
      <section class="sheet">
        <p>{w("codes.d")}</p>
        <dl class="versus">
          {decided.map((one, place) => [
            <dt key={one}>
              <span class="tag">D{place}</span>
            </dt>,
            <dd key={`${one}-says`}>{named("disposition", one)}</dd>,
          ])}
        </dl>
      </section>
      <button type="button" class="button" onClick={() => history.back()}>
        {t("close")}
      </button>
    </Frame>
  );
}
