/* photos.js - pictures of what an entry tells: taken or picked, made small on the phone, shown beside the entry.
 *
 * Drawing a picture anew leaves behind what the phone wrote into it (where, when, with what) and turns it upright; the
 * daemon takes all such things out once more. A picker without `capture` lets people choose between camera and gallery, on
 * plain HTTP too, where a page gets no live camera.
 */
import { getOrKept, send } from './api.js';
import { el, fill } from './dom.js';
import { uuid7 } from './id.js';
import { onPhotoSent, sendPhotos, waitPhotos } from './outbox.js';
import { mayKeep, mayLog, toast, why } from './page.js';
import { formatInstant } from './units.js';
import { say } from './words.js';

const BYTES_MOST = 500000; // what the daemon takes
const SIDE_MOST = 1600; // pixels; ours: leaves and roots can be told apart, and a picture comes to 100 to 400 kB
const ENTRY_MOST = 8; // what the daemon takes

const jpegOf = (canvas, quality) => new Promise((resolve) => canvas.toBlob(resolve, 'image/jpeg', quality));

function drawn(bitmap, side) {
  const scale = Math.min(1, side / Math.max(bitmap.width, bitmap.height));
  const canvas = el('canvas', { width: Math.max(1, Math.round(bitmap.width * scale)), height: Math.max(1, Math.round(bitmap.height * scale)) });
  const brush = canvas.getContext('2d');
  brush.fillStyle = '#fff'; // what is clear in a drawing would turn black
  brush.fillRect(0, 0, canvas.width, canvas.height);
  brush.drawImage(bitmap, 0, 0, canvas.width, canvas.height);
  return canvas;
}

/** A file as JPEG bytes that the daemon takes, or null when this browser cannot read it as a picture. */
export async function shrunk(file) {
  const bitmap = await createImageBitmap(file).catch(() => null);
  if (!bitmap) return null;
  try {
    for (let side = SIDE_MOST; side >= 400; side /= 2) {
      const canvas = drawn(bitmap, side);
      for (const quality of [0.82, 0.7, 0.55]) {
        const blob = await jpegOf(canvas, quality);
        if (blob?.type === 'image/jpeg' && blob.size <= BYTES_MOST) return new Uint8Array(await blob.arrayBuffer());
      }
    }
    return null;
  } finally {
    bitmap.close();
  }
}

/* A button that opens the picker: onpick gets each picture that could be read, as {id, bytes}. */
function pickButton(onpick) {
  const input = el('input', { type: 'file', accept: 'image/*', multiple: true, class: 'unseen' });
  const label = el('label', { class: 'act' }, say('photo.add'), input);
  const fault = el('p', { class: 'fault', role: 'alert', hidden: true });
  input.addEventListener('change', async () => {
    const files = [...input.files];
    input.value = ''; // the same picture can be picked again
    fault.hidden = true;
    label.setAttribute('aria-busy', 'true');
    for (const file of files) {
      const bytes = await shrunk(file);
      if (bytes) await onpick({ id: uuid7(), bytes });
      else {
        fault.textContent = say('photo.unreadable', { name: file.name });
        fault.hidden = false;
      }
    }
    label.removeAttribute('aria-busy');
  });
  return { node: el('div', { class: 'pick' }, label, fault), label, fault };
}

/** The part of a form that takes pictures: {node, pictures: [{id, bytes}], clear()}. */
export function photoField() {
  const pictures = [];
  const list = el('ul', { class: 'photos' });
  const pick = pickButton((picture) => {
    if (pictures.length < ENTRY_MOST) pictures.push(picture);
    draw();
  });
  const url = (picture) => (picture.url ??= URL.createObjectURL(new Blob([picture.bytes], { type: 'image/jpeg' })));
  const remove = (picture) => {
    URL.revokeObjectURL(picture.url);
    pictures.splice(pictures.indexOf(picture), 1);
    draw();
    pick.label.querySelector('input').focus();
  };
  function draw() {
    fill(list, pictures.map((picture, i) => el('li', {}, el('img', { src: url(picture), alt: say('photo.picked', { n: i + 1 }) }),
      el('button', { type: 'button', text: say('photo.leave'), 'aria-label': say('photo.leave.which', { n: i + 1 }), onclick: () => remove(picture) }))));
    pick.label.hidden = pictures.length >= ENTRY_MOST;
  }
  pick.node.append(list);
  return { node: pick.node, pictures };
}

/** A button that adds pictures to an entry that is in the log already. */
export function photoButton(entry, garden, after) {
  return pickButton(async (picture) => {
    try {
      await waitPhotos(entry, [picture]);
      await sendPhotos();
      toast(say('photo.kept'));
      await after?.();
    } catch (error) {
      toast(why(error));
    }
  }).node;
}

/** Photos by the entry that they are shown with; what the browser kept when nobody answers; none when there is nothing. */
export async function photosBy(query) {
  const by = new Map();
  const items = await getOrKept(`photos?${new URLSearchParams({ ...query, limit: 200 })}`).then((answer) => answer.body.items, () => []);
  for (const photo of items) by.set(photo.shown_with, [photo, ...(by.get(photo.shown_with) ?? [])]);
  return by;
}

const mayRemove = (photo, garden) => mayKeep(garden) || (mayLog(garden) && Boolean(photo.member) && photo.member === garden.me?.member);

/* The whole picture over the page. after(): it was removed. */
function openPhoto(photo, alt, garden, after) {
  const fault = el('p', { class: 'fault', role: 'alert', hidden: true });
  const acts = el('div', { class: 'daily' });
  const close = () => dialog.close();
  const button = (word, onclick, kind = null) => el('button', { type: 'button', class: kind, text: say(word), onclick });
  const asks = el('p', { text: say('photo.remove.ask'), hidden: true, tabindex: -1 });
  const dialog = el('dialog', { class: 'picture', 'aria-label': alt }, el('img', { src: `/api/v1/photos/${photo.id}`, width: photo.width_px, height: photo.height_px, alt }),
    el('p', { class: 'where', text: [photo.member_name, formatInstant(photo.received_at, garden)].filter(Boolean).join(' · ') }), asks, fault, acts);
  const look = () => {
    asks.hidden = true;
    fill(acts, el('div', {}, mayRemove(photo, garden) ? button('photo.remove', sure) : null, button('close', close, 'main')));
    acts.querySelector('.main').focus();
  };
  /* It may show somebody: gone means gone, so it is asked first. */
  const sure = () => {
    asks.hidden = false;
    fill(acts, el('div', {}, button('photo.remove.no', look, 'main'), button('photo.remove.yes', remove)));
    asks.focus();
  };
  const remove = async (event) => {
    event.target.disabled = true;
    try {
      await send('DELETE', `photos/${encodeURIComponent(photo.id)}`);
      close();
      toast(say('photo.removed'));
      await after?.();
    } catch (error) {
      fault.textContent = why(error);
      fault.hidden = false;
      event.target.disabled = false;
    }
  };
  dialog.addEventListener('close', () => dialog.remove());
  document.body.append(dialog);
  dialog.showModal();
  look();
}

/** Small pictures that open the whole one; what: what the entry tells, for who cannot see them; after(): one was removed. */
export const photosNode = (photos, what, garden, after) => (photos?.length ? el('ul', { class: 'photos' }, photos.map((photo, i) => {
  const alt = say('photo.of', { n: i + 1, what, at: formatInstant(photo.received_at, garden) });
  return el('li', {}, el('a', { href: `/api/v1/photos/${photo.id}`, onclick: (event) => {
    if (event.ctrlKey || event.metaKey || event.shiftKey) return; // a tab or window of its own
    event.preventDefault();
    openPhoto(photo, alt, garden, after);
  } }, el('img', { src: `/api/v1/photos/${photo.id}`, loading: 'lazy', decoding: 'async', width: photo.width_px, height: photo.height_px, alt })));
})) : null);

export { onPhotoSent };
