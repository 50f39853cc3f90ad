/** Whose turn it is next. */
import { useEffect } from "preact/hooks";
import { learnAccess } from "../../access";
import { access, people } from "../../settings";
import { t } from "../../words";

/** Where people sign in the server takes nobody without an account; else the names of this phone. */
function names(): string[] {
  const told = access.value;
  return told?.accounts === true ? (told.house ?? []) : people.value;
}

/** Who of the house sees to what comes next: one of the names that are known here, or whoever decides. */
export function Assignee({ value, change }: { value: string; change: (name: string) => void }) {
  const signedIn = access.value?.accounts === true;
  useEffect(() => {
    // somebody may have got an account since this page was opened
    if (signedIn) void learnAccess();
  }, [signedIn]);
  const known = names();
  if (known.length < 2) return null;
  return (
    <label class="field">
      {t("decide.assignee")}
      <span class="hint">{t("decide.assignee.when")}</span>
      <select value={value} onChange={(event) => change(event.currentTarget.value)}>
        <option value="">{t("decide.assignee.nobody")}</option>
        {known.map((name) => (
          <option key={name} value={name}>
            {name}
          </option>
        ))}
      </select>
    </label>
  );
}
