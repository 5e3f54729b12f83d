/* labels.js - a label for each tank: its code to scan, its name and code to read. Printed in two columns. */
import { getAll } from './api.js';
import { el, fill } from './dom.js';
import { failed, openPage, own, status } from './page.js';
import { say } from './words.js';

const byId = (id) => document.getElementById(id);

const label = (item) => el('li', { class: 'tag' },
  el('img', { src: `data:image/svg+xml,${encodeURIComponent(item.qr_svg)}`, alt: say('labels.qr', { link: item.link }), width: 132, height: 132 }),
  el('div', {}, el('strong', { text: item.name }), item.area ? el('span', { text: item.area }) : null, el('span', { class: 'big', text: item.code }), el('span', { text: say('labels.warn') })));

const garden = await openPage();
if (garden) {
  status('loading', say('loading'));
  try {
    const labels = await getAll('labels');
    status('');
    byId('labels').hidden = false;
    byId('labels-none').hidden = labels.length > 0;
    byId('print').hidden = labels.length === 0;
    byId('address').textContent = garden.public_url ? say('labels.address', { url: garden.public_url }) : say('labels.noaddress', { url: location.origin });
    fill(byId('list'), labels.map(label));
    const paper = own.get('paper') || (navigator.language === 'en-US' ? 'letter' : 'a4');
    byId('paper-size').href = `paper-${paper}.css`;
    for (const input of document.querySelectorAll('[name=paper]')) {
      input.checked = input.value === paper;
      input.addEventListener('change', () => { own.set('paper', input.value); byId('paper-size').href = `paper-${input.value}.css`; });
    }
    byId('print').addEventListener('click', () => print());
  } catch (error) {
    failed(error, () => location.reload());
  }
}
