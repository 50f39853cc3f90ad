/** One screen: how a phone comes to trust this server, on Android and on iOS. */
import { t } from "../../words";

const steps = {
  android: ["trust.android.1", "trust.android.2", "trust.android.3"],
  ios: ["trust.ios.1", "trust.ios.2", "trust.ios.3"],
} as const;

/** `authority` is where it is fetched from here; null on a page that is trusted already. */
export function Trust({ fingerprint, authority }: { fingerprint: string; authority: string | null }) {
  return (
    <section class="stack" aria-labelledby="trust">
      <h2 id="trust">{t("trust.title")}</h2>
      <p>{t("trust.what")}</p>
      {authority !== null && (
        <a class="button main" href={authority} download="inkwitness-authority.crt">
          {t("trust.get")}
        </a>
      )}
      {(["android", "ios"] as const).map((kind) => (
        <div class="sheet stack" key={kind}>
          <h3>{t(`trust.${kind}`)}</h3>
          <ol class="steps">
            {steps[kind].map((key) => (
              <li key={key}>{t(key)}</li>
            ))}
          </ol>
        </div>
      ))}
      <div class="sheet stack">
        <h3>{t("trust.compare")}</h3>
        <p>{t("trust.compare.what")}</p>
        <p class="finger">{fingerprint}</p>
      </div>
      <p class="hint">{t("trust.bound")}</p>
    </section>
  );
}
