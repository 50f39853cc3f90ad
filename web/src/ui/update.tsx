/** Says that a newer page is there; changes only when the person asks, never under their hands. */
import { useEffect, useState } from "preact/hooks";
import { waitingCount } from "../outbox/outbox";
import { t } from "../words";

export function Update() {
  const [worker, setWorker] = useState<ServiceWorker | null>(null);
  useEffect(() => {
    if (!("serviceWorker" in navigator)) return;
    void navigator.serviceWorker.ready.then((registration) => {
      if (registration.waiting !== null) setWorker(registration.waiting);
      registration.addEventListener("updatefound", () => {
        const fresh = registration.installing;
        fresh?.addEventListener("statechange", () => {
          if (fresh.state === "installed" && navigator.serviceWorker.controller !== null) setWorker(fresh);
        });
      });
    });
  }, []);
  if (worker === null || waitingCount.value > 0) return null;
  return (
    <div class="notice" role="status">
      <p>{t("update.there")}</p>
      <div class="pair">
        <button
          type="button"
          class="button small"
          onClick={() => {
            navigator.serviceWorker.addEventListener("controllerchange", () => location.reload(), { once: true });
            worker.postMessage("take over");
          }}
        >
          {t("update.now")}
        </button>
        <button type="button" class="button small" onClick={() => setWorker(null)}>
          {t("update.later")}
        </button>
      </div>
    </div>
  );
}
