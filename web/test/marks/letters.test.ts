import { describe, expect, it } from "vitest";
import { newId } from "../../src/ids";
import { typedBeforeShown } from "../../src/marks/blind";
import {
  cells,
  choose,
  insert,
  lettersCertain,
  oneTap,
  openPlaces,
  origin,
  remove,
  sameInk,
  take,
  text,
} from "../../src/marks/letters";
import { freePrint, setAside, shown } from "../../src/marks/order";
import type { Mark } from "../../src/types";

const mark = (more: Partial<Mark> = {}): Mark => ({
  mark: "approval_number",
  printed: "TC-84A-9621",
  value: "TC-84A-9621",
  standing: "read",
  probability: 0.9,
  alternatives: [],
  polygon: [],
  readers: [],
  doubtful_at: [],
  line: 0,
  scheme: "us-niosh",
  confirmed: false,
  id: "0:0:approval_number",
  named_by: "form",
  reasons: [],
  span: null,
  parts: {},
  ...more,
});
const doubtful = mark({
  standing: "doubtful",
  printed: "TC-84A-9B21",
  doubtful_at: [8],
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
    expect(cells(mark({ standing: "doubtful", printed: "O1", doubtful_at: [0] }))[0]!.choices).toEqual([
      "O",
      "0",
      "D",
      "Q",
    ]);
  });

  it("takes a doubtful mark that names no place as doubtful everywhere", () => {
    expect(openPlaces(cells(mark({ standing: "doubtful", printed: "A 1" })))).toEqual([0, 2]);
  });

  it("does not open the letters of print of which only the name is in doubt", () => {
    const free = mark({ standing: "doubtful", named_by: "place", reasons: ["named_by_place"], printed: "TAMBERLOW" });
    expect(lettersCertain(free)).toBe(true);
    expect(openPlaces(cells(free))).toEqual([]);
    expect(lettersCertain({ ...free, reasons: ["named_by_place", "letters_not_certain"] })).toBe(false);
    expect(lettersCertain({ ...free, reasons: ["named_by_place", "a_reason_of_tomorrow"] })).toBe(false);
    expect(lettersCertain({ ...free, doubtful_at: [2] })).toBe(false);
  });

  it("has no one-tap yes for a mark that only its place names", () => {
    expect(oneTap(mark({ named_by: "place" }))).toBe(false);
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
  it("shows the same value read twice as one card, the surer first and the other beside it", () => {
    const cards = shown(
      [mark({ probability: 0.9 }), mark({ probability: 0.95, id: "b" }), mark({ mark: "lot", printed: "7" })],
      0,
    );
    expect(cards.map((card) => card.mark.mark)).toEqual(["approval_number", "lot"]);
    expect(cards[0]!.mark.id).toBe("b");
    expect(cards[0]!.also).toHaveLength(1);
  });

  it("gives what differs, and what is doubtful, a card of its own, so that it can be confirmed", () => {
    const classes = [
      mark({ mark: "filter_class", value: "FFP2", scheme: "eu-en149", id: "a" }),
      mark({ mark: "filter_class", value: "N95", scheme: "us-niosh", id: "b" }),
      mark({ mark: "filter_class", value: "N95", scheme: "us-niosh", id: "c", standing: "doubtful" }),
    ];
    expect(shown(classes, 0).map(({ mark: { id }, nth }) => [id, nth])).toEqual([
      ["a", 1],
      ["b", 2],
      ["c", 3],
    ]);
  });

  it("asks no second time for the same value read twice, once one of them is confirmed", () => {
    const cards = shown([mark({ id: "a", probability: 0.99 }), mark({ id: "b", confirmed: true })], 0);
    expect(cards.map((card) => card.mark.id)).toEqual(["b"]);
  });

  it("keeps the cards of one name in their order when one of them is confirmed", () => {
    const lots = (confirmed: boolean) => [
      mark({ mark: "lot", value: "1", id: "a" }),
      mark({ mark: "lot", value: "2", id: "b", confirmed }),
    ];
    expect(shown(lots(true), 0).map((card) => card.mark.id)).toEqual(shown(lots(false), 0).map((card) => card.mark.id));
  });

  it("shows print that only its place names as no card, nor what a person said is no mark", () => {
    expect(
      shown([mark({ named_by: "place", standing: "doubtful" }), mark({ mark: "other_text", confirmed: true })], 0),
    ).toEqual([]);
  });
});

describe("print without a label", () => {
  const free = (printed: string, line: number, name: string) =>
    mark({
      printed,
      mark: name,
      line,
      id: `${line}${name}`,
      span: [0, printed.length],
      named_by: "place",
      standing: "doubtful",
      reasons: ["named_by_place"],
    });
  const line = (index: number, x_height_px: number) => ({
    index,
    text: "",
    confidence: 1,
    polygon: [],
    item: 0,
    x_height_px,
  });

  it("is one row a piece of ink however often it is offered, the largest letters first, then as it stands", () => {
    const marks = [
      free("9417", 1, "model"),
      free("9417", 1, "lot"),
      free("KEEP DRY", 2, "manufacturer"),
      free("TAMBERLOW", 0, "manufacturer"),
    ];
    const rows = freePrint(marks, 0, [line(0, 30), line(1, 14), line(2, 14)]);
    expect(rows.map((row) => row.mark.printed)).toEqual(["TAMBERLOW", "9417", "KEEP DRY"]);
    expect(rows[1]!.offered).toEqual(["model", "lot"]);
  });

  it("is free no longer once a person has said what it is", () => {
    const named = {
      ...free("9417", 1, "lot"),
      named_by: "person" as const,
      standing: "read" as const,
      confirmed: true,
    };
    expect(freePrint([named], 0, [])).toEqual([]);
    expect(shown([named], 0)).toHaveLength(1);
  });

  it("is set aside where a person said that it is no mark", () => {
    const said = { ...free("KEEP DRY", 2, "other_text"), named_by: "person" as const, confirmed: true };
    expect(setAside([said, mark()], 0).map((row) => row.mark.printed)).toEqual(["KEEP DRY"]);
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
