/* theme.js - before anything is painted: the theme and the language this phone chose. No module, since
 * these wait for the whole page; it holds up the painting, not the reading of the page. It asks for the words, too, while the page's
 * own module is still on its way.
 */
(() => {
  const own = (name) => {
    try {
      return localStorage.getItem(`tidemark.${name}`);
    } catch {
      return null; // no storage: the system's theme, the browser's language
    }
  };
  const root = document.documentElement;
  const theme = own('theme');
  if (theme === 'light' || theme === 'dark') root.dataset.theme = theme;

  const known = ['en', 'de'];
  const wanted = [own('language'), own('garden.language'), ...(navigator.languages || [])];
  const language = wanted.map((one) => (one || '').slice(0, 2).toLowerCase()).find((one) => known.includes(one)) || 'en';
  root.dataset.language = language; // words.js begins with it
  for (const name of root.dataset.words === 'desk' ? [language, `${language}-desk`] : [language]) {
    const link = document.createElement('link');
    Object.assign(link, { rel: 'preload', as: 'fetch', crossOrigin: 'anonymous', href: `words/${name}.json` });
    document.head.append(link);
  }
})();
