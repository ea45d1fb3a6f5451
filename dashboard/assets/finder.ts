/**
 * The finder at the top of every page: "/" jumps into it, names appear while one types, arrow keys choose.
 * Without this script it is a plain form that leads to /find.
 */

interface Found {
  readonly name: string;
  readonly kind: "unit" | "site" | "lot";
  readonly at: string | null;
  readonly href: string;
}

const WAIT_MS = 120;
const MOST = 8;
const KEY_SETTING = "springtide.finder-key";

const input = document.querySelector<HTMLInputElement>("#finder");
const keySwitch = document.querySelector<HTMLButtonElement>("#finder-key");
if (input !== null) start(input);

function start(input: HTMLInputElement): void {
  const list = document.createElement("ul");
  list.id = "finder-list";
  list.role = "listbox";
  list.ariaLabel = "Found";
  list.hidden = true;
  input.after(list);
  input.role = "combobox";
  input.ariaAutoComplete = "list";
  input.ariaExpanded = "false";
  input.setAttribute("aria-controls", list.id);

  let found: readonly Found[] = [];
  let chosen = -1;
  let timer = 0;

  const close = (): void => {
    list.hidden = true;
    input.ariaExpanded = "false";
    input.removeAttribute("aria-activedescendant");
    chosen = -1;
  };
  const choose = (index: number): void => {
    chosen = index;
    for (const [i, option] of [...list.children].entries()) option.ariaSelected = String(i === index);
    const id = list.children[index]?.id;
    if (id === undefined) input.removeAttribute("aria-activedescendant");
    else input.setAttribute("aria-activedescendant", id);
  };
  const look = async (): Promise<void> => {
    const sought = input.value.trim();
    if (sought === "") return close();
    const answer = await fetch(`/find?format=json&q=${encodeURIComponent(sought)}`);
    // A slow answer to an older question is dropped.
    if (!answer.ok || input.value.trim() !== sought) return;
    found = ((await answer.json()) as { found: Found[] }).found.slice(0, MOST);
    list.replaceChildren(...found.map(optionOf));
    choose(-1);
    list.hidden = found.length === 0;
    input.ariaExpanded = String(found.length > 0);
  };

  input.addEventListener("input", () => {
    clearTimeout(timer);
    timer = window.setTimeout(() => void look().catch(close), WAIT_MS);
  });
  input.addEventListener("keydown", (event) => {
    if (event.key === "Escape") close();
    if (list.hidden) return;
    if (event.key === "ArrowDown" || event.key === "ArrowUp") {
      event.preventDefault();
      const step = event.key === "ArrowDown" ? 1 : -1;
      choose((chosen + step + found.length + (chosen === -1 && step === -1 ? 1 : 0)) % found.length);
    }
    const entry = found[chosen];
    if (event.key === "Enter" && entry !== undefined) {
      event.preventDefault();
      location.assign(entry.href);
    }
  });
  // The press, not the click: by then the field would have lost the focus and closed the list.
  list.addEventListener("pointerdown", (event) => {
    const option = (event.target as Element).closest("[role=option]");
    const entry = option === null ? undefined : found[[...list.children].indexOf(option)];
    if (entry !== undefined) location.assign(entry.href);
  });
  input.addEventListener("blur", close);
  startKey(input);
}

function optionOf({ name, kind, at }: Found, i: number): HTMLLIElement {
  const option = document.createElement("li");
  option.id = `finder-option-${i}`;
  option.role = "option";
  const what = document.createElement("small");
  what.textContent = kind === "unit" ? (at ?? "unit") : kind === "lot" ? "fluid lot" : "site";
  option.append(name, what);
  return option;
}

/** A single key may get in the way of speech input, so it can be turned off (WCAG 2.2, 2.1.4). */
function startKey(input: HTMLInputElement): void {
  let on = localStorage.getItem(KEY_SETTING) !== "off";
  const show = (): void => {
    if (keySwitch === null) return;
    keySwitch.hidden = false;
    keySwitch.textContent = `Key / opens the finder: ${on ? "on" : "off"}`;
  };
  keySwitch?.addEventListener("click", () => {
    on = !on;
    localStorage.setItem(KEY_SETTING, on ? "on" : "off");
    show();
  });
  show();
  document.addEventListener("keydown", (event) => {
    const typing = (event.target as Element).closest("input, select, textarea, [contenteditable]") !== null;
    if (!on || event.key !== "/" || typing || event.ctrlKey || event.metaKey || event.altKey) return;
    event.preventDefault();
    input.focus();
    input.select();
  });
}
