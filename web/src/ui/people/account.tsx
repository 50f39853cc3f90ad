/** Who is signed in on this device: leave, or switch names by PIN on a shared tablet. */
import { useState } from "preact/hooks";
import { enter } from "../../access";
import { Refused } from "../../api";
import { access } from "../../settings";
import { named, t } from "../../words";
import { inARow } from "../../words/lists";
import { Shape } from "../shapes";
import { Problem, Sheet } from "../sheet";

/** Choose a name, then type its PIN. */
export function Switch({ done }: { done: () => void }) {
  const [who, setWho] = useState<{ person_id: string; name: string } | null>(null);
  const [pin, setPin] = useState("");
  const [problem, setProblem] = useState<unknown>(null);
  const others = access.value?.people ?? [];
  const go = async () => {
    try {
      await enter("switch", { person_id: who?.person_id, pin });
      done();
    } catch (failure) {
      setPin("");
      setProblem(failure);
    }
  };
  if (who === null)
    return (
      <div class="stack">
        <p>{others.length === 0 ? t("switch.none") : t("switch.what")}</p>
        <ul class="stack tight" aria-label={t("person.title")}>
          {others.map((one) => (
            <li key={one.person_id}>
              <button type="button" class="button wide" onClick={() => setWho(one)}>
                <Shape of="person" /> {one.name}
              </button>
            </li>
          ))}
        </ul>
      </div>
    );
  return (
    <form
      class="stack"
      onSubmit={(event) => {
        event.preventDefault();
        void go();
      }}
    >
      {problem !== null && <Problem of={problem} />}
      <label class="field">
        {t("switch.pin", { name: who.name })}
        <input
          type="password"
          inputMode="numeric"
          autocomplete="off"
          required
          value={pin}
          onInput={(event) => setPin(event.currentTarget.value)}
        />
      </label>
      <button type="submit" class="button main">
        {t("switch.go")}
      </button>
      <button type="button" class="button" onClick={() => setWho(null)}>
        {t("switch.other")}
      </button>
    </form>
  );
}

export function AccountSheet({ close }: { close: () => void }) {
  const [problem, setProblem] = useState<unknown>(null);
  const now = access.value;
  const leave = async () => {
    try {
      await enter("sign-out", {});
      close();
    } catch (failure) {
      if (!(failure instanceof Refused || failure instanceof Error)) throw failure;
      setProblem(failure);
    }
  };
  return (
    <Sheet title={t("person.title")} close={close}>
      {problem !== null && <Problem of={problem} />}
      {now?.me != null ? (
        <>
          <p>
            <b>{now.me.name}</b>
            <br />
            <span class="small soft">{inARow(now.me.roles.map((role) => named("role", role)))}</span>
          </p>
          {/* biome-ignore lint/a11y/useValidAnchor: it leads to a page, and the sheet closes over it */}
          <a class="button wide" href="#/me" onClick={close}>
            {t("me.title")}
          </a>
          <button type="button" class="button wide" onClick={() => void leave()}>
            {t(now.shared ? "leave.shared" : "leave")}
          </button>
          {!now.shared && <p class="hint">{t("leave.what")}</p>}
        </>
      ) : (
        <p>{t("signin.nobody")}</p>
      )}
      {now?.shared === true && <Switch done={close} />}
    </Sheet>
  );
}
