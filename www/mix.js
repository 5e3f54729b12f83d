/* mix.js - grams for one fill, then a worksheet at the scale: one salt a screen.
 *
 * A worksheet under way is kept on this phone at every step, so a closed phone loses nothing, and told to the garden's computer, so
 * that any member carries on where another stopped (mixes.js).
 */
import { Problem, Unreachable, getAll, get, send } from './api.js';
import { details, el, fill, table } from './dom.js';
import { boxesField, numberField, placeFaults, readAll, selectField } from './fields.js';
import { uuid7 } from './id.js';
import { drop, keep, one } from './kept.js';
import { logAndSay } from './log.js';
import { hearOthers, loadMix, mergeMix, openMixes, shareMix, sheetOf, tellState, tellTick } from './mixes.js';
import { flush } from './outbox.js';
import { asked, failed, mayLog, openPage, own, status, toast, why } from './page.js';
import { saltCautions, saltName } from './salts.js';
import { stocksNode } from './stocks.js';
import { format, formatInstant, formatNumber, utc } from './units.js';
import { hasWord, say } from './words.js';

const byId = (id) => document.getElementById(id);
const WATER_FIELDS = ['ph', 'alkalinity_mg_caco3_l', 'ca_mg_l', 'mg_mg_l', 'na_mg_l', 'k_mg_l', 'cl_mg_l', 'so4_mg_l', 'no3_mg_l', 'si_mg_l'];
const ELEMENTS = ['n', 'p', 'k', 'ca', 'mg', 's', 'fe', 'mn', 'zn', 'b', 'cu', 'mo'];

let garden = null;
let shelf = { salts: [], waters: [], targets: null, tanks: [], vessels: [] };
let sheet = null; // the worksheet under way
let fields = {};
let drawnGrams = null; // what stood in the field when this step was drawn

const onlyKnown = (object, names) => Object.fromEntries(names.filter((name) => typeof object?.[name] === 'number').map((name) => [name, object[name]]));

/* Checked at first: the garden's own bags and what it has in stock, with Epsom salt and calcium nitrate beside a blend;
 * on an empty shelf the pure salts of a full solution (common practice, no source). */
const BESIDE_A_BLEND = ['epsom-salt', 'calcium-nitrate-double'];
const FULL_SET = [...BESIDE_A_BLEND, 'potassium-nitrate', 'monopotassium-phosphate', 'potassium-sulfate', 'iron-dtpa-11', 'manganese-sulfate-h2o', 'zinc-sulfate-7h2o', 'boric-acid', 'copper-sulfate-5h2o', 'sodium-molybdate-2h2o'];

/* The rest is laid out only when somebody wants it: three dozen boxes are in the way of a thumb. */
function moreSalts(options) {
  const node = details(say('mix.salts.more'));
  node.addEventListener('toggle', () => {
    if (fields.others) return;
    fields.others = boxesField({ label: say('mix.salts.others'), chosen: [], options });
    node.append(fields.others.node);
  });
  return node;
}

function usualSalts(salts) {
  const here = salts.filter((salt) => !salt.builtin || salt.stock_g > 0);
  const more = here.length ? BESIDE_A_BLEND : FULL_SET;
  return [...here, ...salts.filter((salt) => !here.includes(salt) && more.includes(salt.id))];
}

/* --- asking for the grams --------------------------------------------------------------------- */

function drawAsk() {
  const tankId = asked('tank') ?? own.get('mix.tank') ?? '';
  const tank = shelf.tanks.find((one) => one.id === tankId || one.code === tankId);
  const choices = shelf.salts.filter((salt) => !(salt.hazards || []).some((hazard) => ['acid', 'acid_mild', 'alkali'].includes(hazard)));
  const usual = usualSalts(choices);
  const option = (salt) => ({ value: salt.id, label: saltName(salt) });
  const volume = numberField({ label: say('mix.volume'), quantity: 'volume', garden, value: Number(asked('volume')) || (tank ? startVolume(tank) : null), least: 0.1, most: 10000, required: true, big: true });
  fields = {
    tank: selectField({ label: say('mix.tank'), value: tank?.id ?? '', options: [{ value: '', label: say('mix.tank.none') }, ...shelf.tanks.map((one) => ({ value: one.id, label: one.name }))],
      onchange: (id) => { const one = shelf.tanks.find((t) => t.id === id); if (one) volume.set(startVolume(one)); } }),
    volume,
    water: selectField({ label: say('log.water'), value: own.get('mix.water') ?? shelf.waters[0]?.id ?? '', options: [...shelf.waters.map((one) => ({ value: one.id, label: one.name })), { value: '', label: say('mix.water.pure') }] }),
    target: selectField({ label: say('log.target'), value: own.get('mix.target') ?? (shelf.targets.find((one) => one.id === 'lettuce-modified') ?? shelf.targets[0])?.id, options: shelf.targets.map((one) => ({ value: one.id, label: hasWord(`target.${one.id}`) ? say(`target.${one.id}`) : one.name })) }),
    salts: boxesField({ label: say('mix.salts'), chosen: usual.map((salt) => salt.id), options: usual.map(option) }),
    scale: selectField({ label: say('mix.scale'), value: own.get('mix.scale') ?? '0.1', options: ['0.01', '0.1', '0.5', '1', '5'].map((step) => ({ value: step, label: format('mass', Number(step), { mass_unit: 'g' }, 2) })) }),
    share: numberField({ label: say('mix.share'), quantity: 'percent', garden, value: Number(asked('share')) * 100 || 100, least: 5, most: 150, required: true }),
    ph: numberField({ label: say('mix.ph'), quantity: 'ph', garden, value: null, least: 4, most: 8, hint: say('mix.ph.hint') }),
  };
  const topUp = asked('as') === 'top-up';
  fill(byId('ask-fields'), fields.tank.node, topUp ? el('p', { text: say('mix.topup') }) : null, fields.volume.node, topUp ? fields.share.node : null, fields.water.node, fields.target.node, fields.salts.node,
    moreSalts(choices.filter((salt) => !usual.includes(salt)).map(option)), details(say('mix.more'), fields.scale.node, fields.ph.node));
  if (!shelf.targets.length) status('failed', say('mix.no.targets'));
}

function startVolume(tank) {
  const vessel = shelf.vessels.find((one) => one.id === (tank.vessel?.id ?? tank.vessel));
  return vessel?.start_volume_l ? Math.round(vessel.start_volume_l * 10) / 10 : null;
}

/* A bag of our own is told by its label, a built-in salt by its id. What comes back is named as it was asked for. */
const askedName = (salt) => (salt.builtin || !salt.label || shelf.salts.filter((one) => one.name === salt.name).length > 1 ? salt.id : salt.name);
const saltAsked = (salt) => (salt.builtin || !salt.label ? { salt: salt.id } : { name: askedName(salt), label: salt.label });

/* A top-up may be weaker than the target: every element by the same share. */
const weaker = (mg_l, share) => Object.fromEntries(Object.entries(mg_l).map(([part, value]) => [part, value * share]));

async function compute(event) {
  event.preventDefault();
  const values = readAll(fields);
  if (!values) return;
  const salts = shelf.salts.filter((salt) => [...(values.salts || []), ...(values.others || [])].includes(salt.id));
  if (!salts.length) {
    fields.salts.fault(say('mix.need.salts'));
    return;
  }
  fields.salts.fault('');
  for (const name of ['water', 'target', 'scale', 'tank']) own.set(`mix.${name}`, values[name] ?? null);
  const water = shelf.waters.find((one) => one.id === values.water);
  const target = shelf.targets.find((one) => one.id === values.target);
  const wanted = weaker(target.mg_l, values.share / 100);
  const question = { volume_l: values.volume, target_mg_l: wanted, salts: salts.map(saltAsked), scale_step_g: Number(values.scale), ...(water ? { water: onlyKnown(water.reckoned ?? water, WATER_FIELDS) } : {}), ...(values.ph ? { ph: values.ph } : {}) };
  const button = byId('compute');
  button.disabled = true;
  status('loading', say('mix.working'));
  try {
    const recipe = await send('POST', 'calc/recipe', question);
    status('');
    sheet = { key: uuid7(), kind: asked('as') === 'top-up' ? 'top-up' : 'fill', at: utc(), tank: values.tank ?? null, tank_name: shelf.tanks.find((one) => one.id === values.tank)?.name ?? null, volume_l: values.volume, water: values.water ?? null, target: values.target,
      target_mg_l: wanted, recipe, salts: Object.fromEntries(salts.map((salt) => [askedName(salt), { id: salt.id, name: saltName(salt), notes: saltCautions(salt), asked: saltAsked(salt) }])), water_given: question.water ?? null, question, step: -1, ticks: [], measured: {} };
    drawRecipe();
  } catch (error) {
    const left = error instanceof Problem ? placeFaults(error, fields) : [];
    status('failed', left.length ? left.join(' · ') : why(error));
  } finally {
    button.disabled = false;
  }
}

/* --- the recipe, as a whole ------------------------------------------------------------------- */

const nameOf = (asked_) => sheet.salts[asked_]?.name ?? saltName({ id: asked_, name: asked_ });
const element = (name) => say(`element.${name}`);
/* Small scales show grams everywhere: beside ounces they stand in brackets. */
const atScale = (grams) => (garden.mass_unit === 'oz' ? `${format('mass', grams, garden, 3)} (${format('mass', grams, {}, 2)})` : format('mass', grams, garden, 2));
const plainName = (name) => element(name).split(',')[0]; // without its symbol

/* Acts at the scale, in order: salts with grams, then acid. */
function stepsOf(recipe) {
  const steps = recipe.steps?.length ? recipe.steps : recipe.weigh.map((row) => ({ do: 'dissolve', salt: row.salt, grams: row.grams }));
  return steps.map((step) => ({ ...step, grams: step.grams ?? recipe.weigh.find((row) => row.salt === step.salt)?.grams ?? null }));
}

const isDone = (step) => Boolean(sheet.ticks[step]?.done);

/* The first that nobody has done, from here on and then from the front; their number when all are done. */
function nextStep(from) {
  const steps = stepsOf(sheet.recipe).map((_, step) => step);
  return [...steps.slice(from), ...steps.slice(0, from)].find((step) => !isDone(step)) ?? steps.length;
}

/* What went in so far, in order. */
const weighedSoFar = () => stepsOf(sheet.recipe).map((step, i) => (step.salt && isDone(i) ? { salt: step.salt, grams: sheet.ticks[i].grams ?? 0, wanted: step.grams } : null)).filter(Boolean);

function only(part) {
  for (const id of ['ask', 'recipe', 'sheet', 'end', 'open-sheets']) byId(id).hidden = id !== part;
  byId('daily-ask').hidden = part !== 'ask';
  byId('daily-recipe').hidden = part !== 'recipe';
  byId('daily-sheet').hidden = part !== 'sheet' && part !== 'end';
}

const cautions = (list) => list.filter(Boolean).map((text) => el('div', { class: 'caution' }, el('p', {}, el('strong', { text: say('caution') }), ' ', text)));

const SHORT_FIRST = 3;

/* The greatest misses first, the salt that would mend most of them, the rest on request. */
function shortNodes(recipe) {
  const short = [...(recipe.short || [])].sort((a, b) => Math.abs(b.off_percent) - Math.abs(a.off_percent));
  if (!short.length) return [];
  const list = (rows) => el('ul', {}, rows.map((one) => el('li', { text: shortSentence(one) })));
  return [el('h3', { text: say('mix.short') }), list(short.slice(0, SHORT_FIRST)),
    recipe.mend ? el('p', { text: say('mix.mend', { salt: nameOf(recipe.mend), grams: format('mass', recipe.mend_grams, garden) }) }) : null,
    short.length > SHORT_FIRST ? details(say('mix.short.rest', { n: short.length - SHORT_FIRST }), list(short.slice(SHORT_FIRST))) : null];
}

/* Why an element is off: from the reason where we have words for it, else as the daemon says it. */
function shortSentence(one) {
  const key = `short.${one.reason}`;
  const off = say(one.off_percent < 0 ? 'short.less' : 'short.more', { percent: formatNumber(Math.abs(one.off_percent), 0) });
  const because = hasWord(key) ? say(key, { salt: one.salt ? nameOf(one.salt) : '', other: one.other ? plainName(one.other) : '' }) : one.why;
  return `${plainName(one.element)}: ${off} ${because}${one.mend ? ` ${say('short.mend', { salt: nameOf(one.mend) })}` : ''}`;
}

function drawRecipe() {
  const { recipe } = sheet;
  only('recipe');
  const predicted = [recipe.solution?.ec_ms_cm !== undefined && say('mix.predicted.ec', { x: format('ec', recipe.solution.ec_ms_cm, garden) }),
    recipe.solution?.ph !== undefined && say('mix.predicted.ph', { x: format('ph', recipe.solution.ph, garden) })].filter(Boolean).join(', ');
  const rows = ELEMENTS.filter((name) => typeof sheet.target_mg_l[name] === 'number').map((name) => [element(name), format('concentration', sheet.target_mg_l[name], garden, 2), format('concentration', recipe.delivers_mg_l?.[name], garden, 2),
    typeof recipe.off_percent?.[name] === 'number' ? `${formatNumber(recipe.off_percent[name], 0)}\u00a0%` : '–']);
  fill(byId('recipe-body'),
    el('p', { class: 'ask', text: say('mix.for', { volume: format('volume', sheet.volume_l, garden), tank: sheet.tank_name ?? say('mix.bucket') }) }),
    table(say('mix.weigh'), [say('mix.order'), say('mix.salt'), say('mix.grams')], stepsOf(recipe).filter((step) => step.salt).map((step, i) => [String(i + 1), nameOf(step.salt), atScale(step.grams)])),
    acidNode(recipe), predicted ? el('p', { text: say('mix.predicted', { what: predicted }) }) : null,
    ...shortNodes(recipe),
    ...cautions(recipe.cautions ?? []),
    details(say('mix.delivers'), table(say('mix.delivers'), [say('mix.element'), say('mix.wanted'), say('mix.gets'), say('mix.off')], rows)),
    sheet.question && mayLog(garden) ? stocksNode(sheet.question, { garden, nameOf }) : null);
}

function acidNode(recipe) {
  if (!recipe.acid || !(recipe.acid.ml > 0)) return null;
  return el('div', {}, el('p', { text: say('mix.acid', { ml: format('acid', recipe.acid.ml, garden) }) }), ...cautions([say('caution.acid'), say('caution.acid.choice')]), ...cautions(recipe.acid.cautions?.slice(1) ?? []));
}

/* --- the worksheet ---------------------------------------------------------------------------- */

const saveSheet = () => keep('sheets', sheet).catch(() => {});

/* Who did this step, when nobody is to do it twice. */
function toldLine(step) {
  const tick = sheet.ticks[step];
  if (!tick?.done) return null;
  const who = tick.mine ? say('mix.told.mine') : tick.member_name ?? say('mix.told.someone');
  const grams = typeof tick.grams === 'number' ? atScale(tick.grams) : '';
  return el('p', { class: 'told', role: 'status' }, say(grams ? 'mix.told' : 'mix.told.done', { who, grams, at: formatInstant(tick.at, garden) }), tick.mine ? null : ` ${say('mix.told.once')}`);
}

const stepper = (steps) => byId('sheet-steps').replaceChildren(...steps.map((_, i) => el('li', { class: isDone(i) ? 'done' : null, 'aria-current': i === sheet.step ? 'step' : null })));

async function drawStep(quiet = false) {
  const steps = stepsOf(sheet.recipe);
  if (sheet.step >= steps.length) return drawEnd();
  const step = steps[sheet.step];
  only('sheet');
  stepper(steps);
  const salt = step.salt ? nameOf(step.salt) : null;
  const before = steps.slice(0, sheet.step).filter((one) => one.salt).map((one) => nameOf(one.salt));
  fields = { grams: salt ? numberField({ label: say('mix.actual'), quantity: 'mass', garden, value: (isDone(sheet.step) ? sheet.ticks[sheet.step].grams : null) ?? step.grams, most: 1e6, required: true, hint: say('mix.actual.hint') }) : null };
  drawnGrams = fields.grams?.peek() ?? null;
  byId('sheet-title').textContent = say('mix.step', { i: sheet.step + 1, of: steps.length });
  const sum = weighedSoFar().reduce((all, one) => all + one.grams, 0);
  fill(byId('sheet-body'),
    el('div', { id: 'told' }, toldLine(sheet.step)),
    el('p', { class: 'ask', text: salt ?? step.do }),
    salt ? el('p', { class: 'grams', text: atScale(step.grams) }) : null,
    el('p', { text: salt ? say(sheet.step === 0 ? 'mix.why.first' : 'mix.why.next', { salt, before: before.at(-1) ?? '' }) : '' }),
    step.jug_l ? el('p', { text: say('mix.jug', { volume: format('volume', step.jug_l, garden) }) }) : null,
    saturationLine(step),
    ...cautions([...(sheet.salts[step.salt]?.notes ?? []), step.do === 'acid' || step.acid ? say('caution.acid') : null]),
    fields.grams?.node, sum > 0 ? el('p', { text: say('mix.sum', { grams: format('mass', sum, garden), volume: format('volume', sheet.volume_l, garden) }) }) : null,
  );
  byId('sheet-next').textContent = say(salt ? 'mix.dissolved' : 'mix.done');
  if (quiet) return;
  byId('sheet-title').focus({ preventScroll: true });
  scrollTo(0, 0);
}

/* The closest any mineral comes to falling out at this step: the log of how far (0 is the edge). */
function saturationLine(step) {
  const list = Object.entries(step.saturation || {}).filter(([, value]) => typeof value === 'number').sort((a, b) => b[1] - a[1]);
  if (!list.length) return null;
  const [mineral, index] = list[0];
  const values = { mineral: hasWord(`mineral.${mineral}`) ? say(`mineral.${mineral}`) : mineral, index: formatNumber(index, 1) };
  return el('p', { class: 'hint', text: say(index < 0 ? 'mix.clear' : 'mix.cloudy', values) });
}

/* What would explain a measurement that is not as computed, the likeliest first. */
async function compare() {
  const acid = sheet.recipe.acid?.ml > 0; // not among what is compared: only the EC tells then
  const ec = fields.ec_ms_cm?.peek(), ph = acid ? null : fields.ph?.peek();
  const weighed = weighedSoFar().filter((row) => row.grams > 0).map((row) => ({ salt: sheet.salts[row.salt]?.asked ?? { salt: row.salt }, grams: row.grams }));
  if ((ec === null && ph === null) || !weighed.length) return fill(byId('compare'));
  const answer = await send('POST', 'calc/compare', { volume_l: sheet.volume_l, weighed, ...(sheet.water_given ? { water: sheet.water_given } : {}),
    ...(ec === null ? {} : { measured_ec_ms_cm: ec }), ...(ph === null ? {} : { measured_ph: ph }) });
  const rows = answer.explanations.filter((one) => one.cause !== 'nothing' && one.chance >= 0.05).slice(0, 3);
  const weighedOff = weighedSoFar().some((row) => typeof row.wanted === 'number' && Math.abs(row.grams - row.wanted) > 0.02 * row.wanted);
  const first = [weighedOff ? el('p', { text: say(acid ? 'mix.end.byweight.ec' : 'mix.end.byweight', { ec: format('ec', answer.predicted_ec_ms_cm, garden), ph: format('ph', answer.predicted_ph, garden) }) }) : null,
    acid ? el('p', { class: 'hint', text: say('mix.end.acid') }) : null];
  if (answer.within || !rows.length) return fill(byId('compare'), first, el('p', { class: 'echo', text: say('mix.end.fits') }));
  return fill(byId('compare'), first, el('p', { text: say('mix.end.off') }), el('ul', {}, rows.map((one) =>
    el('li', { text: say('mix.end.cause', { what: hasWord(`compare.${one.cause}`) ? say(`compare.${one.cause}`, { salt: one.salt ? nameOf(one.salt) : '' }) : one.text, percent: formatNumber(one.chance * 100, 0) }) }))));
}

let comparing = null;
function compareSoon() {
  clearTimeout(comparing);
  comparing = setTimeout(() => compare().catch(() => fill(byId('compare'))), 300); // without an answer the numbers still count
}

const weighedTable = () => table(say('mix.end.weighed'), [say('mix.salt'), say('mix.wanted'), say('mix.actual')], weighedSoFar().map((row) => [nameOf(row.salt), format('mass', row.wanted, garden), format('mass', row.grams, garden)]));

async function drawEnd() {
  only('end');
  const { solution } = sheet.recipe;
  const measured = (name, word, quantity, predicted, most) => numberField({ label: say(word), quantity, garden, value: sheet.measured[name], most, oninput: compareSoon,
    hint: predicted !== undefined ? say('mix.end.predicted', { x: format(quantity, predicted, garden) }) : null });
  fields = {
    ec_ms_cm: measured('ec_ms_cm', 'log.ec', 'ec', solution?.ec_ms_cm, 20),
    ph: measured('ph', 'log.ph', 'ph', solution?.ph, 14),
  };
  fill(byId('end-body'), el('p', { text: say('mix.end.about') }), el('div', { class: 'pair' }, fields.ec_ms_cm.node, fields.ph.node), el('div', { id: 'compare', role: 'status' }),
    el('div', { id: 'end-weighed' }, weighedTable()),
    ...(sheet.tank ? cautions([say('caution.weight.carry')]) : []));
  byId('sheet-next').textContent = say(sheet.tank ? `log.save.${sheet.kind}` : 'mix.finish');
  byId('end-title').focus({ preventScroll: true });
}

function back() {
  sheet.step--;
  if (sheet.step < 0) drawRecipe();
  else drawStep();
}

async function forward() {
  const button = byId('sheet-next');
  if (button.disabled) return;
  button.disabled = true;
  try {
    const steps = stepsOf(sheet.recipe);
    const ending = sheet.step >= steps.length;
    const values = readAll(Object.fromEntries(Object.entries(fields).filter(([, one]) => one)));
    if (!values) return;
    if (ending) {
      sheet.measured = values;
      await finish();
      return;
    }
    const step = steps[sheet.step];
    const tick = { step: sheet.step, done: true, grams: step.salt ? values.grams : null, at: utc() };
    const told = sheet.ticks[sheet.step];
    if (!told?.done || (told.grams ?? null) !== tick.grams) { // what another did is not said again
      sheet.ticks[sheet.step] = { ...tick, mine: true };
      await tellTick(sheet, tick);
    }
    sheet.step = nextStep(sheet.step + 1);
    await saveSheet();
    await drawStep();
  } catch (error) {
    status('failed', why(error));
  } finally {
    button.disabled = false;
  }
}

/* Another has logged it, or it was ended: this phone's copy goes. */
async function over(state) {
  const { tank, key } = sheet;
  sheet = null;
  await drop('sheets', key).catch(() => {});
  if (state === 'logged' && tank) {
    location.href = `tank.html?id=${encodeURIComponent(tank)}`;
    return;
  }
  await drawFirst();
  toast(say(`mix.over.${state}`));
}

/* What the garden says of the sheet that is open here. What somebody is typing stays. */
async function heard(mix) {
  if (!sheet || sheet.key !== mix.id) return;
  if (mix.state !== 'open') return over(mix.state);
  if (!(await mergeMix(sheet, mix)) || sheet?.key !== mix.id) return;
  await saveSheet();
  if (!byId('end').hidden) fill(byId('end-weighed'), weighedTable());
  if (byId('sheet').hidden) return;
  const steps = stepsOf(sheet.recipe);
  const untouched = !fields.grams || (fields.grams.peek() === drawnGrams && document.activeElement !== fields.grams.input);
  if (untouched) return drawStep(true);
  stepper(steps);
  fill(byId('told'), toldLine(sheet.step));
}

/* The fill goes into the tank's log with what was really weighed; the id is the sheet's own, so that two who log it make one. */
async function finish() {
  if (!sheet.tank) {
    await tellState(sheet.key, 'finished');
    await drop('sheets', sheet.key);
    toast(say('mix.finished'));
    sheet = null;
    return drawFirst();
  }
  const tank = await get(`tanks/${encodeURIComponent(sheet.tank)}`).catch(() => null);
  const acid = sheet.recipe.acid?.ml > 0 && sheet.recipe.acid.acid ? { acid: { acid: sheet.recipe.acid.acid, ml: sheet.recipe.acid.ml } } : {};
  const merged = new Map(); // a salt dissolved in two portions counts once
  for (const row of weighedSoFar()) {
    const id = sheet.salts[row.salt]?.id ?? row.salt;
    merged.set(id, (merged.get(id) ?? 0) + row.grams);
  }
  const start = tank?.vessel.start_volume_l;
  const toTheMark = sheet.kind === 'fill' && start && Math.abs(start - sheet.volume_l) < 0.02 * start;
  const entry = { id: sheet.key, tank: sheet.tank, kind: sheet.kind, at: utc(), ...(toTheMark ? { waterline_mm: tank.state.start_mm } : { volume_l: sheet.volume_l }),
    ...(sheet.kind === 'fill' && sheet.water ? { water: sheet.water } : {}), ...(sheet.kind === 'fill' && sheet.target ? { target: sheet.target } : {}), weighed: [...merged].map(([salt, grams]) => ({ salt, grams })), ...acid, ...sheet.measured };
  const { tank: id, key } = sheet;
  try {
    await logAndSay(entry);
  } catch (error) {
    if (!(error instanceof Problem) || error.status !== 409) throw error;
    toast(say('mix.over.logged'), { seconds: 6 }); // the other's words stand
    await new Promise((resolve) => setTimeout(resolve, 3000));
  }
  await drop('sheets', key);
  location.href = `tank.html?id=${encodeURIComponent(id)}`;
}

/* --- handing over, carrying on ----------------------------------------------------------------- */

function handOver() {
  const base = garden.public_url ? new URL('mix.html', `${garden.public_url.replace(/\/$/, '')}/`) : new URL('mix.html', location.href);
  const area = byId('hand-link');
  area.hidden = false;
  base.search = new URLSearchParams({ mix: sheet.key });
  base.hash = '';
  area.value = base.href;
  area.select();
  toast(say(document.execCommand('copy') ? 'mix.copied' : 'mix.copy'));
}

/* Takes a sheet up: this phone's own copy where there is one, with what others did since. */
async function carryOn(id, mine) {
  try {
    const mix = await loadMix(id).catch((error) => { if (mine) return null; throw error; });
    sheet = mine ?? sheetOf(mix);
    if (!sheet) return status('failed', say('mix.badlink'));
    sheet.ticks ??= []; // a sheet of before there were any
    if (mix && mix.state !== 'open') return over(mix.state);
    if (mine && mix) await mergeMix(sheet, mix);
    sheet.step = nextStep(0);
    await saveSheet();
    status('');
    await drawStep();
  } catch (error) {
    sheet = null;
    status('failed', error instanceof Problem && error.status === 404 ? say('mix.badlink') : why(error));
  }
}

async function giveUp(mix) {
  await tellState(mix.id, 'given_up');
  if (mix.sheet) await drop('sheets', mix.id);
  toast(say('mix.over.given_up'), { undo: async () => {
    if (mix.sheet) await keep('sheets', { ...mix.sheet, shared: false }); // until the garden has it again
    await tellState(mix.id, 'open');
    await flush();
    await drawOpen();
  } });
  await drawOpen(mix.id);
}

/* What is being weighed in somewhere in the garden; that of the tank which was asked for comes first. */
async function drawOpen(without = null) {
  const countOf = (one) => ({ steps: stepsOf(one.recipe).length, done: (one.ticks ?? []).filter((tick) => tick?.done).length });
  const open = (await openMixes(countOf)).filter((mix) => mix.id !== without);
  const wanted = shelf.tanks.find((one) => [one.id, one.code].includes(asked('tank')))?.id ?? asked('tank');
  open.sort((a, b) => (b.tank === wanted) - (a.tank === wanted));
  byId('open-sheets').hidden = open.length === 0 || byId('ask').hidden;
  byId('open-list').replaceChildren(...open.map((mix) => el('li', {}, el('span', { class: 'what' },
    el('span', { text: say('mix.open', { volume: format('volume', mix.volume_l, garden), tank: mix.tank_name ?? say('mix.bucket') }) }),
    el('small', { text: [say('mix.progress', { done: mix.done, of: mix.steps }), mix.member_name, formatInstant(mix.at, garden)].filter(Boolean).join(' · ') })),
    mayLog(garden) ? el('button', { type: 'button', text: say('mix.carryon'), onclick: () => carryOn(mix.id, mix.sheet) }) : null,
    mayLog(garden) ? el('button', { type: 'button', class: 'quiet', text: say('mix.giveup'), onclick: () => giveUp(mix) }) : null)));
}

async function drawFirst() {
  const handed = asked('mix');
  if (handed) {
    history.replaceState(null, '', 'mix.html');
    await carryOn(handed, (await one('sheets', handed).catch(() => null)) ?? null);
    if (sheet) return;
  }
  only('ask');
  if (shelf.targets) drawAsk();
  else byId('daily-ask').hidden = true; // nobody answers: what is under way here can go on
  await drawOpen();
}

async function begin() {
  const steps = stepsOf(sheet.recipe);
  sheet.step = nextStep(0);
  await saveSheet();
  if (!sheet.told) {
    sheet.told = true;
    await shareMix(sheet, steps.length);
    await saveSheet();
  }
  await drawStep();
}

/* With nobody answering what is under way on this phone goes on; the rest wants the shelf. */
async function withNobody() {
  for (const [id, act] of [['sheet-next', forward], ['sheet-back', back], ['hand', handOver]]) byId(id).addEventListener('click', act);
  hearOthers(() => sheet, heard);
  only('ask');
  byId('daily-ask').hidden = true;
  await drawOpen();
}

garden = await openPage();
if (garden) {
  status('loading', say('loading'));
  try {
    const [salts, waters, targets, tanks, vessels] = await Promise.all(['salts', 'waters', 'targets', 'tanks', 'vessels'].map((path) => getAll(path)));
    shelf = { salts, waters, targets, tanks: tanks.filter((tank) => !tank.retired), vessels };
    status('');
    byId('ask-form').addEventListener('submit', compute);
    byId('compute').addEventListener('click', compute);
    byId('to-ask').addEventListener('click', () => drawFirst());
    byId('to-sheet').addEventListener('click', begin);
    byId('to-sheet').hidden = !mayLog(garden);
    byId('sheet-next').addEventListener('click', forward);
    byId('sheet-back').addEventListener('click', back);
    byId('hand').addEventListener('click', handOver);
    hearOthers(() => sheet, heard);
    await drawFirst();
  } catch (error) {
    failed(error, () => location.reload());
    if (error instanceof Unreachable) await withNobody();
  }
}
