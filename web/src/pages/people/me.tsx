/** One's own account: devices, a code for a further device, PIN and password. */
import { useState } from "preact/hooks";
import { enter } from "../../access";
import { ask } from "../../api";
import { access } from "../../settings";
import type { Code, Device } from "../../types";
import { Frame, Problem } from "../../ui/common";
import { useGet } from "../../ui/load";
import { CodeShown, Devices } from "../../ui/people/codes";
import { named, t } from "../../words";
import { inARow } from "../../words/lists";

function Secrets() {
  const me = access.value?.me;
  const [present, setPresent] = useState("");
  const [pin, setPin] = useState("");
  const [password, setPassword] = useState("");
  const [problem, setProblem] = useState<unknown>(null);
  const [kept, setKept] = useState(false);
  const keep = async () => {
    try {
      await enter("secrets", { present, pin: pin === "" ? null : pin, password: password === "" ? null : password });
      setProblem(null);
      setKept(true);
      setPin("");
      setPassword("");
      setPresent("");
    } catch (failure) {
      setKept(false);
      setProblem(failure);
    }
  };
  return (
    <form
      class="sheet"
      onSubmit={(event) => {
        event.preventDefault();
        void keep();
      }}
    >
      {problem !== null && <Problem of={problem} />}
      {kept && <p role="status">{t("secrets.kept")}</p>}
      <label class="field">
        {t("secrets.pin")}
        <input
          type="password"
          inputMode="numeric"
          autocomplete="off"
          value={pin}
          onInput={(event) => setPin(event.currentTarget.value)}
        />
      </label>
      <p class="hint">{t("secrets.pin.what")}</p>
      <label class="field">
        {t("secrets.password")}
        <input
          type="password"
          autocomplete="new-password"
          value={password}
          onInput={(event) => setPassword(event.currentTarget.value)}
        />
      </label>
      {me?.has_password === true && (
        <label class="field">
          {t("secrets.present")}
          <input
            type="password"
            autocomplete="current-password"
            required
            value={present}
            onInput={(event) => setPresent(event.currentTarget.value)}
          />
        </label>
      )}
      <button type="submit" class="button main">
        {t("secrets.keep")}
      </button>
    </form>
  );
}

export function MePage() {
  const { got, problem, again } = useGet<Device[]>("/access/devices");
  const [code, setCode] = useState<Code | null>(null);
  const [refused, setRefused] = useState<unknown>(null);
  const me = access.value?.me;
  const run = async (path: string) => {
    try {
      setRefused(null);
      if (path === "join-code") setCode(await ask<Code>("/access/join-code", {}));
      else await ask(`/access/${path}`, {}).then(again);
    } catch (failure) {
      setRefused(failure);
    }
  };
  return (
    <Frame title={t("me.title")}>
      <h1>{me?.name ?? t("me.title")}</h1>
      <p>{inARow((me?.roles ?? []).map((role) => named("role", role)))}</p>
      {refused !== null && <Problem of={refused} />}
      {problem !== null && <Problem of={problem} again={again} />}
      <section class="stack" aria-labelledby="devices">
        <h2 id="devices">{t("devices.mine")}</h2>
        <Devices rows={got?.answer ?? []} revoke={(id) => void run(`devices/${id}/revoke`)} />
        {code === null ? (
          <button type="button" class="button" onClick={() => void run("join-code")}>
            {t("devices.join")}
          </button>
        ) : (
          <CodeShown code={code} done={() => setCode(null)} />
        )}
      </section>
      <section class="stack" aria-labelledby="secrets">
        <h2 id="secrets">{t("secrets.title")}</h2>
        <Secrets />
      </section>
    </Frame>
  );
}
