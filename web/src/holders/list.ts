/** The holder list as the API answers it. */
export interface Entry {
  scheme: string;
  approval_number: string;
  certificate_number: string;
  holder: string;
  private_labels: { name: string; models: string[] }[];
  filter_classes: string[];
  models: string[];
  status: string;
  source: string;
  checked_on: string | null;
  checked_by: string;
}
export interface ListInForce {
  name: string;
  edition: number | null;
  checked_on: string | null;
  age_days: number | null;
  too_old: boolean;
  entries: number;
  fictional: boolean;
}
export interface Edition {
  edition: number;
  name: string;
  entries: number;
  accepted_by: string;
  accepted_at: string;
  proposed_by: string;
}

export const dash = (text: string | null): string => (text === null || text === "" ? "–" : text);
