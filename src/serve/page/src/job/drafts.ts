/** What was typed and is not on the disk yet, kept by the browser across reloads. */
export interface Draft {
  text: string;
  /** The text on the disk that the typing began from, and its version. */
  base: string;
  version: string;
  /** When it was kept, in milliseconds since 1970. */
  when: number;
}

// Every open page keeps a slot of its own: two tabs on one job must not write over each other's typing.
const begin = 'swingtie-draft:';
const slot = (page: string, name: string) => `${begin}${page}:${name}`;

/** @param page  names the open page: another one may have typed into the same job */
export function keepDraft(page: string, name: string, draft: Draft): void {
  try {
    localStorage.setItem(slot(page, name), JSON.stringify(draft));
  } catch {
    // Private windows have no storage; the disk follows half a second later anyway.
  }
}

export function dropDraft(page: string, name: string): void {
  try {
    localStorage.removeItem(slot(page, name));
  } catch {
    // Nothing was kept either.
  }
}

/** What was typed into a job on any page and is not on the disk, the oldest first. */
export function readDrafts(name: string): {page: string; draft: Draft}[] {
  const found = slots()
    .filter(s => s.name === name)
    .flatMap(({page}) => {
      const draft = readDraft(page, name);
      return draft ? [{page, draft}] : [];
    });
  return found.sort((a, b) => a.draft.when - b.draft.when);
}

/** Names of the jobs with typing that is not on the disk. */
export function draftNames(): string[] {
  return [...new Set(slots().map(s => s.name))];
}

function readDraft(page: string, name: string): Draft | null {
  try {
    return JSON.parse(localStorage.getItem(slot(page, name)) ?? 'null') as Draft | null;
  } catch {
    return null;
  }
}

function slots(): {page: string; name: string}[] {
  try {
    return Object.keys(localStorage)
      .filter(key => key.startsWith(begin))
      .map(key => {
        const [page = '', ...name] = key.slice(begin.length).split(':');
        return {page, name: name.join(':')};
      });
  } catch {
    return [];
  }
}
