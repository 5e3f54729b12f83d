/* sensors.js - the part of Garden where a keeper lets sensors in: each has a key that may only post readings to named tanks. */
import { send } from './api.js';
import { openForm } from './dialog.js';
import { el, fill } from './dom.js';
import { boxesField, textField } from './fields.js';
import { formatInstant } from './units.js';
import { say } from './words.js';

/** show(title, text, about) shows a secret once; reload() draws the page anew; act wraps what may fail. */
function sensorForm(tanks, { show, reload }) {
  const name = textField({ label: say('sensor.name'), required: true, most: 60 });
  const boxes = boxesField({ label: say('sensor.tanks'), chosen: [], options: tanks.map((tank) => ({ value: tank.id, label: tank.name })) });
  openForm({ title: say('sensor.add'), label: say('sensor.make'), fields: { name, tanks: boxes }, nodes: [name.node, boxes.node], save: async (values) => {
    if (!values.tanks) {
      boxes.fault(say('sensor.need'));
      throw new Error(say('sensor.need'));
    }
    const made = await send('POST', 'sensors', values);
    show(say('sensor.ready'), made.key, say('sensor.once'));
    await reload();
  } });
}

/* Asked first: from then on the sensor has to be told its key. */
function rekeyForm(sensor, { show, reload }) {
  openForm({ title: say('sensor.rekey.title', { name: sensor.name }), label: say('sensor.make'), fields: {}, nodes: [el('p', { text: say('sensor.rekey.about') })], save: async () => {
    const made = await send('POST', `sensors/${encodeURIComponent(sensor.id)}/key`, {});
    show(say('sensor.ready.of', { name: sensor.name }), made.key, say('sensor.once'));
    await reload();
  } });
}

/** Fills the list of sensors and its button. */
export function drawSensors(node, button, sensors, tanks, garden, given) {
  const nameOf = (id) => tanks.find((tank) => tank.id === id)?.name ?? id;
  button.onclick = () => sensorForm(tanks.filter((tank) => !tank.retired), given);
  fill(node, sensors.filter((sensor) => !sensor.revoked).map((sensor) => el('li', {}, el('span', { class: 'what' }, el('span', { text: sensor.name }),
    el('small', { text: [sensor.tanks.map(nameOf).join(', '), sensor.last_used_at ? say('device.used', { at: formatInstant(sensor.last_used_at, garden) }) : say('feed.unused')].join(' · ') })),
  el('button', { type: 'button', class: 'quiet', text: say('sensor.rekey'), 'aria-label': say('sensor.rekey.of', { name: sensor.name }), onclick: () => rekeyForm(sensor, given) }),
  el('button', { type: 'button', class: 'quiet', text: say('device.revoke'), 'aria-label': say('device.revoke.of', { name: sensor.name }),
    onclick: given.act(async () => { await send('DELETE', `sensors/${encodeURIComponent(sensor.id)}`); await given.reload(); }) }))));
}
