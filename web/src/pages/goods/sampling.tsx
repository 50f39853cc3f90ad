/** Three questions, one answer: how many to look at, and what that can show. */
import { useEffect, useState } from "preact/hooks";
import { ask, get, NotHere, Refused } from "../../api";
import { newId } from "../../ids";
import type { Discovery, Draw, OperatingCurve, Point } from "../../types";
import { Choices, Frame, Problem } from "../../ui/common";
import { Statements } from "../../ui/statements";
import { t } from "../../words";

/** The chance of seeing none, against the share that is nonconforming. */
export function Curve({ points, share }: { points: Point[]; share: number }) {
  const most = Math.max(share * 2.5, 0.02);
  const inside = points.filter((point) => point.share <= most);
  const x = (value: number) => 48 + (value / most) * 290;
  const y = (chance: number) => 190 - chance * 170;
  const path = inside
    .map((point, place) => `${place === 0 ? "M" : "L"}${x(point.share).toFixed(1)} ${y(1 - point.chance).toFixed(1)}`)
    .join("");
  const at = inside.reduce<Point | null>(
    (best, point) => (best === null || Math.abs(point.share - share) < Math.abs(best.share - share) ? point : best),
    null,
  );
  return (
    <figure class="sheet curve" style={{ margin: 0 }}>
      <svg viewBox="0 0 350 230" role="img" aria-label={t("curve.label")}>
        <path d="M48 20V190H340" fill="none" stroke="currentColor" stroke-width="2" />
        {[0, 0.5, 0.95].map((chance) => (
          <g key={chance}>
            <path d={`M48 ${y(chance)}H340`} stroke="currentColor" stroke-width="0.7" stroke-dasharray="2 4" />
            <text x="42" y={y(chance) + 4} text-anchor="end">
              {Math.round(chance * 100)}%
            </text>
          </g>
        ))}
        {[0, 0.5, 1].map((part) => (
          <text key={part} x={x(most * part)} y="207" text-anchor={part === 1 ? "end" : "middle"}>
            {+(most * part * 100).toFixed(2)}%
          </text>
        ))}
        <path d={path} fill="none" stroke="var(--pencil)" stroke-width="3.5" />
        {at !== null && (
          <rect
            x={x(at.share) - 6}
            y={y(1 - at.chance) - 6}
            width="12"
            height="12"
            fill="var(--ink)"
            transform={`rotate(45 ${x(at.share)} ${y(1 - at.chance)})`}
          />
        )}
      </svg>
      <figcaption class="small">{t("curve.caption")}</figcaption>
    </figure>
  );
}

export function SamplingPage() {
  const [units, setUnits] = useState("40000");
  const [cartons, setCartons] = useState("100");
  const [share, setShare] = useState("0.05");
  const [answer, setAnswer] = useState<Discovery | null>(null);
  const [points, setPoints] = useState<Point[]>([]);
  const [seed, setSeed] = useState("");
  const [drawn, setDrawn] = useState<(Draw & { from: string }) | null>(null);
  const [ticked, setTicked] = useState<Set<string>>(new Set());
  const [problem, setProblem] = useState<unknown>(null);
  const lot = Number(units);
  const boxes = cartons.trim() === "" ? null : Number(cartons);

  const caught = (failure: unknown) => {
    if (!(failure instanceof Refused || failure instanceof NotHere)) throw failure;
    setAnswer(null);
    setProblem(failure);
  };
  useEffect(() => {
    if (!Number.isInteger(lot) || lot < 1) {
      setAnswer(null);
      return;
    }
    let here = true;
    setDrawn(null);
    const timer = setTimeout(() => {
      const inCartons = boxes !== null && Number.isInteger(boxes) ? `&cartons=${boxes}` : "";
      get<Discovery>(`/sampling/discovery?lot=${lot}&nonconforming_share=${share}&confidence=0.95${inCartons}`)
        .then(async ({ answer: found }) => {
          if (!here) return;
          setAnswer(found);
          setProblem(null);
          setPoints([]);
          if (found.n !== null) {
            const curve = await get<OperatingCurve>(
              `/sampling/curve?lot=${lot}&n=${found.n}&nonconforming_share=${share}`,
            );
            if (here) setPoints(curve.answer.points);
          }
        })
        .catch((failure: unknown) => {
          if (here) caught(failure);
        });
    }, 250);
    return () => {
      here = false;
      clearTimeout(timer);
    };
  }, [units, cartons, share]);

  const draw = async () => {
    if (answer?.n == null) return;
    const wide = (value: number) => String(value).length;
    const names =
      boxes !== null && boxes > 0
        ? `C${"1".padStart(wide(boxes), "0")}..C${boxes}/U${"1".padStart(wide(Math.ceil(lot / boxes)), "0")}..U${Math.ceil(lot / boxes)}`
        : `U${"1".padStart(wide(lot), "0")}..U${lot}`;
    try {
      const from = seed.trim() || newId();
      const made = await ask<Draw>("/sampling/draw", { units: [names], seed: from, n: answer.n });
      setDrawn({ ...made, from });
      setTicked(new Set());
      setProblem(null);
    } catch (failure) {
      caught(failure);
    }
  };
  const cross = (unit: string) => {
    const after = new Set(ticked);
    if (!after.delete(unit)) after.add(unit);
    setTicked(after);
  };
  return (
    <Frame title={t("sampling.title")}>
      <h1>{t("sampling.title")}</h1>
      <div class="pair">
        <label class="field">
          {t("sampling.units")}
          <input
            type="number"
            inputMode="numeric"
            min={1}
            value={units}
            onInput={(event) => setUnits(event.currentTarget.value)}
          />
        </label>
        <label class="field">
          {t("sampling.cartons")}
          <input
            type="number"
            inputMode="numeric"
            min={1}
            value={cartons}
            onInput={(event) => setCartons(event.currentTarget.value)}
          />
        </label>
      </div>
      <Choices
        legend={t("sampling.share")}
        name="share"
        value={share}
        change={setShare}
        options={["0.1", "0.05", "0.02", "0.01", "0.005"].map((value) => ({
          value,
          label: t("sampling.share.of", { share: +(Number(value) * 100).toFixed(1) }),
        }))}
      />
      {problem !== null && <Problem of={problem} />}
      {answer !== null && (
        <section class="sheet" aria-live="polite">
          {answer.n === null ? (
            <h2>{t("sampling.cannot")}</h2>
          ) : (
            <>
              <p class="left">{answer.n}</p>
              <h2>{t("sampling.answer", { n: answer.n, lot })}</h2>
            </>
          )}
          <Statements of={answer.statements} />
          <p class="small soft">{t("sampling.limits")}</p>
        </section>
      )}
      {points.length > 0 && <Curve points={points} share={Number(share)} />}
      {answer?.n != null && (
        <section class="stack" aria-labelledby="draw">
          <h2 id="draw">{t("sampling.draw")}</h2>
          <label class="field">
            {t("plan.seed")}
            <span class="hint">{t("plan.seed.hint")}</span>
            <input type="text" value={seed} onInput={(event) => setSeed(event.currentTarget.value)} />
          </label>
          <button type="button" class="button main" onClick={() => void draw()}>
            {t("plan.draw")}
          </button>
          {drawn !== null && (
            <>
              <p class="small soft">
                {t("plan.seed.was")} <span class="ink">{drawn.from}</span>
              </p>
              <p role="status">{t("sampling.ticked", { n: ticked.size, of: drawn.units.length })}</p>
              <div class="ticks">
                {drawn.units.map(({ unit }) => (
                  <label class="choice" key={unit}>
                    <input type="checkbox" checked={ticked.has(unit)} onChange={() => cross(unit)} />
                    <span class="ink">{unit}</span>
                  </label>
                ))}
              </div>
            </>
          )}
        </section>
      )}
    </Frame>
  );
}
