import type {ComponentChildren} from 'preact';
import {useEffect, useId, useRef, useState} from 'preact/hooks';

import {tidyLength, unitsOf} from '../job/lengths';
import {type Fault, faultsAt} from '../job/session';
import {type Path, put, scalar} from '../job/text';
import {usePage} from './context';

export function useUnits() {
  return unitsOf(usePage().session.job.value.at(['site', 'units']));
}

const plain = (words: string) => words.replace(/`/g, '');

function FaultWords({faults, id}: {faults: Fault[]; id?: string}) {
  if (faults.length === 0) return null;
  return (
    <div class="faults" id={id}>
      {faults.map((f, i) => (
        <p key={i} class={f.severity}>
          <strong>{capital(plain(f.message))}.</strong>
          {f.expected && <span> Expected: {plain(f.expected)}.</span>}
          {f.hint && <em> {capital(plain(f.hint))}.</em>}
        </p>
      ))}
    </div>
  );
}

/** What the checker says of the entry at a path, in full. @param except  keys below it that show their own */
export function Faults({path, except = []}: {path: Path; except?: readonly string[]}) {
  const found = faultsAt(usePage().session.faults.value, path);
  return <FaultWords faults={found.filter(f => !except.includes(String(f.path[path.length] ?? '')))} />;
}

/** What is wrong with the job and belongs to none of its entries. */
export function FaultsOfNone() {
  return <FaultWords faults={usePage().session.faults.value.filter(f => f.path.length === 0)} />;
}

type FieldKind = 'text' | 'length' | 'number' | 'date';

interface FieldShape {
  label: string;
  path: Path;
  kind?: FieldKind;
  placeholder?: string;
  help?: string;
}

/** A pause in typing, in milliseconds, after which what stands in a field is written down although it was not left. */
const writeAfter = 900;

/** One value of the job: shown as it was typed, written when the field is left, Enter pressed or the typing pauses. */
export function Field({label, path, kind = 'text', placeholder, help}: FieldShape) {
  const {session} = usePage();
  const units = useUnits();
  const stored = session.job.value.typed(path);
  const later = useRef<ReturnType<typeof setTimeout>>();
  const write = (typed: string) => {
    clearTimeout(later.current);
    const value = typed === '' ? undefined : kind === 'text' ? typed : scalar(typed);
    session.type(session.job.value.edit(d => put(d, path, value)).text, path.join(' '));
  };
  const writeSoon = (typed: string) => {
    clearTimeout(later.current);
    later.current = setTimeout(() => write(kind === 'length' ? tidyLength(typed, units) : typed.trim()), writeAfter);
  };
  const extra: Partial<InputShape> = {};
  if (placeholder !== undefined) extra.placeholder = placeholder;
  if (help !== undefined) extra.help = help;
  return <Input label={label} kind={kind} value={stored} onCommit={write} onType={writeSoon} faults={faultsAt(session.faults.value, path)} {...extra} />;
}

interface InputShape {
  label: string;
  value: string;
  onCommit: (typed: string) => void;
  /** Told of every letter, for what must not wait until the field is left. */
  onType?: (typed: string) => void;
  kind?: FieldKind;
  placeholder?: string;
  help?: string;
  faults?: Fault[];
}

export function Input({label, value, onCommit, onType, kind = 'text', placeholder, help, faults = []}: InputShape) {
  const id = useId();
  const units = useUnits();
  const box = useRef<HTMLInputElement>(null);
  const [typed, setTyped] = useState<string | null>(null);
  const [inside, setInside] = useState(false);
  const commit = () => {
    setInside(false);
    if (typed === null) return;
    const tidy = kind === 'length' ? tidyLength(typed, units) : typed.trim();
    setTyped(null);
    if (tidy !== value) onCommit(tidy);
  };
  const type = (text: string) => {
    setTyped(text);
    onType?.(text);
  };
  const insert = (piece: string) => {
    const at = box.current?.selectionEnd ?? (typed ?? value).length;
    const text = typed ?? value;
    type(text.slice(0, at) + piece + text.slice(at));
    requestAnimationFrame(() => box.current?.setSelectionRange(at + piece.length, at + piece.length));
  };
  const numeric = kind === 'number' || kind === 'length';
  const described = [help ? `${id}-help` : '', faults.length > 0 ? `${id}-faults` : ''].filter(Boolean).join(' ');
  return (
    <div class={`field ${kind}`}>
      <label for={id}>{label}</label>
      <div class="rest">
      <div class="entry">
        <input
          ref={box}
          id={id}
          type={kind === 'date' ? 'date' : 'text'}
          inputMode={numeric ? 'decimal' : 'text'}
          autocomplete="off"
          spellcheck={false}
          placeholder={placeholder}
          aria-invalid={faults.some(f => f.severity === 'error') || undefined}
          aria-describedby={described || undefined}
          value={typed ?? value}
          onInput={e => type(e.currentTarget.value)}
          onFocus={() => setInside(true)}
          onBlur={commit}
          onKeyDown={e => e.key === 'Enter' && commit()}
        />
        {kind === 'length' && (
          <span class="unit" aria-hidden="true">
            {units === 'm' ? 'm' : 'ft'}
          </span>
        )}
      </div>
      {kind === 'length' && units !== 'm' && inside && <TapeKeys onPick={insert} />}
      {help && (
        <p class="help" id={`${id}-help`}>
          {help}
        </p>
      )}
      <FaultWords faults={faults} id={`${id}-faults`} />
      </div>
    </div>
  );
}

const tapeKeys = [
  ["'", 'feet'],
  ['"', 'inches'],
  [' 1/4"', 'a quarter'],
  [' 1/2"', 'a half'],
  [' 3/4"', 'three quarters'],
] as const;

/** What a telephone's number pad lacks for reading a tape. They take the tap without taking the field's turn. */
function TapeKeys({onPick}: {onPick: (piece: string) => void}) {
  return (
    <div class="tape-keys">
      {tapeKeys.map(([piece, words]) => (
        <button type="button" key={piece} tabIndex={-1} aria-label={words} onPointerDown={e => e.preventDefault()} onMouseDown={e => e.preventDefault()} onClick={() => onPick(piece)}>
          {piece === "'" ? 'ft ′' : piece === '"' ? 'in ″' : piece.trim().replace('"', '')}
        </button>
      ))}
    </div>
  );
}

interface ChoiceShape<T extends string> {
  label: string;
  options: readonly (readonly [T, string])[];
  value: T | undefined;
  onPick: (value: T) => void;
}

/** A few alternatives side by side, as large as a thumb in a glove. */
export function Choice<T extends string>({label, options, value, onPick}: ChoiceShape<T>) {
  return (
    <fieldset class="choice">
      <legend>{label}</legend>
      <div class="options">
        {options.map(([key, words]) => (
          <button type="button" key={key} aria-pressed={value === key} onClick={() => onPick(key)}>
            {words}
          </button>
        ))}
      </div>
    </fieldset>
  );
}

export function PathChoice<T extends string>({label, path, options, otherwise}: {label: string; path: Path; options: readonly (readonly [T, string])[]; otherwise: T}) {
  const {session} = usePage();
  const now = session.job.value.typed(path) as T | '';
  return (
    <>
      <Choice label={label} options={options} value={now === '' ? otherwise : now} onPick={v => session.edit(d => put(d, path, v))} />
      <Faults path={path} />
    </>
  );
}

export function Select({label, value, options, onPick}: {label: string; value: string; options: readonly (readonly [string, string])[]; onPick: (v: string) => void}) {
  const id = useId();
  const known = value === '' || options.some(([key]) => key === value);
  return (
    <div class="field">
      <label for={id}>{label}</label>
      <select id={id} value={value} onChange={e => onPick(e.currentTarget.value)}>
        <option value="">choose …</option>
        {!known && <option value={value}>{value}</option>}
        {options.map(([key, words]) => (
          <option key={key} value={key}>
            {words}
          </option>
        ))}
      </select>
    </div>
  );
}

/** What a press has opened: it comes into sight by itself, as far as there is room for it. */
export function Opened({look, children}: {look: 'card' | 'panel'; children: ComponentChildren}) {
  const box = useRef<HTMLDivElement>(null);
  useEffect(() => box.current?.scrollIntoView({block: look === 'card' ? 'start' : 'nearest'}), []);
  return (
    <div class={look} ref={box}>
      {children}
    </div>
  );
}

/** The way on, at the end of every step. */
export function Onward({words, onGo}: {words: string; onGo: () => void}) {
  return (
    <button type="button" class="wide onward" onClick={onGo}>
      {words} <span aria-hidden="true">→</span>
    </button>
  );
}

export function Card({title, children}: {title?: string; children: ComponentChildren}) {
  return (
    <section class="card">
      {title && <h2>{title}</h2>}
      {children}
    </section>
  );
}

export const capital = (words: string) => words.charAt(0).toUpperCase() + words.slice(1);
