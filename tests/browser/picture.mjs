// Makes the picture of the README: the page of one tank of the invented garden, on a phone.
//
//   cd build && make check-browser && TIDEMARK_BUILDDIR=$PWD node ../tests/browser/picture.mjs ../fixtures/pictures/tank.png
import { launch, PHONE, startDaemon } from './harness.mjs';

const daemon = await startDaemon(['--demo']);
const browser = await launch();
try {
  const context = await browser.newContext({ ...PHONE, deviceScaleFactor: 1.25 });
  const page = await context.newPage();
  const { items } = await (await page.request.get(`${daemon.base}/api/v1/tanks`)).json();
  // One that is on its way down: half gone, with a day foretold.
  const gone = (tank) => 1 - (tank.drawing.waterline_mm ?? 0) / tank.drawing.start_mm;
  const tank = items.filter((item) => item.outlook?.low_on?.p50 && item.drawing.waterline_mm)
    .sort((a, b) => Math.abs(gone(a) - 0.5) - Math.abs(gone(b) - 0.5))[0];

  await page.goto(`${daemon.base}/tank.html?id=${tank.id}`);
  await page.locator('svg').first().waitFor();
  await page.waitForLoadState('networkidle');
  await page.screenshot({ path: process.argv[2] });
} finally {
  await browser.close();
  await daemon.stop();
}
