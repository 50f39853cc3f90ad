/** How phones in the room reach this server and come to trust it; tickets where one does not. */
import { useEffect, useState } from "preact/hooks";
import { ask } from "../../api";
import { route } from "../../route";
import type { Network, Ticket } from "../../types";
import { Frame, Problem } from "../../ui/common";
import { useGet } from "../../ui/load";
import { Qr } from "../../ui/people/codes";
import { Trust } from "../../ui/people/trust";
import { moment, t } from "../../words";

export function NetworkPage() {
  const { got, problem, again } = useGet<Network>("/network", undefined);
  const found = got?.answer;
  return (
    <Frame title={t("network.title")}>
      <h1>{t("network.title")}</h1>
      {problem !== null && <Problem of={problem} again={again} />}
      {found?.trust != null && (
        <section class="sheet stack" aria-labelledby="start">
          <h2 id="start">{t("network.start")}</h2>
          <p>{t("network.start.what")}</p>
          <Qr rows={found.trust.qr} label={t("code.qr")} />
          <p class="ink">{found.trust.url}</p>
        </section>
      )}
      {found !== undefined && found.fingerprint !== "" && <Trust fingerprint={found.fingerprint} authority={null} />}
      <section class="stack" aria-labelledby="pages">
        <h2 id="pages">{t("network.pages")}</h2>
        <ul class="sheet rows">
          {(found?.pages ?? []).map((page) => (
            <li key={page.url} class="ink">
              {page.url}
            </li>
          ))}
        </ul>
        <p class="hint">{t("network.pages.what")}</p>
      </section>
    </Frame>
  );
}

/** `#/ticket/UNIT`: for a phone that does not trust this server. */
export function TicketPage() {
  const unit = route.value.id;
  const [ticket, setTicket] = useState<Ticket | null>(null);
  const [problem, setProblem] = useState<unknown>(null);
  const make = () => ask<Ticket>("/tickets", { unit_id: unit }).then(setTicket, setProblem);
  useEffect(() => void make(), [unit]);
  return (
    <Frame title={t("ticket.title")}>
      <h1>{t("ticket.title")}</h1>
      <p>{t("ticket.what")}</p>
      <p class="notice">{t("ticket.plain")}</p>
      {problem !== null && (
        <Problem
          of={problem}
          again={() => {
            setProblem(null);
            void make();
          }}
        />
      )}
      {ticket !== null && (
        <div class="sheet stack">
          <p>{t("ticket.until", { until: moment(ticket.ends_at), n: ticket.photos })}</p>
          <Qr rows={ticket.link.qr} label={t("code.qr")} />
          <p class="ink">{ticket.link.url}</p>
        </div>
      )}
      <a class="button" href={`#/unit/${unit}`}>
        {t("outbox.unit")}
      </a>
    </Frame>
  );
}
