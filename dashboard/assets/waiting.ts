/** Asks for the page that is waited for until it is there, and tells how far it is. */

const ASK_EVERY_MS = 1500;

async function ask(): Promise<void> {
  const answer = await fetch(location.href, { headers: { accept: "text/html" } });
  if (answer.status !== 503) return location.reload();
  const page = new DOMParser().parseFromString(await answer.text(), "text/html");
  const [shown, wanted] = [document, page].map((where) => where.querySelector("#stage"));
  if (shown && wanted && shown.textContent !== wanted.textContent) shown.textContent = wanted.textContent;
  later();
}

function later(): void {
  setTimeout(() => void ask().catch(later), ASK_EVERY_MS);
}

later();
