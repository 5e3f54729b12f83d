/* theme.js - before anything is painted: the theme this phone chose. Not a module, so that it runs first. */
(() => {
  try {
    const theme = localStorage.getItem('tidemark.theme');
    if (theme === 'light' || theme === 'dark') document.documentElement.dataset.theme = theme;
  } catch {
    // no storage: the system's theme
  }
})();
