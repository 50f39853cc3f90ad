/** What was declared of a consignment, what is still to be asked, what was noted about the offer. */
import { useState } from "preact/hooks";
import { may } from "../../access";
import { route } from "../../route";
import { type Declared, goodsFromValues, identityValues, supplyConditionValues, type Use } from "../../types";
import { Choices, CopyFrom, Frame, Problem } from "../../ui/common";
import { Fold } from "../../ui/fold";
import { ShortNumber } from "../../ui/goods/came-with";
import { useGet } from "../../ui/load";
import { Shape } from "../../ui/shapes";
import { has, type Key, named, t } from "../../words";
import { w } from "../units/words";
import { useDeclare } from "./declare";

type Fields = Declared["fields"];
type Lot = Declared["lots"][number];

function word(value: string): string {
  return has(`intake_word.${value}`) ? t(`intake_word.${value}` as Key) : value;
}

function FieldsForm({ id, of, done }: { id: string; of: Fields; done: () => void }) {
  const [now, setNow] = useState(of);
  const [why, setWhy] = useState("");
  const { declare, told } = useDeclare(id, done);
  const fewer = (now.units ?? 0) > 0 && (now.units ?? 0) < (of.units ?? 0);
  const text = (name: "product" | "filter_class" | "region" | "condition_by" | "supplied_list", hint = "") => (
    <label class="field" key={name}>
      {t(`goods.${name}`)}
      {hint !== "" && <span class="hint">{hint}</span>}
      <input
        type="text"
        maxLength={name === "condition_by" || name === "supplied_list" ? 300 : 60}
        value={now[name] ?? ""}
        onInput={(event) => setNow({ ...now, [name]: event.currentTarget.value || null })}
      />
    </label>
  );
  const date = (name: "first_offer" | "condition_until") => (
    <label class="field" key={name}>
      {t(`goods.${name}`)}
      <input
        type="date"
        value={now[name] ?? ""}
        onInput={(event) => setNow({ ...now, [name]: event.currentTarget.value || null })}
      />
    </label>
  );
  const count = (name: "units" | "cartons" | "pallets" | "seals" | "supplied") => (
    <label class="field" key={name}>
      {t(`goods.${name}`)}
      <input
        type="number"
        inputMode="numeric"
        min={name === "units" || name === "cartons" ? 1 : 0}
        value={now[name] ?? ""}
        onInput={(event) =>
          setNow({ ...now, [name]: event.currentTarget.value === "" ? null : Number(event.currentTarget.value) })
        }
      />
    </label>
  );
  const choice = (
    name: "goods_from" | "identity" | "supply_condition" | "valve" | "fluid_resistant",
    values: readonly string[],
  ) => (
    <Choices
      legend={t(`goods.${name}`)}
      name={name}
      value={now[name] ?? ""}
      change={(value) => setNow({ ...now, [name]: value })}
      options={values.map((value) => ({
        value,
        label: value === "yes" || value === "no" ? t(`brought.${value}`) : word(value),
      }))}
    />
  );
  return (
    <form
      class="stack"
      onSubmit={(event) => {
        event.preventDefault();
        const before = of as Record<string, unknown>;
        const changed = Object.entries(now).filter(([name, value]) => value !== null && value !== before[name]);
        declare({ fields: Object.fromEntries(changed), ...(fewer ? { reason: why.trim() } : {}) });
      }}
    >
      {choice("goods_from", goodsFromValues)}
      {choice("identity", identityValues)}
      {text("product")}
      {text("filter_class")}
      {text("region")}
      {choice("supply_condition", supplyConditionValues)}
      {(now.supply_condition ?? "conventional") !== "conventional" && (
        <>
          {text("condition_by")}
          {date("condition_until")}
        </>
      )}
      <div class="pair">
        {count("units")}
        {count("cartons")}
      </div>
      {fewer && (
        <label class="field">
          {w("goods.fewer")}
          <input
            type="text"
            required
            minLength={3}
            maxLength={2000}
            value={why}
            onInput={(event) => setWhy(event.currentTarget.value)}
          />
        </label>
      )}
      <div class="pair">
        {count("pallets")}
        {count("seals")}
      </div>
      {date("first_offer")}
      {choice("valve", ["yes", "no"])}
      {choice("fluid_resistant", ["yes", "no"])}
      {count("supplied")}
      {text("supplied_list", t("goods.supplied.hint"))}
      {told}
      <button type="submit" class="button main">
        {t("goods.keep")}
      </button>
    </form>
  );
}

function Lots({ id, of, done }: { id: string; of: Lot[]; done: () => void }) {
  const [lots, setLots] = useState<Lot[]>(of.length > 0 ? of : [{ code: "", units: null, cartons: null }]);
  const [why, setWhy] = useState("");
  const { declare, told } = useDeclare(id, done);
  const change = (place: number, part: Partial<Lot>) =>
    setLots(lots.map((lot, at) => (at === place ? { ...lot, ...part } : lot)));
  const whole = (event: { currentTarget: HTMLInputElement }) =>
    event.currentTarget.value === "" ? null : Number(event.currentTarget.value);
  return (
    <form
      class="stack"
      onSubmit={(event) => {
        event.preventDefault();
        declare({ lots: lots.filter((lot) => lot.code.trim() !== ""), reason: why.trim() });
      }}
    >
      {lots.map((lot, place) => (
        <fieldset key={place}>
          <legend>
            {t("goods.lots.code")} {place + 1}
          </legend>
          <label class="field">
            {t("goods.lots.code")}
            <input
              class="ink"
              type="text"
              maxLength={60}
              value={lot.code}
              onInput={(event) => change(place, { code: event.currentTarget.value })}
            />
          </label>
          <div class="pair">
            <label class="field">
              {t("goods.units")}
              <input
                type="number"
                inputMode="numeric"
                min={1}
                value={lot.units ?? ""}
                onInput={(event) => change(place, { units: whole(event) })}
              />
            </label>
            <label class="field">
              {t("goods.cartons")}
              <input
                type="number"
                inputMode="numeric"
                min={1}
                value={lot.cartons ?? ""}
                onInput={(event) => change(place, { cartons: whole(event) })}
              />
            </label>
          </div>
        </fieldset>
      ))}
      <button type="button" class="button" onClick={() => setLots([...lots, { code: "", units: null, cartons: null }])}>
        {t("goods.lots.add")}
      </button>
      {of.length > 0 && (
        <label class="field">
          {t("goods.lots.why")}
          <input type="text" maxLength={2000} value={why} onInput={(event) => setWhy(event.currentTarget.value)} />
        </label>
      )}
      {told}
      <button type="submit" class="button main">
        {t("goods.lots.keep")}
      </button>
    </form>
  );
}

function Questions({ id, of, done }: { id: string; of: Declared["questions"]; done: () => void }) {
  const [answers, setAnswers] = useState<Record<string, string>>({});
  const { declare, told } = useDeclare(id, done);
  return (
    <form
      class="stack"
      onSubmit={(event) => {
        event.preventDefault();
        declare({ answers });
      }}
    >
      {of.map((one) => (
        <label class="field" key={one.id}>
          {one.text}
          <textarea
            rows={2}
            maxLength={4000}
            value={answers[one.id] ?? one.answer}
            onInput={(event) => setAnswers({ ...answers, [one.id]: event.currentTarget.value })}
          />
        </label>
      ))}
      {told}
      <button type="submit" class="button main">
        {t("goods.answers.keep")}
      </button>
    </form>
  );
}

function Signals({ id, of, done }: { id: string; of: Declared["signals"]; done: () => void }) {
  const [seen, setSeen] = useState<Record<string, string>>({});
  const { declare, told } = useDeclare(id, done);
  return (
    <form
      class="stack"
      onSubmit={(event) => {
        event.preventDefault();
        const signals = Object.fromEntries(Object.entries(seen).map(([name, value]) => [name, { seen: value }]));
        declare({ signals });
      }}
    >
      <p>{t("goods.signals.what")}</p>
      {of.map((one) => (
        <Choices
          key={one.id}
          legend={`${one.text}${(seen[one.id] ?? one.seen ?? "") === "" ? ` – ${t("goods.not_looked")}` : ""}`}
          name={one.id}
          value={seen[one.id] ?? one.seen ?? ""}
          change={(value) => setSeen({ ...seen, [one.id]: value })}
          options={["yes", "no"].map((value) => ({ value, label: t(`brought.${value}` as Key) }))}
        />
      ))}
      {told}
      <button type="submit" class="button main">
        {t("goods.signals.keep")}
      </button>
    </form>
  );
}

/** The goods beside the site's own policy: cautions only, and what is never a permission. */
function MeantFor({ id, of, done, turn }: { id: string; of: string; done: () => void; turn: number }) {
  const { got } = useGet<Use>(`/consignments/${id}/use`, turn);
  const { declare, told } = useDeclare(id, done);
  const use = got?.answer;
  if (use === undefined) return null;
  const setting = use.settings.find((one) => one.id === of);
  return (
    <Fold
      id="use"
      title={t("use.title")}
      holds={setting === undefined ? t("use.none") : setting.says}
      open={of !== "" || use.cautions.length > 0}
    >
      <label class="field">
        {t("use.choose")}
        <select value={of} onChange={(event) => declare({ fields: { use: event.currentTarget.value } })}>
          <option value="" disabled>
            {t("use.none")}
          </option>
          {use.settings.map((one) => (
            <option key={one.id} value={one.id}>
              {one.says}
            </option>
          ))}
        </select>
      </label>
      {told}
      <ul class="rows">
        {use.cautions.map((one) => (
          <li key={one.says} class="slip">
            <Shape of="caution" label={named("kind", "caution")} />
            <p>{one.says}</p>
          </li>
        ))}
      </ul>
      {use.setting !== "" && <p>{use.no_permission}</p>}
      <p class="small soft">
        {t("use.policy")} {use.made_by}
      </p>
      <h3>{t("use.care")}</h3>
      <ul class="rows">
        {use.care.map((line) => (
          <li key={line} class="slip">
            <Shape of="caution" label={named("kind", "caution")} />
            <p>{line}</p>
          </li>
        ))}
      </ul>
    </Fold>
  );
}

/** How much of a part stands there; one that nobody began stays folded. */
const entered = (n: number): string => (n === 0 ? w("goods.nothing") : w("goods.entered", { n }));

/** What one can say of goods, part by part: those that are begun stand open. */
function Parts({ id, goods, done }: { id: string; goods: Declared; done: () => void }) {
  const turn = goods.history.length;
  // What they are meant for is a part of its own.
  const fields = Object.entries(goods.fields).filter(([name, value]) => name !== "use" && (value ?? "") !== "").length;
  const answered = goods.questions.length - goods.unanswered;
  const seen = goods.signals.filter((one) => (one.seen ?? "") !== "").length;
  return (
    <>
      <Fold id="fields" title={t("goods.fields")} holds={entered(fields)} open={fields > 0}>
        <FieldsForm key={turn} id={id} of={goods.fields} done={done} />
      </Fold>
      <Fold id="lots" title={t("goods.lots")} holds={entered(goods.lots.length)} open={goods.lots.length > 0}>
        <Lots key={turn} id={id} of={goods.lots} done={done} />
      </Fold>
      <Fold
        id="questions"
        title={t("goods.questions")}
        holds={t("goods.unanswered", { n: goods.unanswered, of: goods.questions.length })}
        open={answered > 0}
      >
        <Questions id={id} of={goods.questions} done={done} />
      </Fold>
      <Fold id="signals" title={t("goods.signals")} holds={entered(seen)} open={seen > 0}>
        <Signals id={id} of={goods.signals} done={done} />
      </Fold>
    </>
  );
}

export function GoodsPage() {
  const { id } = route.value;
  const { got, problem, again } = useGet<Declared>(`/consignments/${id}/declared`);
  const goods = got?.answer;
  const mine = may("screener", "releaser");
  return (
    <Frame title={t("goods.open")}>
      <h1>{t("goods.open")}</h1>
      <ShortNumber id={id} />
      <CopyFrom at={got?.keptAt ?? null} />
      {problem !== null && <Problem of={problem} again={again} />}
      <p>{t("goods.what")}</p>
      {goods !== undefined && (
        <>
          <p class="slip">
            <Shape of={goods.supplier} />
            <span>
              <b>{named("aspect", "supplier")}</b>: {named("state", goods.supplier)}
            </span>
          </p>
          <MeantFor id={id} of={goods.fields.use ?? ""} done={again} turn={goods.history.length} />
          {mine && <Parts id={id} goods={goods} done={again} />}
        </>
      )}
      <a class="button" href={`#/consignment/${id}`}>
        {t("consignment.go")}
      </a>
    </Frame>
  );
}
