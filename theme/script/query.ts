// The codec of a calculation's inputs in links and addresses; the counterpart of calculators/kit.Parse and Canonical. Both
// are tested against calculators/kit/testdata/queries.json.

/** The inputs of a query, as a link writes them, in the order in which they were given. */
export function pairsOf(query: string): Map<string, string> {
  const pairs = new Map<string, string>();
  const [head] = query.split("#", 1);
  const mark = head.indexOf("?");
  if (mark < 0) return pairs;
  for (const pair of head.slice(mark + 1).split("&")) {
    const equals = pair.indexOf("=");
    if (pair) pairs.set(decode(equals < 0 ? pair : pair.slice(0, equals)), equals < 0 ? "" : decode(pair.slice(equals + 1)));
  }
  return pairs;
}

// A percent sign that two digits do not follow is one; what is no text behind its percent signs stays as it stands.
function decode(value: string): string {
  try {
    return decodeURIComponent(value.replace(/%(?![0-9A-Fa-f]{2})/g, "%25"));
  } catch {
    return value;
  }
}

// What a fragment may hold stays readable.
const encode = (value: string): string =>
  encodeURIComponent(value).replace(/%(2F|2C|3A|40)/g, decodeURIComponent).replace(/[!'()*]/g, (c) => "%" + c.charCodeAt(0).toString(16).toUpperCase());

/** The inputs as they stand in a query behind its question mark. */
export const written = (pairs: Map<string, string>): string => [...pairs].map(([name, value]) => name + "=" + encode(value)).join("&");
