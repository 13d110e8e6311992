import {useState} from 'preact/hooks';

const slot = (job: string, field: string) => `swingtie-form:${job}:${field}`;

/**
 * State of a half-filled form, kept by the browser under the job's name: leaving the step, a reload or a closed lid
 * does not lose what is not part of the job yet.
 */
export function useKept<T>(job: string, field: string, initial: T): [T, (value: T) => void] {
  const [value, setValue] = useState<T>(() => {
    try {
      const found = localStorage.getItem(slot(job, field));
      return found === null ? initial : (JSON.parse(found) as T);
    } catch {
      return initial;
    }
  });
  return [
    value,
    next => {
      setValue(next);
      try {
        localStorage.setItem(slot(job, field), JSON.stringify(next));
      } catch {
        // Private windows have no storage: then it lasts as long as the step is open.
      }
    },
  ];
}
