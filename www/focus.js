/* focus.js - the keyboard keeps its place.
 *
 * A list that is drawn anew, a dialog whose opener is gone, a button that hides itself or is switched off while something is
 * sent: each takes the focus with it, and the next Tab would begin at the top. So the last places are remembered by their way
 * down the page, and what stands there afterwards gets the focus: the same control, else the one that moved up into its place,
 * else the heading above.
 */
const CONTROL = 'a[href], button, input, select, textarea, summary, [role=button], [tabindex="0"]';
const PATIENCE_MS = 500; // ours: a list that was emptied is mostly filled again by then

/* The last place in the page and in each dialog over it: {top, node, says, way: [[parent, which of its children], ...] upwards}. */
let spots = [];
let left = null; // the page or the dialog in which somebody let go of the focus
let timer = null;

const isShown = (node) => node.isConnected && (node.checkVisibility ? node.checkVisibility() : node.getClientRects().length > 0);
const isUsable = (node) => node.matches(CONTROL) && !node.disabled && isShown(node);
const isNowhere = () => !document.activeElement || document.activeElement === document.body || !isShown(document.activeElement);
const saysOf = (node) => node.getAttribute('aria-label') ?? node.labels?.[0]?.textContent ?? node.textContent;
const usableIn = (node) => [...node.querySelectorAll(CONTROL)].filter(isUsable);
const topNow = () => [...document.querySelectorAll('dialog[open]')].at(-1) ?? document.body;

function remember(node) {
  const top = node.closest('dialog') ?? document.body, way = [];
  for (let at = node; at !== top; at = at.parentElement) way.push([at.parentElement, [...at.parentElement.children].indexOf(at)]);
  spots = [...spots.filter((spot) => spot.top !== top && spot.top.isConnected), { top, node, says: saysOf(node), way }];
}

/* The nearest part of the page around a spot that is still there, and what stands now where the spot was: {part, reached}. */
function standing({ top, way }) {
  const level = way.findIndex(([at]) => isShown(at));
  const part = way[level]?.[0] ?? top;
  let reached = part;
  for (let i = level; i >= 0 && reached.children.length; i--) reached = reached.children[Math.min(way[i][1], reached.children.length - 1)];
  return { part, reached };
}

function inPlace({ node, says }, { part, reached }) {
  const shut = node.isConnected && node.closest('details:not([open])')?.querySelector('summary');
  if (shut && isUsable(shut)) return shut;
  const same = usableIn(part).filter((one) => one.localName === node.localName && saysOf(one) === says);
  if (same.length) return same.includes(reached) ? reached : same[0];
  for (let at = reached; at !== part; at = at.parentElement) {
    if (isUsable(at)) return at;
    const within = usableIn(at);
    if (within.length) return within.find((one) => one.localName === node.localName) ?? within[0];
  }
  return null;
}

function headingAbove({ reached }, top) {
  const heads = [...top.querySelectorAll('h1, h2, h3')].filter(isShown);
  return heads.filter((one) => one.compareDocumentPosition(reached) & Node.DOCUMENT_POSITION_FOLLOWING).at(-1) ?? heads[0] ?? null;
}

/* Where the focus belongs; null as long as it may still come. patient: false once nobody waits any longer. */
function placeNow(patient) {
  const top = topNow(), spot = spots.find((one) => one.top === top);
  if (!spot) return patient ? null : headingAbove({ reached: top }, top);
  if (spot.node.isConnected && spot.node.disabled) return null; // switched off while something is sent
  if (isUsable(spot.node)) return spot.node;
  const left = standing(spot);
  return inPlace(spot, left) ?? (patient ? null : headingAbove(left, top));
}

function put(node) {
  if (!node.matches(CONTROL)) node.tabIndex = -1;
  node.focus({ preventScroll: true });
  const near = () => node === document.activeElement && node.matches(':focus-visible') && node.scrollIntoView({ block: 'nearest' });
  requestAnimationFrame(() => requestAnimationFrame(near)); // drawings above it are drawn by then
}

function settle(patient) {
  if (!spots.length || left === topNow() || !isNowhere()) return;
  const found = placeNow(patient);
  if (found) put(found);
  else if (patient) timer ??= setTimeout(() => { timer = null; settle(false); }, PATIENCE_MS);
}

/** Begins to watch over the focus of this page. */
export function keepFocus() {
  document.addEventListener('focusin', ({ target }) => {
    left = null;
    if (target.matches(CONTROL) && !target.closest('.toast')) remember(target); // a line that passes leads back to where one was
  });
  /* Who leaves a control by a touch beside it wants no other. */
  document.addEventListener('focusout', ({ target }) => isUsable(target) && setTimeout(() => {
    if (isNowhere() && isUsable(target)) left = topNow();
  }));
  new MutationObserver(() => settle(true)).observe(document.body, { childList: true, subtree: true, attributes: true, attributeFilter: ['hidden', 'disabled', 'open'] });
}
