import { describe, expect, it } from "vitest";
import { cells, choose, insert, oneTap, openPlaces, origin, remove, sameInk, take, text } from "../src/marks/letters";
import { typedBeforeShown } from "../src/marks/blind";
import { shown } from "../src/marks/order";
import { newId } from "../src/ids";
import type { Mark } from "../src/types";

const mark = (more: Partial<Mark> = {}): Mark => ({
  mark: "approval_number", printed: "TC-84A-9621", value: "TC-84A-9621", standing: "read", probability: 0.9, alternatives: [], polygon: [], readers: [],
  doubtful_at: [], line: 0, scheme: "us-niosh", confirmed: false, ...more,
});
const doubtful = mark({
  standing: "doubtful", printed: "TC-84A-9B21", doubtful_at: [8],
  alternatives: [{ printed: "TC-84A-9821", value: "TC-84A-9821", probability: 0.4 }],
});

describe("correcting a mark letter by letter", () => {
  it("has a one-tap yes for a mark that was read, none for a doubtful one, none once confirmed", () => {
    expect(oneTap(mark())).toBe(true);
    expect(oneTap(doubtful)).toBe(false);
    expect(oneTap(mark({ doubtful_at: [3] }))).toBe(false);
    expect(oneTap(mark({ confirmed: true }))).toBe(false);
  });

  it("keeps a doubtful letter open until the person chooses it, even to the letter that was read", () => {
    const row = cells(doubtful);
    expect(openPlaces(row)).toEqual([8]);
    expect(openPlaces(choose(row, 8, "B"))).toEqual([]);
    expect(text(choose(row, 8, "8"))).toBe("TC-84A-9821");
  });

  it("offers the reader's alternatives first, then letters that look alike", () => {
    expect(cells(doubtful)[8]!.choices).toEqual(["B", "8"]);
    expect(cells(mark({ standing: "doubtful", printed: "O1", doubtful_at: [0] }))[0]!.choices).toEqual(["O", "0", "D", "Q"]);
  });

  it("takes a doubtful mark that names no place as doubtful everywhere", () => {
    expect(openPlaces(cells(mark({ standing: "doubtful", printed: "A 1" })))).toEqual([0, 2]);
  });

  it("does not offer a letter of an alternative of another length in its place", () => {
    const longer = mark({ ...doubtful, alternatives: [{ printed: "TC-84A-96821", value: "", probability: 0.1 }] });
    expect(cells(longer)[8]!.choices).not.toContain("6");
  });

  it("adds and takes out letters", () => {
    expect(text(insert(take("N5"), 1, "9"))).toBe("N95");
    expect(text(remove(take("N955"), 3))).toBe("N95");
  });

  it("records where a confirmed text came from", () => {
    expect(origin(doubtful, "TC-84A-9B21")).toBe("as_read");
    expect(origin(doubtful, "TC-84A-9821")).toBe("alternative");
    expect(origin(doubtful, "TC-84A-9021")).toBe("typed");
  });

  it("counts what was typed as the same whatever its spaces and case, and never when a digit differs", () => {
    expect(sameInk("tc-84a -9621", "TC-84A-9621")).toBe(true);
    expect(sameInk("TC-84A-9627", "TC-84A-9621")).toBe(false);
    expect(sameInk("TC-84A-O621", "TC-84A-0621")).toBe(false);
  });
});

describe("numbers typed before they are shown", () => {
  it("are the same ones each time a photo is opened", () => {
    const id = newId();
    expect(typedBeforeShown(id, 0, 0.1)).toBe(typedBeforeShown(id, 0, 0.1));
  });

  it("are about a tenth", () => {
    const drawn = Array.from({ length: 4000 }, () => typedBeforeShown(newId(), 0, 0.1)).filter(Boolean).length;
    // Binomial with n 4000, p 0.1: mean 400, standard deviation 19; six of them on each side.
    expect(drawn).toBeGreaterThan(286);
    expect(drawn).toBeLessThan(514);
  });

  it("are none or all at the ends", () => {
    expect(typedBeforeShown(newId(), 0, 0)).toBe(false);
    expect(typedBeforeShown(newId(), 0, 1)).toBe(true);
  });
});

describe("marks as cards", () => {
  it("shows one card a mark, the surest reading first and the others beside it", () => {
    const cards = shown([mark({ standing: "doubtful" }), mark({ printed: "TC-84A-0001" }), mark({ mark: "lot", printed: "7" })], 0);
    expect(cards.map((card) => card.mark.mark)).toEqual(["approval_number", "lot"]);
    expect(cards[0]!.mark.printed).toBe("TC-84A-0001");
    expect(cards[0]!.also).toHaveLength(1);
  });

  it("names the occurrence as the record counts it: among marks of that name in the item", () => {
    expect(shown([mark({ standing: "doubtful" }), mark({ printed: "X" })], 0)[0]!.occurrence).toBe(1);
  });
});

describe("ids", () => {
  it("are UUIDv7 (RFC 9562, 5.7): version 7, variant 10, time first", () => {
    // RFC 9562, appendix A.6: 2022-02-22T19:22:22Z is 017f22e2-79b0-7... in milliseconds.
    expect(newId(1645557742000)).toMatch(/^017f22e2-79b0-7[0-9a-f]{3}-[89ab][0-9a-f]{3}-[0-9a-f]{12}$/);
  });

  it("sort as they were made", () => {
    expect(newId(1000) < newId(1001)).toBe(true);
  });
});
