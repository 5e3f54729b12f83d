/* pair.js - opens the one-time link: makes this phone a device of a member.
 *
 * The token stands behind the '#', which is never sent in an address, and leaves the address bar at once.
 */
import { Problem, Unreachable, send } from './api.js';
import { fillWords, firstLanguage, loadWords, say } from './words.js';

const byId = (id) => document.getElementById(id);

function tell(text, kind = 'failed') {
  byId('status').className = `status ${kind}`;
  byId('status').textContent = text;
}

function problemText(error) {
  if (error instanceof Unreachable) return say('failed.unreachable');
  if (error instanceof Problem && error.status === 409) return say('pair.already');
  if (error instanceof Problem && error.status === 404) return say('pair.spent');
  return error.message;
}

const token = location.hash.slice(1);
await loadWords(await firstLanguage()).catch(() => {});
fillWords();
document.title = `${say('pair.title')} – Tidemark`;
byId('theme')?.remove();
if (!token) {
  tell(say('pair.notoken'));
} else {
  tell('', '');
  byId('pair').hidden = false;
  byId('device').value = say(/android|iphone|mobile/i.test(navigator.userAgent) ? 'pair.phone' : 'pair.computer');
  byId('pair-form').addEventListener('submit', async (event) => {
    event.preventDefault();
    const button = byId('pair-now');
    if (button.disabled) return;
    button.disabled = true;
    try {
      const name = byId('who').value.trim();
      await send('POST', 'pair', { token, device_name: byId('device').value.trim() || say('pair.phone'), ...(name ? { name } : {}) });
      history.replaceState(null, '', 'pair.html');
      location.replace('index.html');
    } catch (error) {
      tell(problemText(error), error instanceof Unreachable ? 'offline' : 'failed');
      button.disabled = false;
    }
  });
}
