import { IDBFactory } from "fake-indexeddb";
import { beforeEach, describe, expect, it } from "vitest";
import { closeDb, db } from "../src/outbox/db";
import {
  again,
  all,
  bytesOf,
  drop,
  find,
  flush,
  inOrder,
  NoRoom,
  offline,
  put,
  signedOut,
  tidy,
  waitingCount,
} from "../src/outbox/outbox";

const answer = (status: number, body: unknown) => new Response(JSON.stringify(body), { status });
const photo = (id: string, turn: 0 | 1 = 0) => ({
  id,
  path: "/api/photos",
  actor: "Ines Okparo",
  unit_id: "u1",
  turn,
  bytes: new Uint8Array([1, 2, 3]).buffer,
  media_type: "image/jpeg",
  fields: { id },
});

beforeEach(async () => {
  await closeDb();
  globalThis.indexedDB = new IDBFactory();
});

describe("the outbox", () => {
  it("keeps a photo and its bytes before anything is sent", async () => {
    await put(photo("a"));
    expect((await find("a"))?.state).toBe("waiting");
    expect(new Uint8Array((await bytesOf("a"))!)).toEqual(new Uint8Array([1, 2, 3]));
    expect(waitingCount.value).toBe(1);
  });

  it("marks a photo sent, keeps the answer, and frees its bytes", async () => {
    await put(photo("a"));
    await flush(async () => answer(202, { job_id: "j" }));
    expect(await find("a")).toMatchObject({ state: "sent", answer: { job_id: "j" } });
    expect(await bytesOf("a")).toBeUndefined();
  });

  it("says who sends, and the phone's time with its offset", async () => {
    await put({ ...photo("a"), actor: "Zoë Ñandú" });
    let head: Headers | undefined;
    await flush(async (_path, options) => {
      head = new Headers(options?.headers);
      return answer(202, {});
    });
    expect(decodeURIComponent(head!.get("X-Actor")!)).toBe("Zoë Ñandú");
    expect(head!.get("X-Clock")).toMatch(/^\d{4}-\d\d-\d\dT\d\d:\d\d:\d\d\.\d{3}[+-]\d\d:\d\d$/);
  });

  it("sends what is attached to a form under its name, and frees its bytes", async () => {
    await put({
      id: "l",
      path: "/api/holders/look-ups",
      actor: "Ines Okparo",
      fields: { id: "l" },
      bytes: new Uint8Array([4, 5]).buffer,
      media_type: "image/png",
      file_name: "list.png",
    });
    let sent: FormData | undefined;
    await flush(async (_path, options) => {
      sent = options?.body as FormData;
      return answer(201, {});
    });
    expect((sent!.get("files") as File).name).toBe("list.png");
    expect(sent!.has("file")).toBe(false);
    expect(await find("l")).toMatchObject({ state: "sent", kind: "form" });
    expect(await bytesOf("l")).toBeUndefined();
  });

  it("keeps what somebody did until that person is signed in, and sends what is of who is", async () => {
    await put({ ...photo("a"), actor: "Bo Terrazin" });
    await put({ ...photo("b"), actor: "Ines Okparo" });
    const server = (who: string) => async (_path: unknown, options?: RequestInit) =>
      decodeURIComponent(new Headers(options?.headers).get("X-Actor")!) === who
        ? answer(202, {})
        : answer(403, { error: { code: "other_person", message: "Bo did this" } });
    await flush(server("Ines Okparo") as typeof fetch);
    expect((await find("a"))?.state).toBe("waiting");
    expect((await find("b"))?.state).toBe("sent");
    expect(offline.value).toBe(false);
    await flush(server("Bo Terrazin") as typeof fetch);
    expect((await find("a"))?.state).toBe("sent");
  });

  it("keeps everything while nobody is signed in, and says so", async () => {
    await put(photo("a"));
    await flush(async () => answer(401, { error: { code: "not_signed_in", message: "sign in" } }));
    expect((await find("a"))?.state).toBe("waiting");
    expect(signedOut.value).toBe(true);
  });

  it("refuses what a role does not cover, with the reason", async () => {
    await put(photo("a"));
    await flush(async () => answer(403, { error: { code: "not_allowed", message: "it takes a screener" } }));
    expect(await find("a")).toMatchObject({ state: "refused", reason: "it takes a screener" });
  });

  it("leaves everything waiting when there is no network, and sends it later", async () => {
    await put(photo("a"));
    await put(photo("b"));
    await flush(async () => {
      throw new TypeError("fetch failed");
    });
    expect((await all()).map(({ state }) => state)).toEqual(["waiting", "waiting"]);
    await flush(async () => answer(202, {}));
    expect((await all()).map(({ state }) => state)).toEqual(["sent", "sent"]);
  });

  it("keeps the server's reason when a photo is refused, keeps its bytes, and goes on with the next", async () => {
    await put(photo("a"));
    await put(photo("b"));
    let n = 0;
    await flush(async () =>
      n++ === 0 ? answer(415, { error: { code: "not_a_photo", message: "This file is no photo." } }) : answer(202, {}),
    );
    expect(await find("a")).toMatchObject({ state: "refused", reason: "This file is no photo." });
    expect(await bytesOf("a")).toBeDefined();
    expect((await find("b"))?.state).toBe("sent");
  });

  it("waits when the server is broken or busy: the photo is not at fault", async () => {
    for (const status of [500, 503, 429]) {
      await put(photo(`a${status}`));
      await flush(async () => answer(status, {}));
      expect((await find(`a${status}`))?.state).toBe("waiting");
    }
  });

  it("sends quick copies and records before full photos, and each in the order made", async () => {
    const parcels = [photo("1", 1), photo("2"), photo("3", 1), photo("4")];
    for (const parcel of parcels) await put(parcel);
    const sent: string[] = [];
    await flush(async (_path, options) => {
      sent.push(String((options!.body as FormData).get("id")));
      return answer(202, {});
    });
    expect(sent).toEqual(["2", "4", "1", "3"]);
  });

  it("never sends a refused or sent parcel again by itself", async () => {
    const parcels = await Promise.all([put(photo("a")), put(photo("b"))]);
    expect(
      inOrder([
        { ...parcels[0]!, state: "refused" },
        { ...parcels[1]!, state: "sent" },
      ]),
    ).toEqual([]);
  });

  it("tries a refused parcel again when a person asks, and takes one off when a person asks", async () => {
    await put(photo("a"));
    await flush(async () => answer(413, {}));
    const before = globalThis.fetch;
    globalThis.fetch = async () => answer(202, {});
    await again("a");
    globalThis.fetch = before;
    expect((await find("a"))?.state).toBe("sent");
    await drop("a");
    expect(await find("a")).toBeUndefined();
  });

  it("survives the page being closed in the middle: what was not answered still waits", async () => {
    await put(photo("a"));
    await closeDb();
    expect((await find("a"))?.state).toBe("waiting");
  });

  it("says so when the phone is full, and then keeps no half of a photo", async () => {
    const base = await db();
    const real = base.transaction.bind(base);
    // A phone cannot be filled in a test: the store answers as a full one does.
    Object.defineProperty(base, "transaction", {
      configurable: true,
      value: () => {
        throw new DOMException("full", "QuotaExceededError");
      },
    });
    await expect(put(photo("a"))).rejects.toBeInstanceOf(NoRoom);
    Object.defineProperty(base, "transaction", { configurable: true, value: real });
    expect(await find("a")).toBeUndefined();
    expect(await bytesOf("a")).toBeUndefined();
  });

  it("forgets old sent parcels, never waiting ones", async () => {
    for (const id of ["1", "2", "3"]) await put(photo(id));
    await flush(async () => answer(202, {}));
    await put(photo("0"));
    await tidy(1);
    expect((await all()).map(({ id }) => id)).toEqual(["3", "0"]);
  });

  it("sends a form with no file as a form", async () => {
    await put({ id: "f", path: "/api/holders/look-ups", actor: "A", fields: { answer: "not_listed" } });
    let body: unknown;
    await flush(async (_path, options) => {
      body = options?.body;
      return answer(201, {});
    });
    expect((body as FormData).get("answer")).toBe("not_listed");
  });
});
