/* sources.js - where a figure comes from. */
import { say } from './words.js';

/** The source as the library names it, or our own words where there is no publication to name. */
export const sourceText = (text) => (text === "the garden's own" ? say('crops.own.source') : text === 'common practice, no source' ? say('crops.practice') : text);
