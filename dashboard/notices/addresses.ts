import { BlockList, isIP, isIPv4 } from "node:net";

/** One address alone, with nothing that could begin another one or a header of its own. */
export function isEmailAddress(text: string): boolean {
  return text.length <= 254 && /^[^\s@,;:<>()[\]\\"\p{C}]+@[^\s@,;:<>()[\]\\"\p{C}]+$/u.test(text);
}

/**
 * Whether a web address may be called at all, by how it is written.
 *
 * @param inside Whether this machine and private networks are allowed, and plain HTTP with them.
 */
export function isWebhookAddress(text: string, inside: boolean): boolean {
  if (text.length > 2000 || !URL.canParse(text)) return false;
  const { protocol, username, password, hostname } = new URL(text);
  if (username !== "" || password !== "") return false;
  if (protocol !== "https:" && !(inside && protocol === "http:")) return false;
  const host = hostname.replace(/^\[|\]$/g, "");
  return inside || isIP(host) === 0 || isPublic(host);
}

/**
 * Whether an IP address is one of the public network: neither this machine nor a private network, nor one that
 * stands for such an address in another form.
 *
 * Source: the special-purpose address registries of IANA (RFC 6890 and its updates).
 */
export function isPublic(ip: string): boolean {
  return isIPv4(ip)
    ? !SPECIAL_V4.check(ip, "ipv4")
    : GLOBAL_V6.check(ip, "ipv6") && !SPECIAL_V6.check(ip, "ipv6");
}

const SPECIAL_V4 = blocks("ipv4", [
  ["0.0.0.0", 8],
  ["10.0.0.0", 8],
  ["100.64.0.0", 10],
  ["127.0.0.0", 8],
  ["169.254.0.0", 16],
  ["172.16.0.0", 12],
  ["192.0.0.0", 24],
  ["192.0.2.0", 24],
  ["192.88.99.0", 24],
  ["192.168.0.0", 16],
  ["198.18.0.0", 15],
  ["198.51.100.0", 24],
  ["203.0.113.0", 24],
  ["224.0.0.0", 4],
  ["240.0.0.0", 4],
]);

const GLOBAL_V6 = blocks("ipv6", [["2000::", 3]]);

/** Within the global ones: protocol assignments, documentation, and IPv4 in disguise. */
const SPECIAL_V6 = blocks("ipv6", [
  ["2001::", 23],
  ["2001:db8::", 32],
  ["2002::", 16],
  ["3fff::", 20],
]);

function blocks(family: "ipv4" | "ipv6", ranges: readonly (readonly [string, number])[]): BlockList {
  const list = new BlockList();
  for (const [network, prefix] of ranges) list.addSubnet(network, prefix, family);
  return list;
}
