/** The phone's time as ISO 8601 with its offset, as the server's `X-Clock` header wants it. */
export function clock(date: Date = new Date()): string {
  const minutes = -date.getTimezoneOffset();
  const sign = minutes < 0 ? "-" : "+";
  const two = (value: number) => String(Math.floor(Math.abs(value))).padStart(2, "0");
  const local = new Date(date.getTime() + minutes * 60_000).toISOString().slice(0, 23);
  return `${local}${sign}${two(minutes / 60)}:${two(minutes % 60)}`;
}
