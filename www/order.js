/* order.js - the order in which one walks past the tanks. */

/** Place of each tank on the round: by its area's place (an area within another comes with that one), then its own. */
export function placesOf(tanks, areas) {
  const area = new Map(areas.map((one) => [one.id, one]));
  const way = (id) => (area.has(id) ? [...way(area.get(id).within), area.get(id).walk_order] : []);
  return new Map(tanks.map((tank) => [tank.id, [...way(tank.area), tank.walk_order]]));
}

/** Compares two such places. */
export function onRound(a, b) {
  for (let i = 0; i < Math.max(a.length, b.length); i++)
    if ((a[i] ?? -Infinity) !== (b[i] ?? -Infinity)) return (a[i] ?? -Infinity) - (b[i] ?? -Infinity);
  return 0;
}
