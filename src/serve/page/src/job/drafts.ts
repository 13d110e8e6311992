/** What was typed and is not on the disk yet, kept by the browser across reloads. */
export interface Draft {
  text: string;
  /** The text on the disk that the typing began from, and its version. */
  base: string;
  version: string;
}

const slot = (name: string) => `swingtie-draft:${name}`;

export function keepDraft(name: string, draft: Draft): void {
  try {
    localStorage.setItem(slot(name), JSON.stringify(draft));
  } catch {
    // Private windows have no storage; the disk follows half a second later anyway.
  }
}

export function readDraft(name: string): Draft | null {
  try {
    const found = localStorage.getItem(slot(name));
    return found === null ? null : (JSON.parse(found) as Draft);
  } catch {
    return null;
  }
}

export function dropDraft(name: string): void {
  try {
    localStorage.removeItem(slot(name));
  } catch {
    // Nothing was kept either.
  }
}
