import { describe, expect, it } from "vitest";
import type { Placed } from "../../src/marks/order";
import { firstShown, placeKey, saidOf, waitingWords } from "../../src/marks/said";
import type { Parcel } from "../../src/outbox/db";
import type { Confirmation, Mark, PhotoRow, Unit } from "../../src/types";

const photo = (photo_id: string, replaced_by: string | null = null) => ({ photo_id, replaced_by }) as PhotoRow;
const word = (photo_id: string, printed: string | null, more: Partial<Confirmation> = {}): Confirmation => ({
  confirmation_id: `${photo_id} ${printed}`,
  photo_id,
  item: 0,
  mark: "lot",
  scheme: "",
  occurrence: 0,
  printed,
  from: "as_read",
  mark_id: "0:lot",
  named: "",
  read_as: "",
  withdraws: null,
  in_force: true,
  supersedes: null,
  by: { id: "", name: "Samira Kholvane", roles: [], at: "", clock_offset_ms: null },
  ...more,
});
const unit = (photos: PhotoRow[], confirmations: Confirmation[]) => ({ photos, confirmations }) as unknown as Unit;
const card = (confirmed: boolean, printed = "A310", more: Partial<Mark> = {}): Placed => ({
  mark: { mark: "lot", confirmed, printed, id: "0:lot of the full photo", ...more } as Mark,
  item: 0,
});
const both = [photo("quick", "full"), photo("full")];

describe("a word on the reduced copy, when the full photo has taken its place", () => {
  it("stands beside the mark where it was carried over", () => {
    expect(saidOf(unit(both, [word("quick", "A310")]), "full", card(true))?.printed).toBe("A310");
  });

  it("does not where the full photo's mark is not confirmed by it", () => {
    expect(saidOf(unit(both, [word("quick", "A310")]), "full", card(false))).toBeNull();
  });

  it("gives way to a word on the full photo", () => {
    expect(
      saidOf(
        unit(both, [word("quick", "A310"), word("full", "A311", { mark_id: "0:lot of the full photo" })]),
        "full",
        card(true, "A311"),
      )?.printed,
    ).toBe("A311");
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

describe("a word on one of several marks", () => {
  it("is the one that names this mark by its id", () => {
    const words = [word("full", "N95", { mark: "filter_class", mark_id: "b" })];
    const of = (id: string) =>
      saidOf(unit([photo("full")], words), "full", card(false, "N95", { mark: "filter_class", id }));
    expect(of("b")?.printed).toBe("N95");
    expect(of("a")).toBeNull();
  });

  it("says what the ink is, on the reduced copy as well", () => {
    const words = [word("quick", "9417", { mark: "model", named: "lot" })];
    expect(saidOf(unit(both, words), "full", card(true, "9417"))?.named).toBe("lot");
    expect(saidOf(unit(both, words), "full", card(true, "9417", { mark: "model" }))).toBeNull();
  });
});

describe("words that lie on this phone", () => {
  const parcel = (id: string, path: string, body: unknown, state = "waiting") =>
    ({ id, path, body, state, kind: "record" }) as Parcel;
  const body = (id: string, mark_id: string, printed = "7") => ({
    id,
    photo_id: "full",
    item: 0,
    mark_id,
    printed,
    named: "",
  });

  it("are known by the mark that they are about, one by one or several in one go", () => {
    const words = waitingWords(
      [
        parcel("1", "/api/confirmations?lang=en", body("1", "a")),
        parcel("2", "/api/confirmations/several?lang=en", { confirmations: [body("3", "b"), body("4", "c")] }),
      ],
      "full",
    );
    expect([...words.keys()]).toEqual(["a", "b", "c"].map((id) => placeKey(0, id)));
  });

  it("are not those that were sent, are of another photo or are taken back on the phone", () => {
    const parcels = [
      parcel("1", "/api/confirmations?lang=en", body("1", "a"), "sent"),
      parcel("2", "/api/confirmations?lang=en", { ...body("2", "b"), photo_id: "other" }),
      parcel("3", "/api/confirmations?lang=en", body("3", "c")),
      parcel("4-w", "/api/confirmations/3/withdraw?lang=en", { id: "4" }),
    ];
    expect(waitingWords(parcels, "full").size).toBe(0);
  });
});
