/* lid.js - the drilling template on paper, and the same as distances for people without a printer. */
import { get, getAll } from './api.js';
import { el, table } from './dom.js';
import { lidPlan, templateTiles } from './lidplan.js';
import { drawInto } from './drawing.js';
import { asked, failed, openPage, own, status } from './page.js';
import { format } from './units.js';
import { say } from './words.js';

const byId = (id) => document.getElementById(id);

const hasLid = (vessel) => Boolean(vessel?.lid && vessel.cups?.length);

/* Which lids there are; none: the way to the first. */
async function offer() {
  const vessels = (await getAll('vessels')).filter(hasLid);
  status('');
  byId('none').hidden = vessels.length > 0;
  byId('choose').hidden = vessels.length === 0;
  byId('vessels').replaceChildren(...vessels.map((vessel) => el('li', {}, el('a', { class: 'tap', href: `lid.html?vessel=${encodeURIComponent(vessel.id)}`, text: vessel.name }))));
}

/* A saved vessel by its id, else the draft of Plan on this phone. */
async function lidOf() {
  if (asked('vessel')) {
    const vessel = await get(`vessels/${encodeURIComponent(asked('vessel'))}`);
    return hasLid(vessel) ? vessel : null;
  }
  const draft = JSON.parse(own.get('plan') || 'null');
  return hasLid(draft) ? draft : null;
}

function drawTiles(vessel, paper) {
  byId('paper-size').href = `paper-${paper}.css`;
  byId('tiles').replaceChildren(...templateTiles(vessel.lid, vessel.cups, paper).map((tile) => el('div', { class: 'sheet' }, tile)));
  byId('tiles').style.setProperty('--columns', byId('tiles').querySelectorAll('[data-row="0"]').length);
}

const garden = await openPage();
if (garden) {
  try {
    const vessel = await lidOf();
    if (!vessel) {
      await offer();
    } else {
      status('');
      byId('lid').hidden = false;
      byId('vessel-name').textContent = vessel.name || '';
      const length = (mm) => format('length', mm, garden);
      byId('hole').textContent = say('lid.hole', { hole: length(vessel.lid.hole_mm), pilot: garden.length_unit === 'in' ? '1/4\u00a0in' : format('length', 6, garden) });
      drawInto(byId('stage'), (width) => lidPlan(vessel.lid, vessel.cups, { width, garden }));
      byId('distances').replaceChildren(table(say('lid.distances'), [say('lid.cup'), say('lid.from.left'), say('lid.from.front')],
        vessel.cups.map((at, i) => [String(i + 1), length(at.x_mm), length(at.y_mm)])));
      const paper = own.get('paper') || (navigator.language === 'en-US' ? 'letter' : 'a4');
      for (const input of document.querySelectorAll('[name=paper]')) {
        input.checked = input.value === paper;
        input.addEventListener('change', () => { own.set('paper', input.value); drawTiles(vessel, input.value); });
      }
      byId('print').addEventListener('click', () => print());
      drawTiles(vessel, paper);
    }
  } catch (error) {
    failed(error, () => location.reload());
  }
}
