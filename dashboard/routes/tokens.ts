import { type Request, type Response, Router } from "express";
import type { Account } from "../../ingest/index.ts";
import type { FrontDoor } from "../accounts/front-door.ts";
import { sessionOf } from "../accounts/person-of.ts";
import { isRole } from "../accounts/roles.ts";
import { LONGEST_TOKEN_DAYS, makeToken, tokenRoles } from "../accounts/tokens.ts";
import { DAY_MS, endOfDayMs, isoOfDay } from "../assessment/days.ts";
import { HttpError } from "../errors.ts";
import { renderNewToken, renderTokens, type TokenTyped } from "../pages/tokens.ts";
import {
  CHOOSE_ROLE,
  CHOOSE_SITES,
  LABEL_MISSING,
  lastDayText,
  SIGN_IN_FOR_TOKENS,
} from "../wording/accounts.ts";
import { fieldOf, smallForm, ticksOf } from "./form-fields.ts";

const MOST_LABEL = 100;

/** `/tokens`: what a person lets programs do in their name. A program itself makes no tokens. */
export function tokenRoutes(door: FrontDoor): Router {
  const router = Router();
  const { accounts, now } = door;
  router.use("/tokens", (_request, response, next) => {
    response.set("Cache-Control", "no-store");
    next();
  });

  const send = async (response: Response, account: Account, typed: TokenTyped, refusal: string | null) => {
    const [tokens, all] = await Promise.all([accounts.tokensOf(account.id), door.sites()]);
    const { earliest, latest } = lastDays(now());
    response.type("html").send(
      renderTokens({
        tokens,
        roles: tokenRoles(account),
        sites: account.sites ?? all,
        typed,
        earliest,
        latest,
        nowMs: now(),
        refusal,
      }),
    );
  };

  router.get("/tokens", async (request, response) => {
    const typed = { label: "", role: "reader", sites: null, ends: lastDays(now()).usual };
    await send(response, await whoIsSignedIn(door, request), typed, null);
  });

  router.post("/tokens", smallForm, async (request, response) => {
    const account = await whoIsSignedIn(door, request);
    const typed = typedOf(request);
    const refusal = refusalOf(typed, account, now());
    if (refusal !== null) {
      response.status(422);
      await send(response, account, typed, refusal);
      return;
    }
    const { label, role, sites, ends } = typed;
    const secret = await makeToken(accounts, {
      accountId: account.id,
      label,
      role,
      sites,
      madeAtMs: now(),
      endsAtMs: endOfDayMs(ends) + 1,
    });
    response.type("html").send(renderNewToken(label, secret));
  });

  router.post("/tokens/:number/revoke", async (request, response) => {
    const account = await whoIsSignedIn(door, request);
    await revoke(door, account, String(request.params.number));
    response.redirect(303, "/tokens");
  });
  return router;
}

/** Ends one of a person's tokens, and no other's. */
export async function revoke({ accounts, now }: FrontDoor, owner: Account, number: string): Promise<void> {
  const token = (await accounts.tokensOf(owner.id)).find(({ id }) => String(id) === number);
  if (token === undefined)
    throw new HttpError(404, `${owner.name} has no such token.`, "Their page lists all.");
  await accounts.revokeToken(token.id, now());
}

async function whoIsSignedIn(door: FrontDoor, request: Request): Promise<Account> {
  const found = request.headers.authorization === undefined ? await sessionOf(door, request) : null;
  if (found !== null) return found.account;
  throw new HttpError(403, SIGN_IN_FOR_TOKENS, "Open this page in a browser in which you are signed in.");
}

function typedOf(request: Request): TokenTyped {
  return {
    label: fieldOf(request, "label").trim(),
    role: fieldOf(request, "role"),
    sites: ticksOf(request, "all").length > 0 ? null : ticksOf(request, "site"),
    ends: fieldOf(request, "ends"),
  };
}

/** What stands against a token as it was asked for. */
function refusalOf({ label, role, sites, ends }: TokenTyped, account: Account, nowMs: number): string | null {
  if (label === "" || label.length > MOST_LABEL) return LABEL_MISSING;
  if (!isRole(role) || !tokenRoles(account).includes(role)) return CHOOSE_ROLE;
  const strange = sites?.some((site) => account.sites !== null && !account.sites.includes(site));
  if (sites?.length === 0 || strange === true) return CHOOSE_SITES;
  const { earliest, latest } = lastDays(nowMs);
  const isDay = /^\d{4}-\d{2}-\d{2}$/.test(ends) && !Number.isNaN(Date.parse(ends));
  return isDay && ends >= earliest && ends <= latest ? null : lastDayText(earliest, latest);
}

/** The days on which a token made now may end, and the one that is put forward. */
function lastDays(nowMs: number) {
  const today = nowMs / DAY_MS;
  return {
    earliest: isoOfDay(today),
    latest: isoOfDay(today + LONGEST_TOKEN_DAYS - 1),
    usual: isoOfDay(today + 90),
  };
}
