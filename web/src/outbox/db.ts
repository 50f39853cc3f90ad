/**
 * What lies on the phone: everything that is to be sent (`parcels`, with the bytes of photos apart in
 * `files`), and the last answers of the server (`copies`), so that kept checks open with no network.
 */
import { type DBSchema, type IDBPDatabase, openDB } from "idb";

type ParcelState = "waiting" | "sent" | "refused";

export interface Parcel {
  id: string;
  kind: "photo" | "record" | "form";
  /** 0 goes first: quick copies and records; 1: full photos. */
  turn: 0 | 1;
  path: string;
  fields: Record<string, string>;
  body: unknown;
  media_type: string;
  /** The name of the attached file; a photo's name says nothing and is not kept. */
  file_name?: string;
  size: number;
  state: ParcelState;
  reason: string;
  actor: string;
  made_at: string;
  unit_id: string;
  answer: unknown;
}

interface StoredCopy {
  path: string;
  kept_at: string;
  answer: unknown;
}

interface Shelves extends DBSchema {
  parcels: { key: string; value: Parcel; indexes: { state: ParcelState } };
  files: { key: string; value: { id: string; bytes: ArrayBuffer } };
  copies: { key: string; value: StoredCopy };
}

let opened: Promise<IDBPDatabase<Shelves>> | null = null;

export function db(): Promise<IDBPDatabase<Shelves>> {
  opened ??= openDB<Shelves>("inkwitness", 1, {
    upgrade(base) {
      base.createObjectStore("parcels", { keyPath: "id" }).createIndex("state", "state");
      base.createObjectStore("files", { keyPath: "id" });
      base.createObjectStore("copies", { keyPath: "path" });
    },
  });
  return opened;
}

/** Closes the database; the next use opens it anew (tests start each from an empty one). */
export async function closeDb(): Promise<void> {
  if (opened !== null) (await opened).close();
  opened = null;
}
