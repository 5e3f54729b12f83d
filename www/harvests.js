/* harvests.js - what was harvested, and what each tank, crop and season gives. */
import { get, getAll } from './api.js';
import { details, el, fill, table } from './dom.js';
import { drawInto, sectionDrawing, smallSection } from './drawing.js';
import { cropName } from './log.js';
import { failed, openPage, status, toast, why } from './page.js';
import { makeRecords } from './records.js';
import { photosBy, photosNode } from './photos.js';
import { dateOf, format, formatDay, formatInstant, formatNumber } from './units.js';
import { hasWord, say } from './words.js';

const byId = (id) => document.getElementById(id);

let garden = null;
let crops = new Map();
let photos = new Map(); // by the harvest that they show
const nameOf = (slug) => (slug ? cropName(crops.get(slug) ?? { id: slug, name: slug }) : '–');

const FIRST = 8;
let records = null;

function drawList(harvests, tanks, more) {
  byId('none').hidden = harvests.length > 0;
  byId('list-part').hidden = harvests.length === 0;
  const drawings = new Map(tanks.map((tank) => [tank.id, tank.drawing]));
  byId('list-all').hidden = !more;
  byId('list-all').onclick = async () => {
    try {
      drawList(await getAll('harvests', 20000), tanks, false);
    } catch (error) {
      toast(why(error));
    }
  };
  fill(byId('list'), harvests.map((one) => {
    const plants = one.count;
    const facts = [typeof one.weight_g === 'number' ? format('mass', one.weight_g, garden, garden.mass_unit === 'oz' ? 1 : 0) : say('harvests.unweighed'),
      plants ? say('harvests.plants', { n: plants }) : null, one.bunches ? say('harvests.bunches', { n: one.bunches }) : null, one.quality ? say(`log.quality.${one.quality}`).replace(/^\d, /, '') : null, one.how ? say(`entry.how.${one.how}`) : null,
      typeof one.litres_used === 'number' ? say('harvests.litres', { x: format('volume', one.litres_used, garden) }) : null].filter(Boolean).join(', ');
    const drawing = drawings.get(one.tank);
    return el('li', {}, drawing ? sectionDrawing(smallSection(drawing), { width: 64, size: 'small', garden, most: 48 }) : null,
      el('span', { class: 'what' }, el('span', { text: `${nameOf(one.crop)}: ${facts}` }),
        el('small', {}, el('a', { href: `tank.html?id=${encodeURIComponent(one.tank)}`, text: one.tank_name }), ` · ${formatInstant(one.at, garden)}`, one.member_name ? ` · ${one.member_name}` : null)),
      photosNode(photos.get(one.entry), `${nameOf(one.crop)}, ${one.tank_name}`, garden, load));
  }));
}

/* What each fill cost and gave; asked for when somebody opens it. */
function costs() {
  const node = details(say('harvests.costs'));
  node.addEventListener('toggle', async () => {
    if (!node.open || node.asked) return;
    node.asked = true;
    try {
      const { items } = await get('fills?limit=20');
      const money = (value) => (typeof value === 'number' ? formatNumber(value, 2, 2) : '–');
      node.append(el('p', { text: say('harvests.costs.about') }), table(say('harvests.costs'), [say('tank.title'), say('harvests.filled'), say('tank.volume'), say('harvests.cost'), say('log.weight'), say('harvests.cost.plant'), say('harvests.cost.kg')],
        items.map((fill_) => [fill_.tank_name, formatDay(dateOf(fill_.at, garden), garden.today), format('volume', fill_.filled_l + (fill_.topped_up_l ?? 0), garden), money(fill_.cost), format('mass', fill_.weight_g, garden, 0), money(fill_.cost_per_plant), money(fill_.cost_per_kg)])));
    } catch (error) {
      node.asked = false;
      toast(why(error));
    }
  });
  return node;
}

async function askAgain(crop) {
  try {
    records.draw(await get(crop ? `harvests/summary?crop=${encodeURIComponent(crop)}` : 'harvests/summary'));
  } catch (error) {
    toast(why(error));
  }
}

async function load() {
  status('loading', say('loading'));
  try {
    const [page, summary, tanks, pictures] = await Promise.all([get(`harvests?limit=${FIRST}`), get('harvests/summary'), getAll('tanks').catch(() => []), photosBy({ kind: 'harvest' })]);
    photos = pictures;
    if ((summary.by_crop || []).some((row) => !hasWord(`crop.${row.id}`))) crops = new Map((await getAll('crops').catch(() => [])).map((crop) => [crop.id, crop]));
    status('');
    records ??= makeRecords({ garden, crops: () => crops, ask: askAgain,
      nodes: Object.fromEntries(['part', 'choose', 'seasons', 'by_season', 'by_crop', 'by_tank', 'by_member', 'published'].map((name) => [name, byId(name === 'part' ? 'records' : name)])) });
    await records.draw(summary);
    drawList(page.items, tanks, page.next !== null);
    fill(byId('costs'), costs());
  } catch (error) {
    failed(error, load);
  }
}

garden = await openPage();
if (garden) await load();
