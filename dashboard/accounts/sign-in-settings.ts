import { CommandError, UsageError } from "../commands/errors.ts";
import type { CompanySettings } from "./company.ts";

/** How people sign in at a server, as the call and the environment say. */
export interface SignInSettings {
  /** Under which browsers reach the server where another one stands before it; null: under its own address. */
  readonly publicAddress: URL | null;
  /** How many servers stand before it that pass on, in X-Forwarded-For, from where a request came. */
  readonly proxies: number;
  readonly company: CompanySettings | null;
}

export interface SignInOptions {
  readonly signIn?: true;
  readonly publicAddress?: string;
  readonly proxies?: string;
}

type Environment = Readonly<Record<string, string | undefined>>;

/**
 * Reads how people sign in.
 *
 * @returns null where nobody is asked to: allowed on this machine's own addresses only.
 * @throws {CommandError} where the server would be open to others; {UsageError} for what cannot be read.
 */
export function readSignIn(env: Environment, options: SignInOptions, host: string): SignInSettings | null {
  const publicAddress = readPublicAddress(options.publicAddress ?? (env.SPRINGTIDE_PUBLIC_ADDRESS || null));
  const isAsked = options.signIn === true || isOn(env.SPRINGTIDE_SIGN_IN);
  if (!isAsked && (publicAddress !== null || !isLoopback(host))) {
    throw new CommandError(
      `${publicAddress === null ? host : publicAddress.origin} can be reached by others, and nobody would be asked who they are: add --sign-in, or leave --host and --public-address out for this machine only`,
    );
  }
  if (!isAsked) return null;
  if (publicAddress === null && !isLoopback(host)) {
    throw new CommandError(
      `passwords would cross the network unencrypted: let a server that speaks HTTPS stand before this one, and name its address with --public-address https://…`,
    );
  }
  return {
    publicAddress,
    proxies: readProxies(options.proxies ?? (env.SPRINGTIDE_PROXIES || null), publicAddress),
    company: readCompany(env),
  };
}

function isOn(value: string | undefined): boolean {
  if (value === undefined || value === "" || value === "0") return false;
  if (value === "1") return true;
  throw new UsageError(`SPRINGTIDE_SIGN_IN is 1 or 0, got "${value}"`);
}

function readPublicAddress(text: string | null): URL | null {
  if (text === null) return null;
  const url = URL.canParse(text) ? new URL(text) : null;
  const isPlain =
    url !== null && url.pathname === "/" && url.search === "" && url.hash === "" && url.username === "";
  if (isPlain && (url.protocol === "https:" || (url.protocol === "http:" && isLoopback(url.hostname))))
    return url;
  throw new UsageError(
    `--public-address takes an address like https://springtide.lab.example, without a path, got "${text}"`,
  );
}

function readProxies(text: string | null, publicAddress: URL | null): number {
  if (text === null) return publicAddress === null ? 0 : 1;
  if (/^\d$/.test(text)) return Number(text);
  throw new UsageError(`--proxies takes a whole number from 0 to 9, got "${text}"`);
}

const COMPANY_NAMES = [
  "SPRINGTIDE_OIDC_ISSUER",
  "SPRINGTIDE_OIDC_CLIENT_ID",
  "SPRINGTIDE_OIDC_CLIENT_SECRET",
] as const;

function readCompany(env: Environment): CompanySettings | null {
  const [issuer, clientId, clientSecret] = COMPANY_NAMES.map((name) => env[name] || null);
  const missing = COMPANY_NAMES.filter((name) => !env[name]);
  if (missing.length === COMPANY_NAMES.length) return null;
  if (!issuer || !clientId || !clientSecret) {
    throw new CommandError(`the company's sign-in needs ${missing.join(" and ")} in the environment too`);
  }
  const url = URL.canParse(issuer) ? new URL(issuer) : null;
  if (url?.protocol === "https:" || (url?.protocol === "http:" && isLoopback(url.hostname))) {
    return { issuer: url, clientId, clientSecret };
  }
  throw new CommandError(
    `SPRINGTIDE_OIDC_ISSUER takes an address like https://sign-in.company.example, got "${issuer}"`,
  );
}

/** Whether a name or an address stands for this machine alone. */
export function isLoopback(host: string): boolean {
  return (
    host === "localhost" ||
    host === "::1" ||
    host === "[::1]" ||
    /^127\.\d{1,3}\.\d{1,3}\.\d{1,3}$/.test(host)
  );
}
