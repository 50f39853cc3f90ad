/** The ways in: a code, the house's first link, a name and a password, or a PIN on a shared tablet. */
import type { ComponentChildren } from "preact";
import { useState } from "preact/hooks";
import { deviceName, enter } from "../../access";
import { go, route } from "../../route";
import { access } from "../../settings";
import { Frame, Problem } from "../../ui/common";
import { Switch } from "../../ui/people/account";
import { t } from "../../words";

function useEnter(path: string, then = "") {
  const [problem, setProblem] = useState<unknown>(null);
  const [busy, setBusy] = useState(false);
  const send = async (body: Record<string, unknown>) => {
    setBusy(true);
    try {
      await enter(path, body);
      setProblem(null);
      go(then);
    } catch (failure) {
      setProblem(failure);
    } finally {
      setBusy(false);
    }
  };
  return { problem, busy, send };
}

function Field({
  label,
  value,
  change,
  type = "text",
  complete = "off",
}: {
  label: string;
  value: string;
  change: (value: string) => void;
  type?: string;
  complete?: string;
}) {
  return (
    <label class="field">
      {label}
      <input
        type={type}
        autocomplete={complete}
        autocapitalize="off"
        spellcheck={false}
        required
        value={value}
        onInput={(event) => change(event.currentTarget.value)}
      />
    </label>
  );
}

function Form({
  send,
  busy,
  label,
  second = false,
  children,
}: {
  send: () => void;
  busy: boolean;
  label: string;
  /** Whether another way stands before it on the page, and is the dark one. */
  second?: boolean;
  children: ComponentChildren;
}) {
  return (
    <form
      class="stack"
      onSubmit={(event) => {
        event.preventDefault();
        if (!busy) send();
      }}
    >
      {children}
      <button type="submit" class={second ? "button" : "button main"}>
        {label}
      </button>
    </form>
  );
}

/** `#/join/CODE`: a scanned code joins at once; without one it is typed. */
export function JoinPage() {
  const scanned = route.value.id;
  const [code, setCode] = useState(scanned);
  const [device, setDevice] = useState(deviceName);
  const { problem, busy, send } = useEnter("join");
  return (
    <Frame title={t("join.title")}>
      <h1>{t("join.title")}</h1>
      <p>{t("join.what")}</p>
      {problem !== null && <Problem of={problem} />}
      <Form send={() => void send({ code, device })} busy={busy} label={t("join.go")}>
        <Field label={t("join.code")} value={code} change={setCode} />
        <Field label={t("join.device")} value={device} change={setDevice} />
      </Form>
    </Frame>
  );
}

/** `#/first/CODE`: makes the first administrator. */
export function FirstPage() {
  const code = route.value.id;
  const [name, setName] = useState("");
  const [password, setPassword] = useState("");
  const { problem, busy, send } = useEnter("first", "people");
  return (
    <Frame title={t("first.admin.title")}>
      <h1>{t("first.admin.title")}</h1>
      <p>{t("first.admin.what")}</p>
      {problem !== null && <Problem of={problem} />}
      <Form
        send={() => void send({ code, name, password, device: deviceName() })}
        busy={busy}
        label={t("first.admin.go")}
      >
        <Field label={t("signin.name")} value={name} change={setName} complete="username" />
        <Field
          label={t("first.admin.password")}
          value={password}
          change={setPassword}
          type="password"
          complete="new-password"
        />
      </Form>
    </Frame>
  );
}

/** Shown in place of any page while nobody is signed in. */
export function SignInPage() {
  const [name, setName] = useState("");
  const [password, setPassword] = useState("");
  const { problem, busy, send } = useEnter("sign-in", route.value.page);
  const now = access.value;
  return (
    <Frame title={t("signin.title")}>
      <h1>{t("signin.title")}</h1>
      <p>{t("signin.nobody")}</p>
      {problem !== null && <Problem of={problem} />}
      {now?.first === true ? (
        <p class="notice">{t("signin.first")}</p>
      ) : (
        <>
          {now?.shared === true && (
            <section class="sheet" aria-label={t("switch.title")}>
              <h2>{t("switch.title")}</h2>
              <Switch done={() => go("")} />
            </section>
          )}
          <a class="button main" href="#/join">
            {t("signin.code")}
          </a>
          <section class="sheet" aria-labelledby="by-password">
            <h2 id="by-password">{t("signin.password.title")}</h2>
            <Form
              send={() => void send({ name, password, device: deviceName() })}
              busy={busy}
              label={t("signin.go")}
              second
            >
              <Field label={t("signin.name")} value={name} change={setName} complete="username" />
              <Field
                label={t("signin.password")}
                value={password}
                change={setPassword}
                type="password"
                complete="current-password"
              />
            </Form>
          </section>
        </>
      )}
    </Frame>
  );
}
