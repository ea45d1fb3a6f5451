import { createHash, randomUUID } from "node:crypto";
import { createServer, type IncomingMessage, type ServerResponse } from "node:http";
import type { AddressInfo } from "node:net";
import { text } from "node:stream/consumers";
import { exportJWK, generateKeyPair, SignJWT } from "jose";

export const CLIENT = { id: "springtide", secret: "a secret of the test's own" };

/** What the provider says of the person who signs in next, and what it gets wrong. */
export interface Says {
  subject: string;
  email?: string | undefined;
  verified?: boolean | undefined;
  nonce?: string;
  audience?: string;
  issuer?: string;
  /** ID token's end, from now. Unit: s. */
  endsIn?: number;
  /** Signs by a key that it does not publish. */
  strangeKey?: boolean;
  /** Whether the e-mail address is told only when asked for further. */
  emailLater?: boolean;
}

export interface Provider {
  readonly issuer: URL;
  says: Says;
  /** Where the browser is sent back to, for an address at which a sign-in begins. */
  approve(address: string): Promise<URL>;
  stop(): Promise<void>;
}

interface Granted {
  readonly challenge: string;
  readonly nonce: string;
  readonly redirectUri: string;
}

/** A small OpenID Connect provider on this machine: it approves whoever comes, and checks client, code and PKCE. */
export async function runProvider(): Promise<Provider> {
  const [own, strange] = await Promise.all([generateKeyPair("RS256"), generateKeyPair("RS256")]);
  const granted = new Map<string, Granted>();
  const server = createServer((request, response) => void answer(request, response));
  await new Promise<void>((resolve) => server.listen(0, "127.0.0.1", resolve));
  const issuer = new URL(`http://127.0.0.1:${(server.address() as AddressInfo).port}`);
  const provider: Provider = {
    issuer,
    says: { subject: "nobody" },
    approve: async (address) => {
      const { searchParams: asked } = new URL(address);
      const code = randomUUID();
      granted.set(code, {
        challenge: asked.get("code_challenge")!,
        nonce: asked.get("nonce")!,
        redirectUri: asked.get("redirect_uri")!,
      });
      const back = new URL(asked.get("redirect_uri")!);
      back.searchParams.set("code", code);
      back.searchParams.set("state", asked.get("state")!);
      back.searchParams.set("iss", issuer.href.replace(/\/$/, ""));
      return back;
    },
    stop: () => new Promise((resolve) => server.close(() => resolve())),
  };

  async function answer(request: IncomingMessage, response: ServerResponse): Promise<void> {
    const send = (status: number, body: unknown) =>
      response
        .writeHead(status, { "content-type": "application/json", connection: "close" })
        .end(JSON.stringify(body));
    const path = new URL(request.url!, issuer).pathname;
    const at = (name: string) => new URL(`/${name}`, issuer).href;
    const ownName = issuer.href.replace(/\/$/, "");
    if (path === "/.well-known/openid-configuration") {
      send(200, {
        issuer: ownName,
        authorization_endpoint: at("authorize"),
        token_endpoint: at("token"),
        jwks_uri: at("keys"),
        userinfo_endpoint: at("userinfo"),
        response_types_supported: ["code"],
        subject_types_supported: ["public"],
        id_token_signing_alg_values_supported: ["RS256"],
        code_challenge_methods_supported: ["S256"],
        authorization_response_iss_parameter_supported: true,
      });
    } else if (path === "/authorize") {
      response.writeHead(303, { location: (await provider.approve(at(request.url!.slice(1)))).href }).end();
    } else if (path === "/keys") {
      send(200, { keys: [{ ...(await exportJWK(own.publicKey)), alg: "RS256", use: "sig", kid: "1" }] });
    } else if (path === "/userinfo") {
      const { subject, email, verified } = provider.says;
      send(200, { sub: subject, email, email_verified: verified });
    } else if (path === "/token") {
      const sent = new URLSearchParams(await text(request));
      const code = sent.get("code") ?? "";
      const grant = granted.get(code);
      // A code is good for once (RFC 6749, 4.1.2).
      granted.delete(code);
      const isRight =
        grant !== undefined &&
        sent.get("redirect_uri") === grant.redirectUri &&
        sent.get("client_id") === CLIENT.id &&
        sent.get("client_secret") === CLIENT.secret &&
        createHash("sha256")
          .update(sent.get("code_verifier") ?? "")
          .digest("base64url") === grant.challenge;
      if (!isRight) return void send(400, { error: "invalid_grant" });
      const { says } = provider;
      const told = says.emailLater ? {} : { email: says.email, email_verified: says.verified };
      const nowS = Math.floor(Date.now() / 1000);
      const idToken = await new SignJWT({ ...told, nonce: says.nonce ?? grant.nonce })
        .setProtectedHeader({ alg: "RS256", kid: "1" })
        .setIssuer(says.issuer ?? ownName)
        .setSubject(says.subject)
        .setAudience(says.audience ?? CLIENT.id)
        .setIssuedAt(nowS - 3600)
        .setExpirationTime(nowS + (says.endsIn ?? 300))
        .sign((says.strangeKey ? strange : own).privateKey);
      send(200, { access_token: randomUUID(), token_type: "Bearer", expires_in: 300, id_token: idToken });
    } else {
      send(404, {});
    }
  }
  return provider;
}
