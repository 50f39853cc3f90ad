/** What contradicts, what is missing, what the list says, what was not looked at. */
import { type ComponentChildren, Fragment } from "preact";
import { useId } from "preact/hooks";
import { w } from "../../pages/units/words";
import { aspectValues, type Classes, type Finding, type HolderMatch, outcomeValues } from "../../types";
import { day, has, type Key, named, t } from "../../words";
import { inARow } from "../../words/lists";
import { Fold } from "../fold";
import { useGet } from "../load";
import { Sentence } from "../sentence";
import { Shape } from "../shapes";
import { Answered, Steps, useSaidOf } from "./aside";
import { Fields } from "./fields";
import { Search } from "./lookup";
import { type Merged, merged } from "./merged";

export type Kind = "conflict" | "question" | "missing" | "caution" | "note";

export function kindOf(finding: Finding): Kind {
  return finding.question && finding.severity === "conflict" ? "question" : finding.severity;
}

const shapes: Record<Kind, string> = {
  conflict: "conflict",
  question: "cannot_tell",
  missing: "missing",
  caution: "caution",
  note: "note",
};
const kinds: Kind[] = ["conflict", "question", "missing", "caution", "note"];

/** What to do about one finding, what was said to it, and where its rule comes from. */
function Behind({ finding, where, several }: { finding: Finding; where: string; several: boolean }) {
  const serious = finding.severity === "conflict" || finding.severity === "missing";
  return (
    <div class="stack tight">
      {several && <b>{named("mark", finding.values?.["mark"] ?? finding.marks?.[0] ?? finding.rule)}</b>}
      <Steps of={finding.next_steps ?? []} plain />
      {serious && <Answered finding={finding.id ?? ""} where={where} />}
      {finding.source !== "" && (
        <p class="small">
          {t("finding.source")}: {finding.source} <span class="soft ink">{finding.rule}</span>
        </p>
      )}
    </div>
  );
}

function One<F extends Finding>({
  row,
  kind,
  where,
  beside,
}: {
  row: Merged<F>;
  kind: Kind;
  where: string;
  beside: ComponentChildren;
}) {
  const steps = row.of.reduce((n, one) => n + (one.next_steps ?? []).length, 0);
  const said = useSaidOf(
    row.of.map((one) => one.id ?? ""),
    where,
  );
  return (
    <li class="slip">
      <Shape of={shapes[kind]} label={named("kind", kind)} />
      <div>
        <p>
          <Sentence text={row.says} />
        </p>
        {beside}
        {/* What a person said to it is never folded away. */}
        <details open={said}>
          <summary class="small">{steps > 0 ? w("finding.more", { n: steps }) : t("finding.source")}</summary>
          <div class="stack">
            {row.of.map((one, place) => (
              <Behind key={`${one.rule}${place}`} finding={one} where={where} several={row.of.length > 1} />
            ))}
          </div>
        </details>
      </div>
    </li>
  );
}

/**
 * `beside` is what is shown with a finding: the ink that it rests on, where that is on several photos.
 * `where` names a further item of a photo; it is empty for the unit itself. `under` is the id of the
 * item's heading, where there are several: each part has a name of its own (WCAG 2.2, 2.4.6).
 */
export function Findings<F extends Finding>({
  findings,
  where = "",
  under = "",
  beside,
}: {
  findings: F[];
  where?: string;
  under?: string;
  beside?: (finding: F) => ComponentChildren;
}) {
  const id = useId();
  const groups = kinds
    .map((kind) => ({ kind, of: findings.filter((finding) => kindOf(finding) === kind) }))
    .filter(({ of }) => of.length > 0);
  return (
    <section class="stack" aria-labelledby={`${under} ${id}`.trim()}>
      <h2 id={id}>{t("findings.title")}</h2>
      {groups.length === 0 && <p class="sheet">{t("findings.none")}</p>}
      {groups.length > 0 && (
        <div class="sheet tight findings">
          {groups.map(({ kind, of }) => {
            const rows = (
              <ul class="rows">
                {merged(of, (finding) => Boolean(beside?.(finding))).map((row, place) => (
                  <One
                    key={`${row.of[0]!.rule}${place}`}
                    row={row}
                    kind={kind}
                    where={where}
                    beside={beside?.(row.of[0]!)}
                  />
                ))}
              </ul>
            );
            return kind === "note" ? (
              <details key={kind}>
                <summary>
                  {named("kind", kind)}: {of.length}
                </summary>
                {rows}
              </details>
            ) : (
              <Fragment key={kind}>
                <h3>{named("kind", kind)}</h3>
                {rows}
              </Fragment>
            );
          })}
        </div>
      )}
    </section>
  );
}

const listShapes: Record<string, string> = {
  listed_agrees: "no_conflict_found",
  listed_differs: "conflict",
  listed_ended: "conflict",
  near: "near",
  not_listed: "not_listed",
  list_too_old: "old",
  no_list_for_scheme: "not_looked_at",
  nothing_to_look_up: "not_looked_at",
};

export function ListResult({ match, under = "" }: { match: HolderMatch; under?: string }) {
  const id = useId();
  // Where something differs that is seen at once, and what is doubtful; what agrees at a tap.
  const differs = match.fields.some((field) => field.state === "differs");
  const first = match.fields.filter(({ state }) => differs && (state === "differs" || state === "doubtful"));
  const rest = match.fields.filter((field) => !first.includes(field));
  const folds = rest.length > 0 || (match.searched ?? []).length > 0;
  // A list that nothing was asked of is there all the same.
  const which = (match.list_name !== "" || match.state === "no_list_for_scheme") && (
    <p class="small soft">
      {match.list_name === ""
        ? t("list.none")
        : t("list.which", {
            name: match.list_name,
            edition: match.list_edition ?? "–",
            checked: match.list_checked_on === null ? "–" : day(match.list_checked_on),
            days: match.list_age_days ?? "–",
          })}
      {match.fictional && ` ${t("fictional.why")}`}
    </p>
  );
  const shape = match.question ? "cannot_tell" : (listShapes[match.state] ?? "note");
  return (
    <section class="stack" aria-labelledby={`${under} ${id}`.trim()}>
      <div class="titled">
        <h2 id={id}>{t("list.title")}</h2>
        {match.fictional && <span class="tag">{t("fictional")}</span>}
      </div>
      <div class="sheet tight">
        <div class="slip">
          <Shape of={shape} />
          <div class="stack tight">
            {match.says === "" ? (
              <h3>{named("listed", match.state)}</h3>
            ) : (
              <p>
                <Sentence text={match.says} />
              </p>
            )}
          </div>
        </div>
        {match.list_too_old && <p>{t("list.old")}</p>}
        {match.near.map((near) => (
          <div key={near.approval_number} class="stack tight">
            <p>
              <b>{t("list.near")}</b> {near.holder}
            </p>
            <div
              class="near"
              role="img"
              aria-label={t("list.near.label", { printed: match.looked_up, listed: near.approval_number })}
            >
              {near.letters.map((letter, place) => (
                <span key={place}>
                  <b class={letter.differs ? "differs" : undefined}>{letter.printed ?? "·"}</b>
                  <b class={letter.differs ? "differs" : undefined}>{letter.listed ?? "·"}</b>
                </span>
              ))}
            </div>
            <p class="small soft">{t("list.near.rows")}</p>
          </div>
        ))}
        {first.length > 0 && <Fields of={first} />}
        <div class="folds">
          {folds && (
            <details>
              <summary class="small">
                {t("list.fields")}
                {rest.length > 0 && `: ${rest.length}`}
              </summary>
              {rest.length > 0 && <Fields of={rest} />}
              <Search of={match.searched ?? []} />
              {which}
            </details>
          )}
          <Steps of={match.next_steps ?? []} />
        </div>
        {!folds && which}
      </div>
    </section>
  );
}

/** What was looked at, the worst state first; what no photo can show is never looked at. */
export function Aspects({ aspects }: { aspects: Record<string, string> }) {
  const stateOf = (aspect: string) => aspects[aspect] ?? "not_looked_at";
  const groups = states
    .map((state) => ({ state, of: aspectValues.filter((aspect) => stateOf(aspect) === state) }))
    .filter(({ state, of }) => of.length > 0 || state === "not_looked_at");
  const holds = groups.map(
    ({ state, of }) => `${named("state", state)}: ${of.length + (state === "not_looked_at" ? 1 : 0)}`,
  );
  return (
    <Fold id="aspects" title={t("aspects.title")} holds={inARow(holds, "·")}>
      <ul class="rows">
        {groups.map(({ state, of }) => (
          <li class="slip" key={state}>
            <Shape of={state} />
            <div>
              <b>{named("state", state)}</b>
              <p>
                {inARow(
                  [
                    ...of.map((aspect) => named("aspect", aspect)),
                    ...(state === "not_looked_at" ? [t("aspect.never")] : []),
                  ],
                  ";",
                )}
              </p>
              {state === "not_looked_at" && <p class="small">{t("aspect.never.why")}</p>}
            </div>
          </li>
        ))}
      </ul>
    </Fold>
  );
}

const states = [...outcomeValues, "not_looked_at"] as const;

const CARES = ["care.fit", "care.once", "care.air", "care.beard", "care.health", "care.child"] as const;

/** What the class printed says, and what it is not for; then what holds for every respirator. */
export function ClassAndCare({ scheme, filter_class }: { scheme: string; filter_class: string }) {
  const printed = filter_class.toUpperCase().replace(/\s+/g, "");
  const found = printed.match(/^(FFP[123]|KN\d+|KP\d+|[NRP](?:95|99|100)|DS\d|DL\d|P[123]|PFF[123])/)?.[0] ?? "";
  const key = `class.${found}`;
  const family: Key = found.startsWith("N") ? "class.not.N" : found.startsWith("R") ? "class.not.R" : "class.not";
  const rules = useGet<Classes>("/rules/classes");
  const own = (rules.got?.answer.classes ?? []).find(
    (one) => one.scheme === scheme && printed.startsWith(one.name.toUpperCase().replace(/\s+/g, "")),
  );
  // A medical mask does not seal, so that no fit test is made with it (EN 14683:2019, introduction, from memory).
  const cares = CARES.filter((care) => care !== "care.fit" || own?.kind !== "medical_mask");
  const cautions = w("care.all", { n: cares.length + 2 });
  return (
    <Fold id="class" title={t("class.title")} holds={found === "" ? cautions : `${found} · ${cautions}`}>
      {found !== "" && (
        <p>
          <b class="ink">{found}</b> {has(key) ? t(key) : t("class.other")}
        </p>
      )}
      {own !== undefined && !has(key) && (
        <p lang={own.says_in}>
          {t("class.for", { what: own.good_for })} {t("class.for.not", { what: own.not_for })}
        </p>
      )}
      <ul class="cares">
        {cares.map((care) => (
          <li key={care}>{t(care)}</li>
        ))}
        <li>{t(family)}</li>
      </ul>
      <p class="small soft">{t("care.local")}</p>
    </Fold>
  );
}
