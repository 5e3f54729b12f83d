/* meters.js - what an EC meter's number is on the other scales, and whether the meter can be believed. */
import { Problem, get, send } from './api.js';
import { el, fill, table } from './dom.js';
import { choiceField, numberField, placeFaults, readAll, selectField, textField } from './fields.js';
import { uuid7 } from './id.js';
import { why } from './page.js';
import { format, formatInstant, formatNumber, utc } from './units.js';
import { say } from './words.js';

const SCALES = ['ms_cm', 'us_cm', 'ppm_500', 'ppm_700'];
const STANDARDS = ['kcl_0_01_mol_l', 'kcl_0_1_mol_l'];

/** How one check is told: good, low or high. */
export const checkWord = (check) => (check.good ? 'meter.good' : check.off_percent < 0 ? 'meter.low' : 'meter.high');

const checkSentence = (check, garden) => say(checkWord(check), { percent: formatNumber(Math.abs(check.off_percent), 1), expected: format('ec', check.expected_ms_cm, garden, 3), factor: formatNumber(check.correction, 3) });

function converter(garden) {
  const result = el('div', { role: 'status' });
  const reading = numberField({ label: say('meter.reading'), quantity: 'plain', garden, most: 200000, required: true });
  const scale = selectField({ label: say('meter.scale'), value: 'ppm_500', options: SCALES.map((value) => ({ value, label: say(`meter.scale.${value}`) })) });
  const form = el('form', { novalidate: true }, reading.node, scale.node, el('div', { class: 'row' }, el('button', { type: 'submit', text: say('meter.convert') })), result);
  form.addEventListener('submit', async (event) => {
    event.preventDefault();
    const values = readAll({ reading, scale });
    if (!values) return;
    try {
      const answer = await send('POST', 'calc/meter', values);
      fill(result, table(say('meter.same'), [say('meter.scale'), say('table.value')], [
        [say('meter.scale.ms_cm'), formatNumber(answer.ec_ms_cm, 2)], ...SCALES.slice(1).map((one) => [say(`meter.scale.${one}`), formatNumber(answer[one], 0)])]));
    } catch (error) {
      const left = error instanceof Problem ? placeFaults(error, { reading, scale }) : [];
      fill(result, left.length || !(error instanceof Problem) ? el('p', { class: 'fault', text: why(error) }) : null);
    }
  });
  return form;
}

function checker(garden, logged) {
  let id = uuid7();
  const said = el('div', { role: 'status' });
  const fields = {
    meter: textField({ label: say('meter.name'), required: true, most: 60, hint: say('meter.name.hint') }),
    standard: choiceField({ label: say('meter.standard'), value: STANDARDS[0], options: STANDARDS.map((value) => ({ value, label: say(`meter.standard.${value}`) })) }),
    reading_ms_cm: numberField({ label: say('meter.shows'), quantity: 'ec', garden, least: 0.01, most: 200, required: true }),
    temperature_c: numberField({ label: say('meter.temperature'), quantity: 'temperature', garden, value: 25, least: 5, most: 35, required: true }),
    compensated: choiceField({ label: say('meter.compensated'), value: 'yes', options: ['yes', 'no'].map((value) => ({ value, label: say(`meter.compensated.${value}`) })) }),
  };
  const form = el('form', { novalidate: true }, Object.values(fields).map((one) => one.node), el('div', { class: 'row' }, el('button', { type: 'submit', text: say('meter.log') })), said);
  form.addEventListener('submit', async (event) => {
    event.preventDefault();
    const values = readAll(fields);
    if (!values) return;
    try {
      const check = await send('POST', 'meters', { id, ...values, compensated: values.compensated === 'yes', at: utc() });
      id = uuid7(); // the next check is another one
      fill(said, check && typeof check.off_percent === 'number' ? el('p', { class: 'ask', text: checkSentence(check, garden) }) : null);
      await logged();
    } catch (error) {
      const left = error instanceof Problem ? placeFaults(error, fields) : [];
      fill(said, left.length || !(error instanceof Problem) || !error.errors.length ? el('p', { class: 'fault', text: why(error) }) : null);
    }
  });
  return form;
}

/** Both, and the checks so far. */
export function meterTool({ garden, maySave }) {
  const list = el('ul', { class: 'log' }), none = el('p', { class: 'empty', hidden: true, text: say('meter.none') });
  const load = async () => {
    try {
      const checks = (await get('meters')).items;
      none.hidden = checks.length > 0;
      fill(list, checks.map((check) => el('li', {}, el('span', { class: 'what' }, el('span', { text: `${check.meter}: ${checkSentence(check, garden)}` }),
        el('small', { text: [formatInstant(check.at, garden), format('ec', check.reading_ms_cm, garden, 3), format('temperature', check.temperature_c, garden), check.member_name].filter(Boolean).join(' · ') })))));
    } catch (error) {
      fill(list, el('li', {}, el('span', { class: 'fault', text: why(error) })));
    }
  };
  load();
  return el('div', {}, el('h3', { text: say('meter.convert.title') }), el('p', { text: say('meter.about') }), converter(garden),
    maySave ? [el('h3', { text: say('meter.check.title') }), el('p', { text: say('meter.check.about') }), checker(garden, load)] : null,
    el('h3', { text: say('meter.checks') }), none, list);
}
