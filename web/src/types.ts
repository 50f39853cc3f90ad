/** What the server answers: the public contract of a check, and the rows of the API. */
export type Outcome = "conflict" | "missing" | "cannot_tell" | "no_conflict_found";
export type AspectState = Outcome | "not_looked_at";
export type Standing = "read" | "doubtful" | "absent";
export type Severity = "conflict" | "missing" | "caution" | "note";
export type Surface = "facepiece" | "strap" | "pouch" | "inner_box" | "carton" | "leaflet";
export type Whole = "yes" | "no" | "unknown";
/** How ink got its name: a word beside it, its form, a guess from its place, or a person. */
export type NamedBy = "label" | "form" | "place" | "person";
export type Basis = "reading" | "confirmed";
export type Point = [number, number];
export type Polygon = Point[];
export type ListState =
  | "listed_agrees"
  | "listed_differs"
  | "listed_ended"
  | "near"
  | "not_listed"
  | "list_too_old"
  | "no_list_for_scheme"
  | "nothing_to_look_up";

export interface Alternative {
  printed: string;
  value: string;
  probability: number;
}

export interface Mark {
  mark: string;
  printed: string;
  value: string;
  standing: Standing;
  probability: number;
  alternatives: Alternative[];
  polygon: Polygon;
  readers: string[];
  doubtful_at: number[];
  line: number | null;
  scheme: string;
  confirmed: boolean;
  /** Names the mark within its photo; empty for one that is absent. */
  id: string;
  named_by: NamedBy;
  /** Why it is doubtful, by name. */
  reasons: string[];
  /** Where the ink stands in the text of its line; the same ink may be offered under several names. */
  span: [number, number] | null;
}

export interface Finding {
  rule: string;
  scheme: string;
  severity: Severity;
  aspect: string;
  question: boolean;
  values: Record<string, string>;
  marks: string[];
  says: string;
  source: string;
}

export interface Line {
  index: number;
  text: string;
  confidence: number;
  polygon: Polygon;
  item: number;
  x_height_px: number;
}

export interface FieldCompared {
  field: string;
  state: "agrees" | "doubtful" | "differs" | "not_on_entry" | "not_read";
  printed: string;
  listed: string;
  note: string;
}

export interface NearLetter {
  printed: string | null;
  listed: string | null;
  differs: boolean;
}

export interface NearEntry {
  approval_number: string;
  holder: string;
  distance: number;
  letters: NearLetter[];
}

/** A name or model of an entry looked for in the lines: a question, no reading. */
export interface Searched {
  field: "manufacturer" | "model";
  state: "printed" | "near" | "not_seen";
  listed: string;
  holder: string;
  approval_number: string;
  printed: string;
  photo: number;
  line: number | null;
  span: [number, number] | null;
  mark_id: string;
  says: string;
}

export interface HolderMatch {
  state: ListState;
  looked_up: string;
  holder: string;
  status: string;
  fields: FieldCompared[];
  near: NearEntry[];
  /** Not in a copy that was kept on the phone before the list was searched. */
  searched?: Searched[];
  list_name: string;
  list_edition: number | null;
  list_checked_on: string | null;
  list_age_days: number | null;
  list_too_old: boolean;
  fictional: boolean;
  question: boolean;
  says: string;
}

export interface Item {
  polygon: Polygon;
  surface: Surface;
  whole: Whole;
  schemes: string[];
  marks: Mark[];
  findings: Finding[];
  holder_match: HolderMatch;
}

export interface QualityFact {
  fact: string;
  value: number;
  unit: string;
  limit: number;
  state: "good" | "poor" | "not_measured";
  advice: string;
}

export interface Check {
  photo: string;
  sha256: string;
  on: string;
  outcome: Outcome;
  basis: Basis;
  aspects: Record<string, AspectState>;
  items: Item[];
  scheme: string;
  marks: Record<string, Mark>;
  lines: Line[];
  findings: Finding[];
  holder_match: HolderMatch;
  photo_quality: QualityFact[];
  milliseconds: number;
  readers: string[];
  notes: string[];
  width: number;
  height: number;
  turn: number;
  rules_edition: string;
  caveat: string;
}

export interface UnitRow {
  unit_id: string;
  label: string;
  count: number;
  consignment_id: string | null;
  place: string;
  made_at: string;
  outcome: Outcome | null;
  basis: Basis | null;
  photo_ids: string[];
  scheme: string;
  approval_number: string;
  holder: string;
}

export interface PhotoRow {
  photo_id: string;
  surface: Surface;
  whole: Whole;
  declared: string[];
  width: number;
  height: number;
  sha256: string;
  served_sha256: string;
  reduced: boolean;
  replaced_by: string | null;
}

export interface CheckRow {
  check_id: string;
  photo_id: string;
  made_at: string;
  on: string;
  basis: Basis;
  check: Check;
}

export interface Confirmation {
  confirmation_id: string;
  photo_id: string;
  item: number | null;
  mark: string | null;
  mark_id: string;
  /** What the person says that the ink is; empty where it is what it was read as. */
  named: string;
  scheme: string;
  occurrence: number;
  printed: string | null;
  from: string | null;
  read_as: string;
  withdraws: string | null;
  in_force: boolean;
  by: { name: string; at: string };
}

/** A mark where it stands: `photo` is a position in `photo_ids`, `item` one in that photo's items. */
export interface Place {
  photo: number;
  item: number;
  surface: Surface;
  mark: Mark;
}

export interface UnitFinding extends Finding {
  places: Place[];
}

export interface OtherItem {
  photo: number;
  item: number;
  outcome: Outcome;
  findings: Finding[];
  holder_match: HolderMatch;
}

/** Several photos of one unit checked together. */
export interface UnitCheck {
  unit_check_id: string;
  photo_ids: string[];
  check: {
    outcome: Outcome;
    basis: Basis;
    aspects: Record<string, AspectState>;
    scheme: string;
    marks: Record<string, Place>;
    placed: Place[];
    findings: UnitFinding[];
    holder_match: HolderMatch;
    others: OtherItem[];
  };
}

/** A sentence of the sampling, with the key and the values that it was made from. */
export interface Statement {
  key: string;
  values: Record<string, string | number | null>;
  text: string;
}

/** What a person decided on a unit or a consignment. */
export interface Decision {
  decision_id: string;
  disposition: string;
  /** D0 to D10; not in a copy that was kept on the phone before there were codes. */
  code?: string;
  reason: string;
  limits: string;
  until?: string | null;
  about?: string;
  by: { name: string; at: string };
}

export interface Unit {
  unit_id: string;
  label: string;
  count: number;
  consignment_id: string | null;
  place: string;
  made_at: string;
  held: boolean;
  photos: PhotoRow[];
  unit_check: UnitCheck | null;
  checks: CheckRow[];
  confirmations: Confirmation[];
  decisions: Decision[];
}

export interface Job {
  job_id: string;
  state: "waiting" | "reading" | "done" | "failed";
  stage: string;
  check_id: string | null;
  error: { code: string; message: string } | null;
}

export interface About {
  version: string;
  rules_edition: string;
  readers: string[];
  list: { name: string; edition: number; checked_on: string; entries: number; fictional: boolean } | null;
  demo: boolean;
  languages: string[];
}
