/* dom.js - elements from data. Text only ever becomes text. */

function build(node, attributes, children) {
  for (const [name, value] of Object.entries(attributes)) {
    if (value === null || value === undefined || value === false) continue;
    if (name === 'text') node.textContent = value;
    else if (name.startsWith('on')) node.addEventListener(name.slice(2), value);
    else node.setAttribute(name, value === true ? '' : value);
  }
  node.append(...children.flat(Infinity).filter((child) => child !== null && child !== undefined && child !== false));
  return node;
}

/** el('a', {href, text, class, onclick}, ...children) */
export const el = (name, attributes = {}, ...children) => build(document.createElement(name), attributes, children);

/** The same for SVG. */
export const svg = (name, attributes = {}, ...children) =>
  build(document.createElementNS('http://www.w3.org/2000/svg', name), attributes, children);

/** Puts children in the place of what was there; nothing stands for null. */
export const fill = (node, ...children) => node.replaceChildren(...children.flat(Infinity).filter((child) => child !== null && child !== undefined && child !== false));

/** A table with a caption and a header row; the first cell of a row heads it. */
export function table(caption, heads, rows) {
  const cells = (row) => row.map((cell, i) =>
    el(i === 0 ? 'th' : 'td', i === 0 ? { scope: 'row' } : {}, cell instanceof Node ? cell : String(cell)));
  return el('div', { class: 'table', tabindex: 0, role: 'region', 'aria-label': caption },
    el('table', {}, el('caption', { text: caption }),
      el('thead', {}, el('tr', {}, heads.map((head) => el('th', { scope: 'col', text: head })))),
      el('tbody', {}, rows.map((row) => el('tr', {}, cells(row))))));
}

/** A drawing's or a chart's table, closed until asked for. */
export const details = (summary, ...children) => el('details', { class: 'more' }, el('summary', { text: summary }), ...children);
