/** What is printed beside what the list has, a row a mark; a note has the whole width below its row. */
import { Fragment } from "preact";
import type { HolderMatch } from "../../types";
import { named, t } from "../../words";

export function Fields({ of }: { of: HolderMatch["fields"] }) {
  return (
    <div class="columns">
      <table>
        <caption class="unseen">{t("list.fields")}</caption>
        <thead>
          <tr>
            <th scope="col">{t("list.field")}</th>
            <th scope="col">{t("list.printed")}</th>
            <th scope="col">{t("list.listed")}</th>
          </tr>
        </thead>
        <tbody>
          {of.map((field) => (
            <Fragment key={field.field}>
              <tr>
                <th scope="row">
                  {named("mark", field.field)}
                  <br />
                  <span class={field.state === "differs" ? "tag solid" : "tag"}>{named("field", field.state)}</span>
                </th>
                <td class="ink" data-column={t("list.printed")}>
                  {field.printed || "–"}
                </td>
                <td class="ink" data-column={t("list.listed")}>
                  {field.listed || "–"}
                </td>
              </tr>
              {(field.note ?? "") !== "" && (
                <tr class="note">
                  <td class="small" colSpan={3}>
                    {named("note", field.note!)}
                  </td>
                </tr>
              )}
            </Fragment>
          ))}
        </tbody>
      </table>
    </div>
  );
}
