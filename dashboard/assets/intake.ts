/**
 * Files dropped on the page are sent like those of the form, with how far they have come; the answer takes the place
 * of what the page shows. Without this script the form does the same.
 */

const form = document.querySelector<HTMLFormElement>("#send");
if (form !== null) start(form);

function start(form: HTMLFormElement): void {
  const input = form.querySelector<HTMLInputElement>("input[type=file]")!;
  form.classList.add("drop");

  form.addEventListener("submit", (event) => {
    event.preventDefault();
    if (input.files !== null && input.files.length > 0) send(form, [...input.files]);
  });
  for (const type of ["dragover", "dragleave", "drop"] as const) {
    form.addEventListener(type, (event) => {
      event.preventDefault();
      form.classList.toggle("over", type === "dragover");
      const files = [...(event.dataTransfer?.files ?? [])];
      if (type === "drop" && files.length > 0) send(form, files);
    });
  }
}

function send(form: HTMLFormElement, files: readonly File[]): void {
  const told = form.querySelector<HTMLElement>("[role=status]")!;
  const bar = form.querySelector<HTMLProgressElement>("progress")!;
  const button = form.querySelector<HTMLButtonElement>("button")!;
  const data = new FormData();
  for (const file of files) data.append("files", file);

  button.disabled = true;
  bar.hidden = false;
  told.textContent = files.length === 1 ? `Sending ${files[0]!.name}` : `Sending ${files.length} files`;
  // Only this kind of request tells how much has been sent.
  const request = new XMLHttpRequest();
  request.open("POST", form.action);
  request.responseType = "document";
  request.upload.addEventListener("progress", ({ loaded, total }) => {
    bar.value = total > 0 ? loaded / total : 0;
  });
  request.upload.addEventListener("load", () => {
    bar.removeAttribute("value");
    told.textContent = "Sent; being read";
  });
  request.addEventListener("load", () => show(request.responseXML, told));
  request.addEventListener("error", () => {
    told.textContent = "The connection broke off. Nothing is half kept: send the files again.";
  });
  request.addEventListener("loadend", () => {
    button.disabled = false;
    bar.hidden = true;
  });
  request.send(data);
}

/** Puts what the answer says in the place of what is shown. */
function show(answer: Document | null, told: HTMLElement): void {
  const content = answer?.querySelector("main");
  const main = document.querySelector("main");
  if (!content || !main) {
    told.textContent = "The answer cannot be shown: load the page again.";
    return;
  }
  main.replaceChildren(...content.childNodes);
  document.title = answer!.title;
  const again = document.querySelector<HTMLFormElement>("#send");
  if (again !== null) start(again);
  document.querySelector<HTMLElement>("#report-head")?.focus();
}
