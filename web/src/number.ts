/**
 * The short number of a consignment, made of its id: the same here and on the server, before and after
 * it was sent (`consignment/number.py`; the same vectors test both).
 */
const letters = "0123456789ABCDEFGHJKMNPQRSTVWXYZ";

function spelled(bits: bigint, count: number): string {
  let text = "";
  for (let place = count - 1; place >= 0; place--) text += letters[Number((bits >> BigInt(5 * place)) & 31n)];
  return text;
}

export function numberOf(id: string): string {
  const hex = id.replaceAll("-", "");
  const value = BigInt(`0x${hex}`);
  const tail = spelled(value, 5);
  if (hex[12] !== "7") return `${spelled(value >> 25n, 6)}-${tail}`;
  const day = new Date(Number(value >> 80n)).toISOString().slice(2, 10).replaceAll("-", "");
  return `${day}-${tail}`;
}
