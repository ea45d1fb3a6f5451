import { type Request, type Response, Router } from "express";
import { rateLimit } from "express-rate-limit";
import { accountOf, type OnTheWay } from "../accounts/company.ts";
import type { FrontDoor } from "../accounts/front-door.ts";
import { nextPage } from "../accounts/next-page.ts";
import { sessionOf } from "../accounts/person-of.ts";
import { cookieOf, cookieOptions, sessionCookie, wayCookie } from "../accounts/session-cookie.ts";
import { beginSession, choosePassword, prove } from "../accounts/sign-in.ts";
import { HttpError } from "../errors.ts";
import { renderChoosePassword, renderSignIn } from "../pages/sign-in.ts";
import {
  ASK_ADMINISTRATOR,
  COMPANY_AWAY,
  COMPANY_FAILED,
  NOT_KNOWN_HERE,
  refusalText,
  TOO_MANY_FROM_HERE,
} from "../wording/accounts.ts";
import { fieldOf, smallForm } from "./form-fields.ts";

/** Failed attempts of one address, whatever the names: so many within so long. */
const MOST_FAILED = 30;
const WITHIN_MS = 600_000;

/** The way to the company's sign-in and back takes so long at most. Unit: ms. */
const ON_THE_WAY_MS = 600_000;

/**
 * `/sign-in` and `/sign-out`: where people come in and leave. All of these pages are open to everybody.
 *
 * @param report Is told why the company's sign-in failed; readers are only told that it did.
 */
export function signInRoutes(door: FrontDoor, report: (error: unknown) => void): Router {
  const router = Router();
  const { company } = door;
  const fewAttempts = rateLimit({
    windowMs: WITHIN_MS,
    limit: MOST_FAILED,
    skipSuccessfulRequests: true,
    legacyHeaders: false,
    standardHeaders: "draft-8",
    handler: () => {
      throw new HttpError(429, TOO_MANY_FROM_HERE, "Nothing was looked at.");
    },
  });
  router.use(["/sign-in", "/sign-out"], (_request, response, next) => {
    response.set("Cache-Control", "no-store");
    next();
  });

  router.get("/sign-in", async (request, response) => {
    const next = nextPage(request.query.next);
    if ((await sessionOf(door, request)) !== null) return response.redirect(303, next);
    response.type("html").send(renderSignIn({ next, name: "", refusal: null }, company !== null));
  });

  router.post("/sign-in", fewAttempts, smallForm, async (request, response) => {
    const [name, next] = [fieldOf(request, "name").trim(), nextPage(fieldOf(request, "next"))];
    const proof = await prove(door, name, fieldOf(request, "password"));
    if (proof.kind !== "proven") {
      const refusal = refusalText(proof, door.now());
      response
        .status(403)
        .type("html")
        .send(renderSignIn({ next, name, refusal }, company !== null));
    } else if (proof.account.password?.oneTimeUntilMs != null) {
      response.redirect(303, "/sign-in/password");
    } else {
      await signIn(door, request, response, proof.account.id);
      response.redirect(303, next);
    }
  });

  router.get("/sign-in/password", async (request, response) => {
    const name = (await sessionOf(door, request))?.account.name ?? "";
    response.type("html").send(renderChoosePassword({ name, refusal: null }));
  });

  router.post("/sign-in/password", fewAttempts, smallForm, async (request, response) => {
    const name = fieldOf(request, "name").trim();
    const choice = await choosePassword(door, {
      name,
      present: fieldOf(request, "password"),
      chosen: fieldOf(request, "chosen"),
      again: fieldOf(request, "again"),
    });
    if (choice.kind !== "proven") {
      const refusal = refusalText(choice, door.now());
      response
        .status(choice.kind === "unfit" ? 422 : 403)
        .type("html")
        .send(renderChoosePassword({ name, refusal }));
      return;
    }
    await signIn(door, request, response, choice.account.id);
    response.redirect(303, "/");
  });

  router.post("/sign-out", async (request, response) => {
    const found = await sessionOf(door, request);
    if (found !== null) await door.accounts.endSession(found.session.digest);
    response.clearCookie(sessionCookie(door.secure), cookieOptions(door.secure));
    response.redirect(303, "/sign-in");
  });

  if (company !== null) {
    const backTo = (request: Request) => new URL("/sign-in/company/back", door.addressFor(request));

    router.get("/sign-in/company", async (request, response) => {
      const begun = await company.begin(backTo(request), nextPage(request.query.next)).catch((error) => {
        report(withoutClaims(error));
        throw new HttpError(503, COMPANY_AWAY, "Try again in a minute, or sign in with a password.");
      });
      response.cookie(wayCookie(door.secure), packed(begun.onTheWay), {
        ...cookieOptions(door.secure),
        maxAge: ON_THE_WAY_MS,
      });
      response.redirect(303, begun.address.href);
    });

    router.get("/sign-in/company/back", async (request, response) => {
      const onTheWay = unpacked(cookieOf(request, wayCookie(door.secure)));
      // Used once, whatever comes of it.
      response.clearCookie(wayCookie(door.secure), cookieOptions(door.secure));
      if (onTheWay === null) throw new HttpError(403, COMPANY_FAILED, "Begin again from the sign-in page.");
      const cameTo = backTo(request);
      cameTo.search = new URL(request.originalUrl, cameTo).search;
      const person = await company.finish(cameTo, onTheWay).catch(async (error) => {
        report(withoutClaims(error));
        await door.accounts.noteRefusal(null, "company", door.now());
        throw new HttpError(403, COMPANY_FAILED, "Begin again from the sign-in page.");
      });
      const account = await accountOf(door.accounts, person);
      if (account === null) {
        await door.accounts.noteRefusal(null, "company", door.now());
        throw new HttpError(403, NOT_KNOWN_HERE, ASK_ADMINISTRATOR);
      }
      await signIn(door, request, response, account.id);
      response.redirect(303, nextPage(onTheWay.next));
    });
  }
  return router;
}

/** What went wrong, for the log: the library's errors carry what the provider told of a person along. */
function withoutClaims(error: unknown): Error {
  const { message, code } = error as Error & { readonly code?: string };
  return new Error(`The company\u2019s sign-in: ${message}${code === undefined ? "" : ` (${code})`}`);
}

/** Begins a session with a secret of its own; the one that the browser had ends. */
async function signIn(
  door: FrontDoor,
  request: Request,
  response: Response,
  accountId: number,
): Promise<void> {
  const before = await sessionOf(door, request);
  if (before !== null) await door.accounts.endSession(before.session.digest);
  const secret = await beginSession(door, accountId);
  // Without an end of its own: it goes when the browser is closed.
  response.cookie(sessionCookie(door.secure), secret, cookieOptions(door.secure));
}

function packed(onTheWay: OnTheWay): string {
  return Buffer.from(JSON.stringify(onTheWay)).toString("base64url");
}

/** null where a browser brings something else. */
function unpacked(text: string | null): OnTheWay | null {
  try {
    const value = JSON.parse(Buffer.from(text ?? "", "base64url").toString()) as Partial<OnTheWay> | null;
    const { state, nonce, verifier, next } = value ?? {};
    const isWhole = [state, nonce, verifier, next].every((one) => typeof one === "string" && one !== "");
    return isWhole ? (value as OnTheWay) : null;
  } catch {
    return null;
  }
}
