/** Who of the house sees to what comes next: one of the names that this phone knows, or whoever decides. */
import { people } from "../../settings";
import { t } from "../../words";

export function Assignee({ value, change }: { value: string; change: (name: string) => void }) {
  if (people.value.length < 2) return null;
  return (
    <label class="field">
      {t("decide.assignee")}
      <select value={value} onChange={(event) => change(event.currentTarget.value)}>
        <option value="">{t("decide.assignee.nobody")}</option>
        {people.value.map((name) => (
          <option key={name} value={name}>
            {name}
          </option>
        ))}
      </select>
    </label>
  );
}
