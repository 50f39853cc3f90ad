import { describe, expect, it } from "vitest";
import { firstShown, saidOf } from "../src/marks/said";
import type { Shown } from "../src/marks/order";
import type { Confirmation, PhotoRow, Unit } from "../src/types";

const photo = (photo_id: string, replaced_by: string | null = null) => ({ photo_id, replaced_by }) as PhotoRow;
const word = (photo_id: string, printed: string | null, more: Partial<Confirmation> = {}): Confirmation => ({
  confirmation_id: `${photo_id} ${printed}`, photo_id, item: 0, mark: "lot", scheme: "", occurrence: 0, printed, from: "as_read",
  read_as: "", withdraws: null, in_force: true, by: { name: "Samira Kholvane", at: "" }, ...more,
});
const unit = (photos: PhotoRow[], confirmations: Confirmation[]) => ({ photos, confirmations }) as unknown as Unit;
const card = (confirmed: boolean): Shown => ({ mark: { mark: "lot", confirmed } as Shown["mark"], item: 0, occurrence: 0, also: [] });
const both = [photo("quick", "full"), photo("full")];

describe("a word on the reduced copy, when the full photo has taken its place", () => {
  it("stands beside the mark where it was carried over", () => {
    expect(saidOf(unit(both, [word("quick", "A310")]), "full", card(true))?.printed).toBe("A310");
  });

  it("does not where the full photo's mark is not confirmed by it", () => {
    expect(saidOf(unit(both, [word("quick", "A310")]), "full", card(false))).toBeNull();
  });

  it("gives way to a word on the full photo", () => {
    expect(saidOf(unit(both, [word("quick", "A310"), word("full", "A311")]), "full", card(true))?.printed).toBe("A311");
  });

  it("counts no longer once it was taken back", () => {
    expect(saidOf(unit(both, [word("quick", "A310", { in_force: false })]), "full", card(true))).toBeNull();
  });

  it("is about that item only", () => {
    expect(saidOf(unit(both, [word("quick", "A310", { item: 1 })]), "full", card(true))).toBeNull();
  });
});

describe("the number that is typed before it is shown", () => {
  it("is drawn for the copy that was shown first", () => {
    expect(firstShown(unit(both, []), "full")).toBe("quick");
    expect(firstShown(unit(both, []), "quick")).toBe("quick");
  });
});
