/* records.js - harvests summed up: how they lie by season, crop, tank and member, beside what others got. */
import { spreadChart } from './chart.js';
import { details, el, fill, table } from './dom.js';
import { drawInto } from './drawing.js';
import { selectField } from './fields.js';
import { cropName } from './log.js';
import { format, formatNumber } from './units.js';
import { sourceText } from './sources.js';
import { say } from './words.js';

/** What a group tells, in the order in which it is offered. */
export const MEASURES = ['g_per_plant', 'g_per_litre', 'g_per_m2', 'g_per_day', 'g_per_g_n', 'g_per_kwh', 'days'];
const GROUPS = ['by_season', 'by_crop', 'by_tank', 'by_member'];

/** {n, mean, median, low, high} of a group; grams a plant lie in the group itself. null: nothing is known. */
export function spreadOf(group, measure) {
  const spread = measure === 'g_per_plant' ? group : group?.[measure];
  return spread && spread.n > 0 ? spread : null;
}

/** What may be said of two seasons, and no more: 'none', 'few', 'overlap' or 'apart'. */
export function apart(now, before, few = 5) {
  if (!now || !before) return 'none';
  if (now.n < few || before.n < few) return 'few';
  return now.low <= before.high && before.low <= now.high ? 'overlap' : 'apart';
}

/* '2026-spring' and the like get a word; anything else stays as the daemon says it. */
export function seasonName(text) {
  const parts = /^(\d{4})[ -]?(spring|summer|autumn|winter)$/.exec(String(text));
  return parts ? say(`season.${parts[2]}`, { year: parts[1] }) : String(text ?? '–');
}

const nameOf = { by_season: (row) => seasonName(row.id), by_crop: (row) => cropName(row), by_tank: (row) => row.name, by_member: (row) => row.name };

export function makeRecords({ garden, nodes, crops, ask }) {
  let summary = null, measure = 'g_per_plant', crop = '';

  const value = (number, of = measure) => (of === 'days' ? formatNumber(number, 0) : format('mass', number, garden, garden.mass_unit === 'oz' ? 2 : number < 20 ? 1 : 0));
  const range = (spread, of = measure) => `${value(spread.low, of)} – ${value(spread.high, of)}`;
  const short = (spread, of = measure) => (spread ? `${value(spread.median, of)} (${range(spread, of)}; ${say('harvests.n.short', { n: spread.n })})` : '–');

  const cell = (spread, of) => (spread ? el('span', {}, el('strong', { text: value(spread.median, of) }), el('br'), range(spread, of), el('br'), say('harvests.n.short', { n: spread.n })) : '–');

  function drawGroup(name) {
    const node = nodes[name], rows = (summary[name] ?? []).filter((row) => spreadOf(row, measure));
    node.hidden = !rows.length;
    if (!rows.length) return;
    const title = say(`harvests.${name}`), stage = el('div', { class: 'stage' });
    const usual = (row) => (name === 'by_crop' && measure === 'g_per_plant' && typeof row.usual_low_g === 'number' ? { low: row.usual_low_g, high: row.usual_high_g } : null);
    const heads = [say('table.what'), say('harvests.n'), say('harvests.average'), say('harvests.median'), say('harvests.range'), ...(rows.some(usual) ? [say('harvests.usual')] : []), ...(measure === 'g_per_litre' ? [say('harvests.litres.kg')] : [])];
    const litres = (spread) => `${formatNumber(1000 / spread.high, 0)} – ${formatNumber(1000 / spread.low, 0)}`;
    fill(node, el('h3', { text: title }), stage, details(say('chart.table'), table(`${title}: ${say(`measure.${measure}`)}`, heads, rows.map((row) => {
      const spread = spreadOf(row, measure);
      return [nameOf[name](row), String(spread.n), value(spread.mean), value(spread.median), range(spread), ...(rows.some(usual) ? [usual(row) ? range(usual(row)) : '–'] : []), ...(measure === 'g_per_litre' ? [litres(spread)] : [])];
    }))), rows.some(usual) ? el('p', { class: 'hint', text: say('harvests.usual.about', { sources: [...new Set(rows.map((row) => row.usual_source).filter(Boolean).map(sourceText))].join('; ') }) }) : null);
    drawInto(stage, (width) => spreadChart({ width, said: `${title}: ${say(`measure.${measure}`)}`, rows: rows.map((row) => {
      const spread = spreadOf(row, measure);
      return { label: nameOf[name](row), low: spread.low, median: spread.median, high: spread.high, usual: usual(row), text: `${value(spread.median)} · ${say('harvests.n.short', { n: spread.n })}${spread.n < 5 ? `, ${say('harvests.few')}` : ''}` };
    }) }));
  }

  /* Seasons side by side: this one, the one before, and the same a year ago. No word of better or worse. */
  function drawSeasons() {
    const season = (id) => (summary.by_season ?? []).find((row) => row.id === id) ?? null;
    const ids = [summary.season_now, summary.season_before, summary.season_year_before].filter((id, i, all) => all.indexOf(id) === i);
    const columns = ids.map(season);
    nodes.seasons.hidden = !columns.some(Boolean);
    if (nodes.seasons.hidden) return;
    const rows = MEASURES.filter((one) => columns.some((column) => column && spreadOf(column, one)));
    const said = columns.slice(1).map((column, i) => (column ? el('p', { text: say(`harvests.seasons.${apart(spreadOf(columns[0], 'g_per_plant'), spreadOf(column, 'g_per_plant'))}`, { now: seasonName(ids[0]), then: seasonName(ids[i + 1]) }) }) : null));
    fill(nodes.seasons, el('h3', { text: say('harvests.seasons') }), ...said,
      table(say('harvests.seasons.table'), [say('table.what'), ...ids.map(seasonName)], rows.map((one) => [say(`measure.${one}`), ...columns.map((column) => cell(column && spreadOf(column, one), one))])),
      el('p', { class: 'hint', text: say('harvests.seasons.crops') }));
  }

  /* What others got, with who says so. */
  function drawPublished() {
    const all = spreadOf(summary.all, measure), lines = (summary.published ?? []).filter((one) => one.measure === measure);
    nodes.published.hidden = !lines.length;
    fill(nodes.published, el('h3', { text: say('harvests.published') }), all ? el('p', { text: say('harvests.here', { x: short(all) }) }) : null,
      el('ul', {}, lines.map((one) => el('li', {}, say(`published.${one.id}`, { x: one.low === one.high ? value(one.low) : range(one) }), ' ', el('small', { lang: 'en', text: one.source })))));
  }

  /* From the top of the page down; while the page is coming with a breath after each part: a slow phone answers to a touch in between. */
  let turn = 0;
  async function draw(breathing = false) {
    const mine = ++turn;
    for (const part of [() => drawGroup('by_crop'), drawSeasons, ...GROUPS.filter((name) => name !== 'by_crop').map((name) => () => drawGroup(name)), drawPublished]) {
      part();
      if (breathing) await new Promise((go) => setTimeout(go));
      if (mine !== turn) return;
    }
  }

  const fieldOfMeasure = selectField({ label: say('harvests.measure'), value: measure, options: MEASURES.map((one) => ({ value: one, label: say(`measure.${one}`) })), onchange: (next) => { measure = next; offer(); draw(); } });
  const unknown = el('p', { class: 'hint', role: 'status' });
  const offer = () => { unknown.textContent = spreadOf(summary.all, measure) ? say(`measure.${measure}.about`) : say(`measure.${measure}.unknown`); };
  let fieldOfCrop = null;

  return {
    draw(answer) {
      const first = summary === null;
      summary = answer;
      if (!fieldOfCrop && (summary.by_crop ?? []).length > 1) {
        fieldOfCrop = selectField({ label: say('harvests.crop'), value: crop, options: [{ value: '', label: say('harvests.crop.all') }, ...summary.by_crop.map((row) => ({ value: row.id, label: cropName(crops().get(row.id) ?? row) }))], onchange: (next) => { crop = next; ask(crop); } });
      }
      if (!nodes.choose.childElementCount) fill(nodes.choose, fieldOfMeasure.node, fieldOfCrop?.node ?? null, unknown);
      nodes.part.hidden = !(summary.all?.harvests > 0) && !crop;
      offer();
      return draw(first);
    },
  };
}
