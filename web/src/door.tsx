/**
 * The page of the plain http port: how a phone comes to trust this server, and photos by a ticket.
 * It reads nothing back, keeps nothing and asks for no name: everybody on the network can read along.
 */
import { type ComponentChildren, render } from "preact";
import { useEffect, useRef, useState } from "preact/hooks";
import { newId } from "./ids";
import { language } from "./settings";
import { Caveat } from "./ui/caveat";
import { Trust } from "./ui/people/trust";
import { guess, languages, speak, t } from "./words";
import "./style/base.css";
import "./style/parts.css";
import "./style/access.css";
import { type ErrorTold, type Plain, surfaceValues } from "./types";

function ticketCode(): string {
  return /^#\/ticket\/([\w-]+)/.exec(location.hash)?.[1] ?? "";
}

function Page({ title, children }: { title: string; children: ComponentChildren }) {
  useEffect(() => {
    document.title = `${title} – Inkwitness`;
  }, [title]);
  return (
    <div class="frame">
      <header class="top">
        <span class="brand">Inkwitness</span>
        <label class="field">
          <span class="unseen">{t("language.title")}</span>
          <select value={language.value} onChange={(event) => void speak(event.currentTarget.value).then(draw)}>
            {languages.map(({ code, name }) => (
              <option key={code} value={code} lang={code}>
                {name}
              </option>
            ))}
          </select>
        </label>
      </header>
      <main id="main">
        <h1>{title}</h1>
        {children}
      </main>
      <footer class="foot">
        <Caveat />
      </footer>
    </div>
  );
}

function TicketPage({ code }: { code: string }) {
  const [surface, setSurface] = useState<string>("facepiece");
  const [sent, setSent] = useState(0);
  const [busy, setBusy] = useState(false);
  const [problem, setProblem] = useState("");
  const input = useRef<HTMLInputElement>(null);
  const send = async (file: File) => {
    setBusy(true);
    setProblem("");
    const form = new FormData();
    form.append("id", newId());
    form.append("surface", surface);
    form.append("file", file, "photo");
    const headers = { "X-Ticket": code, "Accept-Language": language.value || "en" };
    try {
      const response = await fetch("/plain/photos", { method: "POST", headers, body: form });
      const answer = (await response.json().catch(() => null)) as Partial<ErrorTold> | null;
      if (response.ok) setSent((before) => before + 1);
      else setProblem(answer?.error?.message ?? t("problem.unknown"));
    } catch (failure) {
      if (!(failure instanceof TypeError)) throw failure;
      setProblem(t("door.away"));
    } finally {
      setBusy(false);
      if (input.current !== null) input.current.value = "";
    }
  };
  return (
    <Page title={t("door.ticket")}>
      <p>{t("door.ticket.what")}</p>
      <p class="notice">{t("ticket.plain")}</p>
      {problem !== "" && (
        <p class="notice" role="alert">
          {problem}
        </p>
      )}
      <label class="field">
        {t("door.surface")}
        <select value={surface} onChange={(event) => setSurface(event.currentTarget.value)}>
          {surfaceValues.map((one) => (
            <option key={one} value={one}>
              {t(`surface.${one}`)}
            </option>
          ))}
        </select>
      </label>
      <label class="field">
        {t("door.photo")}
        <input
          ref={input}
          type="file"
          accept="image/*"
          capture="environment"
          disabled={busy}
          onChange={(event) => {
            const file = event.currentTarget.files?.[0];
            if (file !== undefined) void send(file);
          }}
        />
      </label>
      <p role="status">{busy ? t("door.sending") : sent > 0 ? t("door.sent", { n: sent }) : ""}</p>
    </Page>
  );
}

function DoorPage({ about }: { about: Plain | null }) {
  return (
    <Page title={t("door.title")}>
      {about === null ? (
        <p class="notice">{t("door.away")}</p>
      ) : (
        <>
          <Trust fingerprint={about.fingerprint} authority="/plain/inkwitness-authority.crt" />
          <section class="stack" aria-labelledby="then">
            <h2 id="then">{t("door.then")}</h2>
            {about.pages.map((page) => (
              <a class="button" key={page} href={page}>
                {page}
              </a>
            ))}
          </section>
        </>
      )}
    </Page>
  );
}

let about: Plain | null = null;

function draw(): void {
  const place = document.getElementById("page");
  const code = ticketCode();
  if (place !== null) render(code === "" ? <DoorPage about={about} /> : <TicketPage code={code} />, place);
}

async function start(): Promise<void> {
  await speak(language.value || guess());
  window.addEventListener("hashchange", draw);
  draw();
  try {
    const response = await fetch("/plain/about");
    if (response.ok) about = (await response.json()) as Plain;
  } catch (failure) {
    if (!(failure instanceof TypeError)) throw failure;
  }
  draw();
}

void start();
