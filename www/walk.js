/* walk.js - the walking order of one place: by dragging, by buttons, or by numbers. */
import { Problem, get, send } from './api.js';
import { openForm } from './dialog.js';
import { el } from './dom.js';
import { say } from './words.js';

/** The list with what is at `from` moved to `to`. Pure. */
export function moved(list, from, to) {
  const rest = list.filter((_, i) => i !== from);
  return [...rest.slice(0, to), list[from], ...rest.slice(to)];
}

/* One list that can be put in order; items: [{id, name}]. */
function orderList(title, items, { ondone }) {
  let order = items;
  const node = el('ol', { class: 'order', 'aria-label': title });
  const place = (from, to, focus = null) => {
    if (to < 0 || to >= order.length || to === from) return;
    const { name } = order[from];
    order = moved(order, from, to);
    draw();
    if (focus) node.children[to].querySelector(focus).focus();
    ondone(say('walk.now', { name, n: to + 1, all: order.length }));
  };
  const rowAt = (y) => {
    const rows = [...node.children];
    const i = rows.findIndex((row) => y < row.getBoundingClientRect().bottom);
    return i < 0 ? rows.length - 1 : i;
  };
  /* A finger on the handle takes its row along; the page does not scroll under it (touch-action). */
  function drag(event, i) {
    const handle = event.currentTarget;
    const row = node.children[i];
    handle.setPointerCapture(event.pointerId);
    row.classList.add('dragged');
    let to = i;
    handle.onpointermove = (move) => {
      to = rowAt(move.clientY);
      [...node.children].forEach((other, n) => other.classList.toggle('target', n === to && to !== i));
    };
    handle.onpointerup = handle.onpointercancel = (up) => {
      handle.onpointermove = handle.onpointerup = handle.onpointercancel = null;
      row.classList.remove('dragged');
      for (const other of node.children) other.classList.remove('target');
      if (up.type === 'pointerup') place(i, to);
    };
  }
  function draw() {
    node.replaceChildren(...order.map((one, i) => {
      const number = el('input', { type: 'text', inputmode: 'numeric', autocomplete: 'off', 'aria-label': say('walk.number', { name: one.name }), value: String(i + 1), onchange: (event) => {
        const n = Number(event.target.value.trim());
        if (Number.isInteger(n) && n >= 1) place(i, Math.min(n, order.length) - 1, 'input');
        event.target.value = String(order.indexOf(one) + 1);
      } });
      return el('li', {}, el('span', { class: 'handle', 'aria-hidden': 'true', text: '⠿', onpointerdown: (event) => drag(event, i) }), number, el('span', { class: 'what', text: one.name }),
        el('button', { type: 'button', class: 'up-one', 'aria-label': say('walk.up', { name: one.name }), text: '↑', disabled: i === 0, onclick: () => place(i, i - 1, '.up-one') }),
        el('button', { type: 'button', class: 'down-one', 'aria-label': say('walk.down', { name: one.name }), text: '↓', disabled: i === order.length - 1, onclick: () => place(i, i + 1, '.down-one') }));
    }));
  }
  draw();
  return { node, ids: () => order.map((one) => one.id) };
}

/** Opens the order of an area ('top': of what lies in none); after(): called once it is kept. */
export async function openWalk(area, after) {
  const address = `walk/${encodeURIComponent(area)}`;
  const walk = await get(address);
  const said = el('p', { role: 'status', class: 'unseen' });
  const lists = {};
  const nodes = [el('p', { text: say('walk.about') })];
  for (const [name, title] of [['tanks', say('walk.tanks')], ['areas', say('walk.areas')]]) {
    if (!walk[name].length) continue;
    lists[name] = orderList(title, walk[name], { ondone: (text) => { said.textContent = text; } });
    nodes.push(el('h3', { text: title }), lists[name].node);
  }
  if (!Object.keys(lists).length) nodes.push(el('p', { class: 'empty', text: say('walk.none') }));
  return openForm({ title: walk.name ?? say('walk.top'), nodes: [...nodes, said], fields: {}, save: async () => {
    const body = {};
    for (const [name, list] of Object.entries(lists)) {
      body[name] = list.ids();
      body[`${name}_were`] = walk[name].map((one) => one.id);
    }
    if (!Object.keys(body).length) return;
    try {
      await send('PATCH', address, body);
    } catch (error) {
      if (error instanceof Problem && error.status === 409) throw new Problem(409, { detail: error.errors[0]?.detail ?? error.message });
      throw error;
    }
    await after();
  } });
}
