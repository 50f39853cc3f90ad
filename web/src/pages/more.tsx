import { about } from "../api";
import { leftHand, sunlight, typedFirst } from "../settings";
import { Choices, Frame, Toggle } from "../ui/common";
import { useGet } from "../ui/load";
import { aboutWords, day, t, unreviewed } from "../words";

export function MorePage() {
  const { got } = useGet<{ asked: number; same: number; differed: number }>("/agreement");
  const agreement = got?.answer;
  const pages = [
    ["#/consignments", "consignments.title"], ["#/sampling", "sampling.title"], ["#/holders", "holders.title"],
    ["#/rules", "rules.title"], ["#/bins", "bins.title"], ["#/roll", "roll.title"], ["#/outbox", "outbox.title"],
  ] as const;
  const info = about.value;
  return (
    <Frame title={t("more.title")}>
      <h1>{t("more.title")}</h1>
      <nav class="stack tight" aria-label={t("more.pages")}>
        {pages.map(([to, key]) => (
          <a key={to} class="button" href={to}>
            {t(key)}
          </a>
        ))}
      </nav>
      <section class="stack" aria-labelledby="view">
        <h2 id="view">{t("more.view")}</h2>
        <div class="choices">
          <Toggle label={t("more.sunlight")} on={sunlight.value} change={(on) => (sunlight.value = on)} />
          <Toggle label={t("more.left")} on={leftHand.value} change={(on) => (leftHand.value = on)} />
        </div>
      </section>
      <section class="stack" aria-labelledby="agree">
        <h2 id="agree">{t("agree.title")}</h2>
        <p>{t("agree.what")}</p>
        {agreement !== undefined && <p class="sheet">{t("agree.count", { asked: agreement.asked, same: agreement.same, differed: agreement.differed })}</p>}
        <Choices
          legend={t("agree.share")} name="share" value={String(typedFirst.value)} change={(value) => (typedFirst.value = Number(value))}
          options={[{ value: "0.1", label: t("agree.tenth") }, { value: "0.5", label: t("agree.half") }, { value: "1", label: t("agree.all") }]}
        />
      </section>
      <section class="stack" aria-labelledby="about">
        <h2 id="about">{t("about.title")}</h2>
        <div class="sheet">
          <p>{t("about.what")}</p>
          {info !== null && (
            <dl class="versus">
              <dt>{t("about.version")}</dt>
              <dd>{info.version}</dd>
              <dt>{t("about.rules")}</dt>
              <dd class="ink">{info.rules_edition}</dd>
              <dt>{t("about.readers")}</dt>
              <dd>{info.readers.join(", ") || "–"}</dd>
              <dt>{t("list.title")}</dt>
              <dd>{info.list === null ? t("list.none") : `${info.list.name}, ${info.list.edition}, ${info.list.checked_on === null ? "–" : day(info.list.checked_on)}`}</dd>
            </dl>
          )}
          <p class="small soft">{unreviewed.value ? t("language.machine") : t("language.reviewed", { who: aboutWords.value.reviewed_by })}</p>
        </div>
      </section>
    </Frame>
  );
}
