import {useEffect, useId, useState} from 'preact/hooks';

import {addPhoto, ApiError, loadPhoto} from '../api';
import {type Path, put} from '../job/text';
import {usePage} from './context';
import {Faults} from './fields';

/** Longer side of a kept photo, in pixels: enough to read a crack on half a sheet, small enough to send from a lawn. */
const longest = 1600;

/** A picture of an entry: taken or chosen here, kept beside the job. Taking it off leaves the file where it is. */
export function Photo({path, name}: {path: Path; name: string}) {
  const {session} = usePage();
  const id = useId();
  const [picture, setPicture] = useState('');
  const [trouble, setTrouble] = useState('');
  const stored = session.job.value.typed(path);
  const folder = session.name.includes('/') ? session.name.slice(0, session.name.lastIndexOf('/') + 1) : '';

  useEffect(() => {
    setPicture('');
    if (stored === '') return undefined;
    let url = '';
    let gone = false;
    loadPhoto(folder + stored).then(
      blob => {
        if (gone) return;
        url = URL.createObjectURL(blob);
        setPicture(url);
      },
      (error: unknown) => setTrouble(error instanceof ApiError ? error.message : String(error)),
    );
    return () => {
      gone = true;
      if (url) URL.revokeObjectURL(url);
    };
  }, [stored]);

  const take = async (file: File | undefined) => {
    if (!file) return;
    setTrouble('');
    try {
      const small = await shrink(file);
      for (let n = 1; n < 100; n += 1) {
        const wanted = `photos/${slug(name)}${n === 1 ? '' : `-${n}`}.jpg`;
        if (!(await addPhoto(folder + wanted, small))) continue;
        session.edit(d => put(d, path, wanted));
        return;
      }
      setTrouble('There are a hundred photos of this already.');
    } catch (error) {
      setTrouble(error instanceof ApiError ? `Not kept: ${error.message}` : 'This is no picture that the browser can read.');
    }
  };

  return (
    <div class="field photo">
      {picture && <img src={picture} alt={`Photo ${stored}`} />}
      {trouble && (
        <p class="warning" role="status">
          {trouble}
        </p>
      )}
      <label class="button" for={id}>
        {stored ? 'Another photo' : 'Take a photo'}
      </label>
      <input
        id={id}
        class="unseen"
        type="file"
        accept="image/*"
        onChange={e => {
          void take(e.currentTarget.files?.[0]);
          e.currentTarget.value = '';
        }}
      />
      {stored && (
        <button type="button" class="away" onClick={() => session.edit(d => put(d, path, undefined))}>
          Take the photo off
        </button>
      )}
      <Faults path={path} />
    </div>
  );
}

const slug = (name: string) => name.toLowerCase().replace(/[^a-z0-9]+/g, '-').replace(/^-|-$/g, '') || 'photo';

async function shrink(file: File): Promise<Blob> {
  const picture = await createImageBitmap(file);
  const scale = Math.min(1, longest / Math.max(picture.width, picture.height));
  const canvas = document.createElement('canvas');
  canvas.width = Math.round(picture.width * scale);
  canvas.height = Math.round(picture.height * scale);
  canvas.getContext('2d')!.drawImage(picture, 0, 0, canvas.width, canvas.height);
  picture.close();
  return new Promise((done, fail) => canvas.toBlob(blob => (blob ? done(blob) : fail(new Error('no picture'))), 'image/jpeg', 0.85));
}
