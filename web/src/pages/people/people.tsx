/** For the administrator: people, their roles, codes for their devices, and every device. */
import { useState } from "preact/hooks";

import { ask } from "../../api";
import { type Code, type Device, type Person, type Role, roleValues } from "../../types";
import { Frame, Problem, Toggle } from "../../ui/common";
import { useGet } from "../../ui/load";
import { CodeShown, Devices } from "../../ui/people/codes";
import { named, t } from "../../words";
import { inARow } from "../../words/lists";

function Roles({ chosen, change }: { chosen: string[]; change: (roles: string[]) => void }) {
  return (
    <fieldset>
      <legend>{t("people.roles")}</legend>
      <div class="stack tight">
        {roleValues.map((role) => (
          <div key={role}>
            <Toggle
              label={named("role", role)}
              on={chosen.includes(role)}
              change={(on) => change(roleValues.filter((one: Role) => (one === role ? on : chosen.includes(one))))}
            />
            <p class="hint">{named("role.what", role)}</p>
          </div>
        ))}
      </div>
    </fieldset>
  );
}

function One({ one, changed }: { one: Person; changed: () => void }) {
  const [chosen, setChosen] = useState(one.roles);
  const [shared, setShared] = useState(false);
  const [code, setCode] = useState<Code | null>(null);
  const [problem, setProblem] = useState<unknown>(null);
  const [sure, setSure] = useState(false);
  const run = async (path: string, body: object, then: (answer: unknown) => void) => {
    try {
      then(await ask(`/people/${one.person_id}/${path}`, body));
      setProblem(null);
    } catch (failure) {
      setProblem(failure);
    }
  };
  return (
    <li class="stack">
      <div>
        <b>{one.name}</b>
        <br />
        <span class="small soft">{inARow(one.roles.map((role) => named("role", role)))}</span>
      </div>
      {problem !== null && <Problem of={problem} />}
      {code !== null ? (
        <CodeShown code={code} done={() => setCode(null)} />
      ) : (
        <button
          type="button"
          class="button"
          onClick={() => void run("join-code", { shared }, (answer) => setCode(answer as Code))}
        >
          {t("people.code")}
          <span class="unseen"> {one.name}</span>
        </button>
      )}
      <details>
        <summary>
          {t("people.change")}
          <span class="unseen"> {one.name}</span>
        </summary>
        <div class="stack">
          <Toggle label={t("people.shared")} on={shared} change={setShared} />
          <Roles chosen={chosen} change={setChosen} />
          <button type="button" class="button main" onClick={() => void run("roles", { roles: chosen }, changed)}>
            {t("people.keep")}
          </button>
          {sure ? (
            <button type="button" class="button" onClick={() => void run("remove", {}, changed)}>
              {t("people.remove.sure", { name: one.name })}
            </button>
          ) : (
            <button type="button" class="button" onClick={() => setSure(true)}>
              {t("people.remove")}
            </button>
          )}
        </div>
      </details>
    </li>
  );
}

function Add({ added }: { added: () => void }) {
  const [name, setName] = useState("");
  const [chosen, setChosen] = useState<string[]>(["screener"]);
  const [problem, setProblem] = useState<unknown>(null);
  const add = async () => {
    try {
      await ask("/people", { name, roles: chosen });
      setName("");
      setProblem(null);
      added();
    } catch (failure) {
      setProblem(failure);
    }
  };
  return (
    <form
      class="sheet"
      onSubmit={(event) => {
        event.preventDefault();
        void add();
      }}
    >
      {problem !== null && <Problem of={problem} />}
      <label class="field">
        {t("signin.name")}
        <input
          type="text"
          autocomplete="off"
          required
          maxLength={100}
          value={name}
          onInput={(event) => setName(event.currentTarget.value)}
        />
      </label>
      <Roles chosen={chosen} change={setChosen} />
      <button type="submit" class="button main">
        {t("people.add")}
      </button>
    </form>
  );
}

export function PeoplePage() {
  const people = useGet<Person[]>("/people");
  const devices = useGet<Device[]>("/devices");
  const [refused, setRefused] = useState<unknown>(null);
  const again = () => {
    people.again();
    devices.again();
  };
  const problem = people.problem ?? devices.problem ?? refused;
  return (
    <Frame title={t("people.title")}>
      <h1>{t("people.title")}</h1>
      <p>{t("people.what")}</p>
      {problem !== null && <Problem of={problem} again={again} />}
      <ul class="sheet rows">
        {(people.got?.answer ?? []).map((one) => (
          <One key={`${one.person_id}${one.roles}`} one={one} changed={again} />
        ))}
      </ul>
      <section class="stack" aria-labelledby="add">
        <h2 id="add">{t("people.new")}</h2>
        <Add added={again} />
      </section>
      <section class="stack" aria-labelledby="devices">
        <h2 id="devices">{t("devices.title")}</h2>
        <Devices
          rows={devices.got?.answer ?? []}
          revoke={(id) => void ask(`/devices/${id}/revoke`, {}).then(again, setRefused)}
        />
      </section>
    </Frame>
  );
}
