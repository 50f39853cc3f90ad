/** A sheet over the page, and what went wrong with what was asked. */
import type { ComponentChildren } from "preact";
import { useEffect, useRef } from "preact/hooks";
import { t } from "../words";

export function Sheet({ title, close, children }: { title: string; close: () => void; children: ComponentChildren }) {
  const box = useRef<HTMLDialogElement>(null);
  useEffect(() => {
    box.current?.showModal();
  }, []);
  return (
    <dialog ref={box} onClose={close} aria-label={title}>
      <div class="stack">
        <h2>{title}</h2>
        {children}
        <button type="button" class="button quiet" onClick={() => box.current?.close()}>
          {t("close")}
        </button>
      </div>
    </dialog>
  );
}

export function Problem({ of, again }: { of: unknown; again?: () => void }) {
  const words = of instanceof Error && of.name !== "NotHere" ? of.message : "";
  const away = of instanceof Error && of.message.startsWith("no network");
  // A browser says the same of no network and of a certificate that it does not trust (any more).
  const doubt = away && navigator.onLine && location.protocol === "https:";
  return (
    <div class="notice" role="alert">
      <p>{away ? t("problem.away") : words || t("problem.unknown")}</p>
      {doubt && <p>{t("problem.certificate")}</p>}
      {again !== undefined && (
        <button type="button" class="button" onClick={again}>
          {t("again")}
        </button>
      )}
    </div>
  );
}
