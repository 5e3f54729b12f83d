/* plan.js - from an empty vessel to a tank, one question at a time, with the drawing alive.
 *
 * The draft lives on this phone until it is saved; every length in it is mm.
 */
import { Problem, getAll, send } from './api.js';
import { el, fill } from './dom.js';
import { drawInto, sectionDrawing, sectionOf } from './drawing.js';
import { choiceField, numberField, placeFaults, readAll, selectField, textField } from './fields.js';
import { uuid7 } from './id.js';
import { lidPlan } from './lidplan.js';
import { cropName } from './log.js';
import { mayKeep, mayLog, openPage, own, status, why } from './page.js';
import { carryNodes, lacksClimate, noClimateNodes, plantsAsked } from './planning.js';
import { format, formatNumber } from './units.js';
import { say } from './words.js';

const byId = (id) => document.getElementById(id);
const STEPS = ['shape', 'measures', 'lid', 'water', 'plants', 'save'];

/* What stands in the drawing before anything is measured: an invented tote. The cup is a common
 * 3 in net cup (common practice, no source). */
const EXAMPLE = { shape: { shape: 'box', floor_mm: [640, 400], rim_mm: [720, 480], height_mm: 330, corner_mm: 40 } };
const CUP = { height_mm: 76.2, top_mm: 76.2, bottom_mm: 50.8, medium_fraction: 0.5 };
const LID = { hole_mm: 76.2, edge_mm: 50.8, spacing_mm: 203.2, pattern: 'best' };

let draft = { kind: 'box', step: 0, ids: { vessel: uuid7(), tank: uuid7() } };
let garden = null;
let crops = [];
let fields = {};
let asking = 0; // only the newest answer may draw

/* The low mark that the daemon chooses where none is given. */
const usualLow = (start_mm) => 0.1 * start_mm;

/* A load for the floor in the garden's own units: kg on a square metre, or lb on a square foot. */
const floorLoad = (kg, m2) => (garden.mass_unit === 'oz' ? say('plan.weight.floor.us', { load: formatNumber(kg / 0.45359237 / (m2 / 0.09290304), 0) }) : say('plan.weight.floor', { load: formatNumber(kg / m2, 0) }));

const floorShort = (kg, m2) => (garden.mass_unit === 'oz' ? say('plan.carry.load.us', { load: formatNumber(kg / 0.45359237 / (m2 / 0.09290304), 0) }) : say('plan.carry.load', { load: formatNumber(kg / m2, 0) }));

/* What the vessel stands on, m2; of a poured one nobody knows. */
function floorArea(shape) {
  if (shape.shape === 'box') return shape.floor_mm[0] * shape.floor_mm[1] / 1e6;
  return shape.shape === 'round' ? Math.PI / 4 * (shape.floor_mm / 1000) ** 2 : null;
}

const keepDraft = () => own.set('plan', JSON.stringify(draft));
const height = (shape) => shape.height_mm ?? Math.max(...shape.points.map((point) => point[0]));
const lengthField = (label, value, options = {}) => numberField({ label, quantity: 'length', garden, value, most: 5000, oninput: alive, ...options });

/* --- the drawing, always of what is known so far ------------------------------------------------ */

function drawSection() {
  const known = Boolean(draft.shape);
  const shape = draft.shape ?? EXAMPLE.shape;
  const high = height(shape);
  const cup = draft.cup ?? CUP;
  const start_mm = draft.start_mm ?? Math.max(1, high - cup.height_mm / 2);
  const vessel = { shape, lid: draft.lid ?? null, cup, cups: draft.cups ?? [], start_mm, low_mm: draft.low_mm ?? usualLow(start_mm) };
  const planted = (draft.count ?? 0);
  const state = { start_mm, low_mm: vessel.low_mm, ceiling_mm: null, waterline_mm: start_mm, volume_l: draft.start_volume_l ?? null,
    cups: vessel.cups.map((_, i) => ({ cup: i + 1, crop: i < planted ? draft.crop : null, planted_on: i < planted ? garden.today : null })) };
  byId('drawing-is').textContent = known ? '' : say('plan.example');
  drawInto(byId('stage'), (width) => sectionDrawing({ ...sectionOf(vessel, state, null, garden), planned: true }, { width, garden, most: 260 }));
}

function drawLid() {
  if (!draft.lid || !draft.cups?.length) return drawSection();
  byId('drawing-is').textContent = '';
  drawInto(byId('stage'), (width) => lidPlan(draft.lid, draft.cups, { width, garden }));
}

/* Reads what is typed so far, without complaining, and draws it. */
let pending = null;
function alive() {
  clearTimeout(pending);
  pending = setTimeout(() => {
    const take = STEP[STEPS[draft.step]].take;
    if (take) take();
    (STEPS[draft.step] === 'lid' ? drawLid : drawSection)();
  }, 200);
}

/* --- steps: draw(form) fills the form; take() reads quietly into the draft; done() checks ---------- */

const peek = (name) => fields[name]?.peek?.() ?? null;

function measuredShape() {
  if (draft.kind === 'poured') return draft.points?.length >= 2 ? { shape: 'poured', points: draft.points } : null;
  const high = peek('height');
  if (!high) return null;
  if (draft.kind === 'round') return peek('floor_d') && peek('rim_d') ? { shape: 'round', floor_mm: peek('floor_d'), rim_mm: peek('rim_d'), height_mm: high } : null;
  const floor = [peek('floor_l'), peek('floor_w')], rim = [peek('rim_l'), peek('rim_w')];
  if (![...floor, ...rim].every(Boolean)) return null;
  const corner = peek('corner');
  return { shape: 'box', floor_mm: floor, rim_mm: rim, height_mm: high, ...(corner ? { corner_mm: corner } : {}) };
}

function pouredRows(list) {
  const rows = draft.rows ?? [{}, {}, {}];
  fields = {};
  list.replaceChildren(...rows.map((row, i) => {
    const level = lengthField(say('plan.poured.level', { n: i + 1 }), row.waterline_mm);
    const volume = numberField({ label: say('plan.poured.volume', { n: i + 1 }), quantity: 'volume', garden, value: row.volume_l, oninput: alive, most: 5000 });
    fields[`level${i}`] = level;
    fields[`volume${i}`] = volume;
    return el('div', { class: 'pair' }, level.node, volume.node);
  }), el('button', { type: 'button', text: say('plan.poured.more'), onclick: () => { takePoured(); draft.rows.push({}); pouredRows(list); } }));
}

function takePoured() {
  const count = Object.keys(fields).length / 2;
  draft.rows = Array.from({ length: count }, (_, i) => ({ waterline_mm: peek(`level${i}`), volume_l: peek(`volume${i}`) }));
  draft.points = draft.rows.filter((row) => row.waterline_mm && row.volume_l).map((row) => [row.waterline_mm, row.volume_l]).sort((a, b) => a[0] - b[0]);
}

async function layLid() {
  const mine = ++asking;
  const lid = { lid_mm: [peek('lid_l'), peek('lid_w') ?? peek('lid_l')], hole_mm: peek('hole'), edge_mm: peek('edge'), spacing_mm: peek('spacing'), pattern: fields.pattern.read().value,
    corner_mm: draft.kind === 'round' ? (peek('lid_l') ?? 0) / 2 : draft.shape?.corner_mm ?? 0 };
  if (![...lid.lid_mm, lid.hole_mm, lid.spacing_mm].every(Boolean) || lid.edge_mm === null) return false;
  const answer = await send('POST', 'calc/lid', lid);
  if (mine !== asking) return false;
  draft.lid = lid;
  draft.cups = answer.cups;
  byId('lid-says').textContent = answer.cups.length ? say('plan.lid.says', { n: answer.cups.length, web: format('length', answer.least_web_mm, garden) }) : say('plan.lid.none');
  drawLid();
  return answer.cups.length > 0;
}

async function weigh() {
  const mine = ++asking;
  const high = height(draft.shape);
  draft.start_mm = peek('start') ?? Math.max(1, high - draft.cup.height_mm / 2);
  draft.low_mm = peek('low') ?? undefined;
  const answer = await send('POST', 'calc/vessel', { vessel: draft.shape, waterline_mm: draft.start_mm });
  if (mine !== asking) return;
  draft.start_volume_l = answer.volume_l;
  draft.solution_kg = answer.solution_kg;
  const floor = floorArea(draft.shape);
  byId('weight').replaceChildren(
    el('p', { text: say('plan.water.says', { volume: format('volume', answer.volume_l, garden), brim: format('volume', answer.brim_l, garden) }) }),
    el('div', { class: 'caution' }, el('p', {}, el('strong', { text: say('caution') }), ' ', say('plan.weight', { weight: format('heavy', answer.solution_kg, garden) })),
      floor ? el('p', { text: floorLoad(answer.solution_kg, floor) }) : null,
      el('p', { text: say('plan.weight.lid') })));
  drawSection();
}

/* How many plants one fill carries, by the garden's own climate and what it has learnt of the crop. */
async function carry() {
  const mine = ++asking;
  const node = byId('carries');
  if (garden.climate === null && garden.latitude_deg === null) { // the daemon would refuse, and a browser notes that as an error
    fill(node, noClimateNodes());
    return;
  }
  try {
    const answer = await send('POST', 'calc/planning', { vessel: draft.shape, start_mm: draft.start_mm, low_mm: draft.low_mm ?? usualLow(draft.start_mm), crop: draft.crop, on: garden.today, most: plantsAsked(draft.cups.length, draft.count ?? 1) });
    if (mine === asking) fill(node, carryNodes(answer, { garden, chosen: draft.count, floor: floorShort(answer.solution_kg, floorArea(draft.shape) ?? answer.solution_kg / answer.floor_kg_m2) }));
  } catch (error) {
    if (mine === asking) fill(node, lacksClimate(error) ? noClimateNodes() : el('p', { class: 'fault', text: why(error) }));
  }
}

const STEP = {
  shape: {
    draw(form) {
      const kind = choiceField({ label: say('plan.shape'), value: draft.kind, options: ['box', 'round', 'poured'].map((value) => ({ value, label: say(`plan.shape.${value}`) })),
        onchange: (value) => { if (value !== draft.kind) draft = { ...draft, kind: value, shape: null, lid: null, cups: null, points: null, rows: null }; drawSection(); } });
      const name = textField({ label: say('plan.name'), value: draft.name ?? '', hint: say('plan.name.hint'), required: true });
      fields = { name };
      form.append(kind.node, name.node, el('p', { text: say('plan.shape.about') }));
    },
    async done() {
      const values = readAll(fields);
      if (values) draft.name = values.name;
      return Boolean(values);
    },
  },
  measures: {
    draw(form) {
      fields = {};
      form.append(el('p', { text: say(`plan.measures.${draft.kind}`) }));
      if (draft.kind === 'poured') {
        const list = el('div');
        form.append(list);
        pouredRows(list);
        return;
      }
      const s = draft.shape ?? {};
      const add = (name, word, value, options) => {
        fields[name] = lengthField(say(word), value, { required: true, least: 1, ...options });
        return fields[name].node;
      };
      if (draft.kind === 'round') form.append(el('div', { class: 'pair' }, add('rim_d', 'plan.rim.d', s.rim_mm), add('floor_d', 'plan.floor.d', s.floor_mm)));
      else form.append(el('div', { class: 'pair' }, add('rim_l', 'plan.rim.l', s.rim_mm?.[0]), add('rim_w', 'plan.rim.w', s.rim_mm?.[1]), add('floor_l', 'plan.floor.l', s.floor_mm?.[0]), add('floor_w', 'plan.floor.w', s.floor_mm?.[1])),
        add('corner', 'plan.corner', s.corner_mm, { required: false, least: 0, hint: say('plan.corner.hint') }));
      form.append(add('height', 'plan.height', s.height_mm, { hint: say('plan.height.hint') }), el('p', { id: 'brim', role: 'status' }));
    },
    take() {
      if (draft.kind === 'poured') takePoured();
      const shape = measuredShape();
      if (shape) draft.shape = shape;
      if (shape && byId('brim')) send('POST', 'calc/vessel', { vessel: shape, waterline_mm: height(shape) }).then((answer) => byId('brim')?.replaceChildren(say('plan.brim', { volume: format('volume', answer.brim_l, garden) })), () => {});
    },
    async done() {
      if (draft.kind !== 'poured' && !readAll(fields)) return false;
      this.take();
      if (!measuredShape()) {
        status('failed', say('plan.measures.more'));
        return false;
      }
      await send('POST', 'calc/vessel', { vessel: draft.shape, waterline_mm: height(draft.shape) }); // the daemon refuses impossible shapes
      return true;
    },
  },
  lid: {
    draw(form) {
      const s = draft.shape, lid = draft.lid ?? LID, cup = draft.cup ?? CUP;
      const rim = s.shape === 'box' ? s.rim_mm : s.shape === 'round' ? [s.rim_mm, s.rim_mm] : [null, null];
      fields = {
        lid_l: lengthField(say(draft.kind === 'round' ? 'plan.lid.d' : 'plan.lid.l'), lid.lid_mm?.[0] ?? rim[0], { required: true, least: 20 }),
        ...(draft.kind === 'round' ? {} : { lid_w: lengthField(say('plan.lid.w'), lid.lid_mm?.[1] ?? rim[1], { required: true, least: 20 }) }),
        cup_height: lengthField(say('plan.cup.height'), cup.height_mm, { required: true, least: 10, most: 400 }),
        cup_top: lengthField(say('plan.cup.top'), cup.top_mm, { required: true, least: 10, most: 400 }),
        cup_bottom: lengthField(say('plan.cup.bottom'), cup.bottom_mm, { required: true, least: 5, most: 400 }),
        hole: lengthField(say('plan.hole'), lid.hole_mm, { required: true, least: 10, most: 400, hint: say('plan.hole.hint') }),
        spacing: lengthField(say('plan.spacing'), lid.spacing_mm, { required: true, least: 20, hint: say('plan.spacing.hint') }),
        edge: lengthField(say('plan.edge'), lid.edge_mm, { required: true, least: 0, hint: say('plan.edge.hint') }),
        pattern: selectField({ label: say('plan.pattern'), value: lid.pattern, options: ['best', 'square', 'staggered'].map((value) => ({ value, label: say(`plan.pattern.${value}`) })), onchange: alive }),
      };
      const node = (name) => fields[name]?.node;
      form.append(el('div', { class: 'pair' }, node('lid_l'), node('lid_w') ?? null), el('h3', { text: say('plan.cup') }), el('div', { class: 'pair' }, node('cup_height'), node('cup_top'), node('cup_bottom')),
        el('h3', { text: say('plan.holes') }), el('div', { class: 'pair' }, node('hole'), node('spacing'), node('edge'), node('pattern')), el('p', { id: 'lid-says', class: 'echo', role: 'status' }));
      alive();
    },
    take() {
      draft.cup = { height_mm: peek('cup_height') ?? CUP.height_mm, top_mm: peek('cup_top') ?? CUP.top_mm, bottom_mm: peek('cup_bottom') ?? CUP.bottom_mm, medium_fraction: CUP.medium_fraction };
      layLid().catch((error) => { byId('lid-says').textContent = why(error); });
    },
    async done() {
      if (!readAll(fields)) return false;
      clearTimeout(pending);
      this.take();
      return layLid();
    },
  },
  water: {
    draw(form) {
      const high = height(draft.shape);
      const half = Math.max(1, high - draft.cup.height_mm / 2);
      fields = {
        start: lengthField(say('plan.start'), draft.start_mm ?? half, { required: true, least: 1, most: high, hint: say('plan.start.hint', { x: format('length', half, garden) }) }),
        low: lengthField(say('plan.low'), draft.low_mm, { most: high, hint: say('plan.low.hint') }),
      };
      form.append(fields.start.node, fields.low.node, el('div', { id: 'weight', role: 'status' }));
      alive();
    },
    take() { weigh().catch((error) => { byId('weight').textContent = why(error); }); },
    async done() {
      if (!readAll(fields)) return false;
      await weigh();
      return true;
    },
  },
  plants: {
    draw(form) {
      draft.crop ??= crops.some((crop) => crop.id === 'lettuce-leaf') ? 'lettuce-leaf' : crops[0]?.id;
      draft.count ??= draft.cups.length;
      fields = {
        crop: selectField({ label: say('log.crop'), value: draft.crop, options: crops.map((crop) => ({ value: crop.id, label: cropName(crop) })), onchange: alive }),
        count: numberField({ label: say('plan.count'), quantity: 'count', garden, value: draft.count, least: 1, most: draft.cups.length, required: true, oninput: alive, hint: say('plan.count.hint', { n: draft.cups.length }) }),
      };
      form.append(fields.crop.node, fields.count.node, el('div', { id: 'carries', role: 'status' }));
      alive();
    },
    take() {
      draft.crop = fields.crop.read().value;
      draft.count = Math.round(peek('count') ?? draft.count);
      carry();
    },
    async done() { return Boolean(readAll(fields)); },
  },
  save: {
    async draw(form) {
      const areas = await getAll('areas').catch(() => []);
      fields = {
        name: textField({ label: say('plan.tank.name'), value: draft.tank_name ?? draft.name, required: true }),
        area: selectField({ label: say('plan.area'), value: draft.area ?? '', options: [{ value: '', label: say('plan.area.none') }, ...areas.map((area) => ({ value: area.id, label: area.name }))] }),
      };
      form.append(el('p', { text: say('plan.save.about') }), fields.name.node, fields.area.node, el('p', {}, el('a', { href: 'lid.html', text: say('plan.template') })));
    },
    done: saveAll,
  },
};

/* The vessel, then a tank with it; both bring their own ids, so a second try is harmless. */
async function saveAll() {
  const values = readAll(fields);
  if (!values) return false;
  const vessel = { id: draft.ids.vessel, name: draft.name, shape: draft.shape, lid: draft.lid, cups: draft.cups, cup: draft.cup, start_mm: draft.start_mm, ...(draft.low_mm ? { low_mm: draft.low_mm } : {}) };
  try {
    await send('POST', 'vessels', vessel);
  } catch (error) {
    if (!(error instanceof Problem) || error.status !== 409) throw error;
    const { id, ...measures } = vessel; // an earlier try came through before something was changed here
    await send('PATCH', `vessels/${id}`, measures);
  }
  const tank = await send('POST', 'tanks', { id: draft.ids.tank, name: values.name, area: values.area ?? null, vessel: draft.ids.vessel });
  const made = { tank: tank.id, vessel: draft.ids.vessel, name: tank.name };
  own.set('plan', null);
  showMade(made);
  return false;
}

function showMade(made) {
  byId('plan-form').hidden = true;
  byId('daily').hidden = true;
  byId('made').hidden = false;
  byId('made-title').textContent = say('plan.made', { name: made.name });
  byId('made-template').href = `lid.html?vessel=${encodeURIComponent(made.vessel)}`;
  byId('made-mix').href = `mix.html?tank=${encodeURIComponent(made.tank)}`;
  byId('made-tank').href = `tank.html?id=${encodeURIComponent(made.tank)}`;
  byId('made-title').focus();
}

async function drawStep(focus = true) {
  const name = STEPS[draft.step];
  asking++;
  clearTimeout(pending);
  byId('steps').replaceChildren(...STEPS.map((step, i) => el('li', { class: i < draft.step ? 'done' : null, 'aria-current': i === draft.step ? 'step' : null, title: say(`plan.step.${step}`) }, el('span', { class: 'unseen', text: say(`plan.step.${step}`) }))));
  byId('step-title').textContent = say('plan.step', { i: draft.step + 1, of: STEPS.length, what: say(`plan.step.${name}`) });
  byId('back').disabled = draft.step === 0;
  byId('next').textContent = say(name === 'save' ? 'plan.save' : 'next');
  const form = byId('step');
  form.replaceChildren();
  await STEP[name].draw(form);
  (name === 'lid' ? drawLid : drawSection)();
  if (focus) {
    byId('step-title').focus({ preventScroll: true });
    scrollTo(0, 0);
  }
}

async function forward() {
  const next = byId('next');
  if (next.disabled) return; // a second tap
  next.disabled = true;
  status('');
  try {
    if (await STEP[STEPS[draft.step]].done()) {
      draft.step++;
      keepDraft();
      await drawStep();
    }
  } catch (error) {
    const left = error instanceof Problem ? placeFaults(error, fields) : [];
    status('failed', left.length ? left.join(' · ') : why(error));
  } finally {
    next.disabled = false;
  }
}

garden = await openPage();
if (garden) {
    try {
    draft = { ...draft, ...JSON.parse(own.get('plan') || '{}') };
  } catch {
    // a draft that cannot be read is no draft
  }
  if (!mayKeep(garden) && !mayLog(garden)) status('failed', say('failed.role'));
  crops = await getAll('crops').catch(() => []);
  byId('plan-form').addEventListener('submit', (event) => { event.preventDefault(); forward(); });
  byId('next').addEventListener('click', (event) => { event.preventDefault(); forward(); });
  byId('back').addEventListener('click', () => { draft.step--; keepDraft(); drawStep(); });
  byId('again').addEventListener('click', () => { own.set('plan', null); location.reload(); });
  byId('plan').hidden = false;
  await drawStep(false);
  status('');
}

