/* harvests.js - what was harvested, and what each tank, crop and season gives. */
import { get, getAll } from './api.js';
import { barChart } from './chart.js';
import { details, el, fill, table } from './dom.js';
import { drawInto, sectionDrawing, smallSection } from './drawing.js';
import { cropName } from './log.js';
import { openPage, status, toast, why } from './page.js';
import { dateOf, format, formatDay, formatInstant, formatNumber } from './units.js';
import { hasWord, say } from './words.js';

const byId = (id) => document.getElementById(id);

let garden = null;
let crops = new Map();
const nameOf = (slug) => (slug ? cropName(crops.get(slug) ?? { id: slug, name: slug }) : '–');

/* What a row of the summary is about. */
const about = { by_tank: (row) => row.name, by_crop: (row) => cropName(row), by_season: (row) => seasonName(row.id) };
const FIRST = 12;

/* '2026-spring' and the like get a word; anything else stays as the daemon says it. */
function seasonName(text) {
  const parts = /^(\d{4})[ -]?(spring|summer|autumn|winter)$/.exec(String(text));
  return parts ? say(`season.${parts[2]}`, { year: parts[1] }) : String(text ?? '–');
}

function drawSummary(name, rows) {
  const node = byId(name);
  const usable = (rows || []).filter((row) => row.n > 0 && typeof row.mean === 'number');
  node.hidden = usable.length === 0;
  if (!usable.length) return;
  const label = about[name];
  const weight = (value) => format('mass', value, garden, garden.mass_unit === 'oz' ? 1 : 0);
  const stage = el('div', { class: 'stage' });
  const title = say(`harvests.${name}`);
  fill(node, el('h2', { text: title }), name === 'by_season' ? el('p', { text: say('harvests.mean') }) : null, stage,
    details(say('chart.table'), table(title, [say('table.what'), say('harvests.n'), say('harvests.average'), say('harvests.range'), say('harvests.total'), say('harvests.perlitre', { volume: format('volume', 1, { volume_unit: 'l' }) })],
      usable.map((row) => [label(row), String(row.n), weight(row.mean), `${weight(row.low)} – ${weight(row.high)}`, format('heavy', row.total_g / 1000, garden, 1), row.g_per_litre ? `${weight(row.g_per_litre.mean)}` : '–']))));
  drawInto(stage, (width) => barChart({ width, said: title, rows: usable.map((row) => ({ label: label(row), mean: row.mean, low: row.low ?? null, high: row.high ?? null, text: `${weight(row.mean)} (${row.n}${row.few ? `, ${say('harvests.few')}` : ''})` })) }));
}

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
      plants ? say('harvests.plants', { n: plants }) : null, one.how ? say(`entry.how.${one.how}`) : null,
      typeof one.litres_used === 'number' ? say('harvests.litres', { x: format('volume', one.litres_used, garden) }) : null].filter(Boolean).join(', ');
    const drawing = drawings.get(one.tank);
    return el('li', {}, drawing ? sectionDrawing(smallSection(drawing), { width: 64, size: 'small', garden, most: 48 }) : null,
      el('span', { class: 'what' }, el('span', { text: `${nameOf(one.crop)}: ${facts}` }),
        el('small', {}, el('a', { href: `tank.html?id=${encodeURIComponent(one.tank)}`, text: one.tank_name }), ` · ${formatInstant(one.at, garden)}`)));
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
      node.append(el('p', { text: say('harvests.costs.about') }), table(say('harvests.costs'), [say('tank.title'), say('harvests.filled'), say('tank.volume'), say('harvests.cost'), say('log.weight'), say('harvests.cost.kg')],
        items.map((fill_) => [fill_.tank_name, formatDay(dateOf(fill_.at, garden), garden.today), format('volume', fill_.filled_l + (fill_.topped_up_l ?? 0), garden), money(fill_.cost), format('mass', fill_.weight_g, garden, 0), money(fill_.cost_per_kg)])));
    } catch (error) {
      node.asked = false;
      toast(why(error));
    }
  });
  return node;
}

async function load() {
  status('loading', say('loading'));
  try {
    const [page, summary, tanks] = await Promise.all([get(`harvests?limit=${FIRST}`), get('harvests/summary').catch(() => ({})), getAll('tanks').catch(() => [])]);
    if ((summary.by_crop || []).some((row) => !hasWord(`crop.${row.id}`))) crops = new Map((await getAll('crops').catch(() => [])).map((crop) => [crop.id, crop]));
    status('');
    for (const name of ['by_season', 'by_crop', 'by_tank']) drawSummary(name, summary[name]);
    drawList(page.items, tanks, page.next !== null);
    fill(byId('costs'), costs());
  } catch (error) {
    status('failed', why(error), load);
  }
}

garden = await openPage();
if (garden) await load();
