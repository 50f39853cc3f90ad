/** The meaning of each code, one tap away. */
import { w } from "../../words/guide";

export function CodesLink() {
  return (
    <a class="codes" href="#/codes">
      {w("codes.title")}
    </a>
  );
}
