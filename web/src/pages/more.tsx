import { may } from "../access";
import { about } from "../api";
import { missed } from "../photo/first-look";
import { access, keysOn, leftHand, sunlight, typedFirst } from "../settings";
import type { Agreement } from "../types";
import { Choices, Frame, Toggle } from "../ui/common";
import { useGet } from "../ui/load";
import { aboutWords, day, named, t, unreviewed } from "../words";
import { w } from "../words/guide";
import { inARow } from "../words/lists";

export function MorePage() {
  const { got } = useGet<Agreement>("/agreement");
  const agreement = got?.answer;
  const pages = [
    ["#/consignments", "consignments.title"],
    ["#/find", "find.title"],
    ["#/stock", "stock.title"],
    ["#/offers", "offers.title"],
    ["#/sampling", "sampling.title"],
    ["#/holders", "holders.title"],
    ["#/rules", "rules.title"],
    ["#/bins", "bins.title"],
    ["#/roll", "roll.title"],
    ["#/outbox", "outbox.title"],
  ] as const;
  const info = about.value;
  const accounts = access.value?.accounts === true;
  const ours = accounts
    ? ([
        ["#/me", "me.title"],
        ...(may("administrator") ? ([["#/people", "people.title"]] as const) : []),
        ["#/network", "network.title"],
      ] as const)
    : [];
  return (
    <Frame title={t("more.title")}>
      <h1>{t("more.title")}</h1>
      <nav class="sheet ways-on" aria-label={t("more.pages")}>
        {[...pages, ...ours].map(([to, key]) => (
          <a key={to} class="row" href={to}>
            <b>{t(key)}</b>
          </a>
        ))}
        {(["first-steps", "codes"] as const).map((to) => (
          <a key={to} class="row" href={`#/${to}`}>
            <b>{w(to === "codes" ? "codes.title" : "first.title")}</b>
          </a>
        ))}
      </nav>
      <section class="stack" aria-labelledby="view">
        <h2 id="view">{t("more.view")}</h2>
        <div class="choices">
          <Toggle label={t("more.sunlight")} on={sunlight.value} change={(on) => (sunlight.value = on)} />
          <Toggle label={t("more.left")} on={leftHand.value} change={(on) => (leftHand.value = on)} />
          <Toggle label={w("keys.on")} on={keysOn.value} change={(on) => (keysOn.value = on)} />
        </div>
      </section>
      <section class="stack" aria-labelledby="agree">
        <h2 id="agree">{t("agree.title")}</h2>
        <p>{t("agree.what")}</p>
        {agreement !== undefined && (
          <p class="sheet">
            {t("agree.count", { asked: agreement.asked, same: agreement.same, differed: agreement.differed })}
          </p>
        )}
        <Choices
          legend={t("agree.share")}
          name="share"
          value={String(typedFirst.value)}
          change={(value) => (typedFirst.value = Number(value))}
          options={[
            { value: "0.1", label: t("agree.tenth") },
            { value: "0.5", label: t("agree.half") },
            { value: "1", label: t("agree.all") },
          ]}
        />
      </section>
      <section class="stack" aria-labelledby="missed">
        <h2 id="missed">{t("missed.title")}</h2>
        <p>{t("missed.what", { n: missed.photos })}</p>
        <div class="sheet columns">
          <table>
            <thead>
              <tr>
                <th scope="col">{t("missed.kind")}</th>
                <th scope="col">{t("missed.missed")}</th>
                <th scope="col">{t("missed.called")}</th>
              </tr>
            </thead>
            <tbody>
              {(["blur", "glare", "too_dark", "small_letters"] as const).map((fact) => (
                <tr key={fact}>
                  <th scope="row">{named("poor", fact)}</th>
                  <td data-column={t("missed.missed")}>
                    {t("missed.of", { n: missed[fact].missed, of: missed[fact].of })}
                  </td>
                  <td data-column={t("missed.called")}>
                    {t("missed.of", { n: missed[fact].named, of: missed.photos })}
                  </td>
                </tr>
              ))}
              <tr>
                <th scope="row">{named("poor", "cut_off")}</th>
                <td colSpan={2}>{t("missed.none")}</td>
              </tr>
            </tbody>
          </table>
        </div>
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
              <dd>{inARow(info.readers) || "–"}</dd>
              <dt>{t("list.title")}</dt>
              <dd>
                {info.list === null
                  ? t("list.none")
                  : inARow([
                      info.list.name,
                      String(info.list.edition),
                      info.list.checked_on === null ? "–" : day(info.list.checked_on),
                    ])}
              </dd>
            </dl>
          )}
          <p class="small soft">
            {unreviewed.value ? t("language.machine") : t("language.reviewed", { who: aboutWords.value.reviewed_by })}
          </p>
        </div>
      </section>
    </Frame>
  );
}
