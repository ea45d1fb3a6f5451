import { html } from "htm/preact";
import type { Subscription } from "../../ingest/index.ts";
import type { NoticeContent } from "../notices/content.ts";
import type { ChosenWay, NoticeFault, NoticesPage, NoticeTyped } from "../page-models/notices.ts";
import { noticeText } from "../wording/notices.ts";
import {
  deliveryText,
  NOTICES_FOLLOW,
  noticeFaultText,
  noticesHeadline,
  SECRET_ABOUT,
  WEBHOOK_ABOUT,
  WEEKDAYS,
  wayText,
} from "../wording/notices-page.ts";
import { choiceField, sitesField, textField } from "./field.ts";
import { type Html, renderPage } from "./layout.ts";

const ALL_SITES = "All that you see, also those to come";

/** What one is told of, how it went, and where more is chosen. */
export function renderNotices(page: NoticesPage): string {
  const { own, others, failed, asker, typed, refusal } = page;
  const headline = noticesHeadline(own.length, asker.account !== null);
  return renderPage({
    title: refusal === null ? headline : noticeFaultText(refusal),
    place: null,
    body: html`
      <h1>${headline}</h1>
      <p class="rests-on">${NOTICES_FOLLOW}</p>
      ${own.length === 0 ? null : html`<ul class="findings">${own.map(ownWay)}</ul>`}
      ${failed.length === 0 ? null : failedSection(page)}
      ${others.length === 0 ? null : othersSection(others)}
      <section aria-labelledby="choose-head">
        <h2 id="choose-head">Be told</h2>
        ${refusalLine(refusal)}
        <form action="/notices" method="post" class="note-form account" novalidate>
          ${choiceField(
            "way",
            "How",
            [
              { value: "email", label: "by e-mail", about: emailAbout(page) },
              { value: "webhook", label: "by webhook", about: "posted to a program, signed" },
            ],
            typed.way,
          )}
          ${asker.account === null ? textField("name", "Who", { value: typed.name, maxlength: 100, autocomplete: "name" }) : null}
          ${textField("address", "Address", { value: typed.address, maxlength: 2000, autocomplete: "off" }, WEBHOOK_ABOUT)}
          ${whatAndWhen(typed, asker.sites)}
          <p><button type="submit">Be told</button></p>
        </form>
      </section>
    `,
  });
}

/** Where one way of being told is changed. */
export function renderNoticeChoice(
  subscription: Subscription,
  typed: NoticeTyped,
  sites: readonly string[],
  refusal: NoticeFault | null,
): string {
  const heading = wayText(subscription);
  return renderPage({
    title: refusal === null ? heading : noticeFaultText(refusal),
    place: null,
    body: html`
      <p class="path"><a href="/notices">Notices</a></p>
      <h1>${heading}</h1>
      ${refusalLine(refusal)}
      <form action=${`/notices/${subscription.id}`} method="post" class="note-form account" novalidate>
        ${whatAndWhen(typed, sites)}
        <p><button type="submit">Keep it</button> <a href="/notices">Leave without keeping</a></p>
      </form>
    `,
  });
}

/** A webhook's secret, this once. */
export function renderSecret(secret: string): string {
  const heading = "The secret that calls are signed with";
  return renderPage({
    title: heading,
    place: null,
    body: html`
      <p class="path"><a href="/notices">Notices</a></p>
      <h1>${heading}</h1>
      <p class="secret"><code>${secret}</code></p>
      <p>${SECRET_ABOUT}</p>
    `,
  });
}

function ownWay({ subscription, latest }: ChosenWay): Html {
  const { id, name, accountId } = subscription;
  return html`
    <li>
      <b>${accountId === null ? `${name}: ` : null}${wayText(subscription)}</b> <a href=${`/notices/${id}`}>Change</a>
      ${latest.map((one) => html`<br /><small>${subjectOf(one.content)}: ${deliveryText(one)}</small>`)}
      ${oneButton(`/notices/${id}/trial`, "Send a trial")} ${oneButton(`/notices/${id}/end`, "Stop")}
    </li>
  `;
}

function failedSection({ failed }: NoticesPage): Html {
  return html`
    <section aria-labelledby="failed-head">
      <h2 id="failed-head">Not sent</h2>
      <ul class="findings">
        ${failed.map(
          (one) => html`
            <li>${one.to}: ${subjectOf(one.content)} <small>${deliveryText(one)}</small> ${oneButton(`/notices/unsent/${one.id}/again`, "Try again")}</li>
          `,
        )}
      </ul>
    </section>
  `;
}

function othersSection(others: readonly Subscription[]): Html {
  return html`
    <section aria-labelledby="others-head">
      <h2 id="others-head">Others are told</h2>
      <ul class="findings">
        ${others.map((one) => html`<li>${one.name}: ${wayText(one)} ${oneButton(`/notices/${one.id}/end`, "Stop")}</li>`)}
      </ul>
    </section>
  `;
}

function emailAbout({ asker: { account } }: NoticesPage): string {
  if (account === null) return "to the address below";
  return account.email === null ? "your account has no address yet" : `to ${account.email}`;
}

function whatAndWhen(typed: NoticeTyped, sites: readonly string[]): Html {
  return html`
    ${sitesField(sites, typed.sites, ALL_SITES)}
    <fieldset>
      <legend>When</legend>
      <label><input type="checkbox" name="at-once" value="yes" checked=${typed.atOnce} /><span>at once, when a unit or a lot turns</span></label>
      <label><input type="checkbox" name="digest" value="yes" checked=${typed.digest !== null} /><span>weekly, at the time below</span></label>
    </fieldset>
    <div class="field">
      <label for="weekday">Day of the week</label>
      <select id="weekday" name="weekday">
        ${WEEKDAYS.map((day, i) => html`<option value=${i + 1} selected=${typed.weekday === String(i + 1)}>${day}</option>`)}
      </select>
    </div>
    ${textField("hour", "Hour", { value: typed.hour, type: "number", min: 0, max: 23 })}
    ${textField("time-zone", "Time zone", { value: typed.timeZone, maxlength: 60, autocomplete: "off" }, "Like Europe/Berlin or UTC.")}
  `;
}

function refusalLine(refusal: NoticeFault | null): Html {
  return refusal === null ? null : html`<p class="refusal" role="alert">${noticeFaultText(refusal)}</p>`;
}

function subjectOf(content: string): string {
  return noticeText(JSON.parse(content) as NoticeContent).subject;
}

function oneButton(action: string, text: string): Html {
  return html`<form action=${action} method="post" class="one-button"><button type="submit">${text}</button></form>`;
}
