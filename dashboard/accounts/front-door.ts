import type { Request } from "express";
import type { Accounts } from "../../ingest/index.ts";
import { CompanySignIn } from "./company.ts";
import type { SignedInBy } from "./person-of.ts";
import type { SignInSettings } from "./sign-in-settings.ts";

/** All that the pages of the sign-in need. */
export interface FrontDoor extends SignedInBy {
  /** null: no company's sign-in. */
  readonly company: CompanySignIn | null;
  /** As `SignInSettings` have them. */
  readonly proxies: number;
  readonly publicAddress: URL | null;
  /** Sites that units are registered at. */
  readonly sites: () => Promise<readonly string[]>;
  /** Our own address as browsers know it. */
  readonly addressFor: (request: Request) => URL;
}

export interface FrontDoorParts {
  readonly settings: SignInSettings;
  readonly accounts: Accounts;
  readonly sites: () => Promise<readonly string[]>;
  readonly now: () => number;
}

export function frontDoor({ settings, accounts, sites, now }: FrontDoorParts): FrontDoor {
  const { publicAddress, proxies, company } = settings;
  return {
    accounts,
    now,
    sites,
    beingNoted: new Set(),
    proxies,
    publicAddress,
    secure: publicAddress?.protocol === "https:",
    company: company === null ? null : new CompanySignIn(company),
    addressFor: (request) => publicAddress ?? new URL(`http://${request.headers.host ?? "localhost"}`),
  };
}
