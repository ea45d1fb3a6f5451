import { closeSync, openSync, writeSync } from "node:fs";

/** Characters held back before they are written, so that memory stays flat whatever the length of the file. */
const CHUNK = 1 << 18;

/** A text file written piece by piece. */
export class ChunkedFile {
  private readonly descriptor: number;
  private text = "";

  constructor(path: string) {
    this.descriptor = openSync(path, "w");
  }

  append(text: string): void {
    this.text += text;
    if (this.text.length >= CHUNK) this.flush();
  }

  close(): void {
    this.flush();
    closeSync(this.descriptor);
  }

  private flush(): void {
    writeSync(this.descriptor, this.text);
    this.text = "";
  }
}
