/* nitrate.js - what the daemon says of nitrate in leaves, in words. */
import { el } from './dom.js';
import { formatNumber } from './units.js';
import { say } from './words.js';

/** 'For sale the European Union allows 5000 mg ...'; null where a crop has no limit. */
export const limitSentence = (crop, name) => (typeof crop.nitrate?.limit_mg_kg === 'number'
  ? say('nitrate.limit', { crop: name, limit: formatNumber(crop.nitrate.limit_mg_kg, 0), season: say(crop.nitrate.winter ? 'nitrate.winter' : 'nitrate.summer'), grown: say(crop.nitrate.cover ? 'nitrate.cover' : 'nitrate.open') }) : null);

/** Paragraphs for some crops, each {nitrate}; none where there is light enough. nameOf: crop to name. */
export function nitrateNodes(crops, nameOf) {
  const dim = crops.filter((crop) => crop.nitrate?.little_light);
  if (!dim.length) return [];
  const limits = dim.map((crop) => limitSentence(crop, nameOf(crop))).filter(Boolean);
  return [el('p', {}, el('strong', { text: say('caution') }), ' ', say('nitrate.light')), ...limits.map((text) => el('p', { text })),
    limits.length ? el('p', {}, el('small', {}, say('nitrate.law'), ' ', el('span', { lang: 'en', text: dim[0].nitrate.source }))) : el('p', { text: say('nitrate.none') })];
}
