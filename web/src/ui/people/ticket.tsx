/** The way to a ticket for a phone that does not trust this server; only where accounts are on. */
import { may } from "../../access";
import { access } from "../../settings";
import { t } from "../../words";

export function mayMakeTicket(): boolean {
  return access.value?.accounts === true && may("screener");
}

export function ByTicket({ unit }: { unit: string }) {
  if (!mayMakeTicket()) return null;
  return (
    <a class="button" href={`#/ticket/${unit}`}>
      {t("ticket.make")}
    </a>
  );
}
