export const dash = (text: string | null): string => (text === null || text === "" ? "–" : text);
