import * as oidc from "openid-client";
import { type Account, type Accounts, byHand, type CompanySubject } from "../../ingest/index.ts";

/** The company's own sign-in: an OpenID Connect provider, and as whom this server is registered there. */
export interface CompanySettings {
  readonly issuer: URL;
  readonly clientId: string;
  readonly clientSecret: string;
}

/** What the browser keeps between leaving for the provider and coming back. */
export interface OnTheWay {
  readonly state: string;
  readonly nonce: string;
  readonly verifier: string;
  readonly next: string;
}

/** A person as the provider tells of them. */
export interface CompanyPerson extends CompanySubject {
  /** null where there is none, or where the provider does not say that it is verified. */
  readonly email: string | null;
}

/**
 * Signs people in by the company's provider: authorization code with PKCE, state and nonce (OpenID Connect Core 1.0,
 * section 3.1; RFC 9700).
 *
 * @remarks The library checks the answer's state and issuer, the signature of the ID token, its issuer, audience, nonce
 *   and times. Whatever it finds amiss it throws.
 */
export class CompanySignIn {
  readonly #settings: CompanySettings;
  #provider: Promise<oidc.Configuration> | null = null;

  constructor(settings: CompanySettings) {
    this.#settings = settings;
  }

  /** @param backTo Where the provider sends the browser afterwards, as registered there. */
  async begin(backTo: URL, next: string): Promise<{ readonly address: URL; readonly onTheWay: OnTheWay }> {
    const provider = await this.#discovered();
    const onTheWay = {
      state: oidc.randomState(),
      nonce: oidc.randomNonce(),
      verifier: oidc.randomPKCECodeVerifier(),
      next,
    };
    const address = oidc.buildAuthorizationUrl(provider, {
      redirect_uri: backTo.href,
      scope: "openid email",
      state: onTheWay.state,
      nonce: onTheWay.nonce,
      code_challenge: await oidc.calculatePKCECodeChallenge(onTheWay.verifier),
      code_challenge_method: "S256",
    });
    return { address, onTheWay };
  }

  /** @param cameTo The address to which the browser came back, in full. */
  async finish(cameTo: URL, { state, nonce, verifier }: OnTheWay): Promise<CompanyPerson> {
    const provider = await this.#discovered();
    const tokens = await oidc.authorizationCodeGrant(provider, cameTo, {
      expectedState: state,
      expectedNonce: nonce,
      pkceCodeVerifier: verifier,
      idTokenExpected: true,
    });
    const claims = tokens.claims()!;
    const asksFurther =
      claims.email === undefined && provider.serverMetadata().userinfo_endpoint !== undefined;
    const { email, email_verified: isVerified } = asksFurther
      ? await oidc.fetchUserInfo(provider, tokens.access_token, claims.sub)
      : claims;
    return {
      issuer: claims.iss,
      subject: claims.sub,
      email: isVerified === true && typeof email === "string" ? email : null,
    };
  }

  /** What the provider says of itself, asked for once; again where it could not be reached. */
  #discovered(): Promise<oidc.Configuration> {
    const { issuer, clientId, clientSecret } = this.#settings;
    // Plain HTTP only where the settings allow it: to a provider on this machine.
    const insecure = issuer.protocol === "http:" ? [oidc.allowInsecureRequests] : [];
    // Without being asked, the library leaves the signature to HTTPS, as the standard lets it.
    const options = { execute: [oidc.enableNonRepudiationChecks, ...insecure] };
    this.#provider ??= oidc.discovery(issuer, clientId, clientSecret, undefined, options).catch((error) => {
      this.#provider = null;
      throw error;
    });
    return this.#provider;
  }
}

/**
 * Whose account a person of the company's sign-in has: by subject, the first time by verified e-mail address.
 *
 * @returns null where there is none that may be used.
 */
export async function accountOf(accounts: Accounts, person: CompanyPerson): Promise<Account | null> {
  const { issuer, subject, email } = person;
  const known = await accounts.findBySubject({ issuer, subject });
  if (known !== null) return known.disabledAtMs === null ? known : null;
  const account = email === null ? null : await accounts.findByEmail(email);
  if (account === null || account.disabledAtMs !== null || account.subject !== null) return null;
  await byHand({ who: account.name, way: "page" }, () =>
    accounts.change(account.id, { subject: { issuer, subject } }),
  );
  return account;
}
