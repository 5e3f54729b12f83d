// The hands of somebody without a mouse: Tab, arrows, Enter, Space, Escape. Nothing here clicks or touches.
import assert from 'node:assert/strict';

/* What is wrong with what has the focus: not to be seen, without a mark of its own, or wholly under something else. */
const FAULT = () => {
  const node = document.activeElement;
  if (!node || node === document.body) return 'nothing has the focus';
  const seen = node.labels?.[0] && /^(radio|checkbox|file)$/.test(node.type) ? node.labels[0] : node;
  const box = seen.getBoundingClientRect();
  if (!box.width || !box.height) return 'it is not to be seen';
  const styles = [node, seen, ...node.querySelectorAll('.touch')].map((one) => getComputedStyle(one));
  const marked = styles.some((style) => (style.outlineStyle !== 'none' && parseFloat(style.outlineWidth) >= 2) || (style.strokeDasharray !== 'none' && style.stroke !== 'none' && parseFloat(style.strokeWidth) >= 2));
  if (!marked) return 'no mark shows that it has the focus';
  const at = (x, y) => document.elementFromPoint(box.left + box.width * x, box.top + box.height * y);
  const points = [[0.5, 0.5], [0.1, 0.2], [0.9, 0.2], [0.1, 0.8], [0.9, 0.8], [0.5, 0.1], [0.5, 0.9]].map(([x, y]) => at(x, y)).filter(Boolean);
  if (!points.length) return 'it is off the screen';
  return points.some((one) => seen.contains(one) || one.contains(seen)) ? '' : `it lies under ${points[0].outerHTML.slice(0, 80)}`;
};

export function hands(page) {
  const focused = () => page.evaluate(() => document.activeElement?.outerHTML.slice(0, 160));
  /** The focus is somewhere, is to be seen and has a mark. */
  async function isSeen(where = '') {
    let fault = '';
    for (let turn = 0; turn < 60; turn++) { // drawings above it may still be drawn
      fault = await page.evaluate(FAULT);
      if (!fault) return;
      await page.waitForTimeout(50);
    }
    assert.fail(`${where} ${await focused()}: ${fault}`);
  }
  /** Tab until it has the focus; backwards with back. */
  async function reach(target, { most = 250, back = false } = {}) {
    await target.waitFor();
    const wanted = await target.elementHandle();
    for (let turn = 0; turn < most; turn++) {
      if (await wanted.evaluate((node) => node === document.activeElement)) return isSeen();
      await page.keyboard.press(back ? 'Shift+Tab' : 'Tab');
    }
    assert.fail(`no way by Tab to ${await wanted.evaluate((node) => node.outerHTML.slice(0, 120))}`);
  }
  const press = async (target, key = 'Enter', how = {}) => { await reach(target, how); await page.keyboard.press(key); };
  const type = async (target, text) => { await reach(target); await page.keyboard.press('Control+A'); await page.keyboard.type(text); };
  /** Chooses in a list by its arrows. */
  async function choose(target, text) {
    await reach(target);
    for (let turn = 0; turn < 100; turn++) {
      if (await target.evaluate((node) => node.selectedOptions[0].textContent) === text) return;
      await page.keyboard.press(turn === 0 ? 'Home' : 'ArrowDown');
    }
    assert.fail(`${text} is not in the list`);
  }
  /** After something was closed, kept or drawn anew: the focus is seen, and on what test (text or pattern) tells. */
  async function isOn(what, where = '') {
    const says = () => page.evaluate(() => { const node = document.activeElement; return node === document.body ? '' : node.getAttribute('aria-label') ?? node.labels?.[0]?.textContent ?? node.textContent; });
    let said = '';
    for (let turn = 0; turn < 60; turn++) {
      said = await says();
      if (typeof what === 'string' ? said === what : what.test(said)) return isSeen(where);
      await page.waitForTimeout(50);
    }
    assert.fail(`${where} the focus is on "${said}" (${await focused()}), not on ${what}`);
  }
  const inside = () => page.locator('dialog[open]');
  const button = (name, where = page) => where.getByRole('button', { name, exact: true });
  const field = (label, where = page) => where.getByLabel(label, { exact: true });
  return { reach, press, type, choose, isOn, isSeen, inside, button, field };
}
