import type {ComponentChildren} from 'preact';
import {useId, useState} from 'preact/hooks';

import {faultsAt} from '../job/session';
import {tidyLength, unitsOf} from '../job/lengths';
import {type Path, put, scalar} from '../job/text';
import {usePage} from './context';

export function useUnits() {
  return unitsOf(usePage().session.job.value.at(['site', 'units']));
}

/** What the checker says of the entry at a path, in full, under the field it belongs to. */
export function Faults({path, id, whole = false}: {path: Path; id?: string; whole?: boolean}) {
  const found = faultsAt(usePage().session.faults.value, path).filter(f => whole || f.path.length >= path.length);
  if (found.length === 0) return null;
  return (
    <div class="faults" id={id} role="status">
      {found.map((f, i) => (
        <p key={i} class={f.severity}>
          <strong>{plain(f.message)}</strong>
          {f.expected && <span> {plain(f.expected)}.</span>}
          {f.hint && <em> {plain(f.hint)}</em>}
        </p>
      ))}
    </div>
  );
}

const plain = (words: string) => words.replace(/`/g, '');

interface FieldShape {
  label: string;
  path: Path;
  kind?: 'text' | 'length' | 'number' | 'date';
  placeholder?: string;
  help?: string;
}

/** One value of the job: shown as it was typed, written when the field is left or Enter pressed. */
export function Field({label, path, kind = 'text', placeholder, help}: FieldShape) {
  const {session} = usePage();
  const stored = session.job.value.typed(path);
  const write = (typed: string) => session.edit(d => put(d, path, typed === '' ? undefined : kind === 'text' ? typed : scalar(typed)));
  const extra: Partial<InputShape> = {};
  if (placeholder !== undefined) extra.placeholder = placeholder;
  if (help !== undefined) extra.help = help;
  return <Input label={label} kind={kind} value={stored} onCommit={write} faults={<Faults path={path} />} {...extra} />;
}

interface InputShape {
  label: string;
  value: string;
  onCommit: (typed: string) => void;
  kind?: 'text' | 'length' | 'number' | 'date';
  placeholder?: string;
  help?: string;
  faults?: ComponentChildren;
}

export function Input({label, value, onCommit, kind = 'text', placeholder, help, faults}: InputShape) {
  const id = useId();
  const units = useUnits();
  const [typed, setTyped] = useState<string | null>(null);
  const commit = () => {
    if (typed === null) return;
    const tidy = kind === 'length' ? tidyLength(typed, units) : typed.trim();
    setTyped(null);
    if (tidy !== value) onCommit(tidy);
  };
  return (
    <div class={`field ${kind}`}>
      <label for={id}>{label}</label>
      <div class="entry">
        <input
          id={id}
          type={kind === 'date' ? 'date' : 'text'}
          inputMode={kind === 'number' || (kind === 'length' && units === 'm') ? 'decimal' : 'text'}
          autocomplete="off"
          spellcheck={false}
          placeholder={placeholder}
          value={typed ?? value}
          onInput={e => setTyped(e.currentTarget.value)}
          onBlur={commit}
          onKeyDown={e => e.key === 'Enter' && commit()}
        />
        {kind === 'length' && <span class="unit">{units === 'm' ? 'm' : 'ft'}</span>}
      </div>
      {help && <p class="help">{help}</p>}
      {faults}
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
  return (
    <div class="field">
      <label for={id}>{label}</label>
      <select id={id} value={value} onChange={e => onPick(e.currentTarget.value)}>
        <option value="">choose …</option>
        {options.map(([key, words]) => (
          <option key={key} value={key}>
            {words}
          </option>
        ))}
      </select>
    </div>
  );
}
